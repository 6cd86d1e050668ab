//! The decisions on an order: subjects' boxes, accepted findings, remarks on test prints, deliveries; and single
//! changes of each.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::brief::PrintId;
use crate::judge::EvidenceHandle;
use crate::judge::acceptance::Acceptance;
use crate::judge::model::test_print::TestPrintRemark;
use crate::judge::subject::{Carrying, DrawnBox, Subjects};
use crate::picture::PictureKey;

use super::by_picture::ByPicture;
use super::sent::{SentDelivery, SentLog, SentPicture};

/// All decisions made by hand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Decisions {
    /// The subjects' boxes.
    pub boxes: ByPicture<Arc<PictureBoxes>>,
    /// The accepted findings of each picture.
    pub findings: ByPicture<Arc<[Arc<Acceptance>]>>,
    /// The remarks on test prints of each picture.
    pub test_print_remarks: ByPicture<Arc<[Arc<TestPrintRemark>]>>,
    /// What was sent to the printer.
    pub sent: SentLog,
}

/// The boxes of one picture, as they were drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PictureBoxes {
    /// The box for every print.
    pub of_picture: Option<DrawnBox>,
    /// Boxes for single prints, used instead.
    pub of_prints: BTreeMap<PrintId, DrawnBox>,
}

/// A change of a picture's box, for all prints or for one.
#[derive(Clone, Debug, PartialEq)]
pub struct BoxChange {
    /// The picture.
    pub picture: PictureKey,
    /// The print that the box is for; otherwise every print without a box of its own.
    pub print: Option<PrintId>,
    /// The box; `None` removes it.
    pub drawn: Option<DrawnBox>,
}

/// A change that accepts a finding, or withdraws that.
#[derive(Clone, Debug, PartialEq)]
pub struct FindingChange {
    /// The picture.
    pub picture: PictureKey,
    /// The print whose row it is in.
    pub print: Option<PrintId>,
    /// The rule's id.
    pub rule: String,
    /// Which of the rule's findings.
    pub about: String,
    /// The acceptance, with person, reason and values; `None` withdraws it.
    pub acceptance: Option<Box<Acceptance>>,
}

/// A change of the remark on a picture's test print.
#[derive(Clone, Debug, PartialEq)]
pub struct RemarkChange {
    /// The picture.
    pub picture: PictureKey,
    /// The print that it was made for; otherwise every print of the picture.
    pub print: Option<PrintId>,
    /// The remark, for the same print; `None` withdraws it.
    pub remark: Option<Box<TestPrintRemark>>,
}

/// A change of what the printer holds.
#[derive(Clone, Debug, PartialEq)]
pub struct SentChange {
    /// The file's name at the printer's.
    pub name: String,
    /// What the printer holds under it; `None` if it was withdrawn.
    pub picture: Option<Box<SentPicture>>,
}

/// A change of one decision.
#[derive(Clone, Debug, PartialEq)]
pub enum DecisionChange {
    /// A subject's box.
    Box(BoxChange),
    /// A finding.
    Finding(FindingChange),
    /// A test print.
    TestPrint(RemarkChange),
    /// A delivery, or what is noted of it.
    Delivery(Box<SentDelivery>),
    /// A picture that the printer holds.
    Sent(SentChange),
}

impl FindingChange {
    /// Creates the change that accepts a finding of a picture.
    pub fn accept(picture: &PictureKey, acceptance: Acceptance) -> FindingChange {
        let Acceptance { print, rule, about, .. } = acceptance.clone();
        FindingChange { picture: picture.clone(), print, rule, about, acceptance: Some(Box::new(acceptance)) }
    }

    /// Creates the change that withdraws the acceptance of a finding.
    pub fn withdraw(picture: &PictureKey, print: Option<&PrintId>, rule: &str, about: &str) -> FindingChange {
        let (rule, about) = (rule.to_owned(), about.to_owned());
        FindingChange { picture: picture.clone(), print: print.cloned(), rule, about, acceptance: None }
    }
}

impl DecisionChange {
    /// True if it withdraws a decision.
    pub(crate) fn is_withdrawal(&self) -> bool {
        match self {
            DecisionChange::Box(change) => change.drawn.is_none(),
            DecisionChange::Finding(change) => change.acceptance.is_none(),
            DecisionChange::TestPrint(change) => change.remark.is_none(),
            DecisionChange::Delivery(_) => false,
            DecisionChange::Sent(change) => change.picture.is_none(),
        }
    }
}

impl Decisions {
    /// Returns all accepted findings, picture by picture.
    pub fn all(&self) -> impl Iterator<Item = (&PictureKey, &Acceptance)> {
        self.findings.iter().flat_map(|(picture, all)| all.iter().map(move |one| (picture, one.as_ref())))
    }

    /// Returns a picture's accepted findings: under its name, otherwise those of identical bytes under another.
    pub fn findings_of(&self, picture: &PictureKey, sha256: Option<&str>) -> Arc<[Arc<Acceptance>]> {
        self.findings.get(picture, sha256).cloned().unwrap_or_default()
    }

    /// Returns the remarks on a picture's test prints, found the same way.
    pub fn test_print_remarks_of(&self, picture: &PictureKey, sha256: Option<&str>) -> Arc<[Arc<TestPrintRemark>]> {
        self.test_print_remarks.get(picture, sha256).cloned().unwrap_or_default()
    }
}

impl PictureBoxes {
    /// Returns the boxes' positions in an export; `None` while its pixels are not known.
    pub fn carried_to(&self, evidence_handle: Option<&EvidenceHandle>) -> Subjects {
        let mut carrying = Carrying::to(evidence_handle);
        Subjects {
            of_picture: self.of_picture.as_ref().map(|drawn| carrying.carry(drawn)),
            of_prints: self.of_prints.iter().map(|(print, drawn)| (print.clone(), carrying.carry(drawn))).collect(),
        }
    }
}
