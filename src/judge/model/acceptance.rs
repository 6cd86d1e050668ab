//! A person's decision that a finding may stay as it is, and what it is bound to.

use crate::brief::PrintId;
use crate::brief::requirements::Level;

/// Characters of a day in RFC 3339.
const DAY: usize = 10;

/// The day of a moment in RFC 3339.
pub fn day(when: &str) -> &str {
    when.get(..DAY).unwrap_or(when)
}

/// One accepted finding: what a person decided, and on what.
#[derive(Clone, Debug, PartialEq)]
pub struct Acceptance {
    /// The print whose row has it; `None` where no print wants the picture.
    pub print: Option<PrintId>,
    /// The rule's id; text from a file.
    pub rule: String,
    /// Which of the rule's findings; text from a file.
    pub about: String,
    /// Why; what the person wrote.
    pub reason: String,
    /// Who.
    pub by: String,
    /// Who allowed what the brief says must hold: client or printer.
    pub allowed_by: Option<String>,
    /// When: RFC 3339.
    pub when: String,
    /// What it was accepted on.
    pub bound: AcceptedValues,
}

/// What a finding is accepted on: if any of it gets worse or changes, it is asked again.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AcceptedValues {
    /// How the brief ranked it.
    pub level: Option<Level>,
    /// What was measured, where it is a number.
    pub measured: Option<f64>,
    /// What was asked, where it is a number.
    pub wanted: Option<f64>,
    /// The unit of the two.
    pub unit: String,
    /// SHA-256 of the picture's bytes.
    pub sha256: String,
    /// What its pixels are known by (`Evidence::pixels`).
    pub pixels: String,
    /// The subject's box: left, top, right, bottom.
    pub subject: Option<[f64; 4]>,
    /// SHA-256 of the paper's profile.
    pub profile: Option<String>,
}

/// Why a finding cannot be accepted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotAcceptable {
    /// Nobody can print what cannot be read.
    #[error("a file that cannot be read cannot be accepted: export it again")]
    Unreadable,
    /// Its pixels are not read yet.
    #[error("it is not checked to its last row yet: accept it once it is")]
    Unchecked,
    /// A must needs somebody who allowed it.
    #[error("the brief says that this must hold: name who allowed it, the client or the printer (--allowed-by NAME)")]
    WithoutLeave,
    /// Nobody knows later who.
    #[error("say who you are: by = \"NAME\" in plateside/settings.toml of your configuration")]
    WithoutName,
    /// Nobody knows later why.
    #[error("say why it may stand")]
    WithoutReason,
}

impl Acceptance {
    /// Who, when and why, in words; what a person wrote is foreign text.
    pub fn words(&self) -> String {
        let day = day(&self.when);
        let on = if day.is_empty() { String::new() } else { format!(" on {day}") };
        let allowed = self.allowed_by.as_ref().map(|by| format!(", allowed by {by}")).unwrap_or_default();
        format!("by {}{on}{allowed}: {}", self.by, self.reason)
    }
}

/// What a person says when a finding is accepted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct AcceptanceReason {
    /// Why.
    pub reason: String,
    /// Who.
    pub by: String,
    /// Who allowed it.
    pub allowed_by: Option<String>,
    /// When: RFC 3339.
    pub when: String,
}
