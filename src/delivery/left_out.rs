//! The part of an order that a delivery leaves out: it stays ordered, and whatever the printer holds of it stays with
//! the printer.

use std::collections::{HashMap, HashSet};

use crate::brief::PrintsById;
use crate::judge::RowState;
use crate::reading::check_report::CheckReport;

use super::names;
use super::ordered::orders_of;
use super::plan::{DeliveryPlan, PlannedPicture};
use super::record::RecordedPicture;
use crate::decisions::sent::OrderedPrint;

/// What a delivery leaves out.
pub(super) struct LeftOutPart<'a> {
    /// Orders by the picture's name among the exports.
    orders: HashMap<&'a str, Vec<OrderedPrint>>,
    /// Pictures by the name that they would have, folded.
    by_name: HashMap<String, &'a str>,
    /// Names of pictures in the folder of exports, and their SHA-256.
    pictures: HashSet<&'a str>,
    /// Names of prints that have no picture now.
    missing: HashSet<String>,
}

impl<'a> LeftOutPart<'a> {
    /// Collects what a plan leaves out of an order.
    pub(super) fn of(report: &'a CheckReport, prints: &PrintsById<'_>, plan: &'a DeliveryPlan) -> LeftOutPart<'a> {
        let mut orders: HashMap<&str, Vec<OrderedPrint>> = HashMap::new();
        for one in &plan.left_out {
            orders.entry(one.picture.as_str()).or_default().extend(orders_of(report, prints, &one.rows));
        }
        let by_name = plan.left_out.iter().map(|one| (names::fold_case(&one.name), one.picture.as_str())).collect();
        // One that has another name by now is known by its picture, or by its content.
        let pictures = plan.left_out.iter().flat_map(|one| [one.picture.as_str(), &one.sha256]).collect();
        // A plan is refused while a print that it sends has no picture.
        let missing = report.rows.iter().filter(|row| row.state == RowState::Missing);
        LeftOutPart {
            orders,
            by_name,
            pictures,
            missing: missing.map(|row| row.name_with_version().into_owned()).collect(),
        }
    }

    /// True if what the printer holds belongs to this part: by its name, its picture, its content, or a print that has
    /// no picture now.
    pub(super) fn has(&self, held: &RecordedPicture) -> bool {
        self.by_name.contains_key(&names::fold_case(&held.name))
            || [&held.picture, &held.sha256].iter().any(|one| self.pictures.contains(one.as_str()))
            || held.prints.iter().any(|print| self.missing.contains(print.as_str()))
    }

    /// True if what the printer holds has the name of a picture of this part that is another than a given one.
    pub(super) fn has_name_of_another(&self, held: &RecordedPicture, picture: &PlannedPicture) -> bool {
        self.by_name.get(&names::fold_case(&held.name)).is_some_and(|other| *other != picture.picture.as_str())
    }

    /// Returns the orders of this part for a picture.
    pub(super) fn orders(&self, picture: &PlannedPicture) -> &[OrderedPrint] {
        self.orders.get(picture.picture.as_str()).map(Vec::as_slice).unwrap_or_default()
    }
}
