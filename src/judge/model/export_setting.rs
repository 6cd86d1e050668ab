//! One setting of an export: what to choose in an export dialog so that a file passes a rule.

use crate::brief::Print;

/// One setting of an export, in words.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct ExportSetting {
    /// What is set: `format`, `colour space`.
    pub name: &'static str,
    /// What to set it to; foreign text in it is escaped.
    pub value: String,
    /// True if nobody required it: a usual value stands in.
    pub is_usual: bool,
}

impl ExportSetting {
    /// Returns a setting that follows from a key of the brief, such as `file.formats`.
    pub fn of(print: &Print, key: &str, name: &'static str, value: String) -> ExportSetting {
        ExportSetting { name, value, is_usual: print.origins.of(key).is_open() }
    }

    /// Returns the setting in words: `format: JPEG`.
    pub fn words(&self) -> String {
        format!("{}: {}", self.name, self.value)
    }
}
