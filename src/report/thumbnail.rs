//! Thumbnails on pages: small upright JPEGs in sRGB.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use image::RgbImage;
use image::imageops;
use jpeg_encoder::{ColorType, Encoder};

use crate::reading::checked::CheckedFile;
use crate::reading::inspect::{FileInspector, Inspector, UprightThumbnail};

/// JPEG quality of the thumbnails: for recognising, not for judging. Own choice.
const QUALITY: u8 = 82;

/// A thumbnail as a JPEG.
#[derive(Clone, Debug)]
pub struct JpegThumbnail {
    /// The file's bytes.
    pub bytes: Vec<u8>,
    /// Width and height in pixels.
    pub size_px: (u32, u32),
}

impl JpegThumbnail {
    /// Returns the thumbnail as a `data:` URL, so that a page needs no other file.
    pub fn data_url(&self) -> String {
        format!("data:image/jpeg;base64,{}", STANDARD.encode(&self.bytes))
    }
}

/// Returns a picture's thumbnail of at most `max_side_px` pixels a side; `None` if its pixels could not be read.
pub fn of(file: &CheckedFile, max_side_px: u32) -> Option<JpegThumbnail> {
    let (facts, evidence) = (file.submission.facts()?, file.submission.evidence()?);
    encode(FileInspector::default().to_screen(&file.path, &evidence.thumbnail, facts)?, max_side_px)
}

/// Shrinks a thumbnail so that neither side is longer than this, and encodes it; never enlarges.
fn encode(upright: UprightThumbnail, max_side_px: u32) -> Option<JpegThumbnail> {
    let (width, height) = (upright.width_px, upright.height_px);
    let longest = width.max(height);
    let pixels = RgbImage::from_raw(width, height, upright.rgb)?;
    let pixels = if longest > max_side_px {
        let side = |px: u32| (px * max_side_px / longest).max(1);
        imageops::thumbnail(&pixels, side(width), side(height))
    } else {
        pixels
    };
    let size_px = pixels.dimensions();
    let (across, down) = (u16::try_from(size_px.0).ok()?, u16::try_from(size_px.1).ok()?);
    let mut bytes = Vec::new();
    Encoder::new(&mut bytes, QUALITY).encode(pixels.as_raw(), across, down, ColorType::Rgb).ok()?;
    Some(JpegThumbnail { bytes, size_px })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thumbnail_is_made_smaller_in_its_shape_and_never_larger() {
        let upright = UprightThumbnail { width_px: 900, height_px: 600, rgb: vec![90; 900 * 600 * 3] };
        let size = |max_side_px| encode(upright.clone(), max_side_px).unwrap().size_px;
        assert_eq!((size(480), size(900), size(2_000)), ((480, 320), (900, 600), (900, 600)));
        let thin = UprightThumbnail { width_px: 1_000, height_px: 1, rgb: vec![90; 1_000 * 3] };
        let small = encode(thin, 100).unwrap();
        assert_eq!(small.size_px, (100, 1));
        assert!(small.data_url().starts_with("data:image/jpeg;base64,/9j/"));
    }

    #[test]
    fn nothing_is_made_of_pixels_that_are_not_there() {
        assert!(encode(UprightThumbnail { width_px: 4, height_px: 4, rgb: Vec::new() }, 480).is_none());
    }
}
