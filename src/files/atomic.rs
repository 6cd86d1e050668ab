//! Files written whole or not at all: a temporary file in the same folder, synced, then renamed to its final name. A
//! program that is stopped meanwhile removes it (`unfinished.rs`); one that is killed leaves it, and the next writer in
//! that folder removes it.

use std::fs::{self, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use crate::units::words::of_system;

use super::unfinished::Unfinished;

/// Prefix of the names of temporary files.
pub(crate) const TEMPORARY_PREFIX: &str = ".plateside-";

/// Writes a file that does not exist yet.
///
/// # Errors
/// When one exists (`AlreadyExists`), or it cannot be written.
pub fn create(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = parent_folder(path);
    remove_abandoned(&folder);
    temporary_with(&folder, bytes)?.persist_new(path)?;
    sync_folder(&folder);
    Ok(())
}

/// Writes a file that does not exist yet, piece by piece.
///
/// # Errors
/// When one exists (`AlreadyExists`), or it cannot be written: then nothing of it remains.
pub fn create_with(path: &Path, write: impl FnOnce(&mut fs::File) -> io::Result<()>) -> io::Result<()> {
    if fs::symlink_metadata(path).is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    let folder = parent_folder(path);
    remove_abandoned(&folder);
    let mut file = temporary_in(&folder)?;
    write(file.temporary.as_file_mut())?;
    file.temporary.as_file().sync_all()?;
    file.persist_new(path)?;
    sync_folder(&folder);
    Ok(())
}

/// Writes a file, replacing any existing one, whose permissions it keeps. Behind a symbolic link, the file is replaced
/// and not the link.
///
/// # Errors
/// When the file there is write-protected, or it cannot be written.
pub fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    replace_if(path, bytes, || true).map(drop)
}

/// As [`replace`], but only if `still_wanted` returns true just before the file is replaced. Returns true if it was.
///
/// # Errors
/// As those of [`replace`].
pub fn replace_if(path: &Path, bytes: &[u8], still_wanted: impl FnOnce() -> bool) -> io::Result<bool> {
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = parent_folder(&path);
    let file = match fs::metadata(&path) {
        Ok(there) if there.permissions().readonly() => {
            return Err(io::Error::new(
                io::ErrorKind::PermissionDenied,
                "it is write-protected: remove the protection",
            ));
        }
        Ok(there) => {
            let file = temporary_with(&folder, bytes)?;
            file.temporary.as_file().set_permissions(there.permissions())?;
            file
        }
        Err(_) => temporary_with(&folder, bytes)?,
    };
    if !still_wanted() {
        return Ok(false);
    }
    file.persist(&path)?;
    sync_folder(&folder);
    Ok(true)
}

/// Writes one of the program's own files, replacing any existing one; creates its folder if missing.
///
/// # Errors
/// As [`replace`], and where the folder cannot be created.
pub fn save(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = parent_folder(path);
    fs::create_dir_all(&folder)?;
    remove_abandoned(&folder);
    replace(path, bytes)
}

/// Describes why a file or folder could not be written, and what to do about it.
pub fn write_error_words(error: &io::Error) -> String {
    // Our own messages already include what to do.
    if error.get_ref().is_some() {
        return of_system(error);
    }
    match error.kind() {
        io::ErrorKind::PermissionDenied => {
            "you may not write there: choose another place, or change its permissions".to_owned()
        }
        io::ErrorKind::ReadOnlyFilesystem => "its disk is read-only: choose another place".to_owned(),
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            "its disk is full: make room and try again".to_owned()
        }
        io::ErrorKind::NotFound => "there is no such folder: make it first".to_owned(),
        _ => of_system(error),
    }
}

/// Returns the folder that holds a path; `.` for a name alone.
pub fn parent_folder(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// A file under its temporary name while it is being written.
struct TemporaryFile {
    temporary: NamedTempFile,
    unfinished: Unfinished,
}

impl TemporaryFile {
    fn persist_new(self, path: &Path) -> io::Result<()> {
        let TemporaryFile { temporary, unfinished } = self;
        unfinished.finish(|| {
            let refused = match temporary.persist_noclobber(path) {
                Ok(_) => return Ok(()),
                Err(refused) => refused,
            };
            match refused.error.kind() {
                io::ErrorKind::AlreadyExists => Err(refused.error),
                // A disk without links, such as exFAT through FUSE: the name is taken by an empty file first.
                _ => persist_over_empty(refused.file, path).map_err(|error| match error.kind() {
                    io::ErrorKind::AlreadyExists => error,
                    _ => refused.error,
                }),
            }
        })
    }

    fn persist(self, path: &Path) -> io::Result<()> {
        let TemporaryFile { temporary, unfinished } = self;
        unfinished.finish(|| temporary.persist(path).map(drop).map_err(|error| error.error))
    }
}

/// Moves a file to an unused name, by way of an empty file that only one program can create.
fn persist_over_empty(file: NamedTempFile, path: &Path) -> io::Result<()> {
    fs::File::create_new(path)?;
    file.persist(path).map(drop).map_err(|error| {
        let _left = fs::remove_file(path);
        error.error
    })
}

fn temporary_with(folder: &Path, bytes: &[u8]) -> io::Result<TemporaryFile> {
    let mut file = temporary_in(folder)?;
    // Bypasses the temporary file's own writer, whose errors contain its name.
    file.temporary.as_file_mut().write_all(bytes)?;
    file.temporary.as_file().sync_all()?;
    Ok(file)
}

fn temporary_in(folder: &Path) -> io::Result<TemporaryFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(TEMPORARY_PREFIX);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any new text file; the umask is applied.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let locked = || -> io::Result<TemporaryFile> {
        let (temporary, unfinished) = Unfinished::begin(|| builder.tempfile_in(folder), NamedTempFile::path)?;
        // Locked while it is being written: if found unlocked, its writer is gone. On a disk without locks nothing is
        // removed either.
        let is_ours = !matches!(temporary.as_file().try_lock(), Err(TryLockError::WouldBlock));
        match is_ours && temporary.path().exists() {
            true => Ok(TemporaryFile { temporary, unfinished }),
            // Another writer found it before it was locked, and removes it.
            false => Err(io::ErrorKind::ResourceBusy.into()),
        }
    };
    locked().or_else(|error| if error.kind() == io::ErrorKind::ResourceBusy { locked() } else { Err(error) })
}

/// Removes the temporary files in a folder that are not locked: those of writers that were killed.
pub fn remove_abandoned(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    for entry in entries.filter(|entry| entry.file_name().to_string_lossy().starts_with(TEMPORARY_PREFIX)) {
        if !entry.file_type().is_ok_and(|kind| kind.is_file()) {
            continue;
        }
        let Ok(file) = fs::File::open(entry.path()) else { continue };
        // Locked until it is removed, so that no other instance begins to write it.
        if file.try_lock().is_ok() {
            let _left = fs::remove_file(entry.path());
        }
    }
}

/// Syncs a folder, so that a new name in it survives a power failure, where the system supports it; the file itself is
/// already synced.
fn sync_folder(folder: &Path) {
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
        let put = |bytes| persist_over_empty(temporary_with(folder.path(), bytes).unwrap().temporary, &path);
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
        let left = folder.path().join(format!("{TEMPORARY_PREFIX}a1b2c3"));
        fs::write(&left, b"ver").unwrap();
        let alive = temporary_with(folder.path(), b"one").unwrap();
        remove_abandoned(folder.path());
        assert!(!left.exists());
        alive.persist_new(&folder.path().join("a.toml")).unwrap();
        assert_eq!(
            (fs::read(folder.path().join("a.toml")).unwrap().as_slice(), names(folder.path())),
            (&b"one"[..], 1)
        );
    }

    #[test]
    fn a_file_of_the_programs_own_is_saved_with_its_folder() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("plateside/screens.toml");
        save(&path, b"one").unwrap();
        save(&path, b"two").unwrap();
        assert_eq!((fs::read(&path).unwrap().as_slice(), names(&folder.path().join("plateside"))), (&b"two"[..], 1));
    }

    #[test]
    fn what_could_not_be_written_has_its_remedy() {
        for (kind, fix) in [
            (io::ErrorKind::PermissionDenied, "permissions"),
            (io::ErrorKind::StorageFull, "make room"),
            (io::ErrorKind::ReadOnlyFilesystem, "another place"),
        ] {
            assert!(write_error_words(&kind.into()).contains(fix), "{kind:?}");
        }
        assert_eq!(write_error_words(&io::Error::other("it burns")), "it burns");
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
