//! The user's identity: the name that decisions are signed with.

use crate::user::settings::{self, Settings};

/// The error that no name to sign with is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("say who decides: --by NAME, or by = \"NAME\" in plateside/{} in your configuration folder", settings::FILE)]
pub struct NobodyNamed;

/// Returns the name to sign with: the typed one, otherwise that of the user's settings, otherwise the login, otherwise
/// the name of the home folder.
///
/// # Errors
/// None of them gives a name.
pub fn name(typed: Option<&str>, settings: &Settings) -> Result<String, NobodyNamed> {
    let login = || ["USER", "LOGNAME"].iter().find_map(|name| std::env::var(name).ok());
    let own_folder = || Some(etcetera::home_dir().ok()?.file_name()?.to_str()?.to_owned());
    let name = typed.map(str::to_owned).or_else(|| settings.by.clone()).or_else(login).or_else(own_folder);
    name.filter(|name| !name.trim().is_empty()).ok_or(NobodyNamed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_typed_comes_before_the_settings_and_blanks_are_no_name() {
        let settings = Settings { by: Some("Mara".to_owned()), ..Settings::default() };
        assert_eq!(name(Some("Ines"), &settings).as_deref(), Ok("Ines"));
        assert_eq!(name(None, &settings).as_deref(), Ok("Mara"));
        assert_eq!(name(Some("  "), &settings), Err(NobodyNamed));
    }
}
