//! DEC sixel graphics: bands of six pixel rows, 256 colours.

use icy_sixel::{DiffusionMethod, MethodForLargest, MethodForRep, PixelFormat, Quality, sixel_string};
use image::RgbImage;

/// Pixel rows in a band. Source: DEC VT340 manuals; six bits a character.
const BAND_PX: u32 = 6;

/// Returns the bytes that draw a picture at the cursor; its height should be a multiple of six.
pub fn draw(picture: &RgbImage) -> Option<Vec<u8>> {
    let (width, height) = (i32::try_from(picture.width()).ok()?, i32::try_from(picture.height()).ok()?);
    let text = sixel_string(
        picture.as_raw(),
        width,
        height,
        PixelFormat::RGB888,
        DiffusionMethod::Stucki,
        MethodForLargest::Auto,
        MethodForRep::Auto,
        Quality::LOW,
    );
    text.ok().map(String::into_bytes)
}

/// Rounds a height down to whole bands, so that no band spills into the row below the picture.
pub fn rounded(height_px: u32) -> u32 {
    (height_px / BAND_PX * BAND_PX).max(BAND_PX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::picture::scale::scaled;
    use crate::tui::tests::order::thumbnail;

    #[test]
    fn a_picture_has_as_many_bands_as_its_height_asks_for() {
        let text = String::from_utf8(draw(&scaled(&thumbnail("a", 64, 48), 32, 24)).unwrap()).unwrap();
        assert!(text.starts_with("\x1bP") && text.trim_end().ends_with("\x1b\\"), "{text:.40}");
        assert!(text.contains("\"1;1;32;24"), "{text:.60}");
        // Source: a `-` goes to the next band (DEC sixel control codes).
        let bands = text.matches('-').count();
        assert!((3..=4).contains(&bands), "{bands}");
    }

    #[test]
    fn heights_are_whole_bands() {
        assert_eq!((rounded(340), rounded(6), rounded(3)), (336, 6, 6));
    }
}
