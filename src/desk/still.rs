//! Files beside the folder of pictures, such as the brief: read again once they have changed and lie still.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::limits;
use super::scan::Stamp;

/// Some files and their records; no record of a file that is not there. The first must be there, or what is read of
/// them is nothing.
#[derive(Debug)]
pub struct Still {
    read: Vec<Record>,
    changing: Option<(Vec<Record>, Instant)>,
}

type Record = (PathBuf, Option<Stamp>);

impl Still {
    /// Of files that are about to be read.
    pub fn of(files: impl IntoIterator<Item = PathBuf>) -> Still {
        Still { read: files.into_iter().map(record).collect(), changing: None }
    }

    /// Files that were read, too, since the others name them.
    pub fn also(&mut self, files: impl IntoIterator<Item = PathBuf>) {
        let known: Vec<PathBuf> = self.files().map(Path::to_owned).collect();
        self.read.extend(files.into_iter().filter(|file| !known.contains(file)).map(record));
    }

    /// The files.
    pub fn files(&self) -> impl Iterator<Item = &Path> {
        self.read.iter().map(|(file, _)| file.as_path())
    }

    /// Whether the files changed and have lain still for long enough since; whoever reads them then begins anew with
    /// [`Still::of`].
    pub fn are_to_be_read(&mut self, now: Instant) -> bool {
        let records: Vec<Record> = self.files().map(Path::to_owned).map(record).collect();
        if records == self.read {
            self.changing = None;
            return false;
        }
        match &self.changing {
            Some((seen, since)) if *seen == records => now.duration_since(*since) >= quiet(&records),
            _ => {
                self.changing = Some((records, now));
                false
            }
        }
    }

    /// When they want to be looked at again, while they change.
    pub fn looks_again_in(&self) -> Duration {
        self.changing.as_ref().map_or(Duration::MAX, |(records, _)| quiet(records))
    }
}

fn record(file: PathBuf) -> Record {
    let stamp = Stamp::of(&file).ok();
    (file, stamp)
}

/// How long the files must lie still. Editors that replace a file take it away for a moment.
fn quiet(records: &[Record]) -> Duration {
    let is_there = records.first().is_some_and(|(_, stamp)| stamp.is_some());
    if is_there { limits::QUIET_AFTER_CLOSE } else { limits::BRIEF_GONE_AFTER }
}
