//! Where the person's own files lie: the configuration, and what is kept from run to run.

use std::path::PathBuf;

use etcetera::{BaseStrategy, HomeDirError, choose_base_strategy};

/// The program's folder in each of the person's.
const FOLDER: &str = "plateside";

/// Largest file of the person's configuration that is read, in bytes: far above any that a person writes. Own choice.
pub const LARGEST_SETTINGS_BYTES: u64 = 1_000_000;

/// A file of the person's configuration.
///
/// # Errors
/// The system names no home folder.
pub fn configuration(file: &str) -> Result<PathBuf, HomeDirError> {
    Ok(choose_base_strategy()?.config_dir().join(FOLDER).join(file))
}

/// A folder of the person's cache; `None` where the system names no home folder. Losing it loses nothing.
pub fn cache(name: &str) -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.cache_dir().join(FOLDER).join(name))
}
