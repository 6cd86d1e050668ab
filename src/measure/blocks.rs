//! Block edges of lossy compression in smooth places.
//!
//! Family of the method: Wang, Sheikh and Bovik, No-reference perceptual quality assessment of JPEG compressed images,
//! ICIP 2002; thresholds are ours.

use crate::units::vectors::widest;

use super::evidence::Blocks;
use super::line_sampler::SampledLines;

/// Pixels a side of a block. Source: ITU-T T.81.
const BLOCK_PX: usize = 8;
/// A difference counts up to this many codes. Source: ours; larger ones are edges of the picture's own.
const CAP: u16 = 8;
/// Groups whose differences sum to less are smooth. Source: ours; busier ones hide block edges.
const CALM: u16 = 16;
/// Of a large picture's kept lines one in this many is enough.
const THIN: usize = 4;
/// Fewer smooth groups give no answer.
const MIN_GROUPS: u64 = 100;

/// Returns the block edges along rows and columns; `None` where too little is smooth.
pub fn measure(rows: &SampledLines, columns: &SampledLines, step: usize) -> Option<Blocks> {
    let (across, down) = (steps(rows, step)?, steps(columns, step)?);
    Some(Blocks {
        excess: (across.excess + down.excess) / 2.0,
        ratio: (across.ratio + down.ratio) / 2.0,
        phase: (across.phase, down.phase),
    })
}

struct Steps {
    excess: f64,
    ratio: f64,
    phase: u8,
}

/// Calm groups of one line, and what they differ by at each place. A line has at most 1,000,000 samples
/// (`picture/limits.rs`), so that the sums fit 32 bits.
#[derive(Default)]
struct BlockStatistics {
    sums: [u32; BLOCK_PX],
    groups: u32,
}

/// Returns the smooth groups among a line's samples and the samples next to them.
fn along(line: &[u8], next: &[u8]) -> BlockStatistics {
    let mut found = BlockStatistics::default();
    widest(
        #[inline(always)]
        || {
            for (here, next) in line.as_chunks::<BLOCK_PX>().0.iter().zip(next.as_chunks::<BLOCK_PX>().0) {
                let differences: [u16; BLOCK_PX] =
                    std::array::from_fn(|at| u16::from(here[at].abs_diff(next[at])).min(CAP));
                // Calm or not without a branch: noise knows no order that one could learn.
                let calm = u32::from(differences.iter().sum::<u16>() < CALM);
                found.groups += calm;
                for (sum, difference) in found.sums.iter_mut().zip(differences) {
                    *sum += u32::from(difference) * calm;
                }
            }
        },
    );
    found
}

fn steps(lines: &SampledLines, step: usize) -> Option<Steps> {
    let mut sums = [0u64; BLOCK_PX];
    let mut groups = 0;
    for line in lines.each(step, THIN) {
        let found = along(line, line.get(1..)?);
        groups += u64::from(found.groups);
        sums.iter_mut().zip(found.sums).for_each(|(sum, found)| *sum += u64::from(found));
    }
    if groups < MIN_GROUPS {
        return None;
    }
    let means = sums.map(|sum| sum as f64 / groups as f64);
    let phase = (0..BLOCK_PX).fold(0, |best, at| if means[at] > means[best] { at } else { best });
    let mut rest: Vec<f64> = (0..BLOCK_PX).filter(|at| *at != phase).map(|at| means[at]).collect();
    rest.sort_unstable_by(f64::total_cmp);
    let usual = rest[BLOCK_PX / 2 - 1];
    Some(Steps { excess: means[phase] - usual, ratio: means[phase] / (usual + 0.05), phase: phase as u8 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::line_sampler::whole;
    use crate::measure::reference::picture;

    fn found(codes: &[u8], width: usize) -> Option<Blocks> {
        let (rows, columns) = whole(codes, width);
        measure(&rows, &columns, 1)
    }

    #[test]
    fn a_chessboard_of_blocks_is_all_block_edges() {
        // Arithmetic: a step of 4 at every eighth place, nothing elsewhere: 4 / 0.05.
        let codes = picture(256, 256, |x, y| (120 + 4 * ((x / 8 + y / 8) % 2)) as u8);
        let found = found(&codes, 256).unwrap();
        assert_eq!((found.excess, found.phase), (4.0, (7, 7)));
        assert!((found.ratio - 80.0).abs() < 1e-9);
    }

    #[test]
    fn a_shifted_block_grid_shows_its_phase() {
        let codes = picture(256, 256, |x, y| (120 + 4 * (((x + 5) / 8 + (y + 3) / 8) % 2)) as u8);
        assert_eq!(found(&codes, 256).unwrap().phase, (2, 4));
    }

    #[test]
    fn a_busy_picture_has_no_answer() {
        assert_eq!(found(&picture(64, 64, |x, y| if (x + y) % 2 == 0 { 0 } else { 200 }), 64), None);
    }
}
