//! The small picture that a JPEG's Exif block carries: something to look at before the pixels are read.
//!
//! May be stale or cut differently; never judge from it.

use std::fs::File;
use std::io::{BufReader, Cursor};
use std::path::Path;

use image::{ImageFormat, ImageReader, Limits};

use super::facts::{Facts, Format};
use super::{exif, format};

/// Largest side of a preview that is decoded; Exif's own are 160 px wide.
const SIDE_MOST_PX: u32 = 1_024;

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

/// The Exif thumbnail of a JPEG, upright; `None` where there is none, it cannot be read, or its shape is another.
pub fn preview(path: &Path, facts: &Facts) -> Option<Preview> {
    if facts.format != Format::Jpeg {
        return None;
    }
    let block = format::exif_block(&mut BufReader::with_capacity(32 << 10, File::open(path).ok()?))?;
    let mut reader = ImageReader::with_format(Cursor::new(exif::thumbnail(block)?), ImageFormat::Jpeg);
    let mut limits = Limits::default();
    (limits.max_image_width, limits.max_image_height) = (Some(SIDE_MOST_PX), Some(SIDE_MOST_PX));
    reader.limits(limits);
    let stored = reader.decode().ok()?.into_rgb8();
    let (w, h) = stored.dimensions();
    let (width_px, height_px) = if facts.orientation.swaps_sides() { (h, w) } else { (w, h) };
    let mut rgb = Vec::with_capacity(stored.len());
    for y in 0..height_px {
        for x in 0..width_px {
            let (x, y) = facts.orientation.stored_at(x, y, width_px, height_px);
            rgb.extend_from_slice(&stored.get_pixel(x, y).0);
        }
    }
    Some(Preview { width_px, height_px, rgb })
}
