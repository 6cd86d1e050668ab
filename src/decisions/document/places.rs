//! Where in a text in pieces the changes of one list belong.

use std::collections::BTreeMap;

use toml_edit::Table;

use crate::decisions::model::DecisionChange;

use super::lists::{ByName, List, TableName};

/// The changes of one list, which find their pieces while its tables go by in the order of the text.
pub(super) struct Places<'c> {
    /// The list.
    pub(super) list: &'static List,
    /// By their names, ascending.
    changes: Vec<Placed<'c>>,
    /// So many of them come before a table that went by.
    passed: usize,
    /// The piece of the last table that went by and stays.
    last: Option<usize>,
}

struct Placed<'c> {
    name: TableName,
    change: &'c DecisionChange,
    /// The piece that holds a table of this name.
    there: Option<usize>,
    /// The piece that a new table comes into if none does, once a table went by that comes after it.
    new: Option<usize>,
}

impl Places<'_> {
    /// Looks for the places of these changes, those of the list.
    pub(super) fn of<'c>(list: &'static List, changes: &'c [DecisionChange]) -> Places<'c> {
        let placed = |(name, change)| Placed { name, change, there: None, new: None };
        Places { list, changes: list.changes_of(changes).into_iter().map(placed).collect(), passed: 0, last: None }
    }

    /// Lets the tables of the next piece go by.
    pub(super) fn pass(&mut self, piece: usize, document: &Table) {
        if self.changes.is_empty() {
            return;
        }
        for table in self.list.tables(document) {
            let name = self.list.name_of(table);
            if let Ok(at) = self.changes.binary_search_by(|placed| placed.name.cmp(&name)) {
                self.changes[at].there = Some(piece);
                if self.changes[at].change.takes_back() {
                    continue;
                }
            }
            // A new table follows the one that comes before it, else it leads the list.
            let new = self.last.unwrap_or(piece);
            while let Some(smaller) = self.changes.get_mut(self.passed).filter(|placed| placed.name < name) {
                smaller.new = Some(new);
                self.passed += 1;
            }
            self.last = Some(piece);
        }
    }
}

impl<'c> Places<'c> {
    /// The changes of each piece, of so many, that has any. What is taken back and not there is left out.
    pub(super) fn by_piece(self, pieces: usize) -> BTreeMap<usize, ByName<'c>> {
        let end = self.last.unwrap_or(pieces.saturating_sub(1));
        let mut by_piece: BTreeMap<usize, ByName<'c>> = BTreeMap::new();
        for Placed { name, change, there, new } in self.changes {
            let added = || (!change.takes_back()).then(|| new.unwrap_or(end));
            if let Some(piece) = there.or_else(added) {
                by_piece.entry(piece).or_default().insert(name, change);
            }
        }
        by_piece
    }
}
