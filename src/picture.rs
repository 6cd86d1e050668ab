//! What was delivered: a file's facts from its header, and its pixels in bands of rows. The only user of the decoders.
//!
//! Knows no brief and judges nothing. Facts never depend on whether the pixels can be decoded.

pub mod facts;
pub mod fault;
pub mod key;
pub mod pixels;

pub use facts::Facts;
pub use fault::{Fault, FaultKind};
pub use key::PictureKey;
