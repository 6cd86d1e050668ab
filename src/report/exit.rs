//! Exit statuses of commands, all defined here.

use crate::brief::requirements::Level;
use crate::judge::RowState;
use crate::live::Snapshot;

use crate::reading::check_report::CheckReport;

/// A choice of what counts as something to fix.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Strictness {
    /// True if warnings count.
    pub is_strict: bool,
    /// True if missing pictures count.
    pub requires_all: bool,
}

impl Strictness {
    /// True if a row in this state counts as something to fix. A file still growing has no verdict, so it counts.
    pub const fn counts_row(self, state: RowState) -> bool {
        match state {
            RowState::Fix | RowState::Arriving | RowState::Checking => true,
            RowState::Warn => self.is_strict,
            RowState::Missing => self.requires_all,
            RowState::Extra | RowState::Pass => false,
        }
    }

    /// True if a finding of this level counts as something to fix.
    pub const fn counts_finding(self, level: Level) -> bool {
        match level {
            Level::Must => true,
            Level::Should => self.is_strict,
            Level::Note | Level::Off => false,
        }
    }
}

/// The result of a command; of several, the last in this order wins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// Nothing to fix.
    Clean,
    /// Something to fix.
    ToFix,
    /// The command could not be carried out: usage, brief, folder.
    CouldNot,
    /// A signal ended the command; holds its number.
    Signal(u8),
}

/// Added to the number of a signal, as shells do. Source: POSIX requires more than 128; every common shell adds 128.
const SIGNAL_BASE: u8 = 128;

impl Exit {
    /// Returns the exit status.
    pub const fn status(self) -> u8 {
        match self {
            Exit::Clean => 0,
            Exit::ToFix => 1,
            Exit::CouldNot => 2,
            Exit::Signal(number) => SIGNAL_BASE.saturating_add(number),
        }
    }

    /// Combines the states of an order's rows with the levels of all findings: on rows, on the order as a whole and on
    /// the brief itself.
    fn of(
        states: impl IntoIterator<Item = RowState>,
        levels: impl IntoIterator<Item = Level>,
        strictness: Strictness,
    ) -> Exit {
        let of_row = states.into_iter().any(|state| strictness.counts_row(state));
        Exit::to_fix_if(of_row || levels.into_iter().any(|level| strictness.counts_finding(level)))
    }

    /// Returns the result of a finished check.
    pub fn of_report(report: &CheckReport, strictness: Strictness) -> Exit {
        let of_rows = report.rows.iter().flat_map(|row| &row.findings);
        let found = report.order_findings.iter().chain(of_rows).map(|finding| finding.level);
        let levels = found.chain(report.brief.findings.iter().map(|remark| remark.level));
        Exit::of(report.rows.iter().map(|row| row.state), levels, strictness)
    }

    /// Returns the result of the live table in a snapshot. It is `CouldNot` if the folder cannot be read, holds more
    /// than the limit, or the brief or the decisions now have mistakes.
    pub fn of_live_table(table: &Snapshot, strictness: Strictness) -> Exit {
        let is_sure = !table.watching.is_away()
            && !table.is_cut_off
            && table.brief_problems.is_empty()
            && table.decisions_problems.is_empty()
            && table.judging.failed.is_none();
        let of_rows = table.rows.iter().flat_map(|row| &row.row.findings);
        let found = table.order_findings.iter().chain(of_rows).map(|finding| finding.level);
        let levels = found.chain(table.brief.findings.iter().map(|remark| remark.level));
        let found = Exit::of(table.rows.iter().map(|row| row.state_now()), levels, strictness);
        found.max(Exit::could_not_if(!is_sure))
    }

    /// Returns the result of a command that compares: true means it found something to fix.
    pub const fn to_fix_if(found: bool) -> Exit {
        if found { Exit::ToFix } else { Exit::Clean }
    }

    /// Returns the result of a command that reads or writes: true means part of it could not be done.
    pub const fn could_not_if(failed: bool) -> Exit {
        if failed { Exit::CouldNot } else { Exit::Clean }
    }

    /// Treats something to fix as success where faults are deliberate, as in the demo.
    pub const fn with_faults_meant(self) -> Exit {
        match self {
            Exit::ToFix => Exit::Clean,
            other => other,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;
    use std::sync::Arc;

    #[test]
    fn states_and_levels_count_by_the_strictness_chosen() {
        let counted = |is_strict, requires_all| {
            let strictness = Strictness { is_strict, requires_all };
            let states = [
                RowState::Fix,
                RowState::Arriving,
                RowState::Checking,
                RowState::Warn,
                RowState::Missing,
                RowState::Extra,
            ];
            let levels = [Level::Must, Level::Should, Level::Note];
            (states.map(|state| strictness.counts_row(state)), levels.map(|level| strictness.counts_finding(level)))
        };
        let (yes, no) = (true, false);
        assert_eq!(counted(false, false), ([yes, yes, yes, no, no, no], [yes, no, no]));
        assert_eq!(counted(true, false), ([yes, yes, yes, yes, no, no], [yes, yes, no]));
        assert_eq!(counted(false, true), ([yes, yes, yes, no, yes, no], [yes, no, no]));
    }

    #[test]
    fn states_end_in_their_exit_status() {
        let ends = |state: RowState, is_strict: bool, requires_all: bool| {
            let mut report = sample::report();
            report.rows.retain(|row| row.state == state);
            report.order_findings.clear();
            assert!(!report.rows.is_empty(), "the sample has no {}", state.word());
            Exit::of_report(&report, Strictness { is_strict, requires_all }).status()
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
        assert_eq!(Exit::of_report(&report, Strictness::default()), Exit::Clean);
        Arc::make_mut(&mut report.order_findings[0]).level = Level::Must;
        assert_eq!(Exit::of_report(&report, Strictness::default()), Exit::ToFix);
    }

    #[test]
    fn of_several_endings_the_gravest_counts() {
        assert_eq!(Exit::to_fix_if(true).max(Exit::could_not_if(true)).status(), 2);
        assert_eq!(Exit::to_fix_if(true).max(Exit::could_not_if(false)).status(), 1);
        assert_eq!(Exit::CouldNot.max(Exit::Signal(15)).status(), 143);
        assert_eq!(Exit::ToFix.with_faults_meant().status(), 0);
        assert_eq!(Exit::CouldNot.with_faults_meant().status(), 2);
    }
}
