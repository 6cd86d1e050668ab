//! What this program is writing at the moment, so that nothing half-written remains when a signal ends it.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use parking_lot::{Mutex, MutexGuard};

use crate::units::words::of_system;

/// Attempts to remove a folder: its writer may put one more file in meanwhile. No source.
const TRIES: usize = 20;

#[derive(Debug)]
struct Begun {
    paths: BTreeSet<PathBuf>,
    /// Whether nothing may be begun any more.
    ended: bool,
}

static BEGUN: Mutex<Begun> = Mutex::new(Begun { paths: BTreeSet::new(), ended: false });

/// A file or folder under its temporary name. Until this is dropped or finished, [`remove_all`] removes it.
#[derive(Debug)]
pub struct Unfinished(PathBuf);

impl Unfinished {
    /// Makes a temporary file or folder; `lies` gives its path.
    ///
    /// # Errors
    /// Those of making it; `Interrupted` where the program is to end.
    pub fn begin<T>(make: impl FnOnce() -> io::Result<T>, lies: impl Fn(&T) -> &Path) -> io::Result<(T, Unfinished)> {
        // Locked throughout: nothing is there that is not in the list.
        let mut begun = begun();
        if begun.ended {
            return Err(interrupted());
        }
        let made = make().map_err(unnamed)?;
        let path = lies(&made).to_owned();
        begun.paths.insert(path.clone());
        Ok((made, Unfinished(path)))
    }

    /// Renames it to its final name with `put`.
    ///
    /// # Errors
    /// Those of `put`; `Interrupted` where it was removed before.
    pub fn finish<T>(self, put: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
        // Locked throughout: nothing is finished while it is being removed.
        let begun = begun();
        if !begun.paths.contains(&self.0) {
            return Err(interrupted());
        }
        let put = put();
        drop(begun);
        put
    }
}

/// The system's error without the name of what could not be made: that is a name of ours.
fn unnamed(error: io::Error) -> io::Error {
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

fn interrupted() -> io::Error {
    io::Error::new(io::ErrorKind::Interrupted, "the program was told to end")
}

#[cfg(test)]
impl Unfinished {
    /// As if it had been removed.
    pub(crate) fn forget(&self) {
        begun().paths.remove(&self.0);
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        begun().paths.remove(&self.0);
    }
}

/// Removes all that is begun and not finished; from then on nothing is begun or finished any more. Gives whether
/// nothing of it is left.
pub fn remove_all() -> bool {
    let mut begun = begun();
    begun.ended = true;
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

fn begun() -> MutexGuard<'static, Begun> {
    BEGUN.lock()
}
