//! From a thumbnail to the bytes that show it: scaled to the cells it takes, encoded, and kept under a number of bytes.

use image::imageops::{self, FilterType};
use image::{ImageBuffer, Rgb, RgbImage};

use crate::live::snapshot::ShownThumbnail;
use crate::tui::picture::overlay::{Overlay, StrokeWidth, overlaid};
use crate::tui::picture::{Protocol, iterm, kitty, sixel};

/// Most pixels a side: xterm draws no sixel picture at all beyond it (own trial, xterm 379), and thumbnails have no
/// more to give.
pub const MOST_PX: u32 = 1000;
/// How far a preview fades towards grey, in quarters, so that it is not taken for the picture. Own choice.
const FADED_QUARTERS: u16 = 2;
/// The grey that previews fade towards.
const FADED_TO: u16 = 128;

/// A picture to encode.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct EncodeTarget {
    /// How.
    pub protocol: Protocol,
    /// Columns and rows it takes.
    pub cells: (u16, u16),
    /// A cell in pixels.
    pub cell_px: (u16, u16),
    /// Most bytes.
    pub most_bytes: usize,
}

/// The bytes that draw a thumbnail with its overlay at the cursor; `None` where it cannot be done in so many bytes.
pub fn encode(thumbnail: &ShownThumbnail, overlay: &Overlay, target: &EncodeTarget) -> Option<Vec<u8>> {
    let wanted = |cells: u16, px: u16| (u32::from(cells) * u32::from(px.max(1))).clamp(1, MOST_PX);
    let mut width = wanted(target.cells.0, target.cell_px.0);
    let mut height = wanted(target.cells.1, target.cell_px.1);
    let pen = StrokeWidth::graphics(target.cell_px);
    let shown = |width, height| overlaid(thumbnail, overlay, (width, height), pen);
    loop {
        let bytes = match target.protocol {
            Protocol::Kitty => kitty::draw(&shown(width, height), target.cells),
            Protocol::Iterm => iterm::draw(&shown(width, height), target.cells),
            Protocol::Sixel => sixel::draw(&shown(width, sixel::rounded(height))),
            Protocol::Blocks | Protocol::Off => None,
        }?;
        if bytes.len() <= target.most_bytes {
            return Some(bytes);
        }
        // Sixel pixels are the screen's: a smaller picture would leave its cells half empty. Half blocks stay then.
        if target.protocol == Protocol::Sixel || width.min(height) < 2 {
            return None;
        }
        (width, height) = (width / 2, height / 2);
    }
}

/// A thumbnail scaled to exactly so many pixels; previews fade. A thumbnail whose bytes do not match its size is
/// grey.
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
    if thumbnail.preview {
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
    use crate::tui::tests::desk::thumbnail;

    fn target(protocol: Protocol, most_bytes: usize) -> EncodeTarget {
        EncodeTarget { protocol, cells: (40, 20), cell_px: (8, 17), most_bytes }
    }

    #[test]
    fn pictures_are_halved_until_they_fit() {
        let noisy = thumbnail("a", 640, 480);
        for protocol in [Protocol::Kitty, Protocol::Iterm] {
            let whole = encode(&noisy, &Overlay::default(), &target(protocol, usize::MAX)).unwrap();
            let halved = encode(&noisy, &Overlay::default(), &target(protocol, whole.len() / 2)).unwrap();
            assert!(halved.len() <= whole.len() / 2 && !halved.is_empty());
        }
        assert_eq!(encode(&noisy, &Overlay::default(), &target(Protocol::Sixel, 100)), None);
        assert_eq!(encode(&noisy, &Overlay::default(), &target(Protocol::Kitty, 10)), None);
    }

    #[test]
    fn a_preview_fades_and_a_broken_thumbnail_is_grey() {
        let mut white = ShownThumbnail { width_px: 2, height_px: 2, rgb: vec![255; 12], ..thumbnail("a", 1, 1) };
        white.preview = true;
        assert_eq!(scaled(&white, 1, 1).get_pixel(0, 0).0, [191; 3]);
        white.preview = false;
        white.rgb.pop();
        assert_eq!(scaled(&white, 1, 1).get_pixel(0, 0).0, [128; 3]);
    }
}
