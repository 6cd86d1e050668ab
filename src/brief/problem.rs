//! An error in a brief or its picture list: its place, the line, what is wrong, and what to write instead.

use std::path::PathBuf;

/// One thing wrong, with its place and remedy. All of a brief's problems are shown at once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The brief or the picture list.
    pub file: PathBuf,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The line as written; foreign text.
    pub text: String,
    /// What is wrong; safe to show.
    pub what: String,
    /// The line to write instead, or what to do; safe to show.
    pub fix: String,
}
