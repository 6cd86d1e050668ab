//! A finished check as plain values.

use std::collections::HashMap;
use std::sync::Arc;

use crate::brief::{Brief, PrintsById};
use crate::judge::{Finding, Row, Totals};
use crate::picture::PictureKey;

/// A finished check.
#[derive(Clone, Debug)]
pub struct Report {
    /// The brief that judged.
    pub brief: Arc<Brief>,
    /// The folder as the person named it; foreign text.
    pub folder: String,
    /// Rows in the brief's order: prints, then pictures that no print wants.
    pub rows: Vec<Row>,
    /// Findings about the order as a whole.
    pub order_findings: Vec<Arc<Finding>>,
    /// Rows by state.
    pub totals: Totals,
    /// When the check was made: RFC 3339.
    pub made: String,
}

impl Report {
    /// The prints of its rows.
    pub fn prints(&self) -> PrintsById<'_> {
        PrintsById::of(&self.brief)
    }

    /// The places of each picture's rows.
    pub fn rows_of(&self) -> HashMap<&PictureKey, Vec<usize>> {
        let mut rows: HashMap<&PictureKey, Vec<usize>> = HashMap::new();
        for (at, row) in self.rows.iter().enumerate() {
            row.key.picture.iter().for_each(|picture| rows.entry(picture).or_default().push(at));
        }
        rows
    }
}
