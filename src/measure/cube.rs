//! How often each colour occurs: bins over the codes, with the mean of what fell into each. Questions about colour are
//! asked of the bins, so that their cost does not grow with the picture.

use crate::colour::{Encoding, NumberConversion, NumberMeaning, NumberReader, delta_e_2000};

use super::evidence::{Colour, MEAN_STEPS, Misread};

/// The cube of RGB pictures. Source of its bits: measured on photographs: with 6 bits and means every share comes
/// within 1.4 points of every pixel's, mean differences within 0.05 Delta E.
pub type RgbCube = Cube<3, 6>;
/// The scale of grey pictures, every code by itself.
pub type GreyCube = Cube<1, 8>;
/// The cube of four inks: 16 steps each. Held to every pixel's numbers by `tests/outside/test_colours.py`.
pub type InkCube = Cube<4, 4>;

/// Number of colours listed singly; rarer ones are merged with their neighbours. Own choice: with both, colour
/// questions stay within their time (`tests/bench/colours.rs`).
const SINGLE_COLOURS: usize = 4_000;
/// Bits of each channel in the cube in which rare colours are merged: 32 steps.
const MERGED_BITS: u32 = 5;
/// Shift from a 16-bit mean to its step in that cube.
const MERGED_SHIFT: u32 = u16::BITS - MERGED_BITS;
/// Pixels on which colours are counted. Of a larger picture every n-th pixel of every n-th row is used, n = sqrt(pixels
/// / `COUNTED_PIXELS`), rounded down. Source: ours; a share of a thousandth is then still counted on 1,000 pixels.
const COUNTED_PIXELS: f64 = 1e6;

#[derive(Clone, Copy)]
struct Bin<const CHANNELS: usize> {
    count: u32,
    /// Sums of the low bits that the bin leaves out, 0 to 15 a pixel: over the pixels that count within 32 bits.
    rests: [u32; CHANNELS],
}

/// Counts rows of codes without alpha, with `CHANNELS` channels and `BITS` bits kept of each code.
pub struct Cube<const CHANNELS: usize, const BITS: usize> {
    bins: Vec<Bin<CHANNELS>>,
    step: usize,
    row: usize,
}

impl<const CHANNELS: usize, const BITS: usize> Cube<CHANNELS, BITS> {
    /// Low bits of each code that a bin drops.
    const DROPPED: usize = 8 - BITS;

    /// Creates a cube for pictures of this size.
    pub fn new(width_px: usize, height_px: usize) -> Self {
        let step = ((width_px * height_px) as f64 / COUNTED_PIXELS).sqrt().floor().max(1.0) as usize;
        Cube { bins: vec![Bin { count: 0, rests: [0; CHANNELS] }; 1 << (CHANNELS * BITS)], step, row: 0 }
    }

    /// Takes the next row.
    pub fn add(&mut self, codes: &[u8]) {
        let counts = self.row.is_multiple_of(self.step);
        self.row += 1;
        if !counts {
            return;
        }
        let rest_of = (1u8 << Self::DROPPED) - 1;
        for pixel in codes.as_chunks::<CHANNELS>().0.iter().step_by(self.step) {
            let at = pixel.iter().fold(0, |at, code| (at << BITS) | (usize::from(*code) >> Self::DROPPED));
            let bin = &mut self.bins[at];
            bin.count += 1;
            for (rest, code) in bin.rests.iter_mut().zip(pixel) {
                *rest += u32::from(*code & rest_of);
            }
        }
    }

    /// Returns the colours that occur: each bin's mean through `to_numbers`, the rare ones merged where there are very
    /// many.
    pub fn finish(self, to_numbers: &NumberConversion) -> Vec<Colour> {
        let (means, counts) = self.means();
        to_colours(to_numbers.apply(&means), &counts)
    }

    /// Returns the means of the bins that are not empty, one after the other, and their pixels.
    fn means(self) -> (Vec<u16>, Vec<u32>) {
        let (mut means, mut counts) = (Vec::new(), Vec::new());
        for (at, Bin { count, rests }) in self.bins.iter().enumerate().filter(|(_, bin)| bin.count > 0) {
            counts.push(*count);
            means.extend(rests.iter().enumerate().map(|(channel, rest)| {
                let step = at >> ((CHANNELS - 1 - channel) * BITS) & ((1 << BITS) - 1);
                let rest = u64::from(*rest) * MEAN_STEPS / u64::from(*count);
                (step << Self::DROPPED) as u16 * MEAN_STEPS as u16 + rest as u16
            }));
        }
        (means, counts)
    }
}

impl RgbCube {
    /// Returns the same, and how the colours change when the codes are read as sRGB's, where a profile says what they
    /// truly are.
    pub fn finish_with_misread(self, to_numbers: &NumberConversion) -> (Vec<Colour>, Option<Misread>) {
        let (means, counts) = self.means();
        let truly = to_numbers.apply(&means);
        let misread = (to_numbers.meaning() == Some(NumberMeaning::Lab)).then(|| {
            let (srgb, lab) =
                (NumberReader::new(NumberMeaning::Codes(Encoding::Srgb)), NumberReader::new(NumberMeaning::Lab));
            let pairs = truly.iter().zip(means.as_chunks::<3>().0);
            misread(pairs.map(|(truly, codes)| (lab.lab(*truly), srgb.lab(*codes))).zip(counts.iter().copied()))
        });
        (to_colours(truly, &counts), misread)
    }
}

/// Returns how colours change that are taken for others: pairs of the true and the wrong L*, a*, b*, with their pixels.
pub fn misread(pairs: impl Iterator<Item = (([f64; 3], [f64; 3]), u32)>) -> Misread {
    let (mut chroma, mut left, mut change, mut all) = (0.0, 0.0, 0.0, 0.0);
    for ((truly, wrongly), count) in pairs {
        let count = f64::from(count);
        all += count;
        chroma += count * truly[1].hypot(truly[2]);
        left += count * wrongly[1].hypot(wrongly[2]);
        change += count * delta_e_2000(truly, wrongly);
    }
    Misread { chroma_left: if chroma > 0.0 { left / chroma } else { 1.0 }, mean_delta_e: change / f64::max(all, 1.0) }
}

fn to_colours(numbers: Vec<[u16; 3]>, counts: &[u32]) -> Vec<Colour> {
    let colours: Vec<Colour> =
        numbers.into_iter().zip(counts).map(|(mean, count)| Colour { mean, count: *count }).collect();
    if colours.len() > SINGLE_COLOURS { merge_rare(colours) } else { colours }
}

/// Returns the [`SINGLE_COLOURS`] most frequent colours as they are, the others with their neighbours of a cube of half
/// as many steps a side: a noisy picture has tens of thousands of colours, most of them on next to no pixels.
fn merge_rare(colours: Vec<Colour>) -> Vec<Colour> {
    let mut counts: Vec<u32> = colours.iter().map(|colour| colour.count).collect();
    let (_, &mut least, _) = counts.select_nth_unstable_by(SINGLE_COLOURS, |one, other| other.cmp(one));
    let (frequent, rare): (Vec<Colour>, Vec<Colour>) = colours.into_iter().partition(|colour| colour.count > least);
    let mut sums = vec![([0u64; 3], 0u64); 1 << (3 * MERGED_BITS)];
    for Colour { mean, count } in rare {
        let at = mean.into_iter().fold(0, |at, mean| at << MERGED_BITS | usize::from(mean >> MERGED_SHIFT));
        let (sum, pixels) = &mut sums[at];
        *pixels += u64::from(count);
        for (sum, mean) in sum.iter_mut().zip(mean) {
            *sum += u64::from(mean) * u64::from(count);
        }
    }
    let merged = sums.into_iter().filter(|(_, pixels)| *pixels > 0).map(|(sum, pixels)| Colour {
        // A mean of 16-bit numbers, and no more pixels than the picture has.
        mean: sum.map(|sum| (sum / pixels) as u16),
        count: u32::try_from(pixels).unwrap_or(u32::MAX),
    });
    let mut all = frequent;
    all.extend(merged);
    all.shrink_to_fit();
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bins_hold_the_mean_of_what_fell_into_them() {
        let mut cube = RgbCube::new(4, 1);
        cube.add(&[0, 0, 0, 3, 1, 0, 255, 255, 255, 4, 0, 0]);
        let found = cube.finish(&NumberConversion::Unchanged);
        // Arithmetic: codes 0 and 3 share a bin; 4 begins the next.
        let wanted = [([384, 128, 0], 2), ([4 * 256, 0, 0], 1), ([255 * 256; 3], 1)];
        assert_eq!(found, wanted.map(|(mean, count)| Colour { mean, count }));
    }

    #[test]
    fn inks_and_greys_have_bins_of_their_own() {
        let mut scale = GreyCube::new(4, 1);
        scale.add(&[7, 7, 9, 9]);
        let grey = scale.finish(&NumberConversion::GreyToRgb);
        assert_eq!(grey, [7, 9].map(|code| Colour { mean: [code * 256; 3], count: 2 }));
        // Without a profile the look of inks is not known.
        let mut inks = InkCube::new(2, 1);
        inks.add(&[0, 16, 255, 3, 0, 31, 255, 0]);
        assert_eq!(inks.finish(&NumberConversion::Unknown), []);
    }

    #[test]
    fn the_list_has_no_spare_capacity() {
        let mut cube = RgbCube::new(2, 1);
        cube.add(&[0, 0, 0, 255, 255, 255]);
        assert!(cube.finish(&NumberConversion::Unchanged).capacity() <= 4);
    }

    #[test]
    fn rare_colours_are_merged_and_no_pixel_is_lost() {
        let mut cube = RgbCube::new(256 * 256, 17);
        let every = |blue: u8| (0..=255u8).flat_map(move |red| (0..=255u8).flat_map(move |green| [red, green, blue]));
        for blue in (0..64).step_by(4) {
            cube.add(&every(blue).collect::<Vec<u8>>());
        }
        let often = [200, 100, 60];
        cube.add(&often.repeat(256 * 256));
        let found = cube.finish(&NumberConversion::Unchanged);
        // Arithmetic: 64 x 64 x 16 bins of 16 pixels, one of them with a whole row more; by eights 32 x 32 x 8.
        assert_eq!(found.len(), 1 + 32 * 32 * 8);
        assert_eq!(found.iter().map(|colour| u64::from(colour.count)).sum::<u64>(), 17 * 65_536);
        assert_eq!(found.iter().map(|colour| colour.count).max(), Some(65_536 + 16));
        let red: u64 = found.iter().map(|colour| u64::from(colour.count) * u64::from(colour.mean[0])).sum();
        let wanted = 16 * 256 * (0..256u64).sum::<u64>() * 256 + 65_536 * 200 * 256;
        assert!(red.abs_diff(wanted) < 17 * 65_536, "{red} against {wanted}");
    }

    #[test]
    fn of_a_large_picture_every_second_pixel_of_every_second_row_counts() {
        let mut cube = RgbCube::new(2_000, 2_001);
        for _ in 0..2_001 {
            cube.add(&[10; 6_000]);
        }
        assert_eq!(cube.finish(&NumberConversion::Unchanged), [Colour { mean: [2_560; 3], count: 1_001 * 1_000 }]);
    }
}
