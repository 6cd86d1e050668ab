//! The files of the folder by name, and the number of those that wait to be read: it is needed after every event, so it
//! is kept up to date as they change.

use std::collections::BTreeMap;
use std::time::Duration;

use crate::picture::PictureKey;
use crate::reading::scan::ScannedFile;

use super::entry::{FileEntry, Phase};

/// The files, in order of name.
#[derive(Debug, Default)]
pub struct Entries {
    all: BTreeMap<PictureKey, FileEntry>,
    waiting: usize,
    /// Number of contents so far.
    versions: u64,
}

impl Entries {
    /// Returns how many are finished and not read yet.
    pub fn waiting(&self) -> usize {
        self.waiting
    }

    /// Returns a file.
    pub fn get(&self, key: &PictureKey) -> Option<&FileEntry> {
        self.all.get(key)
    }

    /// Returns all files.
    pub fn iter(&self) -> impl Iterator<Item = (&PictureKey, &FileEntry)> {
        self.all.iter()
    }

    /// Adds content never seen before, replacing any under this name. `was_there_before`: see [`FileEntry::new`].
    pub fn add(&mut self, key: &PictureKey, scanned: &ScannedFile, was_there_before: bool, now: Duration) {
        self.versions += 1;
        self.insert(key.clone(), FileEntry::new(scanned, self.versions, was_there_before, now));
    }

    /// Returns the number of the last content added.
    pub fn last_version(&self) -> u64 {
        self.versions
    }

    /// Inserts a file, replacing the one of its name.
    pub fn insert(&mut self, key: PictureKey, entry: FileEntry) {
        self.waiting += waits(&entry);
        if let Some(old) = self.all.insert(key, entry) {
            self.waiting -= waits(&old);
        }
    }

    /// Removes a file; `None` if it is not there.
    pub fn remove(&mut self, key: &PictureKey) -> Option<FileEntry> {
        let old = self.all.remove(key)?;
        self.waiting -= waits(&old);
        Some(old)
    }

    /// Changes a file; `None` if it is not there.
    pub fn change<T>(&mut self, key: &PictureKey, change: impl FnOnce(&mut FileEntry) -> T) -> Option<T> {
        let entry = self.all.get_mut(key)?;
        self.waiting -= waits(entry);
        let changed = change(entry);
        self.waiting += waits(entry);
        Some(changed)
    }

    /// Changes every file.
    pub fn change_all(&mut self, mut change: impl FnMut(&PictureKey, &mut FileEntry)) {
        for (key, entry) in &mut self.all {
            self.waiting -= waits(entry);
            change(key, entry);
            self.waiting += waits(entry);
        }
    }
}

fn waits(entry: &FileEntry) -> usize {
    usize::from(entry.phase == Phase::Waiting)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::os::FileIdentity;
    use crate::reading::scan::{Stamp, WriteNotice};

    #[test]
    fn those_that_wait_are_counted_whatever_happens_to_them() {
        let stamp = Stamp { bytes: 1, identity: FileIdentity::default() };
        let scanned = ScannedFile { path: "a".into(), name_is_utf8: true, stamp, last_notice: WriteNotice::None };
        let arriving = || FileEntry::new(&scanned, 1, true, Duration::ZERO);
        let [a, b] = ["a", "b"].map(PictureKey::from_text);
        let mut entries = Entries::default();
        entries.insert(a.clone(), arriving());
        entries.insert(b.clone(), arriving());
        assert_eq!(entries.waiting(), 0);
        entries.change_all(|key, entry| drop(entry.finish_arriving(key)));
        assert_eq!(entries.waiting(), 2);
        entries.change(&a, |entry| entry.phase = Phase::Settled);
        assert_eq!(entries.waiting(), 1);
        entries.insert(b.clone(), arriving());
        assert_eq!(entries.waiting(), 0);
        entries.change(&b, |entry| entry.phase = Phase::Waiting);
        entries.remove(&b);
        assert_eq!((entries.waiting(), entries.change(&b, |_| ())), (0, None));
    }
}
