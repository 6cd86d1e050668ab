//! What of a picture stays the same at another exposure: how many stops its fields lie apart, and their colours.

use crate::colour::lab;
use crate::measure::evidence::{SHADE_STEPS, STEPS_A_STOP, Shade};
use crate::measure::tone;

/// Fields along the longer side. Source: ours; 24 find no more.
const LONGER: usize = 16;
/// A channel as light as this may be clipped, and says no exposure.
const CLIPPED_FROM: u8 = 253;
/// Parts that the share of red, and of blue, in the light is counted in.
const PARTS: f64 = 16.0;

/// Returns the fields of a picture in sRGB, row by row; `None` where one is clipped, or too dark to have a colour.
pub fn shades(rgb: &[u8], width: usize, height: usize) -> Vec<Option<Shade>> {
    let (across, down) = tone::fields(width, height, LONGER.min(width.max(height)));
    let mut found = Vec::with_capacity(across * down);
    for y in 0..down {
        let rows = y * height / down..(y + 1) * height / down;
        for x in 0..across {
            let columns = x * width / across..(x + 1) * width / across;
            let mut sums = [0u32; 3];
            for row in rows.clone() {
                let pixels = &rgb[(row * width + columns.start) * 3..(row * width + columns.end) * 3];
                for pixel in pixels.as_chunks::<3>().0 {
                    sums.iter_mut().zip(pixel).for_each(|(sum, code)| *sum += u32::from(*code));
                }
            }
            let pixels = (rows.len() * columns.len()).max(1) as u32;
            found.push(shade(sums.map(|sum| ((sum + pixels / 2) / pixels) as u8)));
        }
    }
    found
}

fn shade(codes: [u8; 3]) -> Option<Shade> {
    let ([r, g, b], light) = lab::light_of_srgb(codes);
    let above = (light.log2() * STEPS_A_STOP as f64) + SHADE_STEPS as f64;
    if codes.iter().any(|code| *code >= CLIPPED_FROM) || above < 0.0 {
        return None;
    }
    let part = |channel: f64| (channel / (r + g + b) * PARTS).min(PARTS - 1.0) as u8;
    let step = (above as usize).min(SHADE_STEPS - 1) as u8;
    Some(Shade { step, colour: part(r) * PARTS as u8 + part(b) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stop_moves_eight_steps_and_leaves_the_colour() {
        // Source: IEC 61966-2-1: code 188 has a light of 0.5029, 137 of 0.2502: a stop, 8 steps, down.
        let one = |code: u8| shade([code; 3]).unwrap();
        assert_eq!((one(188).step - one(137).step, one(188).colour), (8, one(137).colour));
        // A third of 16 parts each: 5 and 5.
        assert_eq!(one(137).colour, 5 * 16 + 5);
        assert!(shade([200, 60, 40]).unwrap().colour / 16 > 10);
    }

    #[test]
    fn clipped_and_very_dark_fields_say_nothing() {
        assert_eq!([[253, 90, 90], [0, 0, 0], [9, 9, 9]].map(shade), [None; 3]);
        // 6.5 stops below white are a light of 0.011: code 26 has 0.0103, 27 has 0.0110 and 28 has 0.0116.
        assert_eq!(shade([26; 3]), None);
        assert_eq!(shade([28; 3]).map(|shade| shade.step), Some(0));
    }

    #[test]
    fn fields_are_means_of_their_pixels() {
        // 32 x 16 px are 16 x 8 fields of 2 x 2; the left half is dark, the right half light.
        let rgb: Vec<u8> = (0..32 * 16).flat_map(|at| [if at % 32 < 16 { 60 } else { 180 }; 3]).collect();
        let found = shades(&rgb, 32, 16);
        assert_eq!(found.len(), 128);
        assert!(found.iter().enumerate().all(|(at, one)| *one == shade([if at % 16 < 8 { 60 } else { 180 }; 3])));
        assert_eq!(shades(&[90; 3], 1, 1), [shade([90; 3])]);
    }
}
