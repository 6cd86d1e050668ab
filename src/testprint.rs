//! Test prints: which pictures need one, sheets of them, and what was seen on them.
//!
//! A sheet has each picture whole and small, and strips of its riskiest places at the scale of its print, never
//! resampled, with a wedge, a grey balance strip and a ruler. It is judged by eye and is not a contract proof.

pub mod candidates;
pub mod file;
pub mod layout;
pub mod note;
pub mod overview;
pub mod places;
pub mod ranking;
pub mod remarks;
pub mod sheet;
pub mod sheets;
pub mod words;
pub mod write;

mod canvas;
mod draw;
mod targets;

pub use sheet::{DrawnSheet, Piece, TestSheet, TestStrip};
