//! Pixels to evidence: what is counted from the pixels alone, once per file content, whatever the brief.
//!
//! Knows no brief, no file, no clock; gives the same numbers for every band height and thread count.

use crate::picture::Fault;
use crate::picture::facts::Orientation;
use crate::picture::pixels::{Bands, Samples};

pub mod evidence;

mod alpha;
mod small;

pub use evidence::{Counted, EVIDENCE_VERSION, Evidence, Thumbnail};

/// Reads all bands once and counts what is counted; `orientation` turns the small picture upright.
///
/// # Errors
/// The picture cannot be decoded to its last row.
pub fn measure(bands: &mut dyn Bands, orientation: Orientation) -> Result<Counted, Fault> {
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
    Ok(Counted { alpha_hides: alpha.share(), thumbnail: small.upright(orientation).into() })
}

#[cfg(test)]
mod tests;
