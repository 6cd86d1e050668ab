//! A person's decision that a finding may stay, and what it is bound to.

use crate::brief::PrintId;
use crate::brief::requirements::Level;

/// Characters of a day in RFC 3339.
const DAY: usize = 10;

/// Returns the day of a moment in RFC 3339.
pub fn day(when: &str) -> &str {
    when.get(..DAY).unwrap_or(when)
}

/// An accepted finding: a person's decision, and the values it was based on.
#[derive(Clone, Debug, PartialEq)]
pub struct Acceptance {
    /// The print of its row; `None` where no print wants the picture.
    pub print: Option<PrintId>,
    /// The rule's id; text from a file.
    pub rule: String,
    /// The finding's `about`, of several of the rule; text from a file.
    pub about: String,
    /// The reason, as the person wrote it.
    pub reason: String,
    /// The person's name.
    pub by: String,
    /// Name of who allowed a breach of a `must`: client or printer.
    pub allowed_by: Option<String>,
    /// The time of acceptance, RFC 3339.
    pub when: String,
    /// True if the printer is to read of it on the note, whoever allowed it.
    pub is_on_note: bool,
    /// The values it was based on.
    pub bound: AcceptedValues,
}

/// The values that a finding is accepted with: if any of them gets worse or changes, the finding is open again.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AcceptedValues {
    /// The finding's level.
    pub level: Option<Level>,
    /// The measured value, where it is a number.
    pub measured: Option<f64>,
    /// The required value, where it is a number.
    pub required: Option<f64>,
    /// Without numbers: the values of the brief's keys that the rule uses, in words.
    pub limits: Option<String>,
    /// The unit of both values.
    pub unit: String,
    /// SHA-256 of the picture's bytes.
    pub sha256: String,
    /// The digest of its pixels (`Evidence::pixels`).
    pub pixel_digest: String,
    /// The subject's box: left, top, right, bottom, as shares.
    pub subject: Option<[f64; 4]>,
    /// SHA-256 of the paper's profile.
    pub profile: Option<String>,
}

/// The reason why a finding cannot be accepted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotAcceptable {
    /// The file cannot be read, so it cannot be printed.
    #[error("a file that cannot be read cannot be accepted: export it again")]
    Unreadable,
    /// Its pixels are not read yet.
    #[error("the picture is not fully checked yet: accept the finding once it is")]
    Unchecked,
    /// The finding is a `must` and nobody has allowed it.
    #[error("the finding is a must: name who allowed it, the client or the printer (--allowed-by NAME)")]
    WithoutLeave,
    /// No name: later nobody would know who.
    #[error("give your name: by = \"NAME\" in plateside/settings.toml of your configuration")]
    WithoutName,
    /// No reason: later nobody would know why.
    #[error("give a reason for accepting it")]
    WithoutReason,
}

impl Acceptance {
    /// Returns who accepted it, when and why, in words, and whether the printer's note shows it; may hold foreign text.
    pub fn words_with_note(&self) -> String {
        let note = if self.is_on_note { "; shown on the note" } else { "" };
        format!("{}{note}", self.words())
    }

    /// Returns who accepted it, when and why, in words; may hold foreign text.
    pub fn words(&self) -> String {
        let day = day(&self.when);
        let on = if day.is_empty() { String::new() } else { format!(" on {day}") };
        let allowed = self.allowed_by.as_ref().map(|by| format!(", allowed by {by}")).unwrap_or_default();
        format!("by {}{on}{allowed}: {}", self.by, self.reason)
    }
}

/// A person's statement when accepting a finding.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct AcceptanceReason {
    /// The reason.
    pub reason: String,
    /// The person's name.
    pub by: String,
    /// Name of who allowed it.
    pub allowed_by: Option<String>,
    /// The time, RFC 3339.
    pub when: String,
    /// True if the printer is to read of it on the note.
    pub is_on_note: bool,
}
