//! A new brief from a starter, from an earlier brief or from a picture list, written where nothing is yet.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::brief::short_form::NamedList;
use crate::brief::starter::{self, STARTERS, Starter};
use crate::brief::{self, MAX_LIST_BYTES, Problem};
use crate::brief::{next_order, short_form, texts};
use crate::files;
use crate::files::atomic;
use crate::units::spelling::nearest;
use crate::units::words::of_system;

/// The starter that a picture list gets its tables from where none is named: the shortest.
pub const STARTER_OF_LISTS: &str = "photo-lab";

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
    /// The picture list is no list of pictures, or the earlier brief is no brief.
    #[error("the picture list or the earlier brief has mistakes")]
    Mistakes(Vec<Problem>),
    /// The prints of the earlier brief cannot be told from the rest.
    #[error("{}: its prints cannot be left out; write each below [[print]] on a line of its own", .0.display())]
    NotApart(PathBuf),
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

/// What a new brief is made from.
#[derive(Clone, Copy, Debug, Default)]
pub struct NewBrief<'a> {
    /// The name of a starter.
    pub starter: Option<&'a str>,
    /// An earlier brief.
    pub like: Option<&'a Path>,
    /// A picture list.
    pub list: Option<&'a Path>,
    /// The sheet of the list that lists the prints, where a workbook has several.
    pub list_sheet: Option<&'a str>,
    /// Where it will be written; the paths of the files that it names depend on it.
    pub into: Option<&'a Path>,
}

/// Returns the text of a new brief, and the name that suits its file.
///
/// # Errors
/// When there is no such starter, or the earlier brief or the list cannot be read.
pub fn text(new: NewBrief<'_>, rule_ids: &[&str]) -> Result<(String, PathBuf), NewBriefError> {
    if let Some(earlier) = new.like {
        return after_earlier(new, earlier, rule_ids);
    }
    let starter = starter_of(new.starter.unwrap_or(STARTER_OF_LISTS))?;
    let Some(list) = new.list else {
        return Ok((short_form::of(starter, None), PathBuf::from(format!("{}.toml", starter.name))));
    };
    let bytes = list_bytes(list)?;
    let suits = list.with_extension("toml");
    let path = named_from(new.into.unwrap_or(&suits), list);
    let named = NamedList { path: &path, sheet: new.list_sheet };
    let brief = from_list(starter, named, &bytes).map_err(NewBriefError::Mistakes)?;
    Ok((brief, suits))
}

/// Returns the brief of the next order after an earlier one.
fn after_earlier(new: NewBrief<'_>, earlier: &Path, rule_ids: &[&str]) -> Result<(String, PathBuf), NewBriefError> {
    let text = texts::text_of(earlier).map_err(|problem| NewBriefError::Mistakes(vec![problem]))?;
    let text = texts::without_mark(&text);
    if text.parse::<toml::Table>().is_err() {
        return Err(NewBriefError::Mistakes(brief::read(earlier, rule_ids).err().unwrap_or_default()));
    }
    let stem = earlier.file_stem().unwrap_or_default().to_string_lossy();
    let suits = earlier.with_file_name(format!("{stem}-next.toml"));
    let into = new.into.unwrap_or(&suits);
    let list = new.list.map(|list| named_from(into, list));
    let list = list.as_deref().map(|path| NamedList { path, sheet: new.list_sheet });
    let is_elsewhere = whole_folder(into) != whole_folder(earlier);
    let moved = |named: &str| {
        let file = earlier.parent().unwrap_or(Path::new("")).join(named);
        (is_elsewhere && file.exists()).then(|| named_from(into, &file))
    };
    let next = next_order::of(text, list, moved).ok_or_else(|| NewBriefError::NotApart(earlier.to_owned()))?;
    Ok((next, suits))
}

/// Returns the bytes of a picture list.
fn list_bytes(list: &Path) -> Result<Vec<u8>, NewBriefError> {
    let unread = |why: String| NewBriefError::List { path: list.to_owned(), why };
    files::read(list, MAX_LIST_BYTES).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => unread("there is no such file".to_owned()),
        _ => unread(of_system(error)),
    })
}

/// Returns a brief that takes its prints from a picture list, like a starter.
///
/// # Errors
/// All that is wrong with the list, by line and column.
fn from_list(starter: &Starter, list: NamedList<'_>, bytes: &[u8]) -> Result<String, Vec<Problem>> {
    let text = short_form::of(starter, Some(list));
    let path = Path::new("new.toml");
    // The brief is not there yet: what concerns the list as a whole stands on the list.
    let of_list = |problem: Problem| match problem.file == path {
        true => Problem {
            file: list.path.into(),
            line: 1,
            column: 1,
            text: String::new(),
            fix: problem.fix.replace("prints_sheet = ", "--sheet "),
            ..problem
        },
        false => problem,
    };
    brief::parse(&text, path, Some((Path::new(list.path), bytes)), &[])
        .map_err(|problems| problems.into_iter().map(of_list).collect::<Vec<_>>())?;
    Ok(text)
}

/// Returns a file's path as a brief at `brief` names it: its name alone where both are in one folder, else its whole
/// path.
fn named_from(brief: &Path, file: &Path) -> String {
    let named = match file.file_name() {
        Some(name) if whole_folder(brief) == whole_folder(file) => PathBuf::from(name),
        _ => whole(file),
    };
    named.to_string_lossy().replace('\\', "/")
}

/// Returns a path from the root of the disk.
fn whole(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| path.to_owned())
}

/// Returns the folder of a file, from the root of the disk.
fn whole_folder(file: &Path) -> PathBuf {
    whole(&atomic::parent_folder(file))
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
            let new = NewBrief { list: Some(&list), ..NewBrief::default() };
            let error = text(new, &[]).unwrap_err();
            assert!(error.source().is_none(), "whoever writes the chain would say the cause twice");
            error.to_string()
        };
        assert!(said().ends_with("latin1.csv: the picture list cannot be read: there is no such file"));
        fs::write(&list, b"name,size\ncr\xeapes,A4\n").unwrap();
        let new = NewBrief { list: Some(&list), ..NewBrief::default() };
        let Err(NewBriefError::Mistakes(problems)) = text(new, &[]) else { panic!("it was read") };
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

    #[test]
    fn a_list_becomes_a_brief() {
        let list = NamedList { path: "pictures.csv", sheet: None };
        for starter in STARTERS {
            let text = from_list(starter, list, b"page,name,picture,size\n12,plum tart,p012*,210 x 260 mm\n").unwrap();
            assert!(text.contains("prints = \"pictures.csv\"") && !text.contains("[[print]]"));
        }
        let wrong = from_list(&STARTERS[0], list, b"page,picture,size\nx,p1*,A4\n").unwrap_err();
        assert_eq!((wrong[0].line, wrong[0].column), (2, 1));
    }
}
