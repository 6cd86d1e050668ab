//! A new brief from a starter or from a picture list, written where nothing is yet.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::brief::starter::{self, ListForBrief, STARTERS, Starter};
use crate::brief::{LARGEST_LIST_BYTES, Problem};
use crate::files;
use crate::files::atomic;
use crate::units::spelling::nearest;
use crate::units::words::of_system;

/// The starter that a picture list gets its tables from where none is named: the shortest.
const STARTER_OF_LISTS: &str = "photo-lab";

/// Why there is no new brief.
#[derive(Debug, thiserror::Error)]
pub enum NewBriefError {
    /// No starter has that name.
    #[error("there is no starter \"{name}\"; {advice}")]
    NoStarter {
        /// The name; foreign text.
        name: String,
        /// The nearest name, or where all are listed.
        advice: String,
    },
    /// The picture list cannot be read.
    #[error("{}: the picture list cannot be read: {why}", path.display())]
    List {
        /// The list.
        path: PathBuf,
        /// Why, and what to do.
        why: String,
    },
    /// The picture list is no list of pictures.
    #[error("the picture list has mistakes")]
    Mistakes(Vec<Problem>),
    /// A file of that name is there.
    #[error("{}: there is already a file of this name; choose another name with --into FILE", .0.display())]
    There(PathBuf),
    /// It cannot be written.
    #[error("{}: cannot be written: {}", path.display(), atomic::write_error_words(source))]
    Write {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
}

/// The text of a new brief, from a starter, from a picture list (and the name of its sheet), or from both; and the name
/// that suits its file.
///
/// # Errors
/// When there is no such starter, or the list cannot be read.
pub fn text(
    name: Option<&str>,
    list: Option<(&Path, Option<&str>)>,
    into: Option<&Path>,
) -> Result<(String, PathBuf), NewBriefError> {
    let starter = starter_of(name.unwrap_or(STARTER_OF_LISTS))?;
    let Some((list, sheet)) = list else {
        return Ok((starter.text.to_owned(), PathBuf::from(format!("{}.toml", starter.name))));
    };
    let unread = |why: String| NewBriefError::List { path: list.to_owned(), why };
    let failed = |error: io::Error| match error.kind() {
        io::ErrorKind::NotFound => unread("there is no such file".to_owned()),
        _ => unread(of_system(error)),
    };
    let bytes = files::read(list, LARGEST_LIST_BYTES).map_err(failed)?;
    let suits = list.with_extension("toml");
    let beside = into.unwrap_or(&suits);
    let named = list_from(beside, list);
    let brief = starter::from_list(starter, ListForBrief { name: &named, bytes: &bytes, sheet })
        .map_err(NewBriefError::Mistakes)?;
    Ok((brief, suits))
}

/// The list's path as a brief at `brief` names it: its name alone where both are in one folder, else its whole path.
fn list_from(brief: &Path, list: &Path) -> String {
    let whole = |path: &Path| fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = |path: &Path| match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => whole(parent),
        _ => whole(Path::new(".")),
    };
    let named = match list.file_name() {
        Some(name) if folder(brief) == folder(list) => PathBuf::from(name),
        _ => whole(list),
    };
    named.to_string_lossy().replace('\\', "/")
}

fn starter_of(name: &str) -> Result<&'static Starter, NewBriefError> {
    starter::find(name).ok_or_else(|| {
        let near = STARTERS.iter().map(|starter| starter.name).find(|known| known.starts_with(name));
        let near = near.or_else(|| nearest(name, STARTERS.iter().map(|starter| starter.name)));
        // "canvass" is nearer to the first word of "canvas-wrapped" than to the whole of it.
        let first = |known: &'static str| known.split('-').next().unwrap_or(known);
        let near = near.or_else(|| {
            let word = nearest(name, STARTERS.iter().map(|starter| first(starter.name)))?;
            STARTERS.iter().map(|starter| starter.name).find(|known| first(known) == word)
        });
        let advice = match near {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => "plateside brief new lists them".to_owned(),
        };
        NewBriefError::NoStarter { name: name.to_owned(), advice }
    })
}

/// Writes a text into a file that is not there yet: whole or not at all, and never over another.
///
/// # Errors
/// When a file is there, or cannot be written.
pub fn write(path: &Path, text: &str) -> Result<(), NewBriefError> {
    let failed = |source: io::Error| match source.kind() {
        io::ErrorKind::AlreadyExists => NewBriefError::There(path.to_owned()),
        _ => NewBriefError::Write { path: path.to_owned(), source },
    };
    atomic::create(path, text.as_bytes()).map_err(failed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_there_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("walls.toml");
        write(&path, "one").unwrap();
        assert!(matches!(write(&path, "two"), Err(NewBriefError::There(_))));
        assert_eq!(fs::read_to_string(&path).unwrap(), "one");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing else is left behind");
    }

    #[test]
    fn a_list_that_cannot_be_read_says_why_once() {
        let folder = tempfile::tempdir().unwrap();
        let list = folder.path().join("latin1.csv");
        let said = || {
            use std::error::Error;
            let error = text(None, Some((&list, None)), None).unwrap_err();
            assert!(error.source().is_none(), "whoever writes the chain would say the cause twice");
            error.to_string()
        };
        assert!(said().ends_with("latin1.csv: the picture list cannot be read: there is no such file"));
        fs::write(&list, b"name,size\ncr\xeapes,A4\n").unwrap();
        let Err(NewBriefError::Mistakes(problems)) = text(None, Some((&list, None)), None) else {
            panic!("it was read")
        };
        assert_eq!(problems[0].what, "line 2 of the picture list has a character that is not UTF-8");
        assert!(problems[0].file.ends_with("latin1.csv"));
    }

    #[test]
    fn a_name_that_is_nearly_right_is_answered_with_the_right_one() {
        let advice = |name: &str| starter_of(name).unwrap_err().to_string();
        assert!(advice("canvass").contains("canvas-wrapped"));
        assert!(advice("photo").contains("photo-lab"));
        assert!(advice("zzz").contains("lists them"));
    }
}
