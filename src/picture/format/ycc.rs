//! Full-range YCbCr to RGB. Source: ITU-T T.871 section 7 (the coefficients of ITU-R BT.601).

use crate::units::vectors::widest;

/// Bits that a colour difference is moved up by, so that the upper half of its product keeps four bits of fraction.
const UP: u32 = 7;
/// Steps of that fraction.
const STEP_BITS: u32 = 4;
const STEPS: i16 = 1 << STEP_BITS;
/// 1.402, 0.344136, 0.714136 and 1.772 in those steps, times 2^16, over 2^[`UP`].
const RED_OF_CR: i16 = 11_485;
const GREEN_OF_CB: i16 = 2_819;
const GREEN_OF_CR: i16 = 5_850;
const BLUE_OF_CB: i16 = 14_516;

/// Converts one pixel, rounded to the nearest code.
pub fn pixel([y, cb, cr]: [u8; 3]) -> [u8; 3] {
    let (y, cb, cr) = (f32::from(y), f32::from(cb) - 128.0, f32::from(cr) - 128.0);
    [y + 1.402 * cr, y - 0.344_136 * cb - 0.714_136 * cr, y + 1.772 * cb].map(|v| (v + 0.5).clamp(0.0, 255.0) as u8)
}

/// Converts a row of pixels, within one code of [`pixel`].
pub fn to_rgb(y: &[u8], cb: &[u8], cr: &[u8], rgb: &mut [u8]) {
    widest(
        #[inline(always)]
        || {
            for (((rgb, y), cb), cr) in rgb.as_chunks_mut::<3>().0.iter_mut().zip(y).zip(cb).zip(cr) {
                let y = i16::from(*y) * STEPS + STEPS / 2;
                let (cb, cr) = ((i16::from(*cb) - 128) << UP, (i16::from(*cr) - 128) << UP);
                *rgb = [
                    code(y + upper(cr, RED_OF_CR)),
                    code(y - upper(cb, GREEN_OF_CB) - upper(cr, GREEN_OF_CR)),
                    code(y + upper(cb, BLUE_OF_CB)),
                ];
            }
        },
    );
}

/// Returns the upper half of a product.
#[inline(always)]
fn upper(difference: i16, factor: i16) -> i16 {
    ((i32::from(difference) * i32::from(factor)) >> 16) as i16
}

#[inline(always)]
fn code(steps: i16) -> u8 {
    (steps >> STEP_BITS).clamp(0, 255) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_within_one_code_of_its_pixels_and_mostly_equal() {
        let every = |step: usize| (0..=255u8).step_by(step).chain([255]);
        let (mut off, mut all) = (0, 0);
        for cb in every(5) {
            for cr in every(5) {
                let y: Vec<u8> = (0..=254).collect();
                let mut rgb = vec![0; 3 * y.len()];
                to_rgb(&y, &vec![cb; y.len()], &vec![cr; y.len()], &mut rgb);
                for (y, found) in y.iter().zip(rgb.as_chunks::<3>().0) {
                    let wanted = pixel([*y, cb, cr]);
                    assert!(found.iter().zip(wanted).all(|(a, b)| a.abs_diff(b) <= 1), "{y} {cb} {cr}: {found:?}");
                    off += usize::from(*found != wanted);
                    all += 1;
                }
            }
        }
        assert!(off * 10 < all, "{off} of {all}");
    }

    #[test]
    fn grey_is_unchanged_at_every_position_of_a_row() {
        let y: Vec<u8> = (0..37).map(|code| code * 7).collect();
        let mut rgb = vec![0; 3 * 37];
        to_rgb(&y, &[128; 37], &[128; 37], &mut rgb);
        assert!(y.iter().zip(rgb.as_chunks::<3>().0).all(|(y, pixel)| *pixel == [*y; 3]));
    }
}
