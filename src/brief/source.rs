//! The text of a brief, a printer's sheet or a picture list, and places in it by line and column.

use std::path::Path;

use crate::units::words::visible;

use super::problem::Problem;

/// Which of the files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum SourceFile {
    /// The brief.
    Brief,
    /// The picture list beside it.
    List,
    /// A printer's sheet: 0 is the one that the brief names, 1 the one that this one names, and so on.
    Sheet(usize),
}

/// A place in one of the files: a byte offset of a brief or a printer's sheet, a cell of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct TextPosition {
    pub(super) which: SourceFile,
    pub(super) at: usize,
}

/// A text and where each of its lines starts.
pub(super) struct SourceText<'a> {
    pub(super) path: &'a Path,
    pub(super) text: &'a str,
    starts: Vec<usize>,
}

impl<'a> SourceText<'a> {
    pub(super) fn new(path: &'a Path, text: &'a str) -> SourceText<'a> {
        let starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        SourceText { path, text, starts }
    }

    /// Line and column in characters, both from 1, of a byte offset.
    pub(super) fn line_column(&self, at: usize) -> (usize, usize) {
        let at = self.text.floor_char_boundary(at.min(self.text.len()));
        let line = self.starts.partition_point(|start| *start <= at);
        let start = self.starts[line - 1];
        (line, self.text[start..at].chars().count() + 1)
    }

    /// Returns a line, counted from 1, without its line end; empty where there is none.
    pub(super) fn line(&self, line: usize) -> &'a str {
        let Some(start) = line.checked_sub(1).and_then(|index| self.starts.get(index)) else { return "" };
        self.text[*start..].lines().next().unwrap_or("")
    }

    /// Returns the text of a range, if it is whole and on one line.
    pub(super) fn slice(&self, range: std::ops::Range<usize>) -> Option<&'a str> {
        self.text.get(range).filter(|text| !text.is_empty() && !text.contains('\n'))
    }

    /// Returns the line of a range with the range replaced and a comment behind it left out; `None` over several lines.
    pub(super) fn line_with(&self, span: std::ops::Range<usize>, instead: &str) -> Option<String> {
        let (line, _) = self.line_column(span.start);
        let start = self.starts[line - 1];
        let text = self.line(line);
        let (before, behind) = (text.get(..span.start - start)?, text.get(span.end.checked_sub(start)?..)?);
        let behind = if behind.trim_start().starts_with('#') { "" } else { behind };
        Some(format!("{before}{instead}{behind}").trim().to_owned())
    }

    /// Returns the line of a byte offset up to there, followed by other text.
    pub(super) fn line_until(&self, at: usize, then: &str) -> String {
        let (line, _) = self.line_column(at);
        let before = self.text.get(self.starts[line - 1]..at).unwrap_or_default();
        format!("{before}{then}").trim().to_owned()
    }

    /// Something wrong with a line, from 1.
    pub(super) fn problem_in(&self, line: usize, what: impl Into<String>, fix: impl Into<String>) -> Problem {
        let start = line.checked_sub(1).and_then(|index| self.starts.get(index)).copied().unwrap_or(0);
        let text = self.line(line);
        self.problem(start + (text.len() - text.trim_start().len()), what, fix)
    }

    /// Something wrong at a byte offset.
    pub(super) fn problem(&self, at: usize, what: impl Into<String>, fix: impl Into<String>) -> Problem {
        let (line, column) = self.line_column(at);
        Problem {
            file: self.path.to_owned(),
            line,
            column,
            cell: None,
            text: self.line(line).trim_end().to_owned(),
            what: visible(&what.into()).into_owned(),
            fix: visible(&fix.into()).into_owned(),
        }
    }
}

impl Problem {
    /// Returns a problem at a byte of a file's text.
    pub fn in_text(file: &Path, text: &str, at: usize, what: &str, fix: &str) -> Problem {
        SourceText::new(file, text).problem(at, what, fix)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_characters_from_one() {
        let source = SourceText::new(Path::new("a.toml"), "é = 1\r\nname = 2\n");
        assert_eq!(source.line_column(0), (1, 1));
        assert_eq!(source.line_column(3), (1, 3));
        assert_eq!(source.line_column(1), (1, 1));
        assert_eq!(source.line_column(15), (2, 8));
        assert_eq!(source.line_column(999), (3, 1));
        assert_eq!((source.line(1), source.line(2), source.line(3), source.line(9)), ("é = 1", "name = 2", "", ""));
    }
}
