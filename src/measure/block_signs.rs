//! Which frequencies within the file's own blocks of 8 pixels go together: what doubling mirrors, and where a picture
//! holds no detail of its own.
//!
//! A row of 8 pixels is 8 frequencies. In a picture at its own scale the signs of any two of them agree as often as
//! not, and lossy compression, which rounds each by itself, changes nothing about that. Doubling mirrors the low
//! frequencies into the high ones: 1 into 7, 2 into 6, 3 into 5, with the sign turned. Where there is no detail beyond
//! a frequency, what is left there is the shadow of lower ones, and neighbours of one kind (2 and 4, 3 and 5) agree.
//!
//! Sources: ITU-T T.81 (blocks, cosines); the mirrored spectrum of interpolation: Gallagher, CRV 2005. That signs tell
//! it, and all thresholds: ours.

use crate::units::vectors::widest;

use super::evidence::BlockSigns;
use super::line_sampler::{GROUP, SampledLines};

/// Pixels of a block's side.
const BLOCK: usize = 8;
/// Pixels measured each way. Source: ours; more gives no better answer.
const PIXELS: f64 = 1.6e6;
/// What a cosine of 1/2, as an orthonormal transform of 8 has it, is written as.
const UNIT: f64 = 4_096.0;
/// A frequency weaker than this may be rounding to whole codes. Codes: five deviations of that rounding.
const WEAKEST: f64 = 1.5;
/// Undecided pairs that are added to each count, so that few decided ones weigh little.
const SHY: f64 = 40.0;
/// Pairs of frequencies whose signs are compared: mirrored ones, neighbours of one kind, and two of different kinds.
const PAIRS: [(usize, usize); 7] = [(1, 7), (2, 6), (3, 5), (2, 4), (4, 6), (5, 7), (6, 7)];

/// Returns the signs in rows and columns together, 0 where none is known.
pub fn measure(rows: &SampledLines, columns: &SampledLines) -> BlockSigns {
    let mut counts = Counts::default();
    for lines in [rows, columns] {
        let step = ((lines.len * lines.line_count) as f64 / PIXELS).ceil() as usize;
        lines.each(step.max(1), GROUP).for_each(|line| counts.add(line));
    }
    let [one_seven, two_six, three_five, two_four, four_six, five_seven, six_seven] = counts.agreement();
    BlockSigns {
        // Less what an earlier grid of blocks does to frequencies of different kinds.
        mirrored: (-one_seven).max(-two_six) - six_seven.abs(),
        pairs: (-one_seven).min(-two_six).min(-three_five),
        agreement: [two_four, three_five, four_six, five_seven],
    }
}

/// For each pair: how often both signs are known, and how much oftener they agree than not.
struct Counts {
    cosines: [[i32; BLOCK]; BLOCK],
    told: [i32; PAIRS.len()],
    agree: [i32; PAIRS.len()],
}

impl Default for Counts {
    fn default() -> Counts {
        let cosine = |place: usize, number: usize| {
            let angle = std::f64::consts::PI * ((2 * place + 1) * number) as f64 / 16.0;
            (UNIT / 2.0 * angle.cos()).round_ties_even() as i32
        };
        let cosines = std::array::from_fn(|place| std::array::from_fn(|number| cosine(place, number)));
        Counts { cosines, told: [0; PAIRS.len()], agree: [0; PAIRS.len()] }
    }
}

impl Counts {
    fn add(&mut self, line: &[u8]) {
        let least = (WEAKEST * UNIT) as i32;
        widest(
            #[inline(always)]
            || {
                for block in line.as_chunks::<BLOCK>().0 {
                    let mut found = [0i32; BLOCK];
                    for (code, cosines) in block.iter().zip(&self.cosines) {
                        for (sum, cosine) in found.iter_mut().zip(cosines) {
                            *sum += i32::from(*code) * cosine;
                        }
                    }
                    let signs = found.map(|sum| i32::from(sum > least) - i32::from(sum < -least));
                    for (at, (one, other)) in PAIRS.into_iter().enumerate() {
                        let agree = signs[one] * signs[other];
                        self.agree[at] += agree;
                        self.told[at] += agree.abs();
                    }
                }
            },
        );
    }

    fn agreement(&self) -> [f64; PAIRS.len()] {
        std::array::from_fn(|at| f64::from(self.agree[at]) / (f64::from(self.told[at]) + SHY))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::line_sampler::whole;
    use crate::measure::reference::{enlarged, noise, picture};

    fn signs(width: usize, codes: &[u8]) -> BlockSigns {
        let (rows, columns) = whole(codes, width);
        measure(&rows, &columns)
    }

    #[test]
    fn native_noise_has_signs_at_random() {
        let codes: Vec<u8> = noise(512).into_iter().map(|code| code as u8).collect();
        let found = signs(512, &codes);
        assert!(found.mirrored.abs() < 0.1 && found.pairs < 0.1, "{found:?}");
        assert!(found.agreement.iter().all(|agree| agree.abs() < 0.1), "{found:?}");
    }

    #[test]
    fn doubling_mirrors_and_repeated_pixels_mirror_all() {
        let (width, codes) = enlarged(256, 2.0);
        let found = signs(width, &codes);
        assert!(found.mirrored > 0.5 && found.agreement[2] > 0.4, "{found:?}");
        let noise = noise(512);
        let repeated = picture(512, 512, |x, y| noise[(y / 2) * 512 + x / 2] as u8);
        assert!(signs(512, &repeated).pairs > 0.95);
    }

    #[test]
    fn pictures_without_fine_detail_have_agreeing_signs() {
        let (width, codes) = enlarged(171, 3.0);
        let found = signs(width, &codes);
        assert!(found.agreement[1..].iter().all(|agree| *agree > 0.3), "{found:?}");
        assert_eq!(signs(600, &picture(600, 600, |_, _| 90)).agreement, [0.0; 4]);
    }

    #[test]
    fn blocks_of_another_grid_are_no_doubling() {
        // Flat blocks of 8 whose grid lies aside, as a crop leaves them after strong compression.
        let noise = noise(512);
        for (right, down) in [(3, 5), (4, 4), (2, 6), (4, 2), (1, 0)] {
            let codes = picture(512, 512, |x, y| noise[(y + down) / 8 * 512 + (x + right) / 8] as u8);
            let found = signs(512, &codes);
            assert!(
                found.mirrored < 0.2 || found.agreement[3] < 0.0 || found.agreement[2] < 0.4,
                "{right} {down}: {found:?}"
            );
        }
    }
}
