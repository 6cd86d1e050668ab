//! What a delivery sends again although the printer has it: said on top of its documents, so that nothing is printed
//! twice.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::units::words::visible;

use super::plan::PlannedPicture;

/// What a delivery repeats of earlier ones. It is part of the delivery's record, so that its documents can be made
/// again.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct RepeatedOrders {
    /// The earlier delivery, in words: `the delivery of 30 November 2026`.
    pub(super) delivery: String,
    /// The copies that were ordered before, by the file's name now and the order's words now; `None` where nobody
    /// ordered a number.
    copies: BTreeMap<String, BTreeMap<String, Option<u32>>>,
    /// True if some of its prints were not ordered before.
    has_others: bool,
}

impl RepeatedOrders {
    /// Returns what a delivery of these pictures repeats of an earlier one, each with the copies ordered before by the
    /// order's words; `None` if it repeats nothing.
    pub(super) fn of<'a>(
        sent: impl Iterator<Item = (&'a PlannedPicture, &'a BTreeMap<String, Option<u32>>)>,
        delivery: String,
    ) -> Option<RepeatedOrders> {
        let mut repeated = RepeatedOrders { delivery, ..RepeatedOrders::default() };
        for (one, orders) in sent {
            repeated.has_others |= orders.len() < one.rows.len();
            if !orders.is_empty() {
                repeated.copies.insert(one.name.clone(), orders.clone());
            }
        }
        (!repeated.copies.is_empty()).then_some(repeated)
    }

    /// Returns the copies of an order that the printer has already; `None` if it has no such order.
    pub(super) fn ordered_before(&self, file: &str, words: &str) -> Option<Option<u32>> {
        self.copies.get(file)?.get(words).copied()
    }

    /// True if a picture has an order that the printer has already.
    pub(super) fn has(&self, file: &str) -> bool {
        self.copies.contains_key(file)
    }

    /// Says what is sent again and that it is no new order, one sentence a line; foreign text is escaped.
    pub(super) fn lines(&self, is_part: bool) -> Vec<String> {
        let what = match (is_part, self.has_others) {
            (false, _) => "this is the whole order again",
            (true, false) => "you have these pictures already",
            (true, true) => "you have some of these pictures already",
        };
        let delivery = visible(&self.delivery);
        let mut lines = vec![
            format!("{what}: a print that you already have from {delivery} is not ordered a second time"),
            "use the files of this delivery, not the earlier ones".to_owned(),
        ];
        if self.copies.values().flat_map(BTreeMap::values).any(Option::is_some) {
            lines.push("each number of copies is instead of the earlier one, not in addition".to_owned());
        }
        lines
    }
}
