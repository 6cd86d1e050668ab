//! For each item of a sequence, finds the nearest similar one before it, without comparing all with all.
//!
//! Similar items share a key, so only those of one key are compared, from the last backwards, up to the first similar
//! one. A series of thousands that all look alike costs one comparison each.

use std::collections::{HashMap, VecDeque};
use std::hash::Hash;

/// Most items of one key compared with one item, which bounds the work for each key, for any keys. Own choice: of
/// 20,000 different pictures some 40 share a key of nine bits, and two exports of one picture share most of their keys.
const MAX_LOOKED_AT: usize = 256;

/// Returns for each item, given by its keys, the index of the nearest similar one before it.
pub fn nearest_before<K: Eq + Hash, const N: usize>(
    things: impl Iterator<Item = [K; N]>,
    mut is_like: impl FnMut(usize, usize) -> bool,
) -> Vec<Option<usize>> {
    let mut by_key: HashMap<K, VecDeque<usize>> = HashMap::new();
    let mut found = Vec::new();
    for (at, keys) in things.enumerate() {
        let mut nearest: Option<usize> = None;
        for key in keys {
            let together = by_key.entry(key).or_default();
            let nearer = together.iter().rev().take_while(|other| Some(**other) > nearest);
            nearest = nearer.copied().find(|other| is_like(*other, at)).or(nearest);
            if together.len() == MAX_LOOKED_AT {
                together.pop_front();
            }
            together.push_back(at);
        }
        found.push(nearest);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counts the comparisons for these fingerprints; two are similar if they differ by at most one bit.
    fn compared(fingerprints: impl Iterator<Item = u16>) -> (Vec<Option<usize>>, usize) {
        let all: Vec<u16> = fingerprints.collect();
        let mut count = 0;
        let keys = all.iter().map(|bits| [(0, bits >> 8), (1, bits & 0xff)]);
        let found = nearest_before(keys, |one, other| {
            count += 1;
            (all[one] ^ all[other]).count_ones() <= 1
        });
        (found, count)
    }

    #[test]
    fn the_nearest_before_is_found_as_by_comparing_all_with_all() {
        let all: Vec<u16> = (0..400_u16).map(|at| at.wrapping_mul(40_503) & 0x3f3f).collect();
        let like = |at: usize| (0..at).rev().find(|other| (all[*other] ^ all[at]).count_ones() <= 1);
        let wanted: Vec<Option<usize>> = (0..all.len()).map(like).collect();
        assert!(wanted.iter().any(Option::is_some) && wanted.iter().any(Option::is_none));
        assert_eq!(compared(all.iter().copied()).0, wanted);
    }

    #[test]
    fn thousands_that_are_all_alike_cost_one_comparison_each() {
        let (found, count) = compared((0..4_000).map(|_| 7));
        assert_eq!((found[0], found[1], found[3_999], count), (None, Some(0), Some(3_998), 3_999));
        let (_, nearly) = compared((0..4_000).map(|at| 1 << (at % 8)));
        assert!(nearly <= 8 * 4_000, "{nearly}");
    }

    #[test]
    fn thousands_that_share_a_key_and_are_not_alike_cost_a_bounded_number_each() {
        let mut count = 0;
        nearest_before((0..4_000).map(|_| ["one key"]), |_, _| {
            count += 1;
            false
        });
        assert!(count <= 4_000 * MAX_LOOKED_AT, "{count}");
    }
}
