//! What is known of a picture once its pixels were read to the last row.

use std::sync::Arc;

use crate::picture::facts::Model;

/// Rises whenever the same pixels would give other evidence, so that stored evidence of an older program is counted
/// anew.
pub const EVIDENCE_VERSION: u32 = 1;

/// Counted once per file content.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// SHA-256 of the file's bytes, lower-case hexadecimal.
    pub sha256: String,
    /// Share of pixels that the alpha channel hides or thins (alpha below full); `None` without alpha.
    pub alpha_hides: Option<f64>,
    /// The small upright picture, in the picture's own encoding.
    pub thumbnail: Arc<Thumbnail>,
}

/// What one reading of the pixels gives, before it is tied to a file's content.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// As in [`Evidence`].
    pub alpha_hides: Option<f64>,
    /// As in [`Evidence`].
    pub thumbnail: Arc<Thumbnail>,
}

impl Counted {
    /// Evidence of the file with this SHA-256.
    pub fn of_file(self, sha256: String) -> Evidence {
        Evidence { sha256, alpha_hides: self.alpha_hides, thumbnail: self.thumbnail }
    }
}

/// A small upright picture in the picture's own encoding; 8 bits, alpha left out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Thumbnail {
    /// Width in pixels, at most 1024.
    pub width_px: u32,
    /// Height in pixels, at most 1024.
    pub height_px: u32,
    /// RGB, grey or CMYK.
    pub model: Model,
    /// Interleaved samples; inks count from no ink (0) upwards.
    pub samples: Vec<u8>,
}
