//! An earlier handover of the same order, and what is new against it.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use serde::Deserialize;

use crate::units::show;
use crate::units::words::{of_system, visible};

use super::plan::Plan;
use super::{LARGEST_LIST, RECORD};

/// What the printer holds already: checksums by name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Earlier(pub BTreeMap<String, String>);

/// How a picture stands against the earlier handover.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// It was not there.
    New,
    /// Another one bore its name; its checksum.
    Replaces(String),
    /// The printer holds it already: it is not sent again.
    Unchanged,
}

/// Why an earlier handover cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum NotRead {
    /// The system says no.
    #[error("{}: {}; name the folder of an earlier handover", visible(&path.to_string_lossy()), of_system(error))]
    Io {
        /// Which file.
        path: PathBuf,
        /// What it says.
        error: io::Error,
    },
    /// It is no record.
    #[error("{}: is no record of a handover: {why}", visible(&path.to_string_lossy()))]
    NoRecord {
        /// Which file.
        path: PathBuf,
        /// What is wrong.
        why: String,
    },
}

#[derive(Deserialize)]
struct RecordIn {
    pictures: Vec<PictureIn>,
}

#[derive(Deserialize)]
struct PictureIn {
    name: String,
    sha256: String,
}

/// Reads the record of an earlier handover.
///
/// # Errors
/// There is none, or it is none.
pub fn read(folder: &Path) -> Result<Earlier, NotRead> {
    let path = folder.join(RECORD);
    let bytes = fs::metadata(&path).map_err(|error| NotRead::Io { path: path.clone(), error })?.len();
    if bytes > LARGEST_LIST {
        return Err(NotRead::NoRecord { path, why: format!("{} is more than any has", show::bytes(bytes)) });
    }
    let text = fs::read_to_string(&path).map_err(|error| NotRead::Io { path: path.clone(), error })?;
    let record: RecordIn =
        serde_json::from_str(&text).map_err(|error| NotRead::NoRecord { path, why: error.to_string() })?;
    Ok(Earlier(record.pictures.into_iter().map(|one| (one.name, one.sha256)).collect()))
}

impl Earlier {
    /// How a name with a checksum stands against it.
    pub fn change(&self, name: &str, sha256: &str) -> Change {
        match self.0.get(name) {
            None => Change::New,
            Some(old) if old == sha256 => Change::Unchanged,
            Some(old) => Change::Replaces(old.clone()),
        }
    }

    /// Names that the printer holds and that the order has no more.
    pub fn withdrawn(&self, plan: &Plan) -> Vec<String> {
        let kept = |name: &String| plan.sent.iter().any(|one| one.name == *name);
        self.0.keys().filter(|name| !kept(name)).cloned().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn new_changed_and_unchanged_pictures_are_told_apart() {
        let room = tempfile::tempdir().unwrap();
        assert!(matches!(read(room.path()), Err(NotRead::Io { .. })));
        let large = fs::File::create(room.path().join(RECORD)).unwrap();
        large.set_len(LARGEST_LIST + 1).unwrap();
        assert!(matches!(read(room.path()), Err(NotRead::NoRecord { why, .. }) if why.contains("more than any has")));
        fs::write(room.path().join(RECORD), "{}").unwrap();
        assert!(matches!(read(room.path()), Err(NotRead::NoRecord { .. })));
        let record = r#"{"pictures":[{"name":"a.jpg","sha256":"aa"},{"name":"b.jpg","sha256":"bb"}]}"#;
        fs::write(room.path().join(RECORD), record).unwrap();
        let earlier = read(room.path()).unwrap();
        assert_eq!(earlier.change("c.jpg", "cc"), Change::New);
        assert_eq!(earlier.change("a.jpg", "aa"), Change::Unchanged);
        assert_eq!(earlier.change("a.jpg", "ab"), Change::Replaces("aa".to_owned()));
        assert_eq!(earlier.withdrawn(&Plan { sent: vec![], extra: vec![] }), ["a.jpg", "b.jpg"]);
    }
}
