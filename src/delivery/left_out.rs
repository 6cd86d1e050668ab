//! The part of an order that a delivery leaves out: it stays ordered, and whatever the printer holds of it stays with
//! the printer.

use std::collections::{HashMap, HashSet};

use crate::brief::PrintsById;
use crate::judge::RowState;
use crate::report::Report;

use super::names;
use super::ordered::ordered;
use super::plan::DeliveryPlan;
use super::record::RecordedPicture;
use crate::decisions::sent::OrderedPrint;

/// What a delivery leaves out.
pub(super) struct LeftOutPart<'a> {
    /// Orders by the name that the picture would have, folded.
    orders: HashMap<String, Vec<OrderedPrint>>,
    /// Names of pictures in the folder of exports, and their SHA-256.
    pictures: HashSet<&'a str>,
    /// Names of prints that have no picture now.
    missing: HashSet<&'a str>,
}

impl<'a> LeftOutPart<'a> {
    /// Collects what a plan leaves out of an order.
    pub(super) fn of(report: &'a Report, prints: &PrintsById<'_>, plan: &'a DeliveryPlan) -> LeftOutPart<'a> {
        let mut orders: HashMap<String, Vec<OrderedPrint>> = HashMap::new();
        for one in &plan.left_out {
            orders.entry(names::folded(&one.name)).or_default().extend(ordered(report, prints, &one.rows));
        }
        // One that has another name by now is known by its picture, or by its content.
        let pictures = plan.left_out.iter().flat_map(|one| [one.picture.as_str(), &one.sha256]).collect();
        // A plan is refused while a print that it sends has no picture.
        let missing = report.rows.iter().filter(|row| row.state == RowState::Missing);
        LeftOutPart { orders, pictures, missing: missing.map(|row| row.print_name.as_str()).collect() }
    }

    /// True if what the printer holds belongs to this part: by its name, its picture, its content, or a print that has
    /// no picture now.
    pub(super) fn has(&self, held: &RecordedPicture) -> bool {
        self.orders.contains_key(&names::folded(&held.name))
            || [&held.picture, &held.sha256].iter().any(|one| self.pictures.contains(one.as_str()))
            || held.prints.iter().any(|print| self.missing.contains(print.as_str()))
    }

    /// Returns the orders of this part for a picture of this name.
    pub(super) fn orders(&self, name: &str) -> &[OrderedPrint] {
        self.orders.get(&names::folded(name)).map(Vec::as_slice).unwrap_or_default()
    }
}
