//! The files of a brief as they are read, and all that was found wrong with them.

use std::path::Path;

use super::list_table::ListTable;
use super::problem::Problem;
use super::source::{SourceFile, SourceText, TextPosition};

/// The brief, the picture list if there is one, and all that was found wrong with either.
pub(super) struct BriefSources<'a> {
    pub(super) brief: SourceText<'a>,
    pub(super) list: Option<ListTable<'a>>,
    pub(super) problems: Vec<Problem>,
}

impl BriefSources<'_> {
    /// Adds a problem at a place.
    pub(super) fn report(&mut self, place: TextPosition, what: impl Into<String>, fix: impl Into<String>) {
        let problem = match (place.which, &self.list) {
            (SourceFile::List, Some(list)) => list.problem(place, what, fix),
            _ => self.brief.problem(place.at, what, fix),
        };
        self.problems.push(problem);
    }

    /// The file of a place.
    pub(super) fn path_of(&self, which: SourceFile) -> &Path {
        match (which, &self.list) {
            (SourceFile::List, Some(list)) => list.path,
            _ => self.brief.path,
        }
    }

    /// The line of a place.
    pub(super) fn line_of(&self, place: TextPosition) -> usize {
        match (place.which, &self.list) {
            (SourceFile::List, Some(list)) => list.row_number(place),
            _ => self.brief.line_column(place.at).0,
        }
    }
}
