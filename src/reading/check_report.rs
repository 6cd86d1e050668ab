//! A finished check as plain values.

use std::collections::HashMap;
use std::sync::Arc;

use crate::brief::{Brief, PrintsById};
use crate::judge::to_do::{ToDo, to_do};
use crate::judge::{Finding, Row, Totals};
use crate::picture::PictureKey;

/// A finished check.
#[derive(Clone, Debug)]
pub struct CheckReport {
    /// The brief of the check.
    pub brief: Arc<Brief>,
    /// The folder as typed; foreign text.
    pub folder: String,
    /// Rows in the brief's order: prints, then pictures for no print.
    pub rows: Vec<Row>,
    /// Findings on the order as a whole.
    pub order_findings: Vec<Arc<Finding>>,
    /// Number of rows by state.
    pub totals: Totals,
    /// Time of the check, as RFC 3339.
    pub made: String,
}

impl CheckReport {
    /// Returns the prints of the rows.
    pub fn prints(&self) -> PrintsById<'_> {
        PrintsById::of(&self.brief)
    }

    /// Returns what to do about the order, by cause.
    pub fn to_do(&self) -> Vec<ToDo> {
        to_do(&self.brief, &self.rows, &self.order_findings)
    }

    /// Returns the indices of each picture's rows.
    pub fn rows_of(&self) -> HashMap<&PictureKey, Vec<usize>> {
        let mut rows: HashMap<&PictureKey, Vec<usize>> = HashMap::new();
        for (at, row) in self.rows.iter().enumerate() {
            row.key.picture.iter().for_each(|picture| rows.entry(picture).or_default().push(at));
        }
        rows
    }
}
