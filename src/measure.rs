//! Pixels to evidence: what is counted from the pixels alone, once per file content, whatever the brief.
//!
//! Knows no brief, no file, no clock; gives the same numbers for every band height and thread count.

use crate::colour::ToScreen;
use crate::picture::Fault;
use crate::picture::facts::Orientation;
use crate::picture::pixels::{Bands, Samples};

pub mod evidence;

mod alpha;
mod grid;
mod small;

pub use evidence::{EVIDENCE_VERSION, Evidence, Thumbnail};
pub use grid::Grid;

use evidence::{Clipped, Detail, Look};

/// What the samples of a picture mean, by its own encoding or profile.
#[derive(Clone, Copy)]
pub struct Meaning<'a> {
    /// L* of a neutral pixel of each luma code; `None` where that cannot be told.
    pub lightness: Option<&'a [f32; 256]>,
    /// Its colours as a screen shows them; `None` where they cannot be told.
    pub to_screen: Option<&'a ToScreen>,
}

/// Reads all bands once and counts what is counted, of the file with this SHA-256; `orientation` turns it upright.
///
/// # Errors
/// The picture cannot be decoded to its last row.
pub fn measure(
    sha256: String,
    bands: &mut dyn Bands,
    orientation: Orientation,
    meaning: Meaning<'_>,
) -> Result<Evidence, Fault> {
    let layout = bands.layout();
    let mut small = small::Small::new(layout);
    let mut alpha = alpha::Hidden::new(layout);
    while let Some(band) = bands.next_band()? {
        match band.samples {
            Samples::Eight(samples) => {
                alpha.add(samples, u8::MAX);
                small.add(samples);
            }
            Samples::Sixteen(samples) => {
                alpha.add(samples, u16::MAX);
                small.add(samples);
            }
        }
    }
    let _ = meaning;
    Ok(Evidence {
        sha256,
        alpha_hides: alpha.share(),
        thumbnail: small.upright(orientation).into(),
        tone: None,
        clipped: Clipped::default(),
        places: Grid::default(),
        detail: Detail::default(),
        look: Look::default(),
    })
}

#[cfg(test)]
mod tests;
