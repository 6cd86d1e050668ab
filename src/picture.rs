//! A picture file: facts from its header, and its pixels in bands of rows. The only user of the decoders.
//!
//! Knows no brief and judges nothing. Facts never depend on whether the pixels can be decoded.

pub mod capture_time;
pub mod claim;
pub mod cutout;
pub mod decode_ahead;
pub mod facts;
pub mod fault;
pub mod join;
pub mod key;
pub mod limits;
pub mod orientation;
pub mod pixels;
pub mod tiff_undefined;
pub mod unlisted;

mod exif;
mod iptc;
mod metadata;
mod preview;
mod xmp;

mod format;

pub use capture_time::CaptureTime;
pub use facts::Facts;
pub use fault::{Fault, FaultKind};
pub use format::{Opened, open_pixels, profile_bytes, read_facts, read_facts_from};
pub use key::PictureKey;
pub use limits::decoded_bytes;
pub use pixels::Buffers;
pub use preview::{Preview, jpeg, preview};
