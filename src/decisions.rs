//! Decisions made by hand, kept in `NAME.decisions.toml` beside the brief `NAME.toml`: subjects' boxes, accepted
//! findings, remarks on test prints, and what was sent to the printer.
//!
//! Each writer waits for the others, reads the file again, makes all its changes at their places in the text, and
//! writes it once, so that two windows never undo each other's work and comments are preserved. A broken file is never
//! written.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use tracing::debug;

use crate::brief::Problem;
use crate::files;
use crate::units::{show, words};

use crate::files::{atomic, os};

pub use by_picture::ByPicture;
pub use model::{BoxChange, DecisionChange, Decisions, FindingChange, PictureBoxes, RemarkChange, SentChange};

mod by_picture;
mod document;
mod index;
pub mod limits;
mod model;
pub mod order;
pub mod sent;

/// The reason why a change was not kept.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum KeepError {
    /// The existing file is broken and stays as it is.
    #[error("{}", problem_words(.0))]
    Broken(Vec<Problem>),
    /// Another instance is writing beside the brief, and does not finish.
    #[error(
        "{}: another plateside is still saving there: close it, then decide again",
        words::visible(&path.to_string_lossy())
    )]
    Busy {
        /// The file.
        path: PathBuf,
    },
    /// The brief is gone: without it, the decisions would never be found.
    #[error(
        "{}: the brief is missing: put it back, or open it where it is now, then decide again",
        words::visible(&path.to_string_lossy())
    )]
    NoBrief {
        /// The brief.
        path: PathBuf,
    },
    /// The file cannot be written.
    #[error("{}: cannot be written: {error}", words::visible(&path.to_string_lossy()))]
    CannotWrite {
        /// The file.
        path: PathBuf,
        /// The system's error.
        error: String,
    },
}

/// Decisions are kept beside the brief and nowhere else.
const NOT_BESIDE: &str =
    "no permission to write beside the brief: have the folder's permissions changed, or work on a copy of it";

/// What the name of the decisions file ends in, after the brief's.
const SUFFIX: &str = ".decisions.toml";

/// What it ended in earlier.
const EARLIER_SUFFIX: &str = ".accepted.toml";

/// Without a lock one of two simultaneous writers would undo the other's changes.
const NO_LOCKS: &str = "its disk cannot lock files, so two could undo each other: keep the brief on another disk";

/// Returns the path of a brief's decisions: beside the real file, by any link it is reached.
pub fn path_beside(brief: &Path) -> PathBuf {
    let is_link = fs::symlink_metadata(brief).is_ok_and(|there| there.is_symlink());
    let itself = is_link.then(|| fs::canonicalize(brief).ok()).flatten();
    let brief = itself.as_deref().unwrap_or(brief);
    let mut name = brief.file_stem().unwrap_or_default().to_owned();
    name.push(SUFFIX);
    brief.with_file_name(name)
}

/// Returns where earlier versions kept the decisions of this file.
fn earlier_name(path: &Path) -> Option<PathBuf> {
    let stem = path.file_name()?.to_str()?.strip_suffix(SUFFIX)?;
    Some(path.with_file_name(format!("{stem}{EARLIER_SUFFIX}")))
}

/// Reads the decisions about a brief; empty where there is no file yet.
///
/// # Errors
/// All problems of the file, each with its line.
pub fn read(brief: &Path) -> Result<Decisions, Vec<Problem>> {
    let path = path_beside(brief);
    match text_of(&path)? {
        Some(text) => document::read(&text, &path),
        None => Ok(Decisions::default()),
    }
}

/// The right to write a brief's decisions, until it is dropped: all other writers wait.
#[derive(Debug)]
pub struct WriterLock {
    path: PathBuf,
    folder: PathBuf,
    _folder: fs::File,
}

/// Waits for all other writers of a brief's decisions.
///
/// # Errors
/// Another instance writes for too long, or the disk cannot lock files.
pub fn lock(brief: &Path) -> Result<WriterLock, KeepError> {
    lock_within(brief, limits::LOCK_TIMEOUT)
}

/// Keeps changes: reads the file again, changes its text at their places, writes it once. Nothing is written unless all
/// other instances wait meanwhile. Returns all decisions now in force.
///
/// # Errors
/// When the file is broken or cannot be written, or another instance writes for too long; it then stays as it is.
pub fn keep(brief: &Path, changes: &[DecisionChange]) -> Result<Decisions, KeepError> {
    keep_locked(&lock(brief)?, brief, changes)
}

/// Keeps changes as [`keep`] does, but for a live table, which soon retries if another instance writes; writes nothing
/// once no longer wanted.
///
/// # Errors
/// As those of [`keep`].
pub(crate) fn keep_or_busy(
    brief: &Path,
    changes: &[DecisionChange],
    wanted: &dyn Fn() -> bool,
) -> Result<Decisions, KeepError> {
    let lock = lock_within(brief, limits::LIVE_LOCK_TIMEOUT)?;
    if wanted() { keep_locked(&lock, brief, changes) } else { Err(KeepError::Busy { path: lock.path }) }
}

fn lock_within(brief: &Path, within: Duration) -> Result<WriterLock, KeepError> {
    let path = path_beside(brief);
    let cannot_write = |error: String| KeepError::CannotWrite { path: path.clone(), error };
    // Where the file is a link, writers that reach it another way must wait, too.
    let folder = atomic::parent_folder(&fs::canonicalize(&path).unwrap_or_else(|_| path.clone()));
    let locked = os::lock_folder(&folder, brief, within).map_err(|error| match error.kind() {
        io::ErrorKind::WouldBlock => KeepError::Busy { path: path.clone() },
        io::ErrorKind::NotFound | io::ErrorKind::PermissionDenied => cannot_write(atomic::write_error_words(&error)),
        _ => cannot_write(format!("{NO_LOCKS} ({})", words::of_system(error))),
    })?;
    Ok(WriterLock { path, folder, _folder: locked })
}

/// Does the same as [`keep`] for a writer that already holds the lock. The lock is held until the file is written, so
/// that the next writer reads it after that.
///
/// # Errors
/// When the file is broken or cannot be written; it then stays as it is.
pub fn keep_locked(lock: &WriterLock, brief: &Path, changes: &[DecisionChange]) -> Result<Decisions, KeepError> {
    let WriterLock { path, folder, .. } = lock;
    if !wait_for_brief(brief) {
        return Err(KeepError::NoBrief { path: brief.to_owned() });
    }
    atomic::remove_abandoned(folder);
    // An editor takes no lock: what it saves meanwhile is read, and the changes are made in that.
    for _ in 0..limits::MAX_REWRITES {
        let draft = Draft::prepare(path, changes)?;
        if let Some(decisions) = draft.map(Draft::write_if_unchanged).transpose()?.flatten() {
            return Ok(decisions);
        }
    }
    let error = "another program keeps changing it: close that program, then decide again".to_owned();
    Err(KeepError::CannotWrite { path: path.clone(), error })
}

/// The decisions' text with changes made, before it is written.
struct Draft<'a> {
    path: &'a Path,
    /// The file as it was read.
    before: Option<FileStamp>,
    text: String,
    decisions: Decisions,
    /// True if the changes change nothing in the text.
    is_as_before: bool,
}

/// A file's length and identity, which tell whether another program wrote it.
type FileStamp = (u64, os::FileIdentity);

fn stamp(path: &Path) -> Option<FileStamp> {
    fs::metadata(path).ok().map(|metadata| (metadata.len(), os::identity(&metadata)))
}

impl<'a> Draft<'a> {
    /// Makes the changes in the file's text as it is now; `None` if the file came or went meanwhile.
    fn prepare(path: &'a Path, changes: &[DecisionChange]) -> Result<Option<Draft<'a>>, KeepError> {
        let before = stamp(path);
        let old = text_of(path).map_err(KeepError::Broken)?;
        if old.is_none() && before.is_some() {
            // A file that is there is never taken for an empty one.
            return Ok(None);
        }
        let changed = document::apply_changes(old.as_deref().unwrap_or_default(), path, changes);
        let (text, decisions) = changed.map_err(KeepError::Broken)?;
        if text.len() as u64 > limits::MAX_DECISIONS_BYTES {
            let most = show::bytes(limits::MAX_DECISIONS_BYTES);
            let error = format!("it would be larger than {most}: withdraw what no longer matters");
            return Err(KeepError::CannotWrite { path: path.to_owned(), error });
        }
        let is_as_before = old.as_deref() == Some(&text);
        Ok(Some(Draft { path, before, text, decisions, is_as_before }))
    }

    /// Writes the text; `None` where another program wrote the file since it was read, which is kept.
    fn write_if_unchanged(self) -> Result<Option<Decisions>, KeepError> {
        if self.is_as_before {
            return Ok(Some(self.decisions));
        }
        let is_unchanged = || stamp(self.path) == self.before;
        let written = atomic::replace_if(self.path, self.text.as_bytes(), is_unchanged).map_err(|error| {
            let here_alone = error.kind() == io::ErrorKind::PermissionDenied && error.get_ref().is_none();
            let error = if here_alone { NOT_BESIDE.to_owned() } else { atomic::write_error_words(&error) };
            KeepError::CannotWrite { path: self.path.to_owned(), error }
        })?;
        debug!(file = ?self.path, written, "decisions");
        Ok(written.then_some(self.decisions))
    }
}

/// True if a brief is there, even if it is just being saved by replacing the file.
fn wait_for_brief(brief: &Path) -> bool {
    let begin = Instant::now();
    while !brief.is_file() {
        if begin.elapsed() > limits::BRIEF_GONE_AFTER {
            return false;
        }
        std::thread::sleep(limits::BRIEF_POLL);
    }
    true
}

/// Describes the file's problems in one line.
pub fn problem_words(problems: &[Problem]) -> String {
    let Some(first) = problems.first() else { return String::new() };
    let name = first.file.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let more = match problems.len() {
        1 => String::new(),
        all => format!(" (and {})", show::count(all - 1, "other mistake", "other mistakes")),
    };
    format!("{}, line {}: {}; {}{more}", words::visible(&name), first.line, first.what, first.fix)
}

/// Returns the file's text; `None` where there is no file.
fn text_of(path: &Path) -> Result<Option<String>, Vec<Problem>> {
    let wrong = |what: &str, fix: &str| Err(vec![Problem::in_text(path, "", 0, what, fix)]);
    match files::read(path, limits::MAX_DECISIONS_BYTES) {
        Err(error) if error.kind() == io::ErrorKind::NotFound && path.is_symlink() => {
            wrong("it is a link to a file that is not there", "put that file back, or delete the link")
        }
        Err(error) if error.kind() == io::ErrorKind::NotFound => match earlier_name(path) {
            Some(old) if old.exists() => {
                let name = |path: &Path| path.file_name().unwrap_or_default().to_string_lossy().into_owned();
                let [old, now] = [&old, path].map(|path| words::visible(&name(path)).into_owned());
                wrong(
                    &format!("the decisions are in {old}, which has another name now"),
                    &format!("rename it to {now}"),
                )
            }
            _ => Ok(None),
        },
        Err(error) if error.kind() == io::ErrorKind::FileTooLarge || files::is_not_a_file(&error) => {
            wrong(&error.to_string(), "put the right file there, or move this one away")
        }
        Err(error) => wrong(&format!("it cannot be read: {}", words::of_system(error)), "check its permissions"),
        Ok(bytes) => match String::from_utf8(bytes) {
            Ok(text) => Ok(Some(text)),
            Err(error) => {
                let sound = String::from_utf8_lossy(&error.as_bytes()[..error.utf8_error().valid_up_to()]).into_owned();
                let what = "a character here is not UTF-8";
                Err(vec![Problem::in_text(path, &sound, sound.len(), what, "save the file as UTF-8")])
            }
        },
    }
}

#[cfg(test)]
mod tests;
