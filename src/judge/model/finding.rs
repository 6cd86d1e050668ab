//! A rule's answer where it does not hold.

use std::sync::Arc;

use crate::brief::requirements::Level;
use crate::judge::acceptance::Acceptance;
use crate::picture::PictureKey;

/// What does not hold, in numbers and in three short parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The rule's id, `group.name`.
    pub rule: &'static str,
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
    /// Why paper cares.
    pub why: &'static str,
    /// How to mend it, with the numbers to type.
    pub mend: String,
    /// That somebody let it stand once, and why that counts no more.
    pub again: Option<LapsedAcceptance>,
}

/// An acceptance that counts no more.
#[derive(Clone, Debug, PartialEq)]
pub struct LapsedAcceptance {
    /// Who let it stand then, and why.
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
