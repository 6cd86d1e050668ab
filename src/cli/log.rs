//! `--log FILE`: the program's actions, one line per event, for tracing a fault.

use std::io::ErrorKind;
use std::path::Path;
use std::sync::Mutex;

use color_eyre::eyre::{Report, Result, WrapErr, eyre};
use tracing::level_filters::LevelFilter;

use crate::files;
use crate::units::words::visible;

/// The first line of a log, by which the program knows its own.
const FIRST_LINE: &str = "# log of plateside: one line for each event, times in UTC";

/// From now on, appends every event to a file: its time (UTC), level, thread, module and words.
///
/// # Errors
/// The file cannot be opened for writing, or holds anything but a log.
pub fn begin(path: &Path) -> Result<()> {
    let named = || visible(&path.to_string_lossy()).into_owned();
    let file = files::append(path, FIRST_LINE).map_err(|error| match error.kind() {
        ErrorKind::AlreadyExists => eyre!("{}: is not a log of plateside; name a new file for the log", named()),
        _ => Report::from(error).wrap_err(format!("{}: no log can be written there", named())),
    })?;
    let log = tracing_subscriber::fmt()
        .with_ansi(false)
        .with_thread_names(true)
        .with_max_level(LevelFilter::DEBUG)
        .with_writer(Mutex::new(file))
        .finish();
    tracing::subscriber::set_global_default(log).wrap_err("a log is being written already")
}
