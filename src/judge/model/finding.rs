//! Findings of failed rules, open or accepted.

use std::sync::Arc;

use crate::brief::requirements::Level;
use crate::judge::model::acceptance::Acceptance;
use crate::judge::model::rule::Rule;
use crate::picture::PictureKey;
use crate::units::{Ppi, Size};

/// A breach, in numbers and in short parts; why it matters is the rule's `why` (`Rule::why`).
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The rule that failed.
    pub rule: &'static Rule,
    /// The edge or field concerned, where there are several; empty where there is only one.
    pub about: String,
    /// The level that the brief gives it.
    pub level: Level,
    /// The pictures concerned.
    pub pictures: Vec<PictureKey>,
    /// The measured value, where it is a number.
    pub measured: Option<f64>,
    /// The required value, where it is a number.
    pub required: Option<f64>,
    /// Without numbers: the values of the brief's keys that its rule uses, in words.
    pub limits: Option<String>,
    /// The unit of both values: `ppi`, `share`, `px`, `bits`, `bytes`; empty without numbers.
    pub unit: &'static str,
    /// The measured value in a table cell: `214 ppi`, `Adobe RGB`; at most some 14 characters.
    pub short: String,
    /// The measured and the required value, in words.
    pub found: String,
    /// What to do, one action a line, the best first, with the numbers to type.
    pub fix: String,
    /// The numbers named in `fix`.
    pub fix_numbers: FixNumbers,
    /// The cause, as a to-do list names it for several pictures; empty where the rule's title says it.
    pub cause: String,
    /// True if the rule's export setting removes it.
    pub is_fixed_by_export: bool,
    /// An earlier acceptance, and why it no longer counts.
    pub lapsed: Option<LapsedAcceptance>,
}

impl Finding {
    /// True if it is the same finding as another, of this picture or of another export: the same rule and the same
    /// `about`.
    pub fn is_same_as(&self, other: &Finding) -> bool {
        (self.rule, &self.about) == (other.rule, &other.about)
    }

    /// True if it says the same as another: of the same rule, at the same level, with the same values and words.
    /// Whether it was accepted before makes no difference.
    pub fn says_the_same_as(&self, other: &Finding) -> bool {
        let said = |one: &Finding| (one.level, one.measured, one.required, one.unit);
        self.is_same_as(other)
            && said(self) == said(other)
            && (&self.limits, &self.found) == (&other.limits, &other.found)
    }
}

/// The numbers of the advice to a person.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FixNumbers {
    /// Pixels to export at, width and height: each of them removes the finding. Those for the target come first.
    pub exports: Vec<(u32, u32)>,
    /// The largest prints possible from the picture as it is, each with its density.
    pub largest_prints: Vec<(Size, Ppi)>,
}

/// An acceptance that no longer counts.
#[derive(Clone, Debug, PartialEq)]
pub struct LapsedAcceptance {
    /// The earlier acceptance.
    pub acceptance: Arc<Acceptance>,
    /// The change since then.
    pub why: String,
}

impl LapsedAcceptance {
    /// Returns why it is open again and the earlier statement, in words that follow `again`; may hold foreign text.
    pub fn words(&self) -> String {
        format!("{}; it was accepted {}", self.why, self.acceptance.words())
    }
}

/// An accepted finding.
#[derive(Clone, Debug, PartialEq)]
pub struct AcceptedFinding {
    /// The finding, with its current values.
    pub finding: Arc<Finding>,
    /// The acceptance.
    pub acceptance: Arc<Acceptance>,
}
