//! What this program is in the middle of writing, so that nothing half-written remains where it is told to end.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use parking_lot::{Mutex, MutexGuard};

use crate::units::words::of_system;

/// Attempts to take a folder away: its writer may put one more file in meanwhile. No source.
const TRIES: usize = 20;

#[derive(Debug)]
struct Begun {
    paths: BTreeSet<PathBuf>,
    /// Nothing is begun any more.
    ended: bool,
}

static BEGUN: Mutex<Begun> = Mutex::new(Begun { paths: BTreeSet::new(), ended: false });

/// A file or folder under the name that it has while it is written; as long as this lives, it may be taken away.
#[derive(Debug)]
pub struct Unfinished(PathBuf);

impl Unfinished {
    /// Makes something that is to be written, and says where it lies.
    ///
    /// # Errors
    /// Those of making it; `Interrupted` where the program is to end.
    pub fn begin<T>(make: impl FnOnce() -> io::Result<T>, lies: impl Fn(&T) -> &Path) -> io::Result<(T, Unfinished)> {
        // Held throughout: nothing is there that is not known of.
        let mut begun = begun();
        if begun.ended {
            return Err(interrupted());
        }
        let made = make().map_err(unnamed)?;
        let path = lies(&made).to_owned();
        begun.paths.insert(path.clone());
        Ok((made, Unfinished(path)))
    }

    /// Puts it in its place, in one step; it is finished then.
    ///
    /// # Errors
    /// Those of the step; `Interrupted` where it was taken away before.
    pub fn finish<T>(self, put: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
        // Held throughout: nothing is put in its place while it is being taken away.
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
    /// As if it had been taken away.
    pub(crate) fn forget(&self) {
        begun().paths.remove(&self.0);
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        begun().paths.remove(&self.0);
    }
}

/// Takes away all that is begun and not finished; nothing is put in its place or begun any more. Whether nothing of it
/// is left.
pub fn take_away() -> bool {
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
