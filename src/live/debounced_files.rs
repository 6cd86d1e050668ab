//! Files beside the folder of pictures, such as the brief: read again once they have changed and are stable.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use crate::live::limits;
use crate::reading::scan::Stamp;

/// Some files and their records. Without the first, nothing can be read from them.
#[derive(Debug)]
pub struct DebouncedFiles {
    /// The files as they were read last.
    read: Vec<Record>,
    /// The files as they were seen last, if they differ from that, and since when they have been like this.
    changing: Option<(Vec<Record>, Instant)>,
}

/// A file, and its stamp if it exists.
type Record = (PathBuf, Option<Stamp>);

impl DebouncedFiles {
    /// Records files that are about to be read.
    pub fn of(files: impl IntoIterator<Item = PathBuf>) -> DebouncedFiles {
        DebouncedFiles { read: files.into_iter().map(record).collect(), changing: None }
    }

    /// Adds files that the others turned out to name. They may have changed since they were read: those that exist are
    /// read once more.
    pub fn add(&mut self, files: impl IntoIterator<Item = PathBuf>) {
        let known: Vec<PathBuf> = self.files().map(Path::to_owned).collect();
        self.read.extend(files.into_iter().filter(|file| !known.contains(file)).map(|file| (file, None)));
    }

    /// Returns the files.
    pub fn files(&self) -> impl Iterator<Item = &Path> {
        self.read.iter().map(|(file, _)| file.as_path())
    }

    /// Looks at the files; returns true if they changed and have been stable for long enough since. Then record them
    /// again with [`DebouncedFiles::of`], and read them.
    pub fn poll_ready(&mut self, now: Instant) -> bool {
        let records: Vec<Record> = self.files().map(Path::to_owned).map(record).collect();
        if records == self.read {
            self.changing = None;
            return false;
        }
        match &self.changing {
            Some((seen, since)) if *seen == records => now.duration_since(*since) >= self.quiet_time(&records),
            _ => {
                self.changing = Some((records, now));
                false
            }
        }
    }

    /// Returns the time until the next check is due, while they change.
    pub fn next_check_in(&self) -> Duration {
        self.changing.as_ref().map_or(Duration::MAX, |(records, _)| self.quiet_time(records))
    }

    /// Returns how long the files must be stable. A program that replaces a file may remove it for a moment.
    fn quiet_time(&self, records: &[Record]) -> Duration {
        let is_away = |(before, now): (&Record, &Record)| before.1.is_some() && now.1.is_none();
        let has_first = records.first().is_some_and(|(_, stamp)| stamp.is_some());
        let some_away = self.read.iter().zip(records).any(is_away);
        if has_first && !some_away { limits::QUIET_AFTER_CLOSE } else { crate::decisions::limits::BRIEF_GONE_AFTER }
    }
}

fn record(file: PathBuf) -> Record {
    let stamp = Stamp::of(&file).ok();
    (file, stamp)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    /// True if the files are to be read after this long without a further change.
    fn is_ready_after(files: &mut DebouncedFiles, begin: Instant, after: Duration) -> bool {
        files.poll_ready(begin);
        files.poll_ready(begin + after)
    }

    #[test]
    fn a_file_that_is_away_is_waited_for_longer() {
        let folder = tempfile::tempdir().unwrap();
        let files = ["a", "b"].map(|name| folder.path().join(name));
        files.iter().for_each(|file| fs::write(file, "1").unwrap());
        for away in [0, 1] {
            let mut debounced = DebouncedFiles::of(files.clone());
            let begin = Instant::now();
            assert!(
                !is_ready_after(&mut debounced, begin, crate::decisions::limits::BRIEF_GONE_AFTER),
                "nothing changed"
            );
            fs::remove_file(&files[away]).unwrap();
            assert!(!is_ready_after(&mut debounced, begin, limits::QUIET_AFTER_CLOSE), "{away}");
            assert_eq!(debounced.next_check_in(), crate::decisions::limits::BRIEF_GONE_AFTER);
            assert!(is_ready_after(&mut debounced, begin, crate::decisions::limits::BRIEF_GONE_AFTER), "{away}");
            fs::write(&files[away], "1").unwrap();
        }
    }

    #[test]
    fn a_file_that_was_named_by_another_is_read_once_more() {
        let folder = tempfile::tempdir().unwrap();
        let [one, other, none] = ["a", "b", "c"].map(|name| folder.path().join(name));
        [&one, &other].iter().for_each(|file| fs::write(file, "1").unwrap());
        let mut files = DebouncedFiles::of([one.clone()]);
        files.add([one.clone(), other.clone(), none.clone()]);
        assert_eq!(files.files().count(), 3);
        assert!(is_ready_after(&mut files, Instant::now(), limits::QUIET_AFTER_CLOSE));
        let mut files = DebouncedFiles::of([one, other, none.clone()]);
        files.add([none]);
        assert!(!is_ready_after(&mut files, Instant::now(), limits::QUIET_AFTER_CLOSE));
    }
}
