//! Folders written whole or not at all: everything is written into a hidden folder beside the final place, synced, and
//! renamed once at the end. A program that is stopped meanwhile removes it (`unfinished.rs`); one that is killed leaves
//! it, and the next to create a folder there removes it.

use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use super::atomic;
use super::atomic::parent_folder;
use super::os;
use super::unfinished::Unfinished;

pub use super::os::free_bytes;

/// Prefix of the names of unfinished folders.
const UNFINISHED: &str = ".plateside-unfinished-";

/// Describes to the user why a new folder was not written.
pub fn not_written_words(into: &Path, error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::AlreadyExists => format!("{} already exists; name a new folder", into.display()),
        _ => format!("{}: {}; nothing was written", into.display(), atomic::write_error_words(error)),
    }
}

/// A folder being written; removed when it is dropped before [`AtomicFolder::finish`].
#[derive(Debug)]
pub struct AtomicFolder {
    into: PathBuf,
    temporary: TempDir,
    unfinished: Unfinished,
    /// Held while the folder is being written: if found unlocked, its writer is gone.
    _lock: File,
}

impl AtomicFolder {
    /// Begins a folder that does not exist yet.
    ///
    /// # Errors
    /// When the name is in use (`AlreadyExists`), or nothing can be written beside it.
    pub fn begin(into: &Path) -> io::Result<AtomicFolder> {
        if fs::symlink_metadata(into).is_ok() {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        let beside = parent_folder(into);
        if !beside.is_dir() {
            let words = format!("there is no folder {} to write it in", beside.display());
            return Err(io::Error::new(io::ErrorKind::NotFound, words));
        }
        remove_abandoned(&beside);
        atomic::remove_abandoned(&beside);
        let mut builder = tempfile::Builder::new();
        builder.prefix(UNFINISHED);
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            // As any new folder; the umask is applied. Not changed later, which some disks refuse.
            builder.permissions(fs::Permissions::from_mode(0o777));
        }
        let make = || builder.tempdir_in(&beside);
        let locked = || -> io::Result<_> {
            let (temporary, unfinished) = Unfinished::begin(make, TempDir::path)?;
            let lock = File::open(temporary.path())?;
            match lock.try_lock() {
                // Another writer found it before it was locked, and removes it.
                Err(TryLockError::WouldBlock) => Err(io::ErrorKind::ResourceBusy.into()),
                // On a disk without locks no folder is removed either.
                Ok(()) | Err(TryLockError::Error(_)) => Ok((temporary, unfinished, lock)),
            }
        };
        let (temporary, unfinished, lock) = locked().or_else(|_| locked())?;
        Ok(AtomicFolder { into: into.to_owned(), temporary, unfinished, _lock: lock })
    }

    /// Creates a file in the folder, by a name of one or two parts; creates the sub-folder of two.
    ///
    /// # Errors
    /// When it cannot be created.
    pub fn create_file(&self, name: &Path) -> io::Result<File> {
        let path = self.temporary.path().join(name);
        // Level by level: a temporary folder that was removed meanwhile must not be created again.
        let mut within = self.temporary.path().to_path_buf();
        for folder in name.parent().into_iter().flat_map(Path::components) {
            within.push(folder);
            match fs::create_dir(&within) {
                Err(error) if error.kind() != io::ErrorKind::AlreadyExists => return Err(error),
                Ok(()) | Err(_) => {}
            }
        }
        File::create_new(path)
    }

    /// Creates a file with these bytes, and syncs it.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn write_file(&self, name: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut file = self.create_file(name)?;
        file.write_all(bytes)?;
        file.sync_all()
    }

    /// Renames the folder to its final name.
    ///
    /// # Errors
    /// When the name has been taken meanwhile (`AlreadyExists`), or the disk fails.
    pub fn finish(self) -> io::Result<()> {
        let AtomicFolder { into, temporary, unfinished, _lock: lock } = self;
        for entry in fs::read_dir(temporary.path())?.flatten().filter(|entry| entry.path().is_dir()) {
            File::open(entry.path())?.sync_all()?;
        }
        lock.sync_all()?;
        unfinished.finish(|| os::rename_no_replace(temporary.path(), &into))?;
        // It has its final name: nothing is left to remove.
        let _moved = temporary.keep();
        let _ = File::open(parent_folder(&into)).and_then(|folder| folder.sync_all());
        Ok(())
    }
}

/// Removes the unfinished folders of writers that were killed.
fn remove_abandoned(beside: &Path) {
    let entries = fs::read_dir(beside).into_iter().flatten().flatten();
    for entry in entries.filter(|entry| entry.file_name().to_string_lossy().starts_with(UNFINISHED)) {
        // Checked before it is opened: it may be a pipe.
        let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
        let is_abandoned = || File::open(entry.path()).is_ok_and(|folder| folder.try_lock().is_ok());
        if is_folder && is_abandoned() {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[cfg(unix)]
    #[test]
    fn a_pipe_under_the_name_of_something_unfinished_is_not_waited_for() {
        let room = tempfile::tempdir().unwrap();
        let pipe = room.path().join(format!("{UNFINISHED}pipe"));
        rustix::fs::mkfifoat(rustix::fs::CWD, &pipe, 0o600.into()).unwrap();
        let (tell, told) = crossbeam_channel::bounded(1);
        let into = room.path().join("new");
        std::thread::spawn(move || tell.send(AtomicFolder::begin(&into).is_ok()));
        assert_eq!(told.recv_timeout(std::time::Duration::from_secs(20)), Ok(true));
        assert!(pipe.symlink_metadata().is_ok(), "and stays");
    }

    #[test]
    fn a_folder_is_there_as_a_whole_or_not_at_all() {
        let room = tempfile::tempdir().unwrap();
        let into = room.path().join("new");
        let making = AtomicFolder::begin(&into).unwrap();
        making.write_file(Path::new("pictures/a.jpg"), b"one").unwrap();
        assert!(!into.exists());
        drop(making);
        assert_eq!(names(room.path()), Vec::<String>::new());
        let making = AtomicFolder::begin(&into).unwrap();
        making.write_file(Path::new("pictures/a.jpg"), b"one").unwrap();
        assert!(making.write_file(Path::new("pictures/a.jpg"), b"two").is_err(), "nothing is written over");
        making.finish().unwrap();
        assert_eq!(
            (names(room.path()), fs::read(into.join("pictures/a.jpg")).unwrap()),
            (vec!["new".to_owned()], b"one".to_vec())
        );
        assert_eq!(AtomicFolder::begin(&into).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
    }

    #[cfg(unix)]
    #[test]
    fn a_folder_has_the_permissions_of_any_new_one_there() {
        use std::os::unix::fs::PermissionsExt;
        let room = tempfile::tempdir().unwrap();
        // Files in it belong to its group, and folders in it hand that on.
        fs::set_permissions(room.path(), fs::Permissions::from_mode(0o2770)).unwrap();
        fs::create_dir(room.path().join("any")).unwrap();
        AtomicFolder::begin(&room.path().join("new")).unwrap().finish().unwrap();
        let mode = |name: &str| fs::metadata(room.path().join(name)).unwrap().permissions().mode();
        assert_eq!(mode("new"), mode("any"));
    }

    #[test]
    fn what_comes_into_its_place_meanwhile_stays() {
        let room = tempfile::tempdir().unwrap();
        let into = room.path().join("new");
        let making = AtomicFolder::begin(&into).unwrap();
        fs::create_dir(&into).unwrap();
        assert!(making.finish().is_err());
        assert_eq!(names(room.path()), ["new"]);
        assert_eq!(names(&into), Vec::<String>::new());
    }

    #[test]
    fn what_was_taken_away_is_not_put_in_its_place() {
        let room = tempfile::tempdir().unwrap();
        let into = room.path().join("new");
        let making = AtomicFolder::begin(&into).unwrap();
        making.write_file(Path::new("pictures/a.jpg"), b"one").unwrap();
        // As `unfinished::remove_all` does, but only for this one: other tests have unfinished folders, too.
        fs::remove_dir_all(making.temporary.path()).unwrap();
        making.unfinished.forget();
        for name in ["NOTE.txt", "pictures/b.jpg"] {
            assert!(making.write_file(Path::new(name), b"two").is_err(), "{name} brings nothing back");
        }
        assert!(making.finish().is_err());
        assert_eq!(names(room.path()), Vec::<String>::new());
    }

    #[test]
    fn what_a_killed_maker_left_is_cleared_and_what_is_being_made_is_not() {
        let room = tempfile::tempdir().unwrap();
        fs::create_dir_all(room.path().join(format!("{UNFINISHED}dead/pictures"))).unwrap();
        let alive = AtomicFolder::begin(&room.path().join("one")).unwrap();
        let other = AtomicFolder::begin(&room.path().join("two")).unwrap();
        assert_eq!(names(room.path()).len(), 2);
        alive.finish().unwrap();
        other.finish().unwrap();
        assert_eq!(names(room.path()), ["one", "two"]);
    }
}
