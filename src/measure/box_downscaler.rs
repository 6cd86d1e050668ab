//! The small picture: boxes of whole pixels, averaged band by band.
//!
//! Code values are averaged as they are, as image viewers do when they scale: the small picture is for looking, it
//! looks like the viewer's, and for inks and L* curves a plain mean is right anyway. A mean of light would cost twice
//! the time.

use crate::measure::Thumbnail;
use crate::picture::facts::Orientation;
use crate::picture::pixels::SampleLayout;
use crate::units::vectors::widest;

/// Longest side of a thumbnail: enough for a terminal in full screen, 3 MB.
pub const MAX_SIDE_PX: u32 = 1_024;

/// A sample of 8 or 16 bits.
pub trait PixelSample: Copy {
    /// The greatest value.
    const MAX: u64;

    /// Returns it as a number.
    fn number(self) -> u32;

    /// Returns the sum of four.
    fn four(samples: [Self; 4]) -> u32;
}

impl PixelSample for u8 {
    const MAX: u64 = 255;

    fn number(self) -> u32 {
        self.into()
    }

    fn four([a, b, c, d]: [u8; 4]) -> u32 {
        // In 16 bits twice as many fit a register.
        let [a, b, c, d] = [a, b, c, d].map(u16::from);
        (a + b + c + d).into()
    }
}

impl PixelSample for u16 {
    const MAX: u64 = 65_535;

    fn number(self) -> u32 {
        self.into()
    }

    fn four(samples: [u16; 4]) -> u32 {
        samples.into_iter().map(u32::from).sum()
    }
}

/// Averages boxes of pixels band by band.
pub struct BoxDownscaler {
    layout: SampleLayout,
    /// Pixels a side of a box.
    side: usize,
    /// Sums of each sample's column over the rows of the box so far. A side is at most 1,000,000 px
    /// (`picture/limits.rs`), so a box has at most 977 rows, and their 16-bit sum stays far below 2^32.
    sums: Vec<u32>,
    rows: usize,
    rows_seen: usize,
    /// What lies in each box of a row, colour by colour: whole numbers.
    totals: Vec<f64>,
    stored: Vec<u8>,
}

impl BoxDownscaler {
    /// Creates a downscaler for pictures of this layout.
    pub fn new(layout: SampleLayout) -> BoxDownscaler {
        let longest = layout.width_px.max(layout.height_px);
        let side = longest.div_ceil(MAX_SIDE_PX).max(1) as usize;
        let across = (layout.width_px as usize).div_ceil(side);
        let down = (layout.height_px as usize).div_ceil(side);
        BoxDownscaler {
            layout,
            side,
            sums: vec![0; layout.row_len()],
            rows: 0,
            rows_seen: 0,
            totals: Vec::new(),
            stored: Vec::with_capacity(across * down * layout.colours()),
        }
    }

    /// Takes some whole rows.
    pub fn add<S: PixelSample>(&mut self, samples: &[S]) {
        let row_len = self.layout.row_len();
        let mut rest = samples;
        while rest.len() >= row_len {
            let left = (self.side - self.rows).min(self.layout.height_px as usize - self.rows_seen);
            // Four rows at once: the sums are fetched and stored once instead of four times.
            let taken = if left >= 4 && rest.len() >= 4 * row_len {
                let (four, after) = rest.split_at(4 * row_len);
                add_four(&mut self.sums, four);
                rest = after;
                4
            } else {
                let (row, after) = rest.split_at(row_len);
                self.sums.iter_mut().zip(row).for_each(|(sum, sample)| *sum += sample.number());
                rest = after;
                1
            };
            self.rows += taken;
            self.rows_seen += taken;
            if self.rows == self.side || self.rows_seen == self.layout.height_px as usize {
                self.close_boxes(S::MAX);
            }
        }
    }

    fn close_boxes(&mut self, most: u64) {
        match self.layout.channels() {
            1 => self.close_boxes_of::<1>(most),
            2 => self.close_boxes_of::<2>(most),
            3 => self.close_boxes_of::<3>(most),
            4 => self.close_boxes_of::<4>(most),
            _ => self.close_boxes_of::<5>(most),
        }
        self.sums.fill(0);
        self.rows = 0;
    }

    fn close_boxes_of<const CHANNELS: usize>(&mut self, most: u64) {
        let colours = self.layout.colours();
        let pixels = self.sums.as_chunks::<CHANNELS>().0;
        let whole = pixels.len() / self.side * self.side;
        // The last box of a row may be narrower.
        for (pixels, across) in [(&pixels[..whole], self.side), (&pixels[whole..], pixels.len() - whole)] {
            let boxes = pixels.chunks_exact(across.max(1));
            self.totals.resize(boxes.len() * colours, 0.0);
            for (found, one) in self.totals.chunks_exact_mut(colours).zip(boxes) {
                let mut totals = [0u64; CHANNELS];
                for pixel in one {
                    totals.iter_mut().zip(pixel).for_each(|(total, sum)| *total += u64::from(*sum));
                }
                found.iter_mut().zip(totals).for_each(|(found, total)| *found = total as f64);
            }
            let full = ((across * self.rows) as u64 * most) as f64;
            let from = self.stored.len();
            self.stored.resize(from + self.totals.len(), 0);
            widest(
                #[inline(always)]
                || {
                    for (code, total) in self.stored[from..].iter_mut().zip(&self.totals) {
                        *code = nearest_code(*total, full);
                    }
                },
            );
        }
    }

    /// Returns the small picture, turned upright.
    pub fn upright(self, orientation: Orientation) -> Thumbnail {
        let colours = self.layout.colours();
        let across = self.layout.width_px.div_ceil(self.side as u32);
        let down = self.layout.height_px.div_ceil(self.side as u32);
        let (width_px, height_px) = if orientation.swaps_sides() { (down, across) } else { (across, down) };
        let model = self.layout.model;
        if orientation == Orientation::UPRIGHT {
            return Thumbnail { width_px, height_px, model, samples: self.stored };
        }
        let mut samples = Vec::with_capacity(self.stored.len());
        for y in 0..height_px {
            for x in 0..width_px {
                let (x, y) = orientation.stored_at(x, y, width_px, height_px);
                let at = (y as usize * across as usize + x as usize) * colours;
                samples.extend_from_slice(&self.stored[at..at + colours]);
            }
        }
        Thumbnail { width_px, height_px, model, samples }
    }
}

fn add_four<S: PixelSample>(sums: &mut [u32], rows: &[S]) {
    let (upper, lower) = rows.split_at(2 * sums.len());
    let ((a, b), (c, d)) = (upper.split_at(sums.len()), lower.split_at(sums.len()));
    widest(
        #[inline(always)]
        || {
            for ((((sum, a), b), c), d) in sums.iter_mut().zip(a).zip(b).zip(c).zip(d) {
                *sum += S::four([*a, *b, *c, *d]);
            }
        },
    );
}

/// Converts a share of what is full to the nearest of 256 codes, halves upwards. Both are whole numbers below 2^37: an
/// exact quotient below a whole number lies at least a 2^37th below it, so in doubles it is cut to the same code.
#[inline(always)]
fn nearest_code(total: f64, full: f64) -> u8 {
    ((total * 255.0 + (full / 2.0).floor()) / full) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_those_of_whole_numbers() {
        for full in [1, 2, 255, 81 * 255, 977 * 977 * 255, 65_535, 977 * 977 * 65_535_u64] {
            for code in 0..=255 {
                let edge = (full * (2 * code + 1)).div_ceil(510);
                for total in [edge.saturating_sub(1), edge, edge + 1].map(|total: u64| total.min(full)) {
                    let exact = (total * 255 + full / 2) / full;
                    assert_eq!(u64::from(nearest_code(total as f64, full as f64)), exact, "{total} of {full}");
                }
            }
        }
    }
}
