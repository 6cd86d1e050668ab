//! The one way in which files are written: whole or not at all. A temporary file in the same folder, brought to the
//! disk, then renamed; nothing half-written stays behind.

use std::fs::{self, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use crate::units::words::of_system;

use super::unfinished::Unfinished;

/// How files are called while they are written.
pub(crate) const UNFINISHED: &str = ".plateside-";

/// Writes a file that is not there yet.
///
/// # Errors
/// When one is there (`AlreadyExists`), or it cannot be written.
pub fn create(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = folder_of(path);
    clear_abandoned(&folder);
    written(&folder, bytes)?.put_new(path)?;
    settle(&folder);
    Ok(())
}

/// Writes a file that is not there yet, piece by piece.
///
/// # Errors
/// When one is there (`AlreadyExists`), or it cannot be written: then nothing is left of it.
pub fn create_with(path: &Path, write: impl FnOnce(&mut fs::File) -> io::Result<()>) -> io::Result<()> {
    if fs::symlink_metadata(path).is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    let folder = folder_of(path);
    clear_abandoned(&folder);
    let mut file = fresh(&folder)?;
    write(file.temporary.as_file_mut())?;
    file.temporary.as_file().sync_all()?;
    file.put_new(path)?;
    settle(&folder);
    Ok(())
}

/// Writes a file in place of the one that is there, if there is one; it keeps that one's permissions. Behind a symbolic
/// link, the file is replaced and not the link.
///
/// # Errors
/// When the file there is write-protected, or it cannot be written.
pub fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    replace_if(path, bytes, || true).map(drop)
}

/// The same, if `still_wanted` says so right before the file takes its place; whether it did.
///
/// # Errors
/// As those of [`replace`].
pub fn replace_if(path: &Path, bytes: &[u8], still_wanted: impl FnOnce() -> bool) -> io::Result<bool> {
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = folder_of(&path);
    let file = match fs::metadata(&path) {
        Ok(there) if there.permissions().readonly() => {
            return Err(io::Error::new(
                io::ErrorKind::PermissionDenied,
                "it is write-protected: take the protection away",
            ));
        }
        Ok(there) => {
            let file = written(&folder, bytes)?;
            file.temporary.as_file().set_permissions(there.permissions())?;
            file
        }
        Err(_) => written(&folder, bytes)?,
    };
    if !still_wanted() {
        return Ok(false);
    }
    file.put(&path)?;
    settle(&folder);
    Ok(true)
}

/// Why something could not be written, with what to do about it.
pub fn unwritten(error: &io::Error) -> String {
    // Our own words say what to do themselves.
    if error.get_ref().is_some() {
        return of_system(error);
    }
    match error.kind() {
        io::ErrorKind::PermissionDenied => {
            "you may not write there: choose another place, or have its permissions changed".to_owned()
        }
        io::ErrorKind::ReadOnlyFilesystem => "its disk is read-only: choose another place".to_owned(),
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            "its disk is full: make room and try again".to_owned()
        }
        io::ErrorKind::NotFound => "there is no such folder: make it first".to_owned(),
        _ => of_system(error),
    }
}

/// The folder that a file lies in.
pub fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// A file under the name that it has while it is written.
struct Fresh {
    temporary: NamedTempFile,
    unfinished: Unfinished,
}

impl Fresh {
    fn put_new(self, path: &Path) -> io::Result<()> {
        let Fresh { temporary, unfinished } = self;
        unfinished.finish(|| {
            let refused = match temporary.persist_noclobber(path) {
                Ok(_) => return Ok(()),
                Err(refused) => refused,
            };
            match refused.error.kind() {
                io::ErrorKind::AlreadyExists => Err(refused.error),
                // A disk without links, such as exFAT through FUSE: the name is taken by an empty file first.
                _ => put_over_empty(refused.file, path).map_err(|_| refused.error),
            }
        })
    }

    fn put(self, path: &Path) -> io::Result<()> {
        let Fresh { temporary, unfinished } = self;
        unfinished.finish(|| temporary.persist(path).map(drop).map_err(|error| error.error))
    }
}

/// Brings a file to a name that nobody has, by way of an empty one that only one can make.
fn put_over_empty(file: NamedTempFile, path: &Path) -> io::Result<()> {
    fs::File::create_new(path)?;
    file.persist(path).map(drop).map_err(|error| {
        let _left = fs::remove_file(path);
        error.error
    })
}

fn written(folder: &Path, bytes: &[u8]) -> io::Result<Fresh> {
    let mut file = fresh(folder)?;
    // Past the temporary file's own writer, whose errors hold its name.
    file.temporary.as_file_mut().write_all(bytes)?;
    file.temporary.as_file().sync_all()?;
    Ok(file)
}

fn fresh(folder: &Path) -> io::Result<Fresh> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(UNFINISHED);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any new text file; the umask takes its share.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let locked = || -> io::Result<Fresh> {
        let (temporary, unfinished) = Unfinished::begin(|| builder.tempfile_in(folder), NamedTempFile::path)?;
        // Locked while it is being written: whoever finds it unlocked knows that its writer is gone. On a disk that
        // knows no locks nobody clears either.
        let is_ours = !matches!(temporary.as_file().try_lock(), Err(TryLockError::WouldBlock));
        match is_ours && temporary.path().exists() {
            true => Ok(Fresh { temporary, unfinished }),
            // Another found it before it was locked, and takes it away.
            false => Err(io::ErrorKind::ResourceBusy.into()),
        }
    };
    locked().or_else(|error| if error.kind() == io::ErrorKind::ResourceBusy { locked() } else { Err(error) })
}

/// Takes away the temporary files of writers that are gone, as one that was killed leaves them.
pub fn clear_abandoned(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    for entry in entries.filter(|entry| entry.file_name().to_string_lossy().starts_with(UNFINISHED)) {
        if !entry.file_type().is_ok_and(|kind| kind.is_file()) {
            continue;
        }
        let Ok(file) = fs::File::open(entry.path()) else { continue };
        // Locked until it is gone, so that nobody begins to write it.
        if file.try_lock().is_ok() {
            let _left = fs::remove_file(entry.path());
        }
    }
}

/// Brings the new name to the disk, where the system can do that with a folder; the file itself is safe already.
fn settle(folder: &Path) {
    let _ = fs::File::open(folder).and_then(|folder| folder.sync_all());
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> usize {
        fs::read_dir(folder).unwrap().count()
    }

    #[test]
    fn a_file_is_created_once_and_replaced_as_a_whole() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.toml");
        create(&path, b"one").unwrap();
        assert_eq!(create(&path, b"two").unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        replace(&path, b"three").unwrap();
        assert_eq!((fs::read(&path).unwrap().as_slice(), names(folder.path())), (&b"three"[..], 1));
        replace(&folder.path().join("b.toml"), b"new").unwrap();
        assert!(replace(&folder.path().join("gone/b.toml"), b"new").is_err());
    }

    #[test]
    fn a_disk_without_links_gets_its_new_files_too_and_none_twice() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.toml");
        let put = |bytes| put_over_empty(written(folder.path(), bytes).unwrap().temporary, &path);
        put(b"one").unwrap();
        assert_eq!(put(b"two").unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!((fs::read(&path).unwrap().as_slice(), names(folder.path())), (&b"one"[..], 1));
    }

    #[test]
    fn what_is_no_longer_wanted_is_not_written() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.toml");
        fs::write(&path, "one").unwrap();
        assert!(!replace_if(&path, b"two", || false).unwrap());
        assert_eq!((fs::read(&path).unwrap().as_slice(), names(folder.path())), (&b"one"[..], 1));
    }

    #[test]
    fn what_a_killed_writer_left_is_cleared_and_what_is_being_written_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let left = folder.path().join(format!("{UNFINISHED}a1b2c3"));
        fs::write(&left, b"ver").unwrap();
        let alive = written(folder.path(), b"one").unwrap();
        clear_abandoned(folder.path());
        assert!(!left.exists());
        alive.put_new(&folder.path().join("a.toml")).unwrap();
        assert_eq!(
            (fs::read(folder.path().join("a.toml")).unwrap().as_slice(), names(folder.path())),
            (&b"one"[..], 1)
        );
    }

    #[test]
    fn what_could_not_be_written_has_its_remedy() {
        for (kind, remedy) in [
            (io::ErrorKind::PermissionDenied, "permissions"),
            (io::ErrorKind::StorageFull, "make room"),
            (io::ErrorKind::ReadOnlyFilesystem, "another place"),
        ] {
            assert!(unwritten(&kind.into()).contains(remedy), "{kind:?}");
        }
        assert_eq!(unwritten(&io::Error::other("it burns")), "it burns");
    }

    #[cfg(unix)]
    #[test]
    fn permissions_and_links_are_kept_and_protection_is_heeded() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (path, link) = (folder.path().join("a.toml"), folder.path().join("link.toml"));
        fs::write(&path, "one").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&path, &link).unwrap();
        replace(&link, b"two").unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "two");
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
        fs::set_permissions(&path, fs::Permissions::from_mode(0o440)).unwrap();
        assert_eq!(replace(&path, b"three").unwrap_err().kind(), io::ErrorKind::PermissionDenied);
        assert_eq!((fs::read_to_string(&path).unwrap().as_str(), names(folder.path())), ("two", 2));
    }
}
