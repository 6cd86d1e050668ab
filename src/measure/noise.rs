//! Noise in calm places: what a mask that is blind to planes and edges finds in the flattest cells.
//!
//! Source of the mask and its scale: Immerkaer, Fast noise variance estimation, Computer Vision and Image
//! Understanding 64 (1996). The choice of cells is ours.

use std::f64::consts::PI;

use crate::units::vectors::widest;

use super::statistics::{median, percentile};

/// Pixels a side of a cell.
const CELL_PX: usize = 8;
/// Rows that a band of cells needs: one more each side.
const BAND_PX: usize = CELL_PX + 2;
/// Pixels looked at when a picture has more: every n-th band, n the square root of how many times it has them.
const PIXELS: f64 = 4e6;
/// Cells darker or lighter say little of noise: the curve squeezes it.
const MIDDLE: std::ops::Range<f32> = 50.000_1..205.0;
/// Share of cells that are the calmest, and how calm a cell is in any case, in codes.
const CALMEST: f64 = 0.1;
/// See [`CALMEST`].
const CALM: f32 = 0.5;
/// Fewer calm cells give no answer.
const CELLS_LEAST: usize = 50;

/// Looks at bands of rows while they stream by.
pub struct Calm {
    width_px: usize,
    height_px: usize,
    every: usize,
    seen: usize,
    /// The last ten rows, in a ring.
    ring: Vec<u8>,
    /// Structure and noise of each cell.
    cells: Vec<(f32, f32)>,
    response: Vec<u16>,
}

impl Calm {
    /// For pictures of a size.
    pub fn new(width_px: usize, height_px: usize) -> Calm {
        let every = ((width_px * height_px) as f64 / PIXELS).sqrt().round().max(1.0) as usize;
        let (ring, response) = (vec![0; width_px * BAND_PX], vec![0; width_px]);
        Calm { width_px, height_px, every, seen: 0, ring, cells: Vec::new(), response }
    }

    /// Takes the next row.
    pub fn add(&mut self, luma: &[u8]) {
        let number = self.seen;
        self.seen += 1;
        let step = CELL_PX * self.every;
        // Rows that no band needs are not even kept.
        if number % step >= BAND_PX && self.every > 1 {
            return;
        }
        self.ring[number % BAND_PX * self.width_px..][..self.width_px].copy_from_slice(luma);
        let ends_band = number + 1 >= BAND_PX && (number + 1 - BAND_PX).is_multiple_of(step);
        if ends_band && number + 1 < self.height_px {
            self.look(number + 1 - BAND_PX);
        }
    }

    /// Looks at the cells of the band that begins with a row.
    fn look(&mut self, first: usize) {
        let width = self.width_px;
        let across = (width / CELL_PX).saturating_sub(1);
        let mut noise = vec![0u32; across];
        let mut quarters = vec![[0u32; 4]; across];
        for row in 1..=CELL_PX {
            let line = |row: usize| &self.ring[(first + row) % BAND_PX * width..][..width];
            let (above, here, below) = (line(row - 1), line(row), line(row + 1));
            responses(above, here, below, &mut self.response);
            let cells = self.response[1..].as_chunks::<CELL_PX>().0.iter().zip(here[1..].as_chunks::<CELL_PX>().0);
            for ((response, codes), (noise, quarters)) in cells.zip(noise.iter_mut().zip(&mut quarters)) {
                *noise += response.iter().map(|r| u32::from(*r)).sum::<u32>();
                let (left, right) = codes.split_at(CELL_PX / 2);
                let lower = usize::from(row > CELL_PX / 2) * 2;
                quarters[lower] += left.iter().map(|code| u32::from(*code)).sum::<u32>();
                quarters[lower + 1] += right.iter().map(|code| u32::from(*code)).sum::<u32>();
            }
        }
        let cell = (CELL_PX * CELL_PX) as f32;
        let scale = ((PI / 2.0).sqrt() / 6.0) as f32;
        for (noise, quarters) in noise.into_iter().zip(quarters) {
            let mean = quarters.iter().sum::<u32>() as f32 / cell;
            if MIDDLE.contains(&mean) {
                let most = quarters.iter().max().unwrap_or(&0);
                let structure = (most - quarters.iter().min().unwrap_or(&0)) as f32 / (cell / 4.0);
                self.cells.push((structure, noise as f32 / cell * scale));
            }
        }
    }

    /// Standard deviation of the noise in codes of 255; `None` with too few cells.
    pub fn end(self) -> Option<f64> {
        if self.cells.len() < CELLS_LEAST {
            return None;
        }
        let mut structures: Vec<f32> = self.cells.iter().map(|(structure, _)| *structure).collect();
        let cut = (percentile(&mut structures, CALMEST)? as f32).max(CALM);
        let calm = self.cells.iter().filter(|(structure, _)| *structure <= cut);
        median(&mut calm.map(|(_, noise)| *noise).collect::<Vec<_>>())
    }
}

/// What the mask [1 -2 1; -2 4 -2; 1 -2 1] says, without its sign, of each pixel but the first and last.
fn responses(above: &[u8], here: &[u8], below: &[u8], response: &mut [u16]) {
    let three = |three: &[u8]| i16::from(three[0]) + i16::from(three[2]) - 2 * i16::from(three[1]);
    let lines = above.windows(3).zip(here.windows(3)).zip(below.windows(3));
    widest(
        #[inline(always)]
        || {
            for (response, ((above, here), below)) in response.iter_mut().skip(1).zip(lines) {
                *response = (three(above) + three(below) - 2 * three(here)).unsigned_abs();
            }
        },
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::reference::{Random, picture};

    fn noise(width: usize, codes: &[u8]) -> Option<f64> {
        let mut calm = Calm::new(width, codes.len() / width);
        codes.chunks_exact(width).for_each(|row| calm.add(row));
        calm.end()
    }

    #[test]
    fn even_noise_is_measured_within_five_per_cent() {
        // Two sums of eight even values: true deviation sqrt(63 / 6) = 3.240 (arithmetic); the mask gives 3.319.
        let (mut one, mut other) = (Random::new(1, 29), Random::new(77, 29));
        let codes = picture(256, 256, |_, _| (100 + one.next() + other.next()) as u8);
        let found = noise(256, &codes).unwrap();
        assert!((found - 3.319).abs() < 0.001, "{found}");
        assert!((found / (63.0f64 / 6.0).sqrt() - 1.0).abs() < 0.05);
    }

    #[test]
    fn a_ramp_has_no_noise_and_darkness_no_answer() {
        assert_eq!(noise(256, &picture(256, 256, |x, _| (x / 4 + 80) as u8)).map(|sigma| sigma < 0.2), Some(true));
        assert_eq!(noise(256, &picture(256, 256, |_, _| 9)), None);
        assert_eq!(noise(9, &[128; 81]), None);
    }
}
