//! The printer's sheet: a brief without prints that holds what one printer answered once, for all orders. It is looked
//! for beside the file that names it, then in the folder `printers` of the user's configuration; it may name another.

use std::fs;
use std::path::{Path, PathBuf};

use super::problem::Problem;
use super::source::SourceText;
use super::texts::{text_of, top_text, without_mark};
use crate::user::directories;

/// The folder of printers' sheets in the user's configuration.
const FOLDER: &str = "printers";
/// Most sheets that name each other in a row: far above a printer's own and that of one of its machines. Own choice.
const MAX_CHAINED: usize = 8;

/// A printer's sheet as it is on disk.
pub(super) struct SheetText {
    pub(super) path: PathBuf,
    pub(super) text: String,
}

impl SheetText {
    /// Returns its text with places by line and column.
    pub(super) fn source(&self) -> SourceText<'_> {
        SourceText::new(&self.path, without_mark(&self.text))
    }

    /// Returns the name of its file; foreign text.
    pub(super) fn name(&self) -> String {
        self.path.file_name().unwrap_or_default().to_string_lossy().into_owned()
    }
}

/// Returns the sheets of a brief: the one that it names, the one that this one names, and so on; and what is wrong with
/// the name of the next.
pub(super) fn read_all(text: &str, path: &Path) -> (Vec<SheetText>, Option<Problem>) {
    let mut sheets: Vec<SheetText> = Vec::new();
    let mut seen = vec![real(path)];
    loop {
        let (by, text) = sheets.last().map_or((path, text), |last| (last.path.as_path(), last.text.as_str()));
        let Some((named, at)) = top_text(text, "sheet") else { return (sheets, None) };
        match next(by, &named, &seen) {
            Ok(sheet) => {
                seen.push(real(&sheet.path));
                sheets.push(sheet);
            }
            Err((what, fix)) => {
                let problem = SourceText::new(by, without_mark(text)).problem(at, what, fix);
                return (sheets, Some(problem));
            }
        }
    }
}

/// Returns the sheet that a file names, or what is wrong and what to do.
fn next(by: &Path, named: &str, seen: &[PathBuf]) -> Result<SheetText, (String, String)> {
    let Some(path) = places_of(by, named).into_iter().find(|place| fs::metadata(place).is_ok()) else {
        let what = format!(
            "there is no printer's sheet \"{named}\", neither beside this file nor in plateside/{FOLDER} of your \
             configuration folder"
        );
        let fix = match seen {
            [_] => format!("correct the name, or begin the sheet: plateside brief answer {}", by.display()),
            _ => "correct the name, or leave the line out".to_owned(),
        };
        return Err((what, fix));
    };
    if seen.contains(&real(&path)) {
        let what = format!("\"{named}\" was read before: sheets that name each other in a circle have no first one");
        return Err((what, "leave this line out".to_owned()));
    }
    if seen.len() > MAX_CHAINED {
        let what = format!("more than {MAX_CHAINED} sheets name each other in a row");
        return Err((what, "write what the last ones say into one".to_owned()));
    }
    let fix = "name the printer's sheet: a text file in UTF-8";
    let text = text_of(&path).map_err(|problem| (problem.what, fix.to_owned()))?;
    Ok(SheetText { path, text })
}

/// Returns where the sheets of a brief are looked for, whether there is a file or not.
pub(super) fn places(text: &str, path: &Path) -> Vec<PathBuf> {
    let (sheets, _) = read_all(text, path);
    let texts =
        [(path, text)].into_iter().chain(sheets.iter().map(|sheet| (sheet.path.as_path(), sheet.text.as_str())));
    let named = texts.filter_map(|(by, text)| Some(places_of(by, &top_text(text, "sheet")?.0)));
    named.flatten().collect()
}

/// Returns where a sheet is looked for that a file names, in this order.
fn places_of(by: &Path, named: &str) -> Vec<PathBuf> {
    let beside = by.parent().unwrap_or(Path::new("")).join(named);
    let own = Path::new(named).file_name().and_then(|name| {
        let folder = directories::configuration(FOLDER).ok()?;
        Some(folder.join(name))
    });
    std::iter::once(beside).chain(own).collect()
}

/// Returns a path by which the same file is known, whatever its name.
fn real(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| path.to_owned())
}
