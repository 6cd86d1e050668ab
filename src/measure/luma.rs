//! Luma, brightness in encoded codes: (77 R + 150 G + 29 B + 128) / 256 rounded down. Source of the weights: ITU-R
//! BT.601 in 256ths.

use crate::units::vectors::widest;

/// Computes the luma of a row of plain pixels; `colours` is 1 or 3.
pub fn of_row(plain: &[u8], colours: usize, luma: &mut [u8]) {
    if colours == 1 {
        luma.copy_from_slice(plain);
        return;
    }
    widest(
        #[inline(always)]
        || {
            for (pixel, luma) in plain.as_chunks::<3>().0.iter().zip(luma) {
                *luma = weigh(pixel[0].into(), pixel[1].into(), pixel[2].into());
            }
        },
    );
}

/// Returns the weighed sum of three codes: at most 256 x 255 + 128, which fits 16 bits.
#[inline(always)]
fn weigh(red: u16, green: u16, blue: u16) -> u8 {
    ((77 * red + 150 * green + 29 * blue + 128) >> 8) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grey_pixels_keep_their_code() {
        let grey: Vec<u8> = (0..=255).flat_map(|v| [v; 3]).collect();
        let mut luma = vec![0; 256];
        of_row(&grey, 3, &mut luma);
        assert!(luma.iter().enumerate().all(|(at, v)| at == usize::from(*v)));
    }

    #[test]
    fn every_pixel_of_an_odd_row_counts() {
        let row: Vec<u8> = (0..37).flat_map(|i| [i * 5, 255 - i, i * 3]).collect();
        let mut luma = vec![0; 37];
        of_row(&row, 3, &mut luma);
        for (pixel, luma) in row.chunks_exact(3).zip(luma) {
            let [r, g, b] = [pixel[0], pixel[1], pixel[2]].map(u32::from);
            assert_eq!(u32::from(luma), (77 * r + 150 * g + 29 * b + 128) >> 8);
        }
    }
}
