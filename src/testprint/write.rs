//! Writes test prints to a new folder: the sheets, a note of what to look for, a record for programs.

use std::path::Path;

use crate::files::atomic_folder::{AtomicFolder, not_written_words};
use crate::reading::among_exports::check_outside;
use crate::units::words::visible;

use super::candidates::{CandidateRequest, Candidates, TestPrintError};
use super::note::{self, SheetsSummary};
use super::ranking::RankedRow;
use super::sheet::TestSheet;
use super::sheets::{FinishedSheet, ReadFiles, SheetRequest, make_sheets};

/// A record of what was written.
#[derive(Debug)]
pub struct SheetsReceipt {
    /// Sheet count.
    pub sheets: usize,
    /// The rows on the sheets.
    pub tested: Vec<RankedRow>,
    /// The number of rows that need a test print and are on no sheet.
    pub left: usize,
}

impl Candidates<'_> {
    /// Writes sheets into a new folder: of at most `most` pictures, or of all that were named.
    ///
    /// # Errors
    /// No picture needs a test print, one cannot be tested, or the folder cannot be written.
    pub fn write_sheets(
        &self,
        request: SheetRequest,
        most: usize,
        into: &Path,
    ) -> Result<SheetsReceipt, TestPrintError> {
        check_outside(into, self.request.folder, &self.report().brief)?;
        let mut tested = self.rank()?;
        let left = if self.chosen.is_empty() { tested.split_off(most.min(tested.len())) } else { Vec::new() };
        if !self.has_pictures() {
            return Err(TestPrintError::NoPictures);
        }
        if tested.is_empty() {
            return Err(TestPrintError::Nobody(self.none_needed_words()));
        }
        let files: ReadFiles<'_> =
            self.checked.files().map(|(key, file)| (key, (&file.path, &file.submission))).collect();
        let finished = make_sheets(self.report(), &files, &tested, request)?;
        let summary = SheetsSummary {
            left: left.iter().map(|one| format!("{}: {}", self.name(one), one.words())).collect(),
            record: record_command(&self.request),
        };
        let sheets = finished.len();
        write(into, finished, &summary).map_err(|error| TestPrintError::Unwritten(not_written_words(into, &error)))?;
        Ok(SheetsReceipt { sheets, tested, left: left.len() })
    }
}

fn write(into: &Path, finished: Vec<FinishedSheet>, summary: &SheetsSummary) -> std::io::Result<()> {
    let making = AtomicFolder::begin(into)?;
    let mut sheets: Vec<(String, TestSheet, _)> = Vec::with_capacity(finished.len());
    for FinishedSheet { name, bytes, sheet, drawn } in finished {
        making.write_file(Path::new(&name), &bytes)?;
        sheets.push((name, sheet, drawn));
    }
    making.write_file(Path::new(note::RECORD), &note::record(&sheets))?;
    let sheets: Vec<(String, TestSheet)> = sheets.into_iter().map(|(name, sheet, _)| (name, sheet)).collect();
    making.write_file(Path::new(note::NOTE), note::text(&sheets, summary).as_bytes())?;
    making.finish()
}

/// Returns the command that records what was seen on the sheets.
fn record_command(request: &CandidateRequest<'_>) -> String {
    let (brief, folder) = (shell_word(request.brief), shell_word(request.folder));
    let print = request.print.map(|name| format!(" --print {}", quote(name))).unwrap_or_default();
    format!("plateside testprint {brief} {folder}{print} --only PICTURE --seen \"what you saw\"")
}

/// Quotes a path for a shell.
fn shell_word(path: &Path) -> String {
    let path = path.to_string_lossy();
    quote(&if path.starts_with('-') { format!("./{path}") } else { path.into_owned() })
}

/// Quotes a text in a shell's single quotes, within which nothing is interpreted. Control characters are escaped.
fn quote(text: &str) -> String {
    format!("'{}'", visible(text).replace('\'', "'\\''"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_one_word_of_a_shell() {
        assert_eq!(shell_word(Path::new("low water's.toml")), r"'low water'\''s.toml'");
        assert_eq!(shell_word(Path::new("-rf")), "'./-rf'");
    }
}
