//! Where the person's own files lie: settings, and what desks tell one another.

use std::path::PathBuf;

use color_eyre::eyre::Result;
use etcetera::{BaseStrategy, choose_base_strategy};

/// The program's folder in each of the person's.
pub const FOLDER: &str = "plateside";

/// A file of the person's configuration.
pub fn settings(file: &str) -> Result<PathBuf> {
    Ok(choose_base_strategy()?.config_dir().join(FOLDER).join(file))
}

/// Where desks of this person tell one another which of them decides; `None` where nobody says where such things lie.
pub fn desks() -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.cache_dir().join(FOLDER).join("desks"))
}
