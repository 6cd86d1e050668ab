//! Which files of a folder the demo wrote: a small hidden list beside them, so that a second run
//! leaves them as they are and never overwrites what somebody has put there or changed.
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::files;

use super::error::DemoError;
use super::shoot::EDITION;
use super::writing::write_whole;

/// The list's name; the leading dot keeps it out of the desk.
const NAME: &str = ".plateside-demo.txt";

/// What stands at a file's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nothing, or an earlier edition of the demo's own.
    Absent,
    Ours,
    /// Not written by the demo, or changed since.
    Theirs,
}

/// Largest list that is read, in bytes: some hundred times what the shoot's takes. Own choice.
const LARGEST_BYTES: u64 = 1_000_000;

/// A file as it was written.
#[derive(Clone, Copy)]
struct Entry {
    edition: u32,
    bytes: u64,
}

pub struct Ledger(BTreeMap<String, Entry>);

impl Ledger {
    /// The folder's list, empty if there is none. Lines that make no sense are passed over:
    /// their files then count as somebody else's.
    pub fn read(folder: &Path) -> Result<Ledger, DemoError> {
        let path = folder.join(NAME);
        let text = match files::read_text(&path, LARGEST_BYTES) {
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

    pub fn standing(&self, folder: &Path, name: &str) -> Standing {
        let Ok(found) = fs::symlink_metadata(folder.join(name)) else {
            return Standing::Absent;
        };
        match self.0.get(name) {
            Some(entry) if entry.bytes == found.len() && entry.edition == EDITION => Standing::Ours,
            Some(entry) if entry.bytes == found.len() => Standing::Absent,
            _ => Standing::Theirs,
        }
    }

    /// Notes a file that has just been written, and writes the list.
    pub fn enter(&mut self, folder: &Path, name: &str, bytes: u64) -> Result<(), DemoError> {
        self.0.insert(name.to_owned(), Entry { edition: EDITION, bytes });
        let line = |(name, entry): (&String, &Entry)| format!("{} {} {name}\n", entry.edition, entry.bytes);
        let text: String = self.0.iter().map(line).collect();
        write_whole(&folder.join(NAME), text.as_bytes())
    }
}
