//! Decisions one by one, each under the item it concerns: as the file lists them, and as changes find them.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;

use crate::brief::PrintId;
use crate::judge::acceptance::Acceptance;
use crate::judge::model::test_print::TestPrintRemark;
use crate::judge::subject::DrawnBox;
use crate::picture::PictureKey;

use super::by_picture::ByPicture;
use super::model::{DecisionChange, Decisions, PictureBoxes};
use super::sent::{SentDelivery, SentLog, SentPicture};

/// A picture, for one print or for all that have none of their own.
type OfPrint = (PictureKey, Option<PrintId>);
/// A rule, and which of its findings.
type OfRule = (String, String);

/// All decisions. Each can be found, changed and withdrawn separately.
#[derive(Debug, Default)]
pub(crate) struct DecisionIndex {
    boxes: BTreeMap<OfPrint, DrawnBox>,
    findings: BTreeMap<(OfPrint, OfRule), Arc<Acceptance>>,
    test_print_remarks: BTreeMap<OfPrint, Arc<TestPrintRemark>>,
    /// By time and folder.
    deliveries: BTreeMap<(String, String), Arc<SentDelivery>>,
    /// By the name at the printer's.
    held: BTreeMap<String, Arc<SentPicture>>,
}

impl DecisionIndex {
    /// Adds a box; `false` if there is one already.
    pub(crate) fn add(&mut self, picture: PictureKey, print: Option<PrintId>, drawn: DrawnBox) -> bool {
        is_new(self.boxes.entry((picture, print)), drawn)
    }

    /// Adds an accepted finding; `false` if it is already accepted.
    pub(crate) fn accept(&mut self, picture: PictureKey, acceptance: Acceptance) -> bool {
        let about = (acceptance.rule.clone(), acceptance.about.clone());
        is_new(self.findings.entry(((picture, acceptance.print.clone()), about)), Arc::new(acceptance))
    }

    /// Adds a remark; `false` if there is one for the same print already.
    pub(crate) fn see(&mut self, picture: PictureKey, seen: TestPrintRemark) -> bool {
        is_new(self.test_print_remarks.entry((picture, seen.print.clone())), Arc::new(seen))
    }

    /// Adds a delivery; `false` if it is there already.
    pub(crate) fn log(&mut self, delivery: SentDelivery) -> bool {
        is_new(self.deliveries.entry((delivery.when.clone(), delivery.folder.clone())), Arc::new(delivery))
    }

    /// Adds a picture that the printer holds; `false` if there is one of its name already.
    pub(crate) fn hold(&mut self, picture: SentPicture) -> bool {
        is_new(self.held.entry(picture.name.clone()), Arc::new(picture))
    }

    /// Makes one change.
    pub(crate) fn apply(&mut self, change: &DecisionChange) {
        match change {
            DecisionChange::Box(change) => {
                put(&mut self.boxes, (change.picture.clone(), change.print.clone()), change.drawn.clone());
            }
            DecisionChange::Finding(change) => {
                let about = (change.rule.clone(), change.about.clone());
                let accepted = change.acceptance.as_deref().cloned().map(Arc::new);
                put(&mut self.findings, ((change.picture.clone(), change.print.clone()), about), accepted);
            }
            DecisionChange::TestPrint(change) => {
                let seen = change.remark.as_deref().cloned().map(Arc::new);
                put(&mut self.test_print_remarks, (change.picture.clone(), change.print.clone()), seen);
            }
            DecisionChange::Delivery(delivery) => {
                let name = (delivery.when.clone(), delivery.folder.clone());
                put(&mut self.deliveries, name, Some(Arc::new(delivery.as_ref().clone())));
            }
            DecisionChange::Sent(change) => {
                put(&mut self.held, change.name.clone(), change.picture.as_deref().cloned().map(Arc::new));
            }
        }
    }
}

impl Decisions {
    /// Groups the decisions by picture.
    pub(crate) fn of(decided: DecisionIndex) -> Decisions {
        let mut boxes: ByPicture<PictureBoxes> = ByPicture::default();
        for ((picture, print), drawn) in decided.boxes {
            let of_picture = boxes.entry(picture, &drawn.sha256);
            match print {
                Some(print) => drop(of_picture.of_prints.insert(print, drawn)),
                None => of_picture.of_picture = Some(drawn),
            }
        }
        let mut findings: ByPicture<Vec<Arc<Acceptance>>> = ByPicture::default();
        for (((picture, _), _), acceptance) in decided.findings {
            findings.entry(picture, &acceptance.bound.sha256).push(acceptance);
        }
        let mut seen: ByPicture<Vec<Arc<TestPrintRemark>>> = ByPicture::default();
        for ((picture, _), one) in decided.test_print_remarks {
            seen.entry(picture, &one.sha256).push(one);
        }
        // A time in RFC 3339 sorts by itself; of two in one second the number decides.
        let mut deliveries: Vec<Arc<SentDelivery>> = decided.deliveries.into_values().collect();
        deliveries.sort_by(|one, other| (&one.when, one.number).cmp(&(&other.when, other.number)));
        let sent = SentLog { deliveries, held: decided.held };
        Decisions {
            boxes: boxes.map(Arc::new),
            findings: findings.map(Arc::from),
            test_print_remarks: seen.map(Arc::from),
            sent,
        }
    }
}

fn is_new<K: Ord, V>(entry: Entry<K, V>, value: V) -> bool {
    match entry {
        Entry::Vacant(free) => {
            free.insert(value);
            true
        }
        Entry::Occupied(_) => false,
    }
}

fn put<K: Ord, V>(all: &mut BTreeMap<K, V>, key: K, value: Option<V>) {
    match value {
        Some(value) => drop(all.insert(key, value)),
        None => drop(all.remove(&key)),
    }
}
