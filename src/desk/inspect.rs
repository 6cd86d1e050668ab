//! One picture end to end, for the live desk and for the run without a screen: header, pixels, thumbnail. The only
//! file of the desk that reads pictures.
//!
//! Knows no row, no rule and no thread; what it holds belongs to the one worker that made it.

use std::path::Path;
use std::sync::Arc;

use crate::measure::{Evidence, Thumbnail};
use crate::picture::{Facts, Fault};

/// A small upright picture in sRGB, 8 bits a channel.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Upright {
    /// Width in pixels.
    pub width_px: u32,
    /// Height in pixels.
    pub height_px: u32,
    /// Red, green, blue, row by row.
    pub rgb: Vec<u8>,
}

/// What a worker can do with a picture. Each worker has its own, with buffers and transforms that it uses again.
pub trait Inspector {
    /// The facts, from the header alone.
    ///
    /// # Errors
    /// Why the header cannot be read.
    fn facts(&mut self, path: &Path) -> Result<Facts, Fault>;

    /// How much memory reading the pixels takes at most, in bytes, estimated from the header.
    fn memory_bytes(&self, facts: &Facts) -> u64;

    /// The evidence, with the thumbnail, from all pixels.
    ///
    /// # Errors
    /// Why they cannot be read to the last row.
    fn evidence(&mut self, path: &Path, facts: &Facts) -> Result<Evidence, Fault>;

    /// The preview that the file carries, if it has one.
    fn preview(&mut self, path: &Path, facts: &Facts) -> Option<Upright>;

    /// A thumbnail as a screen shows it; `None` where its colours cannot be told.
    fn to_screen(&mut self, thumbnail: &Thumbnail, facts: &Facts) -> Option<Upright>;
}

/// Makes an inspector on the thread that will use it.
pub type MakeInspector = Arc<dyn Fn() -> Box<dyn Inspector> + Send + Sync>;
