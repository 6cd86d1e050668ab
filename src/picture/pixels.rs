//! Pixels in bands of whole rows, as stored: own model, own depth, before the orientation tag.

use super::Fault;
use super::facts::ColourModel;

/// The layout of a picture's samples.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SampleLayout {
    /// Stored width in pixels.
    pub width_px: u32,
    /// Stored height in pixels.
    pub height_px: u32,
    /// RGB, grey or CMYK; inks count from no ink (0) upwards, whatever the file's habit.
    pub model: ColourModel,
    /// True if an alpha sample follows the colour samples; 0 is transparent.
    pub has_alpha: bool,
}

impl SampleLayout {
    /// Samples of colour in a pixel, without alpha.
    pub const fn colours(self) -> usize {
        self.model.channels()
    }

    /// Samples in a pixel.
    pub const fn channels(self) -> usize {
        self.colours() + self.has_alpha as usize
    }

    /// Samples in a row.
    pub const fn row_len(self) -> usize {
        self.width_px as usize * self.channels()
    }
}

/// Samples of a band, interleaved.
#[derive(Clone, Copy, Debug)]
pub enum Samples<'a> {
    /// 8 bits each.
    Eight(&'a [u8]),
    /// 16 bits each, full range.
    Sixteen(&'a [u16]),
}

/// Some whole rows of a picture.
#[derive(Clone, Copy, Debug)]
pub struct Band<'a> {
    /// The first row's number, from 0.
    pub first_row: u32,
    /// Rows in the band; at least 1.
    pub rows: u32,
    /// `rows x layout.row_len()` samples.
    pub samples: Samples<'a>,
}

/// A picture whose rows are read once, from top to bottom.
pub trait Bands {
    /// Returns the layout, the same for every band.
    fn layout(&self) -> SampleLayout;

    /// Returns the next rows, or `None` after the last. Bands follow one another without a gap and together are the
    /// whole picture; how many rows a band has is the format's choice.
    ///
    /// # Errors
    /// Says why the picture cannot be decoded to its last row.
    fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault>;

    /// Called before the first band: gives every other band to a second reader, so that both can decode at the same
    /// time; `None` where rows only come one after another. From then on this one's bands are the first, the third and
    /// so on.
    fn share(&mut self) -> Option<Box<dyn Bands + Send>> {
        None
    }
}

/// Memory that a worker keeps from picture to picture, so that the system need not clear fresh pages each time.
#[derive(Debug, Default)]
pub struct Buffers {
    /// A file read whole.
    pub(super) file: Vec<u8>,
    /// 8-bit samples.
    pub(super) samples: Vec<u8>,
    /// 16-bit samples.
    pub(super) wide: Vec<u16>,
}

impl Buffers {
    /// Returns the bytes held.
    pub fn bytes(&self) -> usize {
        self.file.capacity() + self.samples.capacity() + 2 * self.wide.capacity()
    }

    /// Gives memory back if more than `most` bytes are held.
    pub fn shrink_to(&mut self, most: usize) {
        if self.bytes() > most {
            *self = Buffers::default();
        }
    }
}
