//! The brief in JSON: who and what, and every value of the order with its origin.

use serde::Serialize;

use crate::brief::Brief;
use crate::brief::show::{self, ShownValue};

use super::finding::FindingOut;

/// The brief.
#[derive(Serialize)]
pub struct BriefOut<'a> {
    path: String,
    sha256: &'a str,
    title: Option<&'a str>,
    printer: Option<&'a str>,
    contact: Option<&'a str>,
    from: Option<&'a str>,
    like: Option<&'static str>,
    sheets: Vec<String>,
    /// What holds for the order as a whole.
    values: Vec<ValueOut>,
    /// Findings whose cause is the brief itself.
    findings: Vec<FindingOut<'a>>,
}

impl<'a> BriefOut<'a> {
    /// Returns what is said of a brief.
    pub fn of(brief: &'a Brief) -> BriefOut<'a> {
        BriefOut {
            path: brief.path.to_string_lossy().into_owned(),
            sha256: &brief.sha256,
            title: brief.title.as_deref(),
            printer: brief.printer.as_deref(),
            contact: brief.contact.as_deref(),
            from: brief.from.as_deref(),
            like: brief.like,
            sheets: brief.sheets.iter().map(|path| path.to_string_lossy().into_owned()).collect(),
            values: show::order(brief).into_iter().map(ValueOut::of).collect(),
            findings: brief.findings.iter().map(FindingOut::of_brief).collect(),
        }
    }
}

/// A value of the order.
#[derive(Serialize)]
pub struct ValueOut {
    key: String,
    value: String,
    from: String,
    answered: Option<String>,
}

impl ValueOut {
    fn of(shown: ShownValue) -> ValueOut {
        ValueOut { from: shown.origin.words(), key: shown.key, value: shown.value, answered: shown.answered }
    }
}
