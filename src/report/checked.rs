//! Pictures checked once, for everything that is made of a check: the report, and the files that it was made from.

use std::collections::HashMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::decisions::order::Order;
use crate::judge::{Submission, Totals};
use crate::picture::PictureKey;
use crate::reading::batch::{CheckTarget, Progress, check};
use crate::reading::evidence_spill::{EvidenceSpill, SpillContents};
use crate::reading::inspect::FileInspector;
use crate::reading::scan::cut_off_words;
use crate::reading::work_limits::WorkLimits;
use crate::units::words::visible;

use super::check_report::Report;

/// What a check may use.
#[derive(Clone, Debug)]
pub struct CheckOptions {
    /// Workers and memory.
    pub limits: WorkLimits,
    /// The folder on whose disk evidence is kept until the check ends; where the system keeps temporary files if none.
    pub cache: Option<PathBuf>,
    /// The time as RFC 3339, with which the report is dated.
    pub clock: fn() -> String,
}

/// A finished check.
#[derive(Clone, Debug)]
pub struct CheckedPictures {
    /// What was found.
    pub report: Report,
    is_cut_off: bool,
    files: HashMap<PictureKey, CheckedFile>,
}

/// A file that was checked.
#[derive(Clone, Debug)]
pub struct CheckedFile {
    /// Where it lies.
    pub path: PathBuf,
    /// What was read of it.
    pub submission: Submission,
}

/// Why nothing was checked, or not all.
#[derive(Debug, thiserror::Error)]
pub enum CheckError {
    /// The folder is not there or may not be read.
    #[error("{}: the folder cannot be read", folder.display())]
    Folder {
        /// Which folder.
        folder: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// A picture is not there.
    #[error("no folder and no picture has this name; name the folder that you export into, or pictures")]
    Pictures(#[source] io::Error),
    /// The folder holds more files than are looked at.
    #[error("{}: {}; {}", visible(folder), cut_off_words().0, cut_off_words().1)]
    CutOff {
        /// Which folder, as it was typed.
        folder: String,
    },
}

impl CheckedPictures {
    /// Reads and judges the pictures of an order; `keeps` says what is kept of each beside its numbers. `progress` is
    /// called after each picture, from any worker.
    ///
    /// # Errors
    /// The folder or a named picture cannot be found.
    pub fn check(
        order: &Order,
        target: &CheckTarget,
        keeps: SpillContents,
        options: &CheckOptions,
        progress: &(dyn Fn(Progress) + Sync),
    ) -> Result<CheckedPictures, CheckError> {
        let spill = EvidenceSpill::new(keeps, options.cache.as_deref());
        let maker = FileInspector::maker();
        let checked = check(&order.brief, &order.decisions, target, options.limits, &maker, &spill, progress);
        let checked = checked.map_err(|error| match target {
            CheckTarget::Folder(folder) => CheckError::Folder { folder: folder.clone(), source: error },
            CheckTarget::Files(_) => CheckError::Pictures(error),
        })?;
        let mut paths = checked.paths;
        let file = |submission: Submission| {
            let path = paths.remove(&submission.key)?;
            Some((submission.key.clone(), CheckedFile { path, submission }))
        };
        let files = checked.files.into_iter().filter_map(file).collect();
        let report = Report {
            brief: Arc::clone(&order.brief),
            folder: folder_of(target),
            totals: Totals::of(&checked.judgement.rows),
            rows: checked.judgement.rows,
            order_findings: checked.judgement.order_findings,
            made: (options.clock)(),
        };
        Ok(CheckedPictures { report, is_cut_off: checked.cut_off, files })
    }

    /// That the check is of the whole folder.
    ///
    /// # Errors
    /// The folder holds more files than are looked at.
    pub fn expect_whole(&self) -> Result<(), CheckError> {
        match self.is_cut_off {
            true => Err(CheckError::CutOff { folder: self.report.folder.clone() }),
            false => Ok(()),
        }
    }

    /// The file of a picture.
    pub fn file(&self, picture: &PictureKey) -> Option<&CheckedFile> {
        self.files.get(picture)
    }

    /// All files, in no order.
    pub fn files(&self) -> impl Iterator<Item = (&PictureKey, &CheckedFile)> {
        self.files.iter()
    }
}

/// The folder as a report names it: the one that was checked, or that of the first picture.
fn folder_of(target: &CheckTarget) -> String {
    let folder = match target {
        CheckTarget::Folder(folder) => Some(folder.as_path()),
        CheckTarget::Files(files) => files.first().and_then(|file| file.parent()),
    };
    let folder = folder.filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    folder.to_string_lossy().into_owned()
}
