//! How a check ends for a script: the one place that gives an exit status, for `check`, `watch --lines`, `deliver` and
//! the desk alike.

use crate::brief::requirements::Level;
use crate::judge::RowState;
use crate::live::Snapshot;

/// What counts as something to mend.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Strictness {
    /// Warnings count.
    pub strict: bool,
    /// Missing pictures count.
    pub complete: bool,
}

impl Strictness {
    /// Whether a row in this state is something to mend. A file that still grows has no verdict, so it counts.
    pub const fn counts_row(self, state: RowState) -> bool {
        match state {
            RowState::Fix | RowState::Arriving | RowState::Checking => true,
            RowState::Warn => self.strict,
            RowState::Missing => self.complete,
            RowState::Extra | RowState::Pass => false,
        }
    }

    /// Whether a finding of this rank is something to mend.
    pub const fn counts_finding(self, level: Level) -> bool {
        match level {
            Level::Must => true,
            Level::Should => self.strict,
            Level::Note | Level::Off => false,
        }
    }
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

    /// What an order comes to: its rows' states, and the levels of all that is found of rows, of the order as a whole
    /// and of the brief itself.
    pub fn of(
        states: impl IntoIterator<Item = RowState>,
        levels: impl IntoIterator<Item = Level>,
        strictness: Strictness,
    ) -> Exit {
        let to_mend = states.into_iter().any(|state| strictness.counts_row(state))
            || levels.into_iter().any(|level| strictness.counts_finding(level));
        if to_mend { Exit::ToMend } else { Exit::Clean }
    }

    /// What a desk comes to as it stands. It says nothing for sure where its folder cannot be looked at, where it holds
    /// more than is looked at, or where the brief or the decisions have mistakes by now.
    pub fn of_desk(desk: &Snapshot, strictness: Strictness) -> Exit {
        let is_sure = !desk.watching.is_away()
            && !desk.cut_off
            && desk.brief_problems.is_empty()
            && desk.accepted_problems.is_empty();
        if !is_sure {
            return Exit::CouldNot;
        }
        let of_rows = desk.rows.iter().flat_map(|row| &row.row.findings);
        let found = desk.order_findings.iter().chain(of_rows).map(|finding| finding.level);
        let levels = found.chain(desk.brief.remarks.iter().map(|remark| remark.level));
        Exit::of(desk.rows.iter().map(|row| row.state_now()), levels, strictness)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn states_and_ranks_count_as_they_are_asked_for() {
        let counted = |strict, complete| {
            let strictness = Strictness { strict, complete };
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
}
