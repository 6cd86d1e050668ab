//! Noise in smooth places: the response of a mask that ignores planes and straight edges, in the flattest cells.
//!
//! Source of the mask and its scale: Immerkaer, Fast noise variance estimation, Computer Vision and Image
//! Understanding 64 (1996). Spreading it over a distance, so that it sees noise whose neighbours are alike, and the
//! choice of cells are ours.

use std::f64::consts::PI;

use crate::units::vectors::widest;

use super::evidence::Grain;
use super::statistics::{median, percentile};

/// Pixels a side of a cell.
const CELL_PX: usize = 8;
/// Pixels round a cell that the widest mask covers.
const MARGIN_PX: usize = 4;
/// Rows that a band of cells needs.
const BAND_PX: usize = CELL_PX + 2 * MARGIN_PX;
/// Pixels a side of a square whose mean is one sample of the coarser grain.
const SQUARE_PX: usize = 2;
/// Distance in pixels between the mask's samples: direct neighbours.
const NEAR_DISTANCE: usize = 1;
/// The same beyond the reach of demosaicing. Source: ours: noise that was smoothed over 0.65 px is found in full from 3
/// px on.
const FINE_DISTANCE: usize = 3;
/// The same in squares of 2 x 2 pixels.
const COARSE_DISTANCE: usize = 2;
/// Pixels measured. Of a larger picture every n-th band is used, n = sqrt(pixels / `MEASURED_PIXELS`), rounded.
const MEASURED_PIXELS: f64 = 4e6;
/// Mean luma of cells that are used, in codes: above 50 and below 205. Outside, the tone curve compresses noise.
const MEASURED_CODES: std::ops::Range<f32> = 50.000_1..205.0;
/// Share of cells that count as the smoothest.
const SMOOTHEST_SHARE: f64 = 0.1;
/// Any cell with less contrast than this counts too, in codes.
const SMOOTH_CODES: f32 = 0.5;
/// Fewer smooth cells give no answer.
const MIN_CELLS: usize = 50;

/// Measures the noise in bands of rows while they pass.
pub struct NoiseCounter {
    width_px: usize,
    every: usize,
    seen: usize,
    /// The last rows, in a ring.
    ring: Vec<i16>,
    cells: Vec<NoiseCell>,
    buffers: MaskBuffers,
}

/// How much a cell's quarters differ, and its noise, all in codes.
#[derive(Clone, Copy)]
struct NoiseCell {
    structure: f32,
    noise: f32,
    fine: f32,
    coarse: f32,
}

impl NoiseCounter {
    /// Creates a counter for pictures of this size.
    pub fn new(width_px: usize, height_px: usize) -> NoiseCounter {
        let every = ((width_px * height_px) as f64 / MEASURED_PIXELS).sqrt().round().max(1.0) as usize;
        let ring = vec![0; width_px * BAND_PX];
        let buffers = MaskBuffers { column: vec![0; width_px], response: vec![0; width_px] };
        NoiseCounter { width_px, every, seen: 0, ring, cells: Vec::new(), buffers }
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
        let row = &mut self.ring[number % BAND_PX * self.width_px..][..self.width_px];
        row.iter_mut().zip(luma).for_each(|(kept, code)| *kept = i16::from(*code));
        let ends_band = number + 1 >= BAND_PX && (number + 1 - BAND_PX).is_multiple_of(step);
        if ends_band {
            self.count_band(number + 1 - BAND_PX);
        }
    }

    /// Looks at the cells of the band that begins with a row.
    fn count_band(&mut self, first: usize) {
        let width = self.width_px;
        let across = (width / CELL_PX).saturating_sub(1);
        if across == 0 {
            return;
        }
        let line = |row: usize| &self.ring[(first + row) % BAND_PX * width..][..width];
        let mut quarters = vec![[0u32; 4]; across];
        let [mut noise, mut fine, mut coarse] = std::array::from_fn(|_| vec![0u32; across]);
        for row in MARGIN_PX..MARGIN_PX + CELL_PX {
            let codes = line(row)[MARGIN_PX..].as_chunks::<CELL_PX>().0;
            for (codes, quarters) in codes.iter().zip(&mut quarters) {
                let (left, right) = codes.split_at(CELL_PX / 2);
                let lower = usize::from(row >= MARGIN_PX + CELL_PX / 2) * 2;
                quarters[lower] += sum(left);
                quarters[lower + 1] += sum(right);
            }
            for (sums, distance) in [(&mut noise, NEAR_DISTANCE), (&mut fine, FINE_DISTANCE)] {
                let lines = [line(row - distance), line(row), line(row + distance)];
                self.buffers.add::<CELL_PX>(lines, distance, MARGIN_PX, sums);
            }
        }
        let squares: [Vec<i16>; BAND_PX / SQUARE_PX] =
            std::array::from_fn(|row| squares(line(row * SQUARE_PX), line(row * SQUARE_PX + 1)));
        let (round, cell) = (MARGIN_PX / SQUARE_PX, CELL_PX / SQUARE_PX);
        for row in round..round + cell {
            let lines =
                [&squares[row - COARSE_DISTANCE], &squares[row], &squares[row + COARSE_DISTANCE]].map(Vec::as_slice);
            self.buffers.add::<{ CELL_PX / SQUARE_PX }>(lines, COARSE_DISTANCE, round, &mut coarse);
        }
        let pixels = (CELL_PX * CELL_PX) as f32;
        // The coarse sums have a quarter of the samples, each four times as large, so that one divisor serves all.
        let deviation = |sum: u32| sum as f32 / pixels * ((PI / 2.0).sqrt() / 6.0) as f32;
        for (((quarters, noise), fine), coarse) in quarters.into_iter().zip(noise).zip(fine).zip(coarse) {
            let mean = quarters.iter().sum::<u32>() as f32 / pixels;
            if MEASURED_CODES.contains(&mean) {
                let most = quarters.iter().max().unwrap_or(&0);
                let structure = (most - quarters.iter().min().unwrap_or(&0)) as f32 / (pixels / 4.0);
                let [noise, fine, coarse] = [noise, fine, coarse].map(deviation);
                self.cells.push(NoiseCell { structure, noise, fine, coarse });
            }
        }
    }

    /// Returns the standard deviation of the noise between neighbours, in codes of 255, and the grain over distances;
    /// `None` with too few cells.
    pub fn finish(self) -> Option<(f64, Grain)> {
        if self.cells.len() < MIN_CELLS {
            return None;
        }
        let mut structures: Vec<f32> = self.cells.iter().map(|cell| cell.structure).collect();
        let cut = (percentile(&mut structures, SMOOTHEST_SHARE)? as f32).max(SMOOTH_CODES);
        let of_smooth = |what: fn(&NoiseCell) -> f32| {
            let smooth = self.cells.iter().filter(|cell| cell.structure <= cut);
            median(&mut smooth.map(what).collect::<Vec<_>>())
        };
        let grain = Grain { fine: of_smooth(|cell| cell.fine)?, coarse: of_smooth(|cell| cell.coarse)? };
        Some((of_smooth(|cell| cell.noise)?, grain))
    }
}

fn sum(codes: &[i16]) -> u32 {
    codes.iter().map(|code| u32::from(code.unsigned_abs())).sum()
}

/// Sums of squares of 2 x 2 pixels along two rows: at most 1020.
fn squares(upper: &[i16], lower: &[i16]) -> Vec<i16> {
    let pairs = upper.as_chunks::<SQUARE_PX>().0.iter().zip(lower.as_chunks::<SQUARE_PX>().0);
    pairs.map(|(upper, lower)| upper[0] + upper[1] + lower[0] + lower[1]).collect()
}

/// Buffers of the mask for one row of any picture.
struct MaskBuffers {
    column: Vec<i16>,
    response: Vec<u16>,
}

impl MaskBuffers {
    /// Adds to each cell of `CELL` samples, the first after `round` of them, what the mask
    /// [1 -2 1; -2 4 -2; 1 -2 1], spread over a distance, says of them without its sign. Of samples of at most 1020
    /// that is 16,320 at most.
    fn add<const CELL: usize>(&mut self, lines: [&[i16]; 3], distance: usize, round: usize, sums: &mut [u32]) {
        let [above, here, below] = lines;
        let column = &mut self.column[..here.len()];
        let response = &mut self.response[..here.len().saturating_sub(2 * distance)];
        widest(
            #[inline(always)]
            || {
                for (column, ((above, here), below)) in column.iter_mut().zip(above.iter().zip(here).zip(below)) {
                    *column = above + below - 2 * here;
                }
                let (middle, right) = (&column[distance.min(column.len())..], column.get(2 * distance..));
                let three = column.iter().zip(middle).zip(right.unwrap_or_default());
                for (response, ((left, middle), right)) in response.iter_mut().zip(three) {
                    *response = (left + right - 2 * middle).unsigned_abs();
                }
                let cells = response[round - distance..].as_chunks::<CELL>().0;
                for (sum, cell) in sums.iter_mut().zip(cells) {
                    *sum += cell.iter().map(|response| u32::from(*response)).sum::<u32>();
                }
            },
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::reference::{Random, picture};

    fn found(width: usize, codes: &[u8]) -> Option<(f64, Grain)> {
        let mut calm = NoiseCounter::new(width, codes.len() / width);
        codes.chunks_exact(width).for_each(|row| calm.add(row));
        calm.finish()
    }

    fn near(found: f64, wanted: f64, share: f64) -> bool {
        (found / wanted - 1.0).abs() < share
    }

    #[test]
    fn even_noise_is_measured_within_five_per_cent_and_squares_show_half_of_it() {
        // Two sums of eight even values: true deviation sqrt(63 / 6) = 3.240 (arithmetic); means of four hold half,
        // less an eighth, since the calmest cells are those whose means of many pixels differ least.
        let (mut one, mut other) = (Random::new(1, 29), Random::new(77, 29));
        let codes = picture(256, 256, |_, _| (100 + one.next() + other.next()) as u8);
        let (noise, grain) = found(256, &codes).unwrap();
        let true_noise = (63.0f64 / 6.0).sqrt();
        assert!(near(noise, true_noise, 0.05), "{noise}");
        assert!(near(grain.fine, true_noise, 0.05), "{grain:?}");
        assert!(near(grain.coarse, true_noise / 2.0, 0.125), "{grain:?}");
    }

    #[test]
    fn noise_whose_neighbours_are_alike_is_found_over_distances_alone() {
        // Means of 2 x 2 values, each with a deviation of 2 x 3.240 (arithmetic): 3.240, and neighbours share half.
        let (mut one, mut other) = (Random::new(1, 29), Random::new(77, 29));
        let values: Vec<i32> = (0..257 * 257).map(|_| (one.next() + other.next()) as i32).collect();
        let at = |x: usize, y: usize| values[y * 257 + x];
        let codes =
            picture(256, 256, |x, y| (90 + (at(x, y) + at(x + 1, y) + at(x, y + 1) + at(x + 1, y + 1)) / 2) as u8);
        let (noise, grain) = found(256, &codes).unwrap();
        assert!(near(grain.fine, (63.0f64 / 6.0).sqrt(), 0.08), "{grain:?}");
        // Of the mask's variance a third is left each way: 6 - 8 / 2 of 6.
        assert!(near(noise, grain.fine / 3.0, 0.08), "{noise}, {grain:?}");
        assert!(grain.coarse > 0.6 * grain.fine && grain.coarse < 0.8 * grain.fine, "{grain:?}");
    }

    #[test]
    fn a_ramp_has_no_noise_and_darkness_no_answer() {
        let ramp = found(256, &picture(256, 256, |x, _| (x / 4 + 80) as u8)).unwrap();
        assert!(ramp.0 < 0.2 && ramp.1.fine < 0.2 && ramp.1.coarse < 0.2);
        assert_eq!(found(256, &picture(256, 256, |_, _| 9)), None);
        for side in 1..20 {
            assert_eq!(found(side, &vec![128; side * side]), None, "{side} px");
        }
    }
}
