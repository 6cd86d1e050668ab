//! What was asked: a TOML file, with a picture list in CSV beside it if wanted, read into checked values.
//!
//! Knows no picture, no rule's arithmetic, no clock. Rule names are handed in, so that rules stay below.

pub mod asked;
pub mod picks;
pub mod problem;

pub use asked::{Asked, Brief, Print, PrintId};
pub use problem::Problem;
