//! Scales a thumbnail to the size in which it is shown.

use image::imageops::{self, FilterType};
use image::{ImageBuffer, Rgb, RgbImage};

use crate::live::snapshot::ShownThumbnail;

/// How far a preview fades towards grey, in quarters, so that it is not mistaken for the picture. Own choice.
const FADED_QUARTERS: u16 = 2;
/// The grey that previews fade towards.
const FADED_TO: u16 = 128;

/// Scales a thumbnail to exactly `width` x `height` pixels; previews fade. A thumbnail whose bytes do not match its
/// size is grey.
pub fn scaled(thumbnail: &ShownThumbnail, width: u32, height: u32) -> RgbImage {
    let source: Option<ImageBuffer<Rgb<u8>, &[u8]>> =
        ImageBuffer::from_raw(thumbnail.width_px, thumbnail.height_px, thumbnail.rgb.as_slice());
    let mut small = match source {
        Some(source) if thumbnail.width_px >= width && thumbnail.height_px >= height => {
            imageops::thumbnail(&source, width, height)
        }
        Some(source) if thumbnail.width_px > 0 && thumbnail.height_px > 0 => {
            imageops::resize(&source, width, height, FilterType::Triangle)
        }
        _ => RgbImage::from_pixel(width, height, Rgb([FADED_TO as u8; 3])),
    };
    if thumbnail.is_preview {
        let fade = |value: u8| ((u16::from(value) * (4 - FADED_QUARTERS) + FADED_TO * FADED_QUARTERS) / 4) as u8;
        for pixel in small.pixels_mut() {
            pixel.0 = pixel.0.map(fade);
        }
    }
    small
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::tests::order::thumbnail;

    #[test]
    fn a_preview_fades_and_a_broken_thumbnail_is_grey() {
        let mut white = ShownThumbnail { width_px: 2, height_px: 2, rgb: vec![255; 12], ..thumbnail("a", 1, 1) };
        white.is_preview = true;
        assert_eq!(scaled(&white, 1, 1).get_pixel(0, 0).0, [191; 3]);
        white.is_preview = false;
        white.rgb.pop();
        assert_eq!(scaled(&white, 1, 1).get_pixel(0, 0).0, [128; 3]);
    }
}
