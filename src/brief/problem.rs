//! An error in a brief or its picture list: its place, the line, what is wrong, and what to write instead.

use std::path::PathBuf;

use crate::units::words::visible;

/// One thing wrong, with its place and remedy. All of a brief's problems are shown at once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The brief or the picture list.
    pub file: PathBuf,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1; in a sheet the column of the cell.
    pub column: usize,
    /// The cell, where the file is a workbook.
    pub cell: Option<Box<SheetCell>>,
    /// The line as written, of a workbook the cell's content; foreign text.
    pub text: String,
    /// What is wrong; safe to show.
    pub what: String,
    /// The line to write instead, or what to do; safe to show.
    pub fix: String,
}

/// A cell of a workbook.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetCell {
    /// The name of its sheet; foreign text.
    pub sheet: String,
    /// Its own name: `C4`.
    pub cell: String,
}

impl Problem {
    /// Returns where it is in its file: `line 12`, or `sheet Plates, cell C4`.
    pub fn place(&self) -> String {
        match self.cell.as_deref() {
            Some(SheetCell { sheet, cell }) => format!("sheet {}, cell {cell}", visible(sheet)),
            None => format!("line {}", self.line),
        }
    }

    /// Returns the same behind a name of the file: `low-water.toml:12:3`, or `pages.xlsx, sheet Plates, cell C4`.
    pub fn place_in(&self, file: &str) -> String {
        match self.cell {
            Some(_) => format!("{file}, {}", self.place()),
            None => format!("{file}:{}:{}", self.line, self.column),
        }
    }
}
