//! What gives the samples of a picture their meaning.

use crate::colour::{NumberConversion, ToScreen};

/// What the samples of a picture mean, by its own encoding or profile.
#[derive(Clone, Copy)]
pub struct SampleMeaning<'a> {
    /// L* of a neutral pixel of each luma code.
    pub lightness: &'a [f32; 256],
    /// Its colours as a screen shows them.
    pub to_screen: &'a ToScreen,
    /// Its colours as codes that questions can be asked of.
    pub to_numbers: &'a NumberConversion,
}
