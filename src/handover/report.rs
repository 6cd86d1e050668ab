//! A finished check as plain values, and what it comes to.

use std::sync::Arc;

use crate::brief::asked::{Level, Print, PrintId};
use crate::brief::{Brief, Remark};
use crate::judge::{Finding, Row, State, Totals};

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

/// What counts as something to mend.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Strictness {
    /// Warnings count.
    pub strict: bool,
    /// Missing pictures count.
    pub complete: bool,
}

/// How a command ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Nothing to mend.
    Clean,
    /// Something to mend.
    ToMend,
    /// It could not be done: usage, brief, folder.
    CouldNot,
    /// A signal ended it, by its number.
    Signal(u8),
}

/// What shells add to the number of a signal. Source: POSIX asks for more than 128; every common shell adds 128.
const SIGNAL_BASE: u8 = 128;

impl Exit {
    /// The exit status.
    pub const fn status(self) -> u8 {
        match self {
            Exit::Clean => 0,
            Exit::ToMend => 1,
            Exit::CouldNot => 2,
            Exit::Signal(number) => SIGNAL_BASE.saturating_add(number),
        }
    }
}

impl Report {
    /// The print of a row, if it has one.
    pub fn print(&self, id: Option<&PrintId>) -> Option<&Print> {
        let id = id?;
        self.brief.prints.iter().find(|print| print.id == *id)
    }

    /// Findings whose cause is the brief itself: something it names cannot be used.
    pub fn brief_findings(&self) -> Vec<Arc<Finding>> {
        let finding = |remark: &Remark| Finding {
            rule: remark.key,
            about: format!("line {}", remark.problem.line),
            level: remark.level,
            pictures: Vec::new(),
            measured: None,
            wanted: None,
            unit: "",
            short: String::new(),
            what: remark.problem.what.clone(),
            why: "",
            mend: remark.problem.remedy.clone(),
            again: None,
        };
        self.brief.remarks.iter().map(finding).map(Arc::new).collect()
    }

    /// What the check comes to. A file that still grows has no verdict, so it counts as something to mend.
    pub fn exit(&self, strictness: Strictness) -> Exit {
        let of_brief = self.brief_findings();
        let findings =
            self.order_findings.iter().chain(&of_brief).chain(self.rows.iter().flat_map(|row| &row.findings));
        exit(self.rows.iter(), findings, strictness)
    }
}

/// What rows and findings come to.
pub fn exit<'a>(
    rows: impl IntoIterator<Item = &'a Row>,
    findings: impl IntoIterator<Item = &'a Arc<Finding>>,
    strictness: Strictness,
) -> Exit {
    let row_counts = |row: &Row| match row.state {
        State::Fix | State::Arriving | State::Checking => true,
        State::Warn => strictness.strict,
        State::Missing => strictness.complete,
        State::Extra | State::Pass => false,
    };
    let finding_counts = |finding: &Arc<Finding>| match finding.level {
        Level::Must => true,
        Level::Should => strictness.strict,
        Level::Note | Level::Off => false,
    };
    let to_mend = rows.into_iter().any(row_counts) || findings.into_iter().any(finding_counts);
    if to_mend { Exit::ToMend } else { Exit::Clean }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handover::sample;

    #[test]
    fn states_end_in_their_exit_status() {
        let ends = |state: State, strict: bool, complete: bool| {
            let mut report = sample::report();
            report.rows.retain(|row| row.state == state);
            report.order_findings.clear();
            assert!(!report.rows.is_empty(), "the sample has no {}", state.word());
            report.exit(Strictness { strict, complete }).status()
        };
        assert_eq!((ends(State::Pass, true, true), ends(State::Extra, true, true)), (0, 0));
        assert_eq!((ends(State::Warn, false, true), ends(State::Warn, true, false)), (0, 1));
        assert_eq!((ends(State::Missing, true, false), ends(State::Missing, false, true)), (0, 1));
        assert_eq!(ends(State::Fix, false, false), 1);
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
