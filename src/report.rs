//! What leaves the program: reports of a check, pages of the handbook, a picture's facts, as styled lines or bytes.
//!
//! Plain values in, lines or bytes out: touches no terminal, reads no clock. Only `new_brief` and
//! `deliver` read and write files.

pub mod accepted_words;
pub mod brief_words;
pub mod change;
pub mod csv;
pub mod exit;
pub mod explain;
pub mod facts;
mod glossary;
pub mod guide;
pub mod json;
pub mod lettering;
pub mod measured;
pub mod report;
pub mod sizes;
pub mod subject_words;
pub mod text;
mod tried;
pub mod welcome;

#[cfg(test)]
pub mod sample;

pub use exit::{Exit, Strictness};
pub use report::Report;
