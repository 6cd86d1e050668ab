//! The demo's own files in a folder: a small hidden list beside them, so that a second run leaves them as they are and
//! never overwrites a file that somebody has added or changed.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::files;
use crate::files::atomic;

use super::error::DemoError;
use super::shoot::EDITION;

/// The list's name; the leading dot keeps it out of the live table.
const NAME: &str = ".plateside-demo.txt";

/// The state of the file at a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileStatus {
    /// No file, or an earlier edition of the demo's own.
    Absent,
    /// As the demo wrote it.
    AsWritten,
    /// Not written by the demo, or changed since.
    Foreign,
}

/// Largest list read, in bytes: some hundred times the size for the shoot. Own choice.
const MAX_BYTES: u64 = 1_000_000;

/// A file as it was written.
#[derive(Clone, Copy)]
struct Entry {
    edition: u32,
    bytes: u64,
}

/// The demo's files in a folder, by name.
pub struct Ledger(BTreeMap<String, Entry>);

impl Ledger {
    /// Reads the folder's list; empty if there is none. Malformed lines are skipped: their files then count as somebody
    /// else's.
    ///
    /// # Errors
    /// The list exists and cannot be read.
    pub fn read(folder: &Path) -> Result<Ledger, DemoError> {
        let path = folder.join(NAME);
        let text = match files::read_text(&path, MAX_BYTES) {
            Ok(text) => text,
            Err(source) if source.kind() == std::io::ErrorKind::NotFound => String::new(),
            Err(source) => return Err(DemoError::Read { path, source }),
        };
        let entry = |line: &str| {
            let mut words = line.splitn(3, ' ');
            let edition = words.next()?.parse().ok()?;
            let bytes = words.next()?.parse().ok()?;
            Some((words.next()?.to_owned(), Entry { edition, bytes }))
        };
        Ok(Ledger(text.lines().filter_map(entry).collect()))
    }

    /// Returns the status of a file of the folder.
    pub fn status(&self, folder: &Path, name: &str) -> FileStatus {
        let Ok(found) = fs::symlink_metadata(folder.join(name)) else {
            return FileStatus::Absent;
        };
        match self.0.get(name) {
            Some(entry) if entry.bytes == found.len() && entry.edition == EDITION => FileStatus::AsWritten,
            Some(entry) if entry.bytes == found.len() => FileStatus::Absent,
            _ => FileStatus::Foreign,
        }
    }

    /// Adds a file that has just been written, and writes the list.
    ///
    /// # Errors
    /// The list cannot be written.
    pub fn record(&mut self, folder: &Path, name: &str, bytes: u64) -> Result<(), DemoError> {
        self.0.insert(name.to_owned(), Entry { edition: EDITION, bytes });
        let line = |(name, entry): (&String, &Entry)| format!("{} {} {name}\n", entry.edition, entry.bytes);
        let text: String = self.0.iter().map(line).collect();
        let path = folder.join(NAME);
        atomic::replace(&path, text.as_bytes()).map_err(|source| DemoError::Write { path, source })
    }
}
