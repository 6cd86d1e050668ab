//! The small picture that a JPEG's Exif block carries: something to look at before the pixels are read.
//!
//! May be stale or cut differently; never judge from it.

use std::io::BufReader;
use std::path::Path;

use crate::files;

use super::facts::{Facts, Format};
use super::{exif, format};

/// Largest side of a preview that is decoded; Exif's own are 160 px wide.
const MAX_SIDE_PX: u32 = 1_024;

/// A small upright picture, 8-bit RGB.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Preview {
    /// Width in pixels.
    pub width_px: u32,
    /// Height in pixels.
    pub height_px: u32,
    /// Interleaved red, green, blue.
    pub rgb: Vec<u8>,
}

/// Returns the Exif thumbnail of a JPEG, upright; `None` where there is none, it cannot be read, or its shape is
/// another.
pub fn preview(path: &Path, facts: &Facts) -> Option<Preview> {
    if facts.format != Format::Jpeg {
        return None;
    }
    let block = format::exif_block(&mut BufReader::with_capacity(32 << 10, files::open(path).ok()?.0))?;
    let stored = jpeg(&exif::thumbnail(block)?, MAX_SIDE_PX)?;
    let (w, h) = (stored.width_px, stored.height_px);
    let (width_px, height_px) = if facts.orientation.swaps_sides() { (h, w) } else { (w, h) };
    let pixels = stored.rgb.as_chunks::<3>().0;
    let mut rgb = Vec::with_capacity(stored.rgb.len());
    for y in 0..height_px {
        for x in 0..width_px {
            let (x, y) = facts.orientation.stored_at(x, y, width_px, height_px);
            rgb.extend_from_slice(&pixels[y as usize * w as usize + x as usize]);
        }
    }
    Some(Preview { width_px, height_px, rgb })
}

/// Returns a JPEG of brightness or colour in memory, as it is stored; `None` where it cannot be decoded to its end or a
/// side is longer than this many pixels.
pub fn jpeg(bytes: &[u8], side_most_px: u32) -> Option<Preview> {
    let (width_px, height_px, rgb) = format::decode_small_jpeg(bytes, side_most_px as usize)?;
    Some(Preview { width_px: u32::try_from(width_px).ok()?, height_px: u32::try_from(height_px).ok()?, rgb })
}
