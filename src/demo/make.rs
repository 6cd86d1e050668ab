//! Makes the shoot: paints pictures in parallel, writes whole files, and never touches a file that is not its own.
//! Running it again changes nothing.

use std::borrow::Cow;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use painter::{Image, paint};
use parking_lot::Mutex;

use crate::files;
use crate::files::atomic;
use crate::units::words::of_system;

use super::darkroom::{Treatment, treat};
use super::error::DemoError;
use super::export::{Profiles, export};
use super::ledger::{FileStatus, Ledger};
use super::picture::Picture;
use super::shoot::{SHOTS, Shot, TWIN_EXPECTED};

/// The outcome for one file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// The file was painted and written.
    Painted,
    /// The file already existed.
    Kept,
    /// A file of this name exists that the demo did not write, or that somebody has changed.
    LeftAlone,
}

/// A file that was written, or left as it is.
#[derive(Clone, Copy, Debug)]
pub struct FileDone {
    /// The file's name.
    pub name: &'static str,
    /// The finding that a check must make, in words.
    pub expected: &'static str,
    /// The outcome.
    pub outcome: Outcome,
    /// Files done so far, this one included.
    pub done: usize,
    /// Files in total.
    pub of: usize,
}

/// The result of a run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// Files painted.
    pub painted: usize,
    /// Files that already existed.
    pub kept: usize,
    /// Other people's files left alone.
    pub left_alone: usize,
    /// True if the run was cancelled before the end.
    pub is_cancelled: bool,
}

/// Paints the shoot into this folder, `workers` pictures in parallel, each on one core. `on_done` is called for every
/// file as soon as it is whole. Setting `cancel` ends the work within moments and leaves only whole files.
///
/// # Errors
/// A file or the list of files cannot be read, encoded or written, or a thread cannot be started.
pub fn make(
    into: &Path,
    profiles: &Profiles,
    workers: usize,
    cancel: &AtomicBool,
    on_done: &(dyn Fn(FileDone) + Sync),
) -> Result<Summary, DemoError> {
    make_shots(SHOTS, into, profiles, workers, cancel, on_done)
}

fn make_shots(
    shots: &[Shot],
    into: &Path,
    profiles: &Profiles,
    workers: usize,
    cancel: &AtomicBool,
    on_done: &(dyn Fn(FileDone) + Sync),
) -> Result<Summary, DemoError> {
    files::make_folder(into).map_err(|source| DemoError::Write { path: into.to_owned(), source })?;
    let studio = Studio {
        into,
        profiles,
        cancel,
        on_done,
        of: shots.iter().flat_map(|shot| shot.pictures).map(|p| 1 + usize::from(p.twin.is_some())).sum(),
        ledger: Mutex::new(Ledger::read(into)?),
        summary: Mutex::new(Summary::default()),
        failure: Mutex::new(None),
    };
    let next = AtomicUsize::new(0);
    let work = || {
        while let Some(shot) = shots.get(next.fetch_add(1, Ordering::Relaxed)) {
            if cancel.load(Ordering::Relaxed) || studio.failure.lock().is_some() {
                return;
            }
            if let Err(error) = studio.paint_missing(shot) {
                studio.failure.lock().get_or_insert(error);
            }
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..workers {
            scope.spawn(work);
        }
        work();
    });
    if let Some(error) = studio.failure.into_inner() {
        return Err(error);
    }
    let summary = *studio.summary.lock();
    Ok(Summary { is_cancelled: cancel.load(Ordering::Relaxed), ..summary })
}

/// State shared by all workers.
struct Studio<'a> {
    into: &'a Path,
    profiles: &'a Profiles,
    cancel: &'a AtomicBool,
    on_done: &'a (dyn Fn(FileDone) + Sync),
    of: usize,
    ledger: Mutex<Ledger>,
    summary: Mutex<Summary>,
    failure: Mutex<Option<DemoError>>,
}

/// A file still to be written: its picture, its name, and the finding that a check must make.
struct MissingFile<'a> {
    picture: &'a Picture,
    name: &'static str,
    expected: &'static str,
}

impl Studio<'_> {
    /// Paints a shot, unless all its files exist, and writes those that are missing.
    fn paint_missing(&self, shot: &Shot) -> Result<(), DemoError> {
        let mut missing = Vec::new();
        for picture in shot.pictures {
            let twin = picture.twin.map(|name| (name, TWIN_EXPECTED));
            for (name, expected) in [Some((picture.name, picture.expected)), twin].into_iter().flatten() {
                match self.ledger.lock().status(self.into, name) {
                    FileStatus::Absent => missing.push(MissingFile { picture, name, expected }),
                    FileStatus::AsWritten => self.report(name, expected, Outcome::Kept),
                    FileStatus::Foreign => self.report(name, expected, Outcome::LeftAlone),
                }
            }
        }
        if missing.is_empty() {
            return Ok(());
        }
        let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build();
        let pool = pool.map_err(|error| DemoError::Threads(of_system(error)))?;
        pool.install(|| self.paint(shot, &missing))
    }

    /// Paints a shot and writes these files of it.
    fn paint(&self, shot: &Shot, missing: &[MissingFile]) -> Result<(), DemoError> {
        let Some(painted) = paint(&(shot.scene)(), &shot.frame, self.cancel) else {
            return Ok(());
        };
        for file in missing {
            if self.cancel.load(Ordering::Relaxed) {
                return Ok(());
            }
            self.write_file(file, shot.taken, &painted)?;
        }
        Ok(())
    }

    /// Exports a painted shot to a file and enters it in the ledger.
    fn write_file(&self, file: &MissingFile, taken: &'static str, painted: &Image) -> Result<(), DemoError> {
        let failed = |reason| DemoError::Encode { name: file.name, reason };
        let mut image = Cow::Borrowed(painted);
        if let Some(part) = file.picture.part {
            image = Cow::Owned(image.crop(part));
        }
        if file.picture.treatment != Treatment::Nothing {
            image = Cow::Owned(treat(&image, file.picture.treatment).map_err(failed)?);
        }
        let bytes = export(file.picture, taken, &image, self.profiles).map_err(failed)?;
        let path = self.into.join(file.name);
        atomic::replace(&path, &bytes).map_err(|source| DemoError::Write { path, source })?;
        self.ledger.lock().record(self.into, file.name, bytes.len() as u64)?;
        self.report(file.name, file.expected, Outcome::Painted);
        Ok(())
    }

    /// Counts a file and reports it.
    fn report(&self, name: &'static str, expected: &'static str, outcome: Outcome) {
        let mut summary = self.summary.lock();
        match outcome {
            Outcome::Painted => summary.painted += 1,
            Outcome::Kept => summary.kept += 1,
            Outcome::LeftAlone => summary.left_alone += 1,
        }
        let done = summary.painted + summary.kept + summary.left_alone;
        drop(summary);
        (self.on_done)(FileDone { name, expected, outcome, done, of: self.of });
    }
}

#[cfg(test)]
mod tests;
