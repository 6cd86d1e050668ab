//! How often each colour occurs: a cube of 64 steps a side over the codes, with the mean of what fell into each bin.
//! Questions about colour are asked of its bins, so that their cost does not grow with the picture.

use std::collections::BTreeMap;

use super::evidence::{Colour, MEAN_STEPS};

/// Bits a channel that tell the bin. Source: measured on photographs: with 6 bits and means every share comes within
/// 1.4 points of every pixel's, mean differences within 0.05 Delta E.
const BITS: usize = 6;
const DROPPED: usize = 8 - BITS;
const REST: u8 = (1 << DROPPED) - 1;
/// So many colours stand alone, whatever the picture. Own choice: asked of these and of the rest taken together, the
/// questions about colour stay within their time (`tests/bench/colours.rs`).
const ALONE: usize = 4_000;
/// From a mean to its bin in a cube of 32 steps: 8 codes of 256 steps each.
const NEIGHBOURS_SHIFT: u32 = 11;
/// Of pictures with more pixels one row in four is enough.
const ALL_ROWS_PIXELS: usize = 4_000_000;
const ROW_STEP: usize = 4;

#[derive(Clone, Copy, Default)]
struct Bin {
    count: u32,
    /// Sums of what the bin does not tell, 0 to 3 a pixel: 600 MP stay within 32 bits.
    rests: [u32; 3],
}

/// Counts plain RGB rows.
pub struct Cube {
    bins: Vec<Bin>,
    step: usize,
    row: usize,
}

impl Cube {
    /// For RGB pictures of a size.
    pub fn new(width_px: usize, height_px: usize) -> Cube {
        let step = if width_px * height_px > ALL_ROWS_PIXELS { ROW_STEP } else { 1 };
        Cube { bins: vec![Bin::default(); 1 << (3 * BITS)], step, row: 0 }
    }

    /// Takes the next row.
    pub fn add(&mut self, plain: &[u8]) {
        let counts = self.row.is_multiple_of(self.step);
        self.row += 1;
        if !counts {
            return;
        }
        for pixel in plain.as_chunks::<3>().0 {
            let [r, g, b] = pixel.map(|code| usize::from(code) >> DROPPED);
            let bin = &mut self.bins[(r << (2 * BITS)) | (g << BITS) | b];
            bin.count += 1;
            for (rest, code) in bin.rests.iter_mut().zip(pixel) {
                *rest += u32::from(*code & REST);
            }
        }
    }

    /// The colours that occur: each bin's mean, where they are very many the rare ones taken together.
    pub fn end(self) -> Vec<Colour> {
        // By reference: taken apart in place, the list would keep the room of the whole cube.
        let occupied = self.bins.iter().enumerate().filter(|(_, bin)| bin.count > 0);
        let mut colours: Vec<Colour> = occupied
            .map(|(at, &Bin { count, rests })| {
                let mean = [0, 1, 2].map(|channel| {
                    let step = at >> ((2 - channel) * BITS) & ((1 << BITS) - 1);
                    let rest = u64::from(rests[channel]) * MEAN_STEPS / u64::from(count);
                    (step << DROPPED) as u16 * MEAN_STEPS as u16 + rest as u16
                });
                Colour { mean, count }
            })
            .collect();
        colours.shrink_to_fit();
        if colours.len() > ALONE { together(colours) } else { colours }
    }
}

/// The [`ALONE`] most frequent colours as they are, the others with their neighbours of a cube of half as many steps a
/// side: a noisy picture has tens of thousands of colours, most of them on next to no pixels.
fn together(colours: Vec<Colour>) -> Vec<Colour> {
    let mut counts: Vec<u32> = colours.iter().map(|colour| colour.count).collect();
    let (_, &mut least, _) = counts.select_nth_unstable_by(ALONE, |one, other| other.cmp(one));
    let (alone, rare): (Vec<Colour>, Vec<Colour>) = colours.into_iter().partition(|colour| colour.count > least);
    let mut sums: BTreeMap<[u16; 3], ([u64; 3], u64)> = BTreeMap::new();
    for Colour { mean, count } in rare {
        let (sum, pixels) = sums.entry(mean.map(|mean| mean >> NEIGHBOURS_SHIFT)).or_default();
        *pixels += u64::from(count);
        for (sum, mean) in sum.iter_mut().zip(mean) {
            *sum += u64::from(mean) * u64::from(count);
        }
    }
    let neighbours = sums.into_values().map(|(sum, pixels)| Colour {
        // A mean of 16-bit numbers, and no more pixels than the picture has.
        mean: sum.map(|sum| (sum / pixels) as u16),
        count: u32::try_from(pixels).unwrap_or(u32::MAX),
    });
    alone.into_iter().chain(neighbours).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bins_hold_the_mean_of_what_fell_into_them() {
        let mut cube = Cube::new(4, 1);
        cube.add(&[0, 0, 0, 3, 1, 0, 255, 255, 255, 4, 0, 0]);
        let found = cube.end();
        // Arithmetic: codes 0 and 3 share a bin; 4 begins the next.
        let wanted = [([384, 128, 0], 2), ([4 * 256, 0, 0], 1), ([255 * 256; 3], 1)];
        assert_eq!(found, wanted.map(|(mean, count)| Colour { mean, count }));
    }

    #[test]
    fn the_list_takes_no_more_room_than_it_needs() {
        let mut cube = Cube::new(2, 1);
        cube.add(&[0, 0, 0, 255, 255, 255]);
        assert!(cube.end().capacity() <= 4);
    }

    #[test]
    fn of_very_many_colours_the_rare_ones_are_taken_together_and_no_pixel_is_lost() {
        let mut cube = Cube::new(256 * 256, 17);
        let every = |blue: u8| (0..=255u8).flat_map(move |red| (0..=255u8).flat_map(move |green| [red, green, blue]));
        for blue in (0..64).step_by(4) {
            cube.add(&every(blue).collect::<Vec<u8>>());
        }
        let often = [200, 100, 60];
        cube.add(&often.repeat(256 * 256));
        let found = cube.end();
        // Arithmetic: 64 x 64 x 16 bins of 16 pixels, one of them with a whole row more; by eights 32 x 32 x 8.
        assert_eq!(found.len(), 1 + 32 * 32 * 8);
        assert_eq!(found.iter().map(|colour| u64::from(colour.count)).sum::<u64>(), 17 * 65_536);
        assert_eq!(found.iter().map(|colour| colour.count).max(), Some(65_536 + 16));
        let red: u64 = found.iter().map(|colour| u64::from(colour.count) * u64::from(colour.mean[0])).sum();
        let wanted = 16 * 256 * (0..256u64).sum::<u64>() * 256 + 65_536 * 200 * 256;
        assert!(red.abs_diff(wanted) < 17 * 65_536, "{red} against {wanted}");
    }

    #[test]
    fn of_a_large_picture_every_fourth_row_counts() {
        let mut cube = Cube::new(2_000, 2_001);
        for _ in 0..2_001 {
            cube.add(&[10; 6_000]);
        }
        assert_eq!(cube.end(), [Colour { mean: [2_560; 3], count: 501 * 2_000 }]);
    }
}
