//! Rules on the file itself.

pub mod bytes;
pub mod credit;
pub mod depth;
pub mod format;
pub mod jpeg_quality;
pub mod layers;
pub mod location;
pub mod name;
pub mod orientation;
pub mod readable;
