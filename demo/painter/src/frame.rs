//! The requirements of a picture besides its scene.
use crate::colour_space::ColourSpace;

/// Size, lens shift and colour space of a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Width in pixels.
    pub width_px: usize,
    /// Height in pixels.
    pub height_px: usize,
    /// Shift of the whole picture right and down without turning the camera, as by a shifted lens: one step is exact to
    /// the pixel, and perspective does not change.
    pub shift_px: (f32, f32),
    /// Colour space of the encoded picture.
    pub colour_space: ColourSpace,
}

impl Frame {
    /// Creates a frame in sRGB, without shift.
    pub const fn new(width_px: usize, height_px: usize) -> Frame {
        Frame { width_px, height_px, shift_px: (0.0, 0.0), colour_space: ColourSpace::Srgb }
    }
}
