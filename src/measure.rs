//! Pixels to evidence: what is counted from the pixels alone, once per file content, whatever the brief.
//!
//! Knows no brief, no file, no clock; gives the same numbers for every band height and thread count.

pub mod evidence;
mod reduce;

pub use evidence::{Evidence, Thumbnail};

use std::sync::Arc;

use crate::measure::reduce::Reduction;
use crate::picture::Fault;
use crate::picture::facts::Orientation;
use crate::picture::pixels::{Bands, Layout, Samples};

/// Counts up whenever the same pixels would give other evidence.
pub const EVIDENCE_VERSION: u32 = 1;

/// What the pixels gave; with the file's digest it is [`Evidence`].
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// Share of pixels that the alpha channel hides or thins; `None` without alpha.
    pub alpha_hides: Option<f64>,
    /// The small upright picture.
    pub thumbnail: Arc<Thumbnail>,
}

impl Counted {
    /// Evidence of the content with this SHA-256 (lower-case hexadecimal).
    pub fn of_content(self, sha256: String) -> Evidence {
        Evidence { sha256, alpha_hides: self.alpha_hides, thumbnail: self.thumbnail }
    }
}

/// Reads a picture to its last row and counts. `orientation` says how the thumbnail is turned upright.
///
/// # Errors
/// Says why the picture cannot be decoded to its last row.
pub fn measure(bands: &mut dyn Bands, orientation: Orientation) -> Result<Counted, Fault> {
    let layout = bands.layout();
    let mut reduction = Reduction::new(layout);
    let mut alpha = layout.alpha.then(|| AlphaCount::new(layout));
    let mut eight = Vec::new();
    while let Some(band) = bands.next_band()? {
        let samples = match band.samples {
            Samples::Eight(samples) => samples,
            Samples::Sixteen(samples) => {
                eight.clear();
                eight.extend(samples.iter().map(|&sample| high_byte_rounded(sample)));
                &eight
            }
        };
        if let Some(alpha) = &mut alpha {
            alpha.add(band.samples);
        }
        samples.chunks_exact(layout.row_len()).for_each(|row| reduction.add_row(row));
    }
    Ok(Counted {
        alpha_hides: alpha.map(|alpha| alpha.share()),
        thumbnail: Arc::new(reduction.finish().upright(orientation)),
    })
}

/// 16 bits to the nearest of 8: 65535 / 255 = 257 steps each.
fn high_byte_rounded(sample: u16) -> u8 {
    ((u32::from(sample) + 128) / 257) as u8
}

/// Counts pixels that are not fully opaque.
struct AlphaCount {
    channels: usize,
    thinned: u64,
    pixels: u64,
}

impl AlphaCount {
    fn new(layout: Layout) -> AlphaCount {
        AlphaCount { channels: layout.channels(), thinned: 0, pixels: 0 }
    }

    fn add(&mut self, samples: Samples) {
        let (thinned, pixels) = match samples {
            Samples::Eight(samples) => thinned(samples, self.channels, u8::MAX),
            Samples::Sixteen(samples) => thinned(samples, self.channels, u16::MAX),
        };
        self.thinned += thinned;
        self.pixels += pixels;
    }

    fn share(&self) -> f64 {
        self.thinned as f64 / self.pixels.max(1) as f64
    }
}

fn thinned<S: Copy + PartialEq>(samples: &[S], channels: usize, full: S) -> (u64, u64) {
    let alphas = samples.iter().skip(channels - 1).step_by(channels);
    alphas.fold((0, 0), |(thinned, pixels), alpha| (thinned + u64::from(*alpha != full), pixels + 1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::facts::Model;
    use crate::picture::pixels::Band;

    /// A picture in memory that hands out bands of a chosen height.
    struct Painted<S> {
        layout: Layout,
        samples: Vec<S>,
        band_rows: u32,
        next_row: u32,
    }

    trait Held: Sized {
        fn held(samples: &[Self]) -> Samples<'_>;
    }

    impl Held for u8 {
        fn held(samples: &[u8]) -> Samples<'_> {
            Samples::Eight(samples)
        }
    }

    impl Held for u16 {
        fn held(samples: &[u16]) -> Samples<'_> {
            Samples::Sixteen(samples)
        }
    }

    impl<S: Held> Bands for Painted<S> {
        fn layout(&self) -> Layout {
            self.layout
        }

        fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
            let rows = self.band_rows.min(self.layout.height_px - self.next_row);
            if rows == 0 {
                return Ok(None);
            }
            let (first_row, row_len) = (self.next_row, self.layout.row_len());
            self.next_row += rows;
            let samples = &self.samples[first_row as usize * row_len..self.next_row as usize * row_len];
            Ok(Some(Band { first_row, rows, samples: S::held(samples) }))
        }
    }

    fn noise(layout: Layout) -> Vec<u8> {
        let mut state = 7_u32;
        let next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) as u8
        };
        std::iter::repeat_with(next).take(layout.row_len() * layout.height_px as usize).collect()
    }

    fn rgb(width_px: u32, height_px: u32) -> Layout {
        Layout { width_px, height_px, model: Model::Rgb, alpha: false }
    }

    fn counted<S: Held>(layout: Layout, samples: Vec<S>, band_rows: u32, tag: u32) -> Counted {
        let mut painted = Painted { layout, samples, band_rows, next_row: 0 };
        measure(&mut painted, Orientation::from_tag(tag).unwrap()).unwrap()
    }

    #[test]
    fn the_height_of_the_bands_changes_nothing() {
        let layout = rgb(2_051, 133);
        let whole = counted(layout, noise(layout), layout.height_px, 1);
        for band_rows in [1, 7, 8, 64] {
            assert_eq!(counted(layout, noise(layout), band_rows, 1), whole, "{band_rows} rows");
        }
    }

    #[test]
    fn sixteen_bits_give_the_thumbnail_of_eight() {
        let layout = rgb(40, 30);
        let wide: Vec<u16> = noise(layout).iter().map(|&v| u16::from(v) * 257).collect();
        assert_eq!(counted(layout, wide, 8, 1), counted(layout, noise(layout), 8, 1));
    }

    #[test]
    fn the_thumbnail_is_small_and_upright() {
        let layout = rgb(3_000, 2_000);
        let thumbnail = counted(layout, vec![128_u8; layout.row_len() * 2_000], 8, 6).thumbnail;
        assert_eq!((thumbnail.width_px, thumbnail.height_px), (667, 1_000));
        assert!(thumbnail.samples.iter().all(|&v| v == 128));
    }

    #[test]
    fn alpha_counts_the_pixels_it_thins_and_is_left_out_of_the_thumbnail() {
        let layout = Layout { alpha: true, ..rgb(4, 1) };
        let samples: Vec<u8> = vec![9, 9, 9, 255, 9, 9, 9, 254, 9, 9, 9, 0, 9, 9, 9, 255];
        let counted = counted(layout, samples, 8, 1);
        assert_eq!(counted.alpha_hides, Some(0.5));
        assert_eq!(counted.thumbnail.samples, vec![9; 12]);
    }
}
