//! What leaves the program: reports of a check, pages of the handbook, a picture's facts, as styled lines or bytes.
//!
//! Plain values in, lines or bytes out: touches no terminal, reads no clock. Only `new_brief` and
//! `deliver` read and write files.

pub mod accepted_words;
pub mod begin;
pub mod brief_words;
pub mod change;
pub mod csv;
pub mod deliver;
pub mod exit;
pub mod explain;
pub mod facts;
mod glossary;
pub mod guide;
pub mod json;
mod lettering;
pub mod measured;
pub mod new_brief;
pub mod report;
pub mod sizes;
pub mod subject_words;
pub mod test_sheets;
pub mod text;
mod tried;

#[cfg(test)]
mod sample;

pub use exit::{Exit, Strictness};
pub use report::Report;
