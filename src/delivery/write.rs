//! Writes a delivery: copies each picture while hashing its bytes again, and stops if they are not those that were
//! judged.

use std::fs;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use crate::files;
use crate::files::atomic;
use crate::files::atomic_folder::{AtomicFolder, free_bytes};
use crate::picture::PictureKey;
use crate::units::show;
use crate::units::words::{of_system, visible};

use super::contents::PICTURES;
use super::observer::DeliveryObserver;
use super::plan::PlannedPicture;

/// Bytes copied at once. Own choice.
const COPIED_BYTES: usize = 1 << 20;

/// Why nothing was written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// The target exists and is never overwritten.
    #[error("{}: already exists, and a delivery is never overwritten; name a new folder", shown(.0))]
    AlreadyExists(PathBuf),
    /// The file is not the one that was judged.
    #[error("{0}: it changed after it was checked; nothing was written; deliver again")]
    Changed(PictureKey),
    /// A link that leads out of the folder.
    #[error("{0}: is a link to a file outside the folder; put the picture itself there")]
    Outside(PictureKey),
    /// The disk has too little room.
    #[error("{}: {} free, {} needed; nothing was written", shown(folder), show::bytes(*free),
        show::bytes(*needed))]
    NoRoom {
        /// The folder to write.
        folder: PathBuf,
        /// Free bytes.
        free: u64,
        /// Needed bytes.
        needed: u64,
    },
    /// Nobody wants it any more.
    #[error("stopped; nothing was written")]
    Stopped,
    /// The system reported an error.
    #[error("{}: {why}; nothing was written", shown(path))]
    Io {
        /// The file.
        path: PathBuf,
        /// The system's error, and for writing also the remedy.
        why: String,
    },
}

fn shown(path: &Path) -> String {
    visible(&path.to_string_lossy()).into_owned()
}

/// A delivery that is written as a whole and has no name yet; removed when it is dropped before
/// [`UnnamedDelivery::finish`].
#[derive(Debug)]
pub(super) struct UnnamedDelivery {
    folder: AtomicFolder,
    into: PathBuf,
    bytes: u64,
}

impl UnnamedDelivery {
    /// Gives the delivery its name; returns the size of the pictures in bytes.
    ///
    /// # Errors
    /// The target exists by now, or the disk fails: then nothing is left behind.
    pub(super) fn finish(self) -> Result<u64, WriteError> {
        self.folder.finish().map_err(|error| write_error(&self.into, &error))?;
        Ok(self.bytes)
    }
}

/// Copies pictures from `folder` for a new folder, and writes the documents beside them.
///
/// # Errors
/// The target exists, or a picture changed, leads elsewhere, or cannot be read or written, or it was stopped: then
/// nothing is left behind.
pub(super) fn write(
    into: &Path,
    folder: &Path,
    pictures: &[&PlannedPicture],
    documents: &[(&str, Vec<u8>)],
    observer: &dyn DeliveryObserver,
) -> Result<UnnamedDelivery, WriteError> {
    let made = AtomicFolder::begin(into).map_err(|error| write_error(into, &error))?;
    let inside = fs::canonicalize(folder).map_err(|error| read_error(folder, &error))?;
    let mut bytes = 0;
    for (at, picture) in pictures.iter().enumerate() {
        observer.on_copied(at, pictures.len());
        bytes += copy(&made, into, &inside, picture, observer)?;
    }
    for (name, text) in documents {
        made.write_file(Path::new(name), text).map_err(|error| write_error(&into.join(name), &error))?;
    }
    Ok(UnnamedDelivery { folder: made, into: into.to_owned(), bytes })
}

fn write_error(path: &Path, error: &io::Error) -> WriteError {
    match error.kind() {
        io::ErrorKind::AlreadyExists => WriteError::AlreadyExists(path.to_owned()),
        _ => WriteError::Io { path: path.to_owned(), why: atomic::write_error_words(error) },
    }
}

fn read_error(path: &Path, error: &io::Error) -> WriteError {
    WriteError::Io { path: path.to_owned(), why: of_system(error) }
}

/// Copies a picture that lies in `inside` into the delivery; returns its size in bytes.
fn copy(
    made: &AtomicFolder,
    into: &Path,
    inside: &Path,
    picture: &PlannedPicture,
    observer: &dyn DeliveryObserver,
) -> Result<u64, WriteError> {
    let reading = |error: io::Error| read_error(&picture.path, &error);
    let real = fs::canonicalize(&picture.path).map_err(reading)?;
    if !real.starts_with(inside) {
        return Err(WriteError::Outside(picture.picture.clone()));
    }
    let (from, needed) = files::open(&real).map_err(reading)?;
    let beside = atomic::parent_folder(into);
    if let Some(free) = free_bytes(&beside).filter(|free| *free < needed) {
        return Err(WriteError::NoRoom { folder: beside, free, needed });
    }
    let name = Path::new(PICTURES).join(&picture.name);
    let writing = |error: io::Error| WriteError::Io { path: into.join(&name), why: atomic::write_error_words(&error) };
    let mut to = made.create_file(&name).map_err(writing)?;
    // One byte beyond the length: a picture that grows is not the one that was judged.
    let mut from = from.take(needed + 1);
    let (mut hash, mut piece, mut bytes) = (Sha256::new(), vec![0; COPIED_BYTES], 0);
    loop {
        if observer.is_stopped() {
            return Err(WriteError::Stopped);
        }
        let count = from.read(&mut piece).map_err(reading)?;
        if count == 0 {
            break;
        }
        hash.update(&piece[..count]);
        to.write_all(&piece[..count]).map_err(writing)?;
        bytes += count as u64;
    }
    to.sync_all().map_err(writing)?;
    let found = format!("{:x}", hash.finalize());
    if found == picture.sha256 { Ok(bytes) } else { Err(WriteError::Changed(picture.picture.clone())) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::delivery::observer::testing::Unwatched;

    /// Creates a folder with one picture, and the plan to send it.
    fn exports_with_one_picture() -> (tempfile::TempDir, PlannedPicture) {
        let room = tempfile::tempdir().unwrap();
        let folder = room.path().join("exports");
        fs::create_dir(&folder).unwrap();
        fs::write(folder.join("a.jpg"), b"abc").unwrap();
        // Source: FIPS 180-4's example of SHA-256: "abc".
        let sha256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad".to_owned();
        let picture = PictureKey::from_text("a.jpg");
        let sent =
            PlannedPicture { name: "12-a.jpg".to_owned(), picture, path: folder.join("a.jpg"), sha256, rows: vec![0] };
        (room, sent)
    }

    fn deliver(room: &tempfile::TempDir, sent: &PlannedPicture) -> Result<u64, WriteError> {
        let [out, exports] = ["out", "exports"].map(|name| room.path().join(name));
        write(&out, &exports, &[sent], &[("NOTE.txt", b"note".to_vec())], &Unwatched::default())?.finish()
    }

    fn entries(room: &tempfile::TempDir) -> usize {
        fs::read_dir(room.path()).unwrap().count()
    }

    #[test]
    fn what_is_copied_is_what_was_judged_or_it_stops() {
        let (room, sent) = exports_with_one_picture();
        fs::write(room.path().join("exports/a.jpg"), b"abd").unwrap();
        assert!(matches!(deliver(&room, &sent), Err(WriteError::Changed(_))));
        assert_eq!(entries(&room), 1, "nothing is left of it");
        fs::write(room.path().join("exports/a.jpg"), b"abc").unwrap();
        assert_eq!(deliver(&room, &sent).unwrap(), 3);
        assert_eq!(fs::read(room.path().join("out/pictures/12-a.jpg")).unwrap(), b"abc");
        assert_eq!(fs::read(room.path().join("out/NOTE.txt")).unwrap(), b"note");
        assert!(matches!(deliver(&room, &sent), Err(WriteError::AlreadyExists(_))));
    }

    #[test]
    fn one_that_is_stopped_leaves_nothing_behind() {
        let (room, sent) = exports_with_one_picture();
        let [out, exports] = ["out", "exports"].map(|name| room.path().join(name));
        let stopped = write(&out, &exports, &[&sent], &[], &Unwatched { stops: true });
        assert!(matches!(stopped, Err(WriteError::Stopped)));
        assert_eq!(entries(&room), 1);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_out_of_the_folder_is_not_followed() {
        let (room, mut sent) = exports_with_one_picture();
        fs::write(room.path().join("secret"), b"abc").unwrap();
        std::os::unix::fs::symlink(room.path().join("secret"), room.path().join("exports/link.jpg")).unwrap();
        sent.path = room.path().join("exports/link.jpg");
        assert!(matches!(deliver(&room, &sent), Err(WriteError::Outside(_))));
        assert_eq!(entries(&room), 2);
    }
}
