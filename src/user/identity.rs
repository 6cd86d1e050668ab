//! Who sits here: the name that decisions are signed with, and the keys of the desk.

use std::collections::BTreeMap;
use std::io::ErrorKind;

use crate::files;
use crate::tui::keys::Keys;
use crate::units::words::visible;
use color_eyre::eyre::{Result, WrapErr, eyre};
use serde::Deserialize;

use crate::user::directories;

/// The file in the person's configuration.
const FILE: &str = "settings.toml";

/// What a person may set.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Settings {
    /// The name that decisions are signed with.
    by: Option<String>,
    /// Keys of the desk, by the words of their actions.
    #[serde(default)]
    keys: BTreeMap<String, String>,
}

/// The name to sign with: what was said, else the person's settings, else the login, else the name of their own folder.
///
/// # Errors
/// The settings cannot be read, or nobody says who it is.
pub fn name(said: Option<&str>) -> Result<String> {
    let settings = settings()?;
    let login = || ["USER", "LOGNAME"].iter().find_map(|name| std::env::var(name).ok());
    let own_folder = || Some(etcetera::home_dir().ok()?.file_name()?.to_str()?.to_owned());
    let name = said.map(str::to_owned).or(settings.by).or_else(login).or_else(own_folder);
    name.filter(|name| !name.trim().is_empty())
        .ok_or_else(|| eyre!("say who decides: --by NAME, or by = \"NAME\" in plateside/{FILE} of your configuration"))
}

/// The keys of the desk.
///
/// # Errors
/// The settings cannot be read, or a chosen key cannot be.
pub fn keys() -> Result<Keys> {
    let path = directories::settings(FILE)?;
    Keys::chosen(&settings()?.keys).map_err(|wrong| {
        let lines: Vec<String> = wrong.iter().map(|line| format!("{}: {}", path.display(), visible(line))).collect();
        eyre!("{}", lines.join("; "))
    })
}

fn settings() -> Result<Settings> {
    let path = directories::settings(FILE)?;
    match files::read_text(&path, directories::LARGEST_SETTINGS_BYTES) {
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(Settings::default()),
        text => {
            let text = text.wrap_err_with(|| format!("{}: cannot be read", path.display()))?;
            toml::from_str(&text).map_err(|wrong| {
                let line = text[..wrong.span().map_or(0, |span| span.start.min(text.len()))].lines().count().max(1);
                // What is wrong with TOML is worth saying; what is wrong with our own types is not.
                let said = match toml::from_str::<toml::Table>(&text) {
                    Err(wrong) => wrong.message().replace('\n', " "),
                    Ok(_) => "this is none of the settings".to_owned(),
                };
                eyre!(
                    "{}:{line}: {said}; it may hold by = \"NAME\" and a table [keys] of action = \"key\"",
                    path.display()
                )
            })
        }
    }
}
