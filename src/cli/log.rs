//! `--log FILE`: the program's actions, one line per event, for tracing a fault.

use std::path::Path;
use std::sync::Mutex;

use color_eyre::eyre::{Result, WrapErr};
use tracing::level_filters::LevelFilter;

use crate::files;
use crate::units::words::visible;

/// From now on, appends every event to a file: its time (UTC), level, thread, module and words.
///
/// # Errors
/// The file cannot be opened for writing.
pub fn begin(path: &Path) -> Result<()> {
    let named = || visible(&path.to_string_lossy()).into_owned();
    let file = files::append(path).wrap_err_with(|| format!("{}: no log can be written there", named()))?;
    let log = tracing_subscriber::fmt()
        .with_ansi(false)
        .with_thread_names(true)
        .with_max_level(LevelFilter::DEBUG)
        .with_writer(Mutex::new(file))
        .finish();
    tracing::subscriber::set_global_default(log).wrap_err("a log is being written already")
}
