//! What a person decided about an order: subjects' boxes, accepted findings, remarks on test prints; and one change of
//! each.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::brief::PrintId;
use crate::judge::EvidenceHandle;
use crate::judge::acceptance::Acceptance;
use crate::judge::model::test_print::TestPrintRemark;
use crate::judge::subject::{Carrying, DrawnBox, Subjects};
use crate::picture::PictureKey;

use super::by_picture::ByPicture;

/// Everything that was decided by hand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Decisions {
    /// The subjects' boxes.
    pub boxes: ByPicture<Arc<PictureBoxes>>,
    /// What stands of each picture.
    pub findings: ByPicture<Arc<[Arc<Acceptance>]>>,
    /// What was seen on test prints of each picture.
    pub seen: ByPicture<Arc<[Arc<TestPrintRemark>]>>,
}

/// The boxes of one picture, as they were drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PictureBoxes {
    /// For every print.
    pub of_picture: Option<DrawnBox>,
    /// For single prints instead.
    pub of_prints: BTreeMap<PrintId, DrawnBox>,
}

/// One change: the box of a picture, or of a picture for one print.
#[derive(Clone, Debug, PartialEq)]
pub struct BoxChange {
    /// The picture.
    pub picture: PictureKey,
    /// The print that the box is for; every print that has none of its own otherwise.
    pub print: Option<PrintId>,
    /// The box; `None` takes it away.
    pub drawn: Option<DrawnBox>,
}

/// One change: a finding let stand, or not any more.
#[derive(Clone, Debug, PartialEq)]
pub struct FindingChange {
    /// The picture.
    pub picture: PictureKey,
    /// The print whose row it stands in.
    pub print: Option<PrintId>,
    /// The rule's id.
    pub rule: String,
    /// Which of the rule's findings.
    pub about: String,
    /// Who lets it stand, why and on what; `None` takes it back.
    pub acceptance: Option<Box<Acceptance>>,
}

/// One change: what was seen on a picture's test print, or that nothing was.
#[derive(Clone, Debug, PartialEq)]
pub struct RemarkChange {
    /// The picture.
    pub picture: PictureKey,
    /// The print that it was made for; every print of the picture where none is named.
    pub print: Option<PrintId>,
    /// What was seen, for the same print; `None` takes it back.
    pub seen: Option<Box<TestPrintRemark>>,
}

/// One change of what was decided by hand.
#[derive(Clone, Debug, PartialEq)]
pub enum DecisionChange {
    /// A subject's box.
    Box(BoxChange),
    /// A finding.
    Finding(FindingChange),
    /// A test print.
    Seen(RemarkChange),
}

impl DecisionChange {
    /// The picture it is about.
    pub fn picture(&self) -> &PictureKey {
        match self {
            DecisionChange::Box(change) => &change.picture,
            DecisionChange::Finding(change) => &change.picture,
            DecisionChange::Seen(change) => &change.picture,
        }
    }

    /// Whether it takes back what was decided.
    pub(crate) fn takes_back(&self) -> bool {
        match self {
            DecisionChange::Box(change) => change.drawn.is_none(),
            DecisionChange::Finding(change) => change.acceptance.is_none(),
            DecisionChange::Seen(change) => change.seen.is_none(),
        }
    }
}

impl Decisions {
    /// Everything that stands, picture by picture.
    pub fn all(&self) -> impl Iterator<Item = (&PictureKey, &Acceptance)> {
        self.findings.iter().flat_map(|(picture, all)| all.iter().map(move |one| (picture, one.as_ref())))
    }

    /// What stands of a picture: under its name, else of the very same bytes under another.
    pub fn findings_of(&self, picture: &PictureKey, sha256: Option<&str>) -> Arc<[Arc<Acceptance>]> {
        self.findings.get(picture, sha256).cloned().unwrap_or_default()
    }

    /// What was seen on a picture's test prints, found the same way.
    pub fn seen_of(&self, picture: &PictureKey, sha256: Option<&str>) -> Arc<[Arc<TestPrintRemark>]> {
        self.seen.get(picture, sha256).cloned().unwrap_or_default()
    }
}

impl PictureBoxes {
    /// Where the boxes lie in an export; `None` while its pixels are not known.
    pub fn carried_to(&self, evidence_handle: Option<&EvidenceHandle>) -> Subjects {
        let mut carrying = Carrying::to(evidence_handle);
        Subjects {
            of_picture: self.of_picture.as_ref().map(|drawn| carrying.carry(drawn)),
            of_prints: self.of_prints.iter().map(|(print, drawn)| (print.clone(), carrying.carry(drawn))).collect(),
        }
    }
}
