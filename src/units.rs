//! Lengths, sizes, densities and shares, kept exact, and the only code that rounds and formats numbers.
//!
//! Knows nothing of briefs, files or rules, and does no I/O.

pub mod bytes;
pub mod density;
#[cfg(test)]
pub mod growth;
pub mod length;
pub mod share;
pub mod show;
pub mod size;
pub mod spelling;
pub mod styled;
pub mod vectors;
pub mod words;

pub use density::Ppi;
pub use length::{Length, LengthUnit};
pub use share::Share;
pub use size::Size;
