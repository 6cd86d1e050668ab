//! Paths of the user's own files: the configuration, and the cache kept from run to run.

use std::path::PathBuf;

use etcetera::{BaseStrategy, HomeDirError, choose_base_strategy};

/// The program's folder within each of the user's folders.
const FOLDER: &str = "plateside";

/// Largest configuration file that is read, in bytes: far above any that a person writes. Own choice.
pub const MAX_SETTINGS_BYTES: u64 = 1_000_000;

/// Returns the path of a file in the user's configuration.
///
/// # Errors
/// The system reports no home folder.
pub fn configuration(file: &str) -> Result<PathBuf, HomeDirError> {
    Ok(choose_base_strategy()?.config_dir().join(FOLDER).join(file))
}

/// Returns a folder of the user's cache; `None` where the system reports no home folder. Losing it loses nothing.
pub fn cache(name: &str) -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.cache_dir().join(FOLDER).join(name))
}
