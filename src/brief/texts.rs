//! The texts of a brief's files, as they are on disk.

use std::io;
use std::path::Path;

use toml::de::DeTable;

use super::list_file::MAX_LIST_BYTES;
use super::problem::Problem;
use super::source::SourceText;
use crate::files;
use crate::units::words::{of_system, visible};

/// Largest brief or printer's sheet that is read, in bytes: far above any that a person writes.
const MAX_BYTES: u64 = 4_000_000;

/// Something wrong with a file as a whole, or at a place in it.
fn problem_of(path: &Path, (line, column): (usize, usize), what: String, fix: &str) -> Problem {
    let (file, text) = (path.to_owned(), String::new());
    Problem { file, line, column, cell: None, text, what, fix: fix.to_owned() }
}

/// Returns the bytes of a file, with what is wrong as a problem of that file.
pub(super) fn bytes_of(path: &Path, largest: u64) -> Result<Vec<u8>, Problem> {
    let problem = |what: String, fix: &str| problem_of(path, (1, 1), what, fix);
    files::read(path, largest).map_err(|error| match error.kind() {
        io::ErrorKind::IsADirectory => {
            problem("it is a folder, not a file".to_owned(), "name the brief first, then the folder")
        }
        io::ErrorKind::FileTooLarge if largest == MAX_LIST_BYTES => {
            problem(error.to_string(), "save the picture list without pictures in its cells")
        }
        io::ErrorKind::FileTooLarge => problem(error.to_string(), "name the brief, not a picture"),
        io::ErrorKind::Unsupported => problem(error.to_string(), "put an ordinary file there"),
        io::ErrorKind::NotFound => {
            let what = format!("{} cannot be read: there is no such file", path.display());
            problem(what, "correct the path, or put the file there")
        }
        _ => {
            let what = format!("{} cannot be read: {}", path.display(), of_system(error));
            problem(what, "check its permissions")
        }
    })
}

/// Returns the text of a brief, with what is wrong as a problem of its file.
pub(super) fn text_of(path: &Path) -> Result<String, Problem> {
    let bytes = bytes_of(path, MAX_BYTES)?;
    if bytes.contains(&0) {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let what = format!("{} is not a text file in UTF-8", visible(&name));
        let fix = "save it as UTF-8, or name the brief first and then the folder of pictures";
        return Err(problem_of(path, (1, 1), what, fix));
    }
    String::from_utf8(bytes).map_err(|error| {
        let before = String::from_utf8_lossy(&error.as_bytes()[..error.utf8_error().valid_up_to()]).into_owned();
        let place = SourceText::new(path, &before).line_column(before.len());
        problem_of(path, place, "a character here is not UTF-8".to_owned(), "save the file as UTF-8")
    })
}

/// Returns a text without the byte order mark that some spreadsheets and editors put first.
pub(super) fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

/// Returns the text of a key above the first table, and where its value begins; `None` too where it is no text.
pub(super) fn top_text(text: &str, key: &str) -> Option<(String, usize)> {
    let (table, _) = DeTable::parse_recoverable(without_mark(text));
    let value = table.get_ref().get(key)?;
    Some((value.get_ref().as_str()?.trim().to_owned(), value.span().start))
}
