//! What is asked of a picture besides its scene.
use crate::colour_space::ColourSpace;

/// Size, lens shift and colour space of a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Pixels across.
    pub width_px: usize,
    /// Pixels from top to bottom.
    pub height_px: usize,
    /// Moves the whole picture right and down by this much without turning the camera, as a shifted lens does:
    /// one step is exact to the pixel, and perspective does not change.
    pub shift_px: (f32, f32),
    /// In which the picture is encoded.
    pub colour_space: ColourSpace,
}

impl Frame {
    /// A frame in sRGB, without shift.
    pub const fn new(width_px: usize, height_px: usize) -> Frame {
        Frame { width_px, height_px, shift_px: (0.0, 0.0), colour_space: ColourSpace::Srgb }
    }
}
