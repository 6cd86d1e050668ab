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
    steps: u64,
    waves: u64,
}

/// Most bits by which two fingerprints of one look differ. Source: ours, from 8,385 pairs of different pictures.
const MAX_STEPS: u32 = 8;
/// See [`MAX_STEPS`].
const MAX_WAVES: u32 = 6;

/// Bits from which two pictures are hardly the same. Source: ours; unrelated pictures differ in some 32 of 64.
const ANOTHER: u32 = 18;

impl Impression {
    /// Returns the impression of a look; `None` where it is empty.
    pub fn of(look: &Appearance) -> Option<Impression> {
        let (steps, waves) = (look.difference_hash, look.frequency_hash);
        let seen = !look.small.fields.is_empty();
        let shades = Arc::from(look.shades.as_slice());
        seen.then_some(Impression { lightness: look.lightness, shades, neutral: look.neutral, steps, waves })
    }

    /// True if two pictures look the same, or nearly so.
    pub fn is_like(&self, other: &Impression) -> bool {
        (self.waves ^ other.waves).count_ones() <= MAX_WAVES && (self.steps ^ other.steps).count_ones() <= MAX_STEPS
    }

    /// True if two are hardly the same picture: neither a change of tones nor a small crop changes this many bits.
    pub fn is_another(&self, other: &Impression) -> bool {
        (self.waves ^ other.waves).count_ones() >= ANOTHER && (self.steps ^ other.steps).count_ones() >= ANOTHER
    }

    /// Returns seven keys, of which pictures that look the same share at least one: six differing bits cannot be in all
    /// of seven parts.
    pub fn keys(&self) -> [(u8, u64); 7] {
        std::array::from_fn(|part| {
            let from = part * 9;
            let bits = if part == 6 { 64 - from } else { 9 };
            (part as u8, self.waves >> from & ((1 << bits) - 1))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Grid;

    fn look(steps: u64, waves: u64) -> Impression {
        let small = Grid::filled(2, 2, 0u8);
        Impression::of(&Appearance { difference_hash: steps, frequency_hash: waves, small, ..Appearance::default() })
            .unwrap()
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
