//! Files and folders this program is writing, so that nothing half-written remains when a signal ends it.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use parking_lot::{Mutex, MutexGuard};

use crate::units::words::of_system;

/// Attempts to remove a folder: its writer may add one more file meanwhile. No source.
const TRIES: usize = 20;

#[derive(Debug)]
struct Begun {
    paths: BTreeSet<PathBuf>,
    /// True once nothing may be begun any more.
    has_ended: bool,
}

static BEGUN: Mutex<Begun> = Mutex::new(Begun { paths: BTreeSet::new(), has_ended: false });

/// A file or folder under its temporary name. Until this is dropped or finished, [`remove_all`] removes it.
#[derive(Debug)]
pub struct Unfinished(PathBuf);

impl Unfinished {
    /// Creates a temporary file or folder; `path_of` returns its path.
    ///
    /// # Errors
    /// Those of creating it; `Interrupted` where the program is ending.
    pub fn begin<T>(
        make: impl FnOnce() -> io::Result<T>,
        path_of: impl Fn(&T) -> &Path,
    ) -> io::Result<(T, Unfinished)> {
        // Locked throughout: no file exists that is not in the list.
        let mut begun = lock_begun();
        if begun.has_ended {
            return Err(interrupted_error());
        }
        let made = make().map_err(without_name)?;
        let path = path_of(&made).to_owned();
        begun.paths.insert(path.clone());
        Ok((made, Unfinished(path)))
    }

    /// Renames it to its final name with `put`.
    ///
    /// # Errors
    /// Those of `put`; `Interrupted` where it was removed before.
    pub fn finish<T>(self, put: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
        // Locked throughout: nothing is finished while it is being removed.
        let begun = lock_begun();
        if !begun.paths.contains(&self.0) {
            return Err(interrupted_error());
        }
        let put = put();
        drop(begun);
        put
    }
}

/// Returns the system's error without the path of the temporary file, which is an internal name.
fn without_name(error: io::Error) -> io::Error {
    use io::ErrorKind::{NotFound, PermissionDenied, QuotaExceeded, ReadOnlyFilesystem, StorageFull};
    match error.kind() {
        kind @ (NotFound | PermissionDenied | QuotaExceeded | ReadOnlyFilesystem | StorageFull) => kind.into(),
        kind => {
            let words = error.to_string();
            let said = words.split_once(" at path ").map_or(&*words, |(said, _)| said);
            io::Error::new(kind, of_system(said))
        }
    }
}

fn interrupted_error() -> io::Error {
    io::Error::new(io::ErrorKind::Interrupted, "the program was stopped")
}

#[cfg(test)]
impl Unfinished {
    /// Acts as if it had been removed.
    pub(crate) fn forget(&self) {
        lock_begun().paths.remove(&self.0);
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        lock_begun().paths.remove(&self.0);
    }
}

/// Removes everything begun and not finished; from then on nothing can be begun or finished. Returns true if nothing of
/// it is left.
pub fn remove_all() -> bool {
    let mut begun = lock_begun();
    begun.has_ended = true;
    let mut left = false;
    for path in std::mem::take(&mut begun.paths) {
        let gone = || match fs::symlink_metadata(&path) {
            Ok(there) if there.is_dir() => fs::remove_dir_all(&path).is_ok(),
            Ok(_) => fs::remove_file(&path).is_ok(),
            Err(_) => true,
        };
        left |= !(0..TRIES).any(|_| gone());
    }
    !left
}

fn lock_begun() -> MutexGuard<'static, Begun> {
    BEGUN.lock()
}
