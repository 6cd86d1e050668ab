//! A finished check as plain values.

use std::collections::HashMap;
use std::sync::Arc;

use crate::brief::{Brief, PrintsById};
use crate::judge::{Finding, Row, Totals};
use crate::picture::PictureKey;

use super::exit::{Exit, Strictness};

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

    /// What the check comes to.
    pub fn exit(&self, strictness: Strictness) -> Exit {
        let of_rows = self.rows.iter().flat_map(|row| &row.findings);
        let found = self.order_findings.iter().chain(of_rows).map(|finding| finding.level);
        let levels = found.chain(self.brief.remarks.iter().map(|remark| remark.level));
        Exit::of(self.rows.iter().map(|row| row.state), levels, strictness)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::requirements::Level;
    use crate::judge::RowState;
    use crate::report::sample;

    #[test]
    fn states_end_in_their_exit_status() {
        let ends = |state: RowState, strict: bool, complete: bool| {
            let mut report = sample::report();
            report.rows.retain(|row| row.state == state);
            report.order_findings.clear();
            assert!(!report.rows.is_empty(), "the sample has no {}", state.word());
            report.exit(Strictness { strict, complete }).status()
        };
        assert_eq!((ends(RowState::Pass, true, true), ends(RowState::Extra, true, true)), (0, 0));
        assert_eq!((ends(RowState::Warn, false, true), ends(RowState::Warn, true, false)), (0, 1));
        assert_eq!((ends(RowState::Missing, true, false), ends(RowState::Missing, false, true)), (0, 1));
        assert_eq!(ends(RowState::Fix, false, false), 1);
    }

    #[test]
    fn a_must_about_the_whole_order_counts_without_a_row() {
        let mut report = sample::report();
        report.rows.clear();
        assert_eq!(report.exit(Strictness::default()), Exit::Clean);
        Arc::make_mut(&mut report.order_findings[0]).level = Level::Must;
        assert_eq!(report.exit(Strictness::default()), Exit::ToMend);
    }
}
