//! Opening the live table, shared by the live commands.

use std::path::Path;

use color_eyre::eyre::Result;

use crate::cli::args::WorkOptions;
use crate::cli::output::{report_problems, work_limits};
use crate::live::{LiveTable, LiveTableOptions, OpenError};
use crate::reading::work_limits::WorkLimits;
use crate::user::directories;

/// Opens the live table of a folder; `None` if the brief has problems, which are then reported.
pub fn open(brief: &Path, folder: &Path, work: WorkOptions, must_poll: bool) -> Result<Option<LiveTable>> {
    let WorkLimits { jobs, memory_bytes, .. } = work_limits(work);
    let options = LiveTableOptions {
        evidence: directories::cache("evidence"),
        jobs,
        memory_bytes,
        must_poll,
        ..LiveTableOptions::new(brief, folder)
    };
    match LiveTable::open(options) {
        Ok(table) => Ok(Some(table)),
        Err(OpenError::Brief(problems)) => {
            report_problems(&problems);
            Ok(None)
        }
        Err(other) => Err(other.into()),
    }
}
