//! Rules on lightness.

pub mod dark;
pub mod highlights;
pub mod paper;
pub mod shadows;
