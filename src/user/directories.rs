//! Where the person's own files lie: settings, and what is kept from run to run.

use std::path::PathBuf;

use color_eyre::eyre::Result;
use etcetera::{BaseStrategy, choose_base_strategy};

/// The program's folder in each of the person's.
pub const FOLDER: &str = "plateside";

/// Largest file of the person's configuration that is read, in bytes: far above any that a person writes. Own choice.
pub const LARGEST_SETTINGS_BYTES: u64 = 1_000_000;

/// A file of the person's configuration.
pub fn settings(file: &str) -> Result<PathBuf> {
    Ok(choose_base_strategy()?.config_dir().join(FOLDER).join(file))
}

/// A folder of the person's cache; `None` where nobody says where that lies. Losing it loses nothing.
pub fn cache(name: &str) -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.cache_dir().join(FOLDER).join(name))
}
