//! The part of a picture that must survive: a box that a person drew.

mod area;
mod drawn;
pub mod typed;

pub use area::{Area, BoxOrigin, Subject, Subjects};
pub use drawn::{Carrying, DrawnBox};
