//! Block edges of lossy compression in smooth places.
//!
//! Family of the method: Wang, Sheikh and Bovik, No-reference perceptual quality assessment of JPEG compressed images,
//! ICIP 2002; thresholds are ours.

use super::evidence::Blocks;
use super::kept::Lines;

/// Pixels a side of a block. Source: ITU-T T.81.
const BLOCK_PX: usize = 8;
/// A difference counts up to so many codes.
const CAP: u16 = 16;
/// Groups whose differences sum to less are calm.
const CALM: u16 = 24;
/// Of a large picture's kept lines one in so many is enough.
const THIN: usize = 4;
/// Fewer calm groups give no answer.
const GROUPS_LEAST: u64 = 100;

/// Block edges along rows and columns; `None` where too little is calm.
pub fn look(rows: &Lines, columns: &Lines, step: usize) -> Option<Blocks> {
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

fn steps(lines: &Lines, step: usize) -> Option<Steps> {
    let mut sums = [0u64; BLOCK_PX];
    let mut groups = 0u64;
    for line in lines.each(step, THIN) {
        let next = line.get(1..)?;
        for (here, next) in line.as_chunks::<BLOCK_PX>().0.iter().zip(next.as_chunks::<BLOCK_PX>().0) {
            let mut differences = [0u16; BLOCK_PX];
            for ((difference, a), b) in differences.iter_mut().zip(here).zip(next) {
                *difference = u16::from(a.abs_diff(*b)).min(CAP);
            }
            if differences.iter().sum::<u16>() < CALM {
                groups += 1;
                sums.iter_mut().zip(differences).for_each(|(sum, difference)| *sum += u64::from(difference));
            }
        }
    }
    if groups < GROUPS_LEAST {
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
    use crate::measure::kept::whole;
    use crate::measure::reference::picture;

    fn found(codes: &[u8], width: usize) -> Option<Blocks> {
        let (rows, columns) = whole(codes, width);
        look(&rows, &columns, 1)
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
    fn a_foreign_grid_shows_where_it_lies() {
        let codes = picture(256, 256, |x, y| (120 + 4 * (((x + 5) / 8 + (y + 3) / 8) % 2)) as u8);
        assert_eq!(found(&codes, 256).unwrap().phase, (2, 4));
    }

    #[test]
    fn a_busy_picture_has_no_answer() {
        assert_eq!(found(&picture(64, 64, |x, y| if (x + y) % 2 == 0 { 0 } else { 200 }), 64), None);
    }
}
