//! The program's output: reports of a check, pages of the handbook, a picture's facts, as styled lines or bytes.
//!
//! Plain values in, lines or bytes out: uses no terminal and no clock. Only the functions of whole commands read and
//! write files: `look`, `sizes`, `guide` and `contact`.

pub mod accepted_words;
pub mod answering;
pub mod brief_words;
pub mod change;
pub mod contact;
pub mod csv;
pub mod days;
pub mod exit;
pub mod explain;
pub mod facts;
mod glossary;
pub mod guide;
pub mod html;
pub mod json;
pub mod lettering;
pub mod look;
pub mod measured;
pub mod sizes;
pub mod spec;
pub mod subject_words;
pub mod text;
pub mod thumbnail;
mod tried;
pub mod welcome;

#[cfg(test)]
pub mod sample;

pub use exit::{Exit, Strictness};
