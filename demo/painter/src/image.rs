//! Finished pictures in memory.
use crate::colour_space::ColourSpace;

/// A rectangle of an image, in px.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rect {
    /// Distance from the image's left side.
    pub left: usize,
    /// Distance from its top.
    pub top: usize,
    /// Width in pixels.
    pub width_px: usize,
    /// Height in pixels.
    pub height_px: usize,
}

/// A picture in encoded RGB, 16 bits per channel, row by row.
#[derive(Clone, Debug, PartialEq)]
pub struct Image {
    /// Width in pixels.
    pub width_px: usize,
    /// Height in pixels.
    pub height_px: usize,
    /// The colour space of the levels.
    pub colour_space: ColourSpace,
    rgb16: Vec<u16>,
}

impl Image {
    /// Creates an image from these rows, `3 * width_px * height_px` levels.
    pub fn new(width_px: usize, height_px: usize, colour_space: ColourSpace, rgb16: Vec<u16>) -> Image {
        Image { width_px, height_px, colour_space, rgb16 }
    }

    /// Returns all levels: red, green and blue, pixel by pixel.
    pub fn rgb16(&self) -> &[u16] {
        &self.rgb16
    }

    /// Returns all levels, to be changed in place.
    pub fn rgb16_mut(&mut self) -> &mut [u16] {
        &mut self.rgb16
    }

    /// Returns the levels rounded to 8 bits.
    pub fn to_rgb8(&self) -> Vec<u8> {
        self.rgb16.iter().map(|&level| ((u32::from(level) + 128) / 257) as u8).collect()
    }

    /// Returns a part of the image; `rect` must be inside it.
    pub fn crop(&self, rect: Rect) -> Image {
        let row = |y: usize| {
            let from = ((rect.top + y) * self.width_px + rect.left) * 3;
            &self.rgb16[from..from + rect.width_px * 3]
        };
        let rgb16 = (0..rect.height_px).flat_map(row).copied().collect();
        Image::new(rect.width_px, rect.height_px, self.colour_space, rgb16)
    }

    /// Rotates a quarter turn to the left: the image's right side becomes its top.
    pub fn rotate_left(&self) -> Image {
        let (width_px, height_px) = (self.height_px, self.width_px);
        let mut rgb16 = Vec::with_capacity(self.rgb16.len());
        for y in 0..height_px {
            for x in 0..width_px {
                let from = (x * self.width_px + self.width_px - 1 - y) * 3;
                rgb16.extend_from_slice(&self.rgb16[from..from + 3]);
            }
        }
        Image::new(width_px, height_px, self.colour_space, rgb16)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Creates distinct levels throughout.
    fn numbered(width_px: usize, height_px: usize) -> Image {
        let rows = (0..3 * width_px * height_px).map(|i| i as u16).collect();
        Image::new(width_px, height_px, ColourSpace::Srgb, rows)
    }

    #[test]
    fn a_part_is_the_same_pixels_and_a_quarter_turn_comes_round() {
        let whole = numbered(20, 30);
        let part = whole.crop(Rect { left: 5, top: 7, width_px: 4, height_px: 3 });
        assert_eq!((part.width_px, part.height_px, part.rgb16().len()), (4, 3, 36));
        assert_eq!(part.rgb16()[..12], whole.rgb16()[(7 * 20 + 5) * 3..(7 * 20 + 9) * 3]);
        let turned = whole.rotate_left();
        assert_eq!((turned.width_px, turned.height_px), (30, 20));
        assert_eq!(turned.rgb16()[..3], whole.rgb16()[19 * 3..20 * 3]);
        assert_eq!(turned.rotate_left().rotate_left().rotate_left(), whole);
    }

    #[test]
    fn eight_bits_are_the_rounded_sixteen() {
        let image = Image::new(2, 1, ColourSpace::Srgb, vec![65535, 65535, 65535, 0, 128, 129]);
        assert_eq!(image.to_rgb8(), [255, 255, 255, 0, 0, 1]);
    }
}
