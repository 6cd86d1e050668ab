//! The brief as it is named on the command line, looked at before any command runs: one that is not there, or that was
//! typed after the folder.

use std::ffi::{OsStr, OsString};
use std::fs;
use std::io;
use std::path::Path;

use crate::units::words::visible;

/// The starter that is offered where a brief is not there: the simplest.
const STARTER: &str = "photo-lab";
/// Characters that no shell takes for anything else, beside letters and digits.
const PLAIN: &str = "-_./,:=@%+";

/// What is wrong with the brief that was named, and what to type.
#[derive(Debug, PartialEq, Eq)]
pub struct BriefMistake {
    /// What is wrong; safe to show.
    pub what: String,
    /// What to type; safe to show.
    pub fix: String,
}

/// Returns what is wrong with a brief and the folder that follows it; `typed` is the command line without the
/// program's name.
pub fn mistake(brief: &Path, folder: Option<&Path>, typed: &[OsString]) -> Option<BriefMistake> {
    if let Some(second) = folder.filter(|second| brief.is_dir() && is_brief(second)) {
        return Some(BriefMistake {
            what: format!(
                "{} is a folder and {} a brief: the brief comes first",
                path_words(brief),
                path_words(second)
            ),
            fix: swap_words(typed, brief, second),
        });
    }
    if folder.is_none() && brief.is_dir() {
        return Some(BriefMistake {
            what: format!("{} is a folder, not a brief", path_words(brief)),
            fix: format!("name a brief: {}", with_word_brief(typed, brief)),
        });
    }
    let is_missing = fs::metadata(brief).is_err_and(|error| error.kind() == io::ErrorKind::NotFound);
    is_missing.then(|| BriefMistake {
        what: format!("the brief {} cannot be read: there is no such file", path_words(brief)),
        fix: format!(
            "to write one: plateside brief new {STARTER} --into {} (plateside brief new lists the others)",
            quote(brief.as_os_str())
        ),
    })
}

fn is_brief(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("toml")) && path.is_file()
}

fn path_words(path: &Path) -> String {
    visible(&path.to_string_lossy()).into_owned()
}

/// Returns the line that was typed with two of its words in each other's place.
fn swap_words(typed: &[OsString], one: &Path, other: &Path) -> String {
    let place = |path: &Path| typed.iter().position(|word| Path::new(word) == path);
    let mut words = typed.to_vec();
    if let Some((one, other)) = place(one).zip(place(other)) {
        words.swap(one, other);
    }
    std::iter::once("plateside".to_owned()).chain(words.iter().map(|word| quote(word))).collect::<Vec<_>>().join(" ")
}

/// Returns the line that was typed with the word BRIEF in the place of a path.
fn with_word_brief(typed: &[OsString], path: &Path) -> String {
    let word = |word: &OsString| if Path::new(word) == path { "BRIEF".to_owned() } else { quote(word) };
    std::iter::once("plateside".to_owned()).chain(typed.iter().map(word)).collect::<Vec<_>>().join(" ")
}

/// Returns a word as a shell takes it: in quotes where it holds anything but plain characters.
fn quote(word: &OsStr) -> String {
    let text = word.to_string_lossy();
    let is_plain = !text.is_empty() && text.chars().all(|c| c.is_alphanumeric() || PLAIN.contains(c));
    let text = if is_plain { text.into_owned() } else { format!("'{}'", text.replace('\'', r"'\''")) };
    visible(&text).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_brief_after_its_folder_is_put_first_in_the_line_to_type() {
        let home = tempfile::tempdir().unwrap();
        let (brief, folder) = (home.path().join("walls.toml"), home.path().join("my exports"));
        fs::write(&brief, "").unwrap();
        fs::create_dir(&folder).unwrap();
        let words = [OsStr::new("check"), folder.as_os_str(), brief.as_os_str(), OsStr::new("--strict")];
        let typed = words.map(OsStr::to_os_string);
        let swapped = mistake(&folder, Some(&brief), &typed).unwrap();
        assert!(swapped.what.contains("is a folder") && swapped.what.ends_with("the brief comes first"));
        let line = format!("plateside check {} '{}' --strict", brief.display(), folder.display());
        assert_eq!(swapped.fix, line);
        assert_eq!(mistake(&brief, Some(&folder), &typed), None);
        // A folder in the place of a brief is refused where it is read.
        assert_eq!(mistake(&folder, Some(&folder), &typed), None);
        let shown = [OsStr::new("brief"), OsStr::new("show"), folder.as_os_str()].map(OsStr::to_os_string);
        let named = mistake(&folder, None, &shown).unwrap();
        assert!(named.what.ends_with("my exports is a folder, not a brief"), "{}", named.what);
        assert_eq!(named.fix, "name a brief: plateside brief show BRIEF");
    }

    #[test]
    fn a_brief_that_is_not_there_says_how_to_write_one() {
        let home = tempfile::tempdir().unwrap();
        let brief = home.path().join("walls.toml");
        let missing = mistake(&brief, Some(home.path()), &[]).unwrap();
        assert!(missing.what.ends_with("walls.toml cannot be read: there is no such file"));
        let line = format!("plateside brief new {STARTER} --into {}", brief.display());
        assert!(missing.fix.contains(&line), "{}", missing.fix);
        assert!(crate::brief::starter::find(STARTER).is_some());
    }

    #[test]
    fn a_word_is_quoted_where_a_shell_would_split_or_change_it() {
        for (word, typed) in [("a.toml", "a.toml"), ("crêpes/1.jpg", "crêpes/1.jpg"), ("a b", "'a b'"), ("", "''")] {
            assert_eq!(quote(OsStr::new(word)), typed);
        }
        assert_eq!(quote(OsStr::new("it's")), r"'it'\''s'");
    }
}
