//! Makes the shoot: paints pictures in parallel, writes whole files, and never touches a file that is not its own.
//! Running it again changes nothing. Next: `shoot` for what is made.
use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use painter::{Image, paint};
use parking_lot::Mutex;

use crate::units::words::of_system;

use super::darkroom::{Treatment, treated};
use super::error::DemoError;
use super::export::{Profiles, export};
use super::ledger::{Ledger, Standing};
use super::picture::Picture;
use super::shoot::{SHOTS, Shot, TWIN_TRUTH};
use super::writing::write_whole;

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

/// A finished file.
#[derive(Clone, Copy, Debug)]
pub struct Made {
    /// The file's name.
    pub name: &'static str,
    /// The file's fault, or that it is sound.
    pub truth: &'static str,
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
    pub cancelled: bool,
}

/// Paints the shoot into this folder, `workers` pictures in parallel, each on one core. `on_done` is called for every
/// file as soon as it is whole; raising `cancel` ends the work within moments, leaving only whole files.
pub fn make(
    into: &Path,
    profiles: &Profiles,
    workers: usize,
    cancel: &AtomicBool,
    on_done: &(dyn Fn(Made) + Sync),
) -> Result<Summary, DemoError> {
    make_shots(SHOTS, into, profiles, workers, cancel, on_done)
}

fn make_shots(
    shots: &[Shot],
    into: &Path,
    profiles: &Profiles,
    workers: usize,
    cancel: &AtomicBool,
    on_done: &(dyn Fn(Made) + Sync),
) -> Result<Summary, DemoError> {
    fs::create_dir_all(into).map_err(|source| DemoError::Write { path: into.to_owned(), source })?;
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
            if let Err(error) = studio.take(shot) {
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
    Ok(Summary { cancelled: cancel.load(Ordering::Relaxed), ..summary })
}

/// State shared by all workers.
struct Studio<'a> {
    into: &'a Path,
    profiles: &'a Profiles,
    cancel: &'a AtomicBool,
    on_done: &'a (dyn Fn(Made) + Sync),
    of: usize,
    ledger: Mutex<Ledger>,
    summary: Mutex<Summary>,
    failure: Mutex<Option<DemoError>>,
}

/// A file still to be written: its picture, name and truth.
struct Wanted<'a> {
    picture: &'a Picture,
    name: &'static str,
    truth: &'static str,
}

impl Studio<'_> {
    /// Paints one shot, unless all its files exist, and writes those that are missing.
    fn take(&self, shot: &Shot) -> Result<(), DemoError> {
        let mut wanted = Vec::new();
        for picture in shot.pictures {
            let twin = picture.twin.map(|name| (name, TWIN_TRUTH));
            for (name, truth) in [Some((picture.name, picture.truth)), twin].into_iter().flatten() {
                match self.ledger.lock().standing(self.into, name) {
                    Standing::Absent => wanted.push(Wanted { picture, name, truth }),
                    Standing::AsWritten => self.tell(name, truth, Outcome::Kept),
                    Standing::Foreign => self.tell(name, truth, Outcome::LeftAlone),
                }
            }
        }
        if wanted.is_empty() {
            return Ok(());
        }
        let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build();
        let pool = pool.map_err(|error| DemoError::Threads(of_system(error)))?;
        pool.install(|| self.paint(shot, &wanted))
    }

    fn paint(&self, shot: &Shot, wanted: &[Wanted]) -> Result<(), DemoError> {
        let Some(painted) = paint(&(shot.scene)(), &shot.frame, self.cancel) else {
            return Ok(());
        };
        for file in wanted {
            if self.cancel.load(Ordering::Relaxed) {
                return Ok(());
            }
            self.deliver(file, shot.taken, &painted)?;
        }
        Ok(())
    }

    fn deliver(&self, file: &Wanted, taken: &'static str, painted: &Image) -> Result<(), DemoError> {
        let failed = |reason| DemoError::Encode { name: file.name, reason };
        let (cut, developed);
        let painted = match file.picture.part {
            Some(part) => {
                cut = painted.crop(part);
                &cut
            }
            None => painted,
        };
        let painted = match file.picture.treatment {
            Treatment::Nothing => painted,
            treatment => {
                developed = treated(painted, treatment).map_err(failed)?;
                &developed
            }
        };
        let bytes = export(file.picture, taken, painted, self.profiles).map_err(failed)?;
        write_whole(&self.into.join(file.name), &bytes)?;
        self.ledger.lock().enter(self.into, file.name, bytes.len() as u64)?;
        self.tell(file.name, file.truth, Outcome::Painted);
        Ok(())
    }

    fn tell(&self, name: &'static str, truth: &'static str, outcome: Outcome) {
        let mut summary = self.summary.lock();
        match outcome {
            Outcome::Painted => summary.painted += 1,
            Outcome::Kept => summary.kept += 1,
            Outcome::LeftAlone => summary.left_alone += 1,
        }
        let done = summary.painted + summary.kept + summary.left_alone;
        drop(summary);
        (self.on_done)(Made { name, truth, outcome, done, of: self.of });
    }
}

#[cfg(test)]
mod tests;
