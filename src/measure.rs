//! Pixels to evidence: what is counted from the pixels alone, once per file content, whatever the brief.
//!
//! Knows no brief, no file, no clock; gives the same numbers for every band height and thread count.

pub mod evidence;

pub use evidence::{Evidence, Thumbnail};
