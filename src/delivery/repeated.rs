//! What a delivery sends again although the printer has it: said on top of its documents, so that nothing is printed
//! twice.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// What a delivery repeats of earlier ones. It is part of the delivery's record, so that its documents can be made
/// again.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct RepeatedOrders {
    /// The copies that were ordered before, by the file's name now and the order's words now, one for each order of
    /// these words; `None` where nobody ordered a number.
    pub(super) copies: BTreeMap<String, BTreeMap<String, Vec<Option<u32>>>>,
    /// What is new or has changed of a picture, in words, by the file's name; foreign text is escaped.
    pub(super) changes: BTreeMap<String, String>,
    /// Files and prints that the printer has and that are no longer ordered, in words; foreign text is escaped.
    pub(super) withdrawn: Vec<String>,
    /// True if some of its prints were not ordered before.
    pub(super) has_others: bool,
}

impl RepeatedOrders {
    /// Returns the copies of an order that the printer has already; `None` if it has no such order. Of several orders
    /// for a file with the same words, `nth` counts from 0.
    pub(super) fn ordered_before(&self, file: &str, words: &str, nth: usize) -> Option<Option<u32>> {
        self.copies.get(file)?.get(words)?.get(nth).copied()
    }

    /// Returns what is new or has changed of a picture; empty for one that is as it was.
    pub(super) fn change_words(&self, file: &str) -> &str {
        self.changes.get(file).map_or("", String::as_str)
    }

    /// Says what is sent again and that it is no new order, one sentence a line; foreign text is escaped.
    pub(super) fn lines(&self, is_part: bool) -> Vec<String> {
        let what = match (is_part, self.has_others) {
            (false, _) => "this is the whole order again",
            (true, false) => "you have these pictures already",
            (true, true) => "you have some of these pictures already",
        };
        let mut lines = vec![
            format!("{what}: nothing that you have from earlier deliveries is ordered a second time"),
            "use the files of this delivery, not the earlier ones".to_owned(),
        ];
        if !self.changes.is_empty() {
            lines.push("what is new or has changed says so: make it as it stands in this delivery".to_owned());
        }
        if self.copies.values().flat_map(BTreeMap::values).flatten().any(Option::is_some) {
            lines.push("each number of copies replaces the earlier one; it does not add to it".to_owned());
        }
        lines
    }
}
