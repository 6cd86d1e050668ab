//! The files of a brief as they are read, and all that was found wrong with them.

use super::list_table::ListTable;
use super::problem::Problem;
use super::source::{SourceFile, SourceText, TextPosition};

/// The brief, the picture list and the printer's sheets if there are any, and all that was found wrong with them.
pub(super) struct BriefSources<'a> {
    pub(super) brief: SourceText<'a>,
    pub(super) list: Option<ListTable<'a>>,
    pub(super) sheets: Vec<SourceText<'a>>,
    pub(super) problems: Vec<Problem>,
}

impl<'a> BriefSources<'a> {
    /// Creates the sources of one file by itself.
    pub(super) fn of(brief: SourceText<'a>) -> BriefSources<'a> {
        BriefSources { brief, list: None, sheets: Vec::new(), problems: Vec::new() }
    }

    /// Adds a problem at a place.
    pub(super) fn report(&mut self, place: TextPosition, what: impl Into<String>, fix: impl Into<String>) {
        let problem = match (place.which, &self.list) {
            (SourceFile::List, Some(list)) => list.problem(place, what, fix),
            (which, _) => self.source(which).problem(place.at, what, fix),
        };
        self.problems.push(problem);
    }

    /// Returns the text of the brief or of a printer's sheet.
    fn source(&self, which: SourceFile) -> &SourceText<'a> {
        let sheet = if let SourceFile::Sheet(at) = which { self.sheets.get(at) } else { None };
        sheet.unwrap_or(&self.brief)
    }

    /// Returns the line of a place.
    pub(super) fn line_of(&self, place: TextPosition) -> usize {
        match (place.which, &self.list) {
            (SourceFile::List, Some(list)) => list.row_number(place),
            (which, _) => self.source(which).line_column(place.at).0,
        }
    }
}
