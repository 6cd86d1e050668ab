//! The result of checking pictures once: the report, and the files behind it.

use std::collections::HashMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::batch::{CheckObserver, CheckTarget, FinishedCheck, check};
use super::evidence_spill::{EvidenceSpill, SpillContents};
use super::inspect::FileInspector;
use super::work_limits::WorkLimits;
use crate::decisions::order::Order;
use crate::judge::{Submission, Totals};
use crate::picture::PictureKey;
use crate::picture::unlisted::cut_off_words;
use crate::units::words::visible;

use super::check_report::CheckReport;

/// The options of a check.
#[derive(Clone, Debug)]
pub struct CheckOptions {
    /// Limits on workers and memory.
    pub limits: WorkLimits,
    /// The folder that holds evidence until the check ends; if `None`, the system's folder for temporary files.
    pub cache: Option<PathBuf>,
    /// The clock that dates the report, as RFC 3339.
    pub clock: fn() -> String,
}

/// A finished check.
#[derive(Clone, Debug)]
pub struct CheckedPictures {
    /// The report.
    pub report: CheckReport,
    is_cut_off: bool,
    files: HashMap<PictureKey, CheckedFile>,
}

/// A checked file.
#[derive(Clone, Debug)]
pub struct CheckedFile {
    /// The file's path.
    pub path: PathBuf,
    /// The content read from the file.
    pub submission: Submission,
}

/// Why nothing was checked, or not everything.
#[derive(Debug, thiserror::Error)]
pub enum CheckError {
    /// The folder does not exist or may not be read.
    #[error("{}: the folder cannot be read", folder.display())]
    Folder {
        /// The folder.
        folder: PathBuf,
        /// The system's error.
        source: io::Error,
    },
    /// A folder or a picture does not exist.
    #[error("{}: no such folder or picture; name the folder you export into, or its pictures", .0.display())]
    NoSuch(PathBuf),
    /// Nobody wants the result any more.
    #[error("stopped")]
    Stopped,
    /// A picture cannot be read.
    #[error("this picture cannot be read")]
    Pictures(#[source] io::Error),
    /// The folder holds more files than the limit.
    #[error("{}: {}; {}", visible(folder), cut_off_words().0, cut_off_words().1)]
    CutOff {
        /// The folder, as typed.
        folder: String,
    },
}

/// Reads and judges the pictures of an order; `keeps` is what to keep of each besides its numbers.
///
/// # Errors
/// As [`check`].
pub(super) fn check_order(
    order: &Order,
    target: &CheckTarget,
    keeps: SpillContents,
    options: &CheckOptions,
    observer: &dyn CheckObserver,
) -> io::Result<FinishedCheck> {
    let spill = EvidenceSpill::new(keeps, options.cache.as_deref());
    check(&order.brief, &order.decisions, target, options.limits, &FileInspector::maker(), &spill, observer)
}

impl CheckedPictures {
    /// Reads and judges the pictures of an order; `keeps` is what to keep of each besides its numbers. `observer`
    /// follows it, and may stop it.
    ///
    /// # Errors
    /// The folder or a named picture cannot be found, or it was stopped.
    pub fn check(
        order: &Order,
        target: &CheckTarget,
        keeps: SpillContents,
        options: &CheckOptions,
        observer: &dyn CheckObserver,
    ) -> Result<CheckedPictures, CheckError> {
        let checked = check_order(order, target, keeps, options, observer).map_err(|error| match target {
            _ if observer.is_stopped() => CheckError::Stopped,
            CheckTarget::Folder(folder) => CheckError::Folder { folder: folder.clone(), source: error },
            CheckTarget::Files(files) => match files.iter().find(|file| !file.exists()) {
                Some(file) => CheckError::NoSuch(file.clone()),
                None => CheckError::Pictures(error),
            },
        })?;
        let mut paths = checked.paths;
        let file = |submission: Submission| {
            let path = paths.remove(&submission.key)?;
            Some((submission.key.clone(), CheckedFile { path, submission }))
        };
        let files = checked.files.into_iter().filter_map(file).collect();
        let report = CheckReport {
            brief: Arc::clone(&order.brief),
            folder: folder_of(target),
            totals: Totals::of(&checked.judgement.rows),
            rows: checked.judgement.rows,
            order_findings: checked.judgement.order_findings,
            made: (options.clock)(),
        };
        Ok(CheckedPictures { report, is_cut_off: checked.is_cut_off, files })
    }

    /// Checks that the check covers the whole folder.
    ///
    /// # Errors
    /// The folder holds more files than the limit.
    pub fn check_complete(&self) -> Result<(), CheckError> {
        if self.is_cut_off { Err(CheckError::CutOff { folder: self.report.folder.clone() }) } else { Ok(()) }
    }

    /// Returns the file of a picture.
    pub fn file(&self, picture: &PictureKey) -> Option<&CheckedFile> {
        self.files.get(picture)
    }

    /// Returns all files, in no order.
    pub fn files(&self) -> impl Iterator<Item = (&PictureKey, &CheckedFile)> {
        self.files.iter()
    }
}

/// Returns the folder as a report names it: the one checked, or the first picture's.
fn folder_of(target: &CheckTarget) -> String {
    let folder = match target {
        CheckTarget::Folder(folder) => Some(folder.as_path()),
        CheckTarget::Files(files) => files.first().and_then(|file| file.parent()),
    };
    let folder = folder.filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    folder.to_string_lossy().into_owned()
}
