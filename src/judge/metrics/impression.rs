//! A picture's overall look, as far as pictures of one order are compared.

use std::sync::Arc;

use crate::measure::evidence::{Appearance, Shade};

/// A picture's lightness, shades, cast and fingerprints.
#[derive(Clone, Debug, PartialEq)]
pub struct Impression {
    /// Median L*.
    pub lightness: f32,
    /// Fields, described by what stays the same at another exposure.
    pub shades: Arc<[Option<Shade>]>,
    /// Mean a* and b* of nearly neutral mid-tones, if there are enough.
    pub neutral: Option<(f32, f32)>,
    difference_hash: u64,
    frequency_hash: u64,
}

/// Most bits by which two fingerprints of one look differ. Source: ours, from 8,385 pairs of different pictures.
const MAX_DIFFERENCE_BITS: u32 = 8;
/// See [`MAX_DIFFERENCE_BITS`].
const MAX_FREQUENCY_BITS: u32 = 6;

/// Bits from which two pictures are hardly the same. Source: ours; unrelated pictures differ in some 32 of 64.
const MIN_BITS_OF_ANOTHER: u32 = 18;

impl Impression {
    /// Returns the impression of a look; `None` where it is empty.
    pub fn of(appearance: &Appearance) -> Option<Impression> {
        let (difference_hash, frequency_hash) = (appearance.difference_hash, appearance.frequency_hash);
        let seen = !appearance.small.fields.is_empty();
        let shades = Arc::from(appearance.shades.as_slice());
        seen.then_some(Impression {
            lightness: appearance.lightness,
            shades,
            neutral: appearance.neutral,
            difference_hash,
            frequency_hash,
        })
    }

    /// True if two pictures look the same, or nearly so.
    pub fn is_like(&self, other: &Impression) -> bool {
        (self.frequency_hash ^ other.frequency_hash).count_ones() <= MAX_FREQUENCY_BITS
            && (self.difference_hash ^ other.difference_hash).count_ones() <= MAX_DIFFERENCE_BITS
    }

    /// True if two are hardly the same picture: neither a change of tones nor a small crop changes this many bits.
    pub fn is_another(&self, other: &Impression) -> bool {
        (self.frequency_hash ^ other.frequency_hash).count_ones() >= MIN_BITS_OF_ANOTHER
            && (self.difference_hash ^ other.difference_hash).count_ones() >= MIN_BITS_OF_ANOTHER
    }

    /// Returns seven keys, of which pictures that look the same share at least one: six differing bits cannot be in all
    /// of seven parts.
    pub fn keys(&self) -> [(u8, u64); 7] {
        std::array::from_fn(|part| {
            let from = part * 9;
            let bits = if part == 6 { 64 - from } else { 9 };
            (part as u8, self.frequency_hash >> from & ((1 << bits) - 1))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Grid;

    fn look(difference_hash: u64, frequency_hash: u64) -> Impression {
        let small = Grid::filled(2, 2, 0u8);
        Impression::of(&Appearance { difference_hash, frequency_hash, small, ..Appearance::default() }).unwrap()
    }

    #[test]
    fn six_and_eight_bits_are_the_same_look() {
        let one = look(0, 0);
        assert!(one.is_like(&look(0xff, 0x3f)));
        assert!(!one.is_like(&look(0x1ff, 0)));
        assert!(one.is_another(&look(u64::MAX, u64::MAX)) && !one.is_another(&look(u64::MAX, 0x3ffff >> 1)));
        assert!(!one.is_like(&look(0, 0x7f)));
        assert_eq!(Impression::of(&Appearance::default()), None);
    }

    #[test]
    fn pictures_of_one_look_share_a_key() {
        let one = look(0, u64::MAX);
        for spread in [0x0000_0000_0804_0201_u64, 0x3f, 0x8000_0000_0000_001f, 0x0000_2010_0804_0201] {
            let other = look(0, u64::MAX ^ spread);
            assert!(one.keys().iter().zip(other.keys()).any(|(a, b)| *a == b), "{spread:x}");
        }
    }
}
