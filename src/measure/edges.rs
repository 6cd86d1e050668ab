//! Edges along kept lines: where lightness changes most, looked at in the mean of three lines.

use crate::units::vectors::widest;

use super::kept::Lines;

/// Least change between neighbours, in thirds of a code: 2.5 codes.
const CHANGE_LEAST: i16 = 8;
/// An edge's neighbours on each side that may not change more.
const RIVALS: usize = 2;

/// Three lines in one, and its edges.
pub struct Line<'a> {
    /// The middle line's number in the picture.
    pub number: usize,
    /// The sum of three neighbouring lines, in thirds of a code.
    pub sums: &'a [i16],
    /// Places of edges: between sample `place` and the next.
    pub edges: &'a [u32],
}

/// Shows each group of lines with its edges: near enough to upright (within 18 degrees of across the line).
pub fn look(lines: &Lines, step: usize, mut each: impl FnMut(&Line<'_>)) {
    let (mut sums, mut cross, mut changes) = (vec![0i16; lines.len], vec![0i16; lines.len], vec![0i16; lines.len]);
    let mut edges = Vec::new();
    for (number, [before, above, here, below, after]) in lines.groups(step) {
        widest(
            #[inline(always)]
            || {
                for ((sum, a), (b, c)) in sums.iter_mut().zip(above).zip(here.iter().zip(below)) {
                    *sum = i16::from(*a) + i16::from(*b) + i16::from(*c);
                }
                for ((cross, a), b) in cross.iter_mut().zip(before).zip(after) {
                    *cross = i16::from(a.abs_diff(*b));
                }
                let neighbours = sums.iter().zip(&sums[1..]);
                changes.iter_mut().zip(neighbours).for_each(|(change, (a, b))| *change = (b - a).abs());
            },
        );
        edges.clear();
        find(&changes[..lines.len - 1], &cross, &mut edges);
        each(&Line { number, sums: &sums, edges: &edges });
    }
}

/// Places that change at least as much as their neighbours, and three times as much as across.
fn find(changes: &[i16], cross: &[i16], edges: &mut Vec<u32>) {
    // Whole runs without any edge are left quickly.
    const RUN: usize = 16;
    for (run, some) in changes.chunks(RUN).enumerate() {
        if some.iter().all(|change| *change < CHANGE_LEAST) {
            continue;
        }
        for (at, change) in some.iter().enumerate().filter(|(_, change)| **change >= CHANGE_LEAST) {
            let at = run * RUN + at;
            let rivals = &changes[at.saturating_sub(RIVALS)..(at + RIVALS + 1).min(changes.len())];
            // A third of `change` against three quarters of half the sum, both as whole numbers.
            let across = i32::from(cross[at]) + i32::from(cross[at + 1]);
            if rivals.iter().all(|rival| rival <= change) && 8 * i32::from(*change) >= 9 * across {
                edges.push(at as u32);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::kept::whole;
    use crate::measure::reference::picture;

    fn edges(codes: &[u8], width: usize) -> Vec<u32> {
        let mut found = Vec::new();
        look(&whole(codes, width).0, 1, |line| found.extend_from_slice(line.edges));
        found.sort_unstable();
        found.dedup();
        found
    }

    #[test]
    fn an_upright_edge_is_found_where_it_is_and_a_flat_one_is_not() {
        assert_eq!(edges(&picture(40, 20, |x, _| if x < 17 { 50 } else { 90 }), 40), [16]);
        assert!(edges(&picture(40, 20, |_, y| if y < 9 { 50 } else { 90 }), 40).is_empty());
        assert!(edges(&picture(40, 20, |x, _| if x < 17 { 50 } else { 52 }), 40).is_empty());
    }

    #[test]
    fn a_slant_of_up_to_a_third_still_counts() {
        // One pixel aside every four rows is 14 degrees; every two rows, 27.
        let slanted = |every: usize| picture(60, 40, move |x, y| if x < 15 + y / every { 40 } else { 120 });
        assert!(!edges(&slanted(4), 60).is_empty());
        assert!(edges(&slanted(1), 60).is_empty());
    }
}
