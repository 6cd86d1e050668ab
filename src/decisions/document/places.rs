//! The places of one list's changes in a text in pieces.

use std::collections::BTreeMap;

use toml_edit::Table;

use crate::decisions::model::DecisionChange;

use super::lists::{ByName, List, TableName};

/// The changes of one list, which find their pieces as its tables are passed in the order of the text.
pub(super) struct PieceFinder<'c> {
    /// The list.
    pub(super) list: &'static List,
    /// The changes by their names, ascending.
    changes: Vec<PlacedChange<'c>>,
    /// Number of them that come before a table already passed.
    passed: usize,
    /// The piece of the last table passed that is kept.
    last: Option<usize>,
}

struct PlacedChange<'c> {
    name: TableName,
    change: &'c DecisionChange,
    /// The piece that holds a table of this name.
    there: Option<usize>,
    /// The piece for a new table if there is none, once a table was passed that comes after it.
    new: Option<usize>,
}

impl PieceFinder<'_> {
    /// Prepares to find the places of those changes that belong to the list.
    pub(super) fn of<'c>(list: &'static List, changes: &'c [DecisionChange]) -> PieceFinder<'c> {
        let placed = |(name, change)| PlacedChange { name, change, there: None, new: None };
        PieceFinder { list, changes: list.changes_of(changes).into_iter().map(placed).collect(), passed: 0, last: None }
    }

    /// Passes the tables of the next piece.
    pub(super) fn visit_piece(&mut self, piece: usize, document: &Table) {
        if self.changes.is_empty() {
            return;
        }
        for table in self.list.tables(document) {
            let name = self.list.name_of(table);
            if let Ok(at) = self.changes.binary_search_by(|placed| placed.name.cmp(&name)) {
                self.changes[at].there = Some(piece);
                if self.changes[at].change.is_withdrawal() {
                    continue;
                }
            }
            // A new table follows the one that comes before it, otherwise it is the first of the list.
            let new = self.last.unwrap_or(piece);
            while let Some(smaller) = self.changes.get_mut(self.passed).filter(|placed| placed.name < name) {
                smaller.new = Some(new);
                self.passed += 1;
            }
            self.last = Some(piece);
        }
    }
}

impl<'c> PieceFinder<'c> {
    /// Returns the changes of each piece that has any, of `pieces` in all. Withdrawals of absent decisions are left
    /// out.
    pub(super) fn by_piece(self, pieces: usize) -> BTreeMap<usize, ByName<'c>> {
        let end = self.last.unwrap_or(pieces.saturating_sub(1));
        let mut by_piece: BTreeMap<usize, ByName<'c>> = BTreeMap::new();
        for PlacedChange { name, change, there, new } in self.changes {
            let added = || (!change.is_withdrawal()).then(|| new.unwrap_or(end));
            if let Some(piece) = there.or_else(added) {
                by_piece.entry(piece).or_default().insert(name, change);
            }
        }
        by_piece
    }
}
