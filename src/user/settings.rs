//! The user's settings: one TOML file of the configuration, read once by each command that needs it.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

use etcetera::HomeDirError;
use serde::Deserialize;

use crate::files;
use crate::user::directories;

/// The file's name in the user's configuration.
pub const FILE: &str = "settings.toml";

/// The settings that a user may choose.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// The name that decisions are signed with.
    pub by: Option<String>,
    /// Keys of the screen: the word of an action, and the key for it as typed.
    #[serde(default)]
    pub keys: BTreeMap<String, String>,
}

/// The reason why the settings cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum SettingsError {
    /// The system reports no home folder.
    #[error(transparent)]
    NoHome(#[from] HomeDirError),
    /// The file cannot be read.
    #[error("{}: cannot be read", path.display())]
    Unread {
        /// The file.
        path: PathBuf,
        /// The system's error.
        source: io::Error,
    },
    /// A line is not a setting.
    #[error("{}:{line}: {what}; it may hold by = \"NAME\" and a table [keys] of action = \"key\"", path.display())]
    Wrong {
        /// The file.
        path: PathBuf,
        /// Number of the line, from 1.
        line: usize,
        /// The mistake.
        what: String,
    },
}

impl Settings {
    /// Reads the user's file; without a file, nothing is set.
    ///
    /// # Errors
    /// It cannot be read, or has other content.
    pub fn read() -> Result<Settings, SettingsError> {
        let path = path()?;
        match files::read_text(&path, directories::MAX_SETTINGS_BYTES) {
            Ok(text) => Settings::parse(&text, &path),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Settings::default()),
            Err(source) => Err(SettingsError::Unread { path, source }),
        }
    }

    fn parse(text: &str, path: &Path) -> Result<Settings, SettingsError> {
        toml::from_str(text).map_err(|wrong| {
            // TOML errors are worth reporting; errors about our own types are not.
            let what = match toml::from_str::<toml::Table>(text) {
                Err(wrong) => wrong.message().replace('\n', " "),
                Ok(_) => "this is none of the settings".to_owned(),
            };
            SettingsError::Wrong { path: path.to_owned(), line: line_of(text, &wrong), what }
        })
    }
}

/// Returns the path of the settings.
///
/// # Errors
/// The system reports no home folder.
pub fn path() -> Result<PathBuf, HomeDirError> {
    directories::configuration(FILE)
}

/// Returns the line of a mistake in a text, from 1.
pub(super) fn line_of(text: &str, wrong: &toml::de::Error) -> usize {
    let at = wrong.span().map_or(0, |span| span.start.min(text.len()));
    text[..at].matches('\n').count() + 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_and_keys_are_read_and_anything_else_is_named_with_its_line() {
        let path = Path::new("settings.toml");
        let settings = Settings::parse("by = \"Mara\"\n[keys]\nquit = \"x\"\n", path).unwrap();
        assert_eq!((settings.by.as_deref(), settings.keys["quit"].as_str()), (Some("Mara"), "x"));
        let said = |text: &str| Settings::parse(text, path).unwrap_err().to_string();
        assert!(said("by = \"Mara\"\nname = 3\n").starts_with("settings.toml:2: this is none of the settings; it may"));
        assert!(said("by = [\n").starts_with("settings.toml:"), "{}", said("by = [\n"));
    }
}
