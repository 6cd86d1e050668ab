//! The part of an order that a delivery leaves out: it stays ordered, and whatever the printer holds of it stays with
//! the printer.

use std::collections::{HashMap, HashSet};

use crate::brief::PrintsById;
use crate::report::Report;

use super::names;
use super::ordered::{OrderedPrint, ordered};
use super::plan::DeliveryPlan;
use super::record::RecordedPicture;

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
    /// Collects the rows for a print that a plan does not send.
    pub(super) fn of(report: &'a Report, prints: &PrintsById<'_>, plan: &DeliveryPlan) -> LeftOutPart<'a> {
        let sent: HashSet<usize> = plan.sent.iter().flat_map(|sent| sent.rows.iter().copied()).collect();
        let (mut rows_by_name, mut pictures, mut missing): (HashMap<String, Vec<usize>>, _, _) =
            (HashMap::new(), HashSet::new(), HashSet::new());
        for (at, row) in report.rows.iter().enumerate().filter(|(at, _)| !sent.contains(at)) {
            let Some(print) = prints.get(row.key.print.as_ref()) else { continue };
            match &row.key.picture {
                None => drop(missing.insert(row.print_name.as_str())),
                Some(picture) => {
                    // One that has another name by now is known by its picture, or by its content.
                    pictures.insert(picture.as_str());
                    pictures.extend(row.sha256.as_deref());
                    if let Ok(name) = names::of(row, print, picture, true) {
                        rows_by_name.entry(names::folded(&name)).or_default().push(at);
                    }
                }
            }
        }
        let orders = |(name, rows): (String, Vec<usize>)| (name, ordered(report, prints, &rows));
        LeftOutPart { orders: rows_by_name.into_iter().map(orders).collect(), pictures, missing }
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
