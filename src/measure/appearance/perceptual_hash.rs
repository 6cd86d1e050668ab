//! Two perceptual hashes of 64 bits, by which pictures that look alike are found: a difference hash and a DCT hash.
//!
//! Neither separates a new export from the next frame on a tripod: capture time and name do.

use std::f64::consts::PI;

use super::plane::Codes;
use crate::measure::statistics;

/// Means a side that the cosine transform takes.
const WAVES_FROM: usize = 32;
/// Lowest frequencies a side that make the hash.
const WAVES: usize = 8;

/// Returns a bit for each of 8 x 8 fields, set where it is lighter than its left neighbour; row by row, the first in
/// the highest bit.
pub fn difference_hash(luma: &Codes) -> u64 {
    let means = luma.resized(9, 8);
    let lighter = means.values.chunks_exact(9).flat_map(|row| row.windows(2).map(|two| two[1] > two[0]));
    lighter.fold(0, |bits, bit| bits << 1 | u64::from(bit))
}

/// Returns a bit for each of the 8 x 8 lowest frequencies of the picture (discrete cosine transform), set where it is
/// above their median.
pub fn frequency_hash(luma: &Codes) -> u64 {
    let means = luma.resized(WAVES_FROM, WAVES_FROM);
    let cosines: [[f64; WAVES_FROM]; WAVES] = std::array::from_fn(|wave| std::array::from_fn(|at| cosine(wave, at)));
    let mut found = Vec::with_capacity(WAVES * WAVES);
    for down in &cosines {
        for across in &cosines {
            let rows = means.values.chunks_exact(WAVES_FROM);
            let sum = |row: &[f32]| row.iter().zip(across).map(|(v, cosine)| f64::from(*v) * cosine).sum::<f64>();
            found.push(rows.zip(down).map(|(row, cosine)| cosine * sum(row)).sum::<f64>() as f32);
        }
    }
    let median = statistics::median(&mut found[1..].to_vec()).unwrap_or(0.0) as f32;
    found.iter().fold(0, |bits, wave| bits << 1 | u64::from(*wave > median))
}

/// Returns a cosine wave at a place, normalised to length 1 over all places.
fn cosine(wave: usize, at: usize) -> f64 {
    let scale = if wave == 0 { (1.0 / WAVES_FROM as f64).sqrt() } else { (2.0 / WAVES_FROM as f64).sqrt() };
    scale * (PI * wave as f64 * (2 * at + 1) as f64 / (2 * WAVES_FROM) as f64).cos()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes(width: usize, height: usize, code: impl Fn(usize, usize) -> u8) -> Codes {
        Codes { width, height, codes: (0..width * height).map(|at| code(at % width, at / width)).collect() }
    }

    #[test]
    fn a_ramp_only_climbs() {
        assert_eq!(difference_hash(&codes(256, 256, |x, _| x as u8)), u64::MAX);
        assert_eq!(difference_hash(&codes(256, 256, |x, _| 255 - x as u8)), 0);
    }

    #[test]
    fn another_size_has_the_same_fingerprint_and_another_picture_has_not() {
        let scene = |shift: f32| {
            move |x: f32, y: f32| 120.0 + 60.0 * (x * 7.0 + shift).sin() * (y * 5.0 + shift).cos() + 30.0 * x
        };
        let of = |size: usize, shift: f32| {
            let share = move |at: usize| (at as f32 + 0.5) / size as f32;
            codes(size, size, move |x, y| scene(shift)(share(x), share(y)) as u8)
        };
        let apart = |one: u64, other: u64| (one ^ other).count_ones();
        assert!(apart(difference_hash(&of(300, 0.0)), difference_hash(&of(200, 0.0))) <= 2);
        assert!(apart(frequency_hash(&of(300, 0.0)), frequency_hash(&of(200, 0.0))) <= 2);
        assert!(apart(frequency_hash(&of(300, 0.0)), frequency_hash(&of(300, 2.0))) > 12);
    }
}
