//! The bell that rings when a row turns FIX, for a person who works in another window.

use std::collections::HashSet;

use crate::judge::{RowKey, RowState};
use crate::live::Snapshot;

/// The bell character. Source: ECMA-48, BEL.
pub const BEL: &[u8] = b"\x07";

/// The bell: if it is wanted, and which rows were FIX in the last snapshot.
#[derive(Debug, Default)]
pub struct Bell {
    is_wanted: bool,
    fix: HashSet<RowKey>,
    /// True once the folder was read: rows from before are not news.
    is_settled: bool,
    is_due: bool,
}

impl Bell {
    /// Creates a bell, on or off.
    pub fn new(is_wanted: bool) -> Bell {
        Bell { is_wanted, ..Bell::default() }
    }

    /// Updates to the newest snapshot.
    pub fn update(&mut self, snapshot: &Snapshot) {
        if !self.is_wanted {
            return;
        }
        let rows = snapshot.rows.iter().filter(|row| row.state_now() == RowState::Fix);
        let fix: HashSet<RowKey> = rows.map(|row| row.row.key.clone()).collect();
        self.is_due |= self.is_settled && !fix.is_subset(&self.fix);
        self.fix = fix;
        self.is_settled |= snapshot.is_quiet();
    }

    /// True if the bell rings now; once for all rows that changed to FIX since.
    pub fn rings(&mut self) -> bool {
        std::mem::take(&mut self.is_due)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::tests::order::{plain_row, snapshot_of};

    fn rings(bell: &mut Bell, states: &[RowState]) -> bool {
        let rows = states.iter().enumerate().map(|(at, state)| plain_row(&format!("p{at}"), *state));
        bell.update(&Snapshot { generation: 5, ..snapshot_of(rows) });
        bell.rings()
    }

    #[test]
    fn it_rings_once_when_a_row_turns_fix_and_not_for_what_was_there() {
        let mut bell = Bell::new(true);
        assert!(!rings(&mut bell, &[RowState::Fix, RowState::Checking]), "the folder is still being read");
        assert!(!rings(&mut bell, &[RowState::Fix, RowState::Pass]), "what was there is no news");
        assert!(rings(&mut bell, &[RowState::Fix, RowState::Fix]));
        assert!(!rings(&mut bell, &[RowState::Fix, RowState::Fix]));
        // The row's new export is read, and is FIX again.
        assert!(!rings(&mut bell, &[RowState::Fix, RowState::Checking]));
        assert!(rings(&mut bell, &[RowState::Fix, RowState::Fix]));
        assert!(!rings(&mut Bell::new(false), &[RowState::Fix]));
    }
}
