//! What a rule finds where it fails, open or accepted.

use std::sync::Arc;

use crate::brief::requirements::Level;
use crate::judge::model::acceptance::Acceptance;
use crate::judge::model::rule::Rule;
use crate::picture::PictureKey;
use crate::units::{Ppi, Size};

/// What does not hold, in numbers and in short parts; why it matters is the rule's (`Rule::why`).
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The rule that failed.
    pub rule: &'static Rule,
    /// Which of several: an edge, a field; empty where there is only one.
    pub about: String,
    /// How the brief ranks it.
    pub level: Level,
    /// The pictures it speaks of.
    pub pictures: Vec<PictureKey>,
    /// What was measured, where it is a number.
    pub measured: Option<f64>,
    /// What was asked, where it is a number.
    pub wanted: Option<f64>,
    /// The unit of the two: `ppi`, `share`, `px`, `bits`, `bytes`; empty without numbers.
    pub unit: &'static str,
    /// The measured value in a table cell: `214 ppi`, `Adobe RGB`; at most some 14 characters.
    pub short: String,
    /// What was measured and what was asked.
    pub what: String,
    /// How to mend it, with the numbers to type.
    pub mend: String,
    /// The numbers that the words of `mend` name.
    pub fix: FixNumbers,
    /// That somebody accepted it once, and why that counts no more.
    pub again: Option<LapsedAcceptance>,
}

impl Finding {
    /// Whether it is the same finding as another, of this picture or of another export: the same rule about the same.
    pub fn is_same_as(&self, other: &Finding) -> bool {
        (self.rule, &self.about) == (other.rule, &other.about)
    }
}

/// What a person is advised to do, as far as it is numbers.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FixNumbers {
    /// Pixels to export at, width and height: each of them removes the finding. The wanted ones first.
    pub exports: Vec<(u32, u32)>,
    /// The largest prints that the picture carries as it is, each with its density.
    pub largest_prints: Vec<(Size, Ppi)>,
}

/// An acceptance that counts no more.
#[derive(Clone, Debug, PartialEq)]
pub struct LapsedAcceptance {
    /// Who accepted it then, and why.
    pub acceptance: Arc<Acceptance>,
    /// What changed or got worse since.
    pub why: String,
}

impl LapsedAcceptance {
    /// Why it is asked again and what was said then, in words; what a person wrote is foreign text.
    pub fn words(&self) -> String {
        format!("asked again, {}; it was accepted {}", self.why, self.acceptance.words())
    }
}

/// A finding that is accepted.
#[derive(Clone, Debug, PartialEq)]
pub struct AcceptedFinding {
    /// The finding, as it is now.
    pub finding: Arc<Finding>,
    /// Who accepted it, and why.
    pub acceptance: Arc<Acceptance>,
}
