//! Edges along kept lines: where lightness changes most, measured in the mean of three lines.

use crate::units::vectors::widest;

use super::line_sampler::SampledLines;

/// Least change between neighbours, in thirds of a code: 2.5 codes.
const MIN_CHANGE: i16 = 8;
/// An edge's neighbours on each side that may not change more.
const RIVALS: usize = 2;

/// Three lines in one, and its edges.
pub struct EdgeLine<'a> {
    /// The middle line's number in the picture.
    pub number: usize,
    /// The place in the picture of the middle line's first sample here.
    pub first: usize,
    /// The sum of three neighbouring lines, in thirds of a code.
    pub sums: &'a [i16],
    /// Places of edges: between sample `place` and the next.
    pub edges: &'a [u32],
}

/// The direction in which a group of lines is sampled: each line's shift against the one before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineDirection {
    /// As it is: edges across the lines are upright.
    Upright,
    /// Each line begins a sample later than the one before, so that edges along the falling diagonal are upright.
    Falling,
    /// Each begins a sample earlier: along the rising diagonal.
    Rising,
}

impl LineDirection {
    /// Returns the first sample used of each of five lines, and how many of `len` are used.
    fn sample_range(self, len: usize) -> ([usize; 5], usize) {
        match self {
            LineDirection::Upright => ([0; 5], len),
            LineDirection::Falling => ([0, 1, 2, 3, 4], len.saturating_sub(4)),
            LineDirection::Rising => ([4, 3, 2, 1, 0], len.saturating_sub(4)),
        }
    }
}

/// Calls `each` for every sampled group of lines, with the edges that cross it within 18 degrees of the perpendicular.
pub fn find(lines: &SampledLines, step: usize, slant: LineDirection, mut each: impl FnMut(&EdgeLine<'_>)) {
    let (firsts, len) = slant.sample_range(lines.len);
    if len == 0 {
        // A picture that is narrower than the five lines are apart.
        return;
    }
    let (mut sums, mut cross) = (vec![0i16; len], vec![0i16; len]);
    // Beyond both ends nothing changes.
    let mut changes = vec![0i16; (len + 2 * RIVALS).saturating_sub(1)];
    let mut are_edges = vec![false; len.saturating_sub(1)];
    let mut places = vec![0u32; len];
    for (number, group) in lines.groups(step) {
        let [before, above, here, below, after] = std::array::from_fn(|at| &group[at][firsts[at]..][..len]);
        widest(
            #[inline(always)]
            || {
                for ((sum, a), (b, c)) in sums.iter_mut().zip(above).zip(here.iter().zip(below)) {
                    *sum = i16::from(*a) + i16::from(*b) + i16::from(*c);
                }
                for ((cross, a), b) in cross.iter_mut().zip(before).zip(after) {
                    *cross = i16::from(a.abs_diff(*b));
                }
                let inside = &mut changes[RIVALS..RIVALS + are_edges.len()];
                let neighbours = sums.iter().zip(&sums[1..]);
                inside.iter_mut().zip(neighbours).for_each(|(change, (a, b))| *change = (b - a).abs());
            },
        );
        mark_edges(&changes, &cross, &mut are_edges);
        let found = list_edges(&are_edges, &mut places);
        each(&EdgeLine { number, first: firsts[2], sums: &sums, edges: &places[..found] });
    }
}

/// Marks places that change at least as much as their neighbours, and three times as much as across. Of each place,
/// `changes` holds its rivals' too, and `cross` its own and the next sample's.
fn mark_edges(changes: &[i16], cross: &[i16], are_edges: &mut [bool]) {
    let rivals = changes.windows(2 * RIVALS + 1);
    widest(
        #[inline(always)]
        || {
            for ((is_edge, rivals), across) in are_edges.iter_mut().zip(rivals).zip(cross.windows(2)) {
                let change = rivals[RIVALS];
                let most = rivals.iter().fold(MIN_CHANGE, |most, rival| most.max(*rival));
                // A third of `change` against three quarters of half the sum, both as whole numbers below 2^13.
                *is_edge = (change >= most) & (8 * change >= 9 * (across[0] + across[1]));
            }
        },
    );
}

/// Lists the places that are edges, and returns how many. One in about ten is, in no order that a branch predictor
/// could learn.
fn list_edges(are_edges: &[bool], places: &mut [u32]) -> usize {
    are_edges.iter().zip(0..).fold(0, |found, (is_edge, place)| {
        places[found] = place;
        found + usize::from(*is_edge)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::line_sampler::whole;
    use crate::measure::reference::picture;

    fn edges(codes: &[u8], width: usize) -> Vec<u32> {
        let mut found = Vec::new();
        find(&whole(codes, width).0, 1, LineDirection::Upright, |line| found.extend_from_slice(line.edges));
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
    fn an_edge_may_lie_at_the_very_ends_of_a_line() {
        assert_eq!(edges(&picture(40, 20, |x, _| if x < 1 { 50 } else { 90 }), 40), [0]);
        assert_eq!(edges(&picture(40, 20, |x, _| if x < 39 { 50 } else { 90 }), 40), [38]);
    }

    #[test]
    fn a_diagonal_edge_is_found_on_lines_shifted_along_it() {
        let found = |slant: LineDirection, falls: bool| {
            let codes = picture(60, 40, |x, y| if if falls { x > y + 5 } else { x + y > 45 } { 120 } else { 40 });
            let mut found = 0;
            find(&whole(&codes, 60).0, 1, slant, |line| found += line.edges.len());
            found
        };
        assert!(found(LineDirection::Falling, true) > 20 && found(LineDirection::Rising, false) > 20);
        assert_eq!((found(LineDirection::Falling, false), found(LineDirection::Rising, true)), (0, 0));
    }

    #[test]
    fn a_slant_of_up_to_a_third_still_counts() {
        // One pixel aside every four rows is 14 degrees; every two rows, 27.
        let slanted = |every: usize| picture(60, 40, move |x, y| if x < 15 + y / every { 40 } else { 120 });
        assert!(!edges(&slanted(4), 60).is_empty());
        assert!(edges(&slanted(1), 60).is_empty());
    }
}
