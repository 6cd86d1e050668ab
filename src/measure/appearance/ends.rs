//! The left and right ends of a picture, in cells: what a neighbouring picture must go on from.

use crate::measure::evidence::{END_COLUMNS, PictureEnd};

/// Columns that are kept at each end: 16 % of the width, more than a bleed or the side of a canvas takes. Own choice.
const KEPT_COLUMNS: usize = 32;
/// Most rows of cells: about a millimetre each on a page. Own choice.
const MAX_ROWS: usize = 256;

/// Returns the left and the right end of a picture in interleaved sRGB codes; empty for one that is narrower than its
/// columns.
pub fn of(rgb: &[u8], width: usize, height: usize) -> [PictureEnd; 2] {
    if width < END_COLUMNS {
        return Default::default();
    }
    let down = height.min(MAX_ROWS);
    [0, END_COLUMNS - KEPT_COLUMNS].map(|first| {
        let cells = (0..down).flat_map(|y| (first..first + KEPT_COLUMNS).map(move |x| (x, y)));
        let fields = cells.map(|(x, y)| mean(rgb, width, range(x, width, END_COLUMNS), range(y, height, down)));
        PictureEnd { across: KEPT_COLUMNS, down, fields: fields.collect() }
    })
}

/// Returns the pixels of one of `parts` nearly equal parts of a side.
fn range(part: usize, pixels: usize, parts: usize) -> std::ops::Range<usize> {
    part * pixels / parts..(part + 1) * pixels / parts
}

fn mean(rgb: &[u8], width: usize, across: std::ops::Range<usize>, down: std::ops::Range<usize>) -> [u8; 3] {
    let mut sums = [0_u32; 3];
    let count = (across.len() * down.len()).max(1) as u32;
    for y in down {
        for pixel in rgb[(y * width + across.start) * 3..(y * width + across.end) * 3].as_chunks::<3>().0 {
            sums.iter_mut().zip(pixel).for_each(|(sum, code)| *sum += u32::from(*code));
        }
    }
    sums.map(|sum| ((sum + count / 2) / count) as u8)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ends_are_means_of_their_own_pixels() {
        // 400 x 512 px: cells of 2 x 2. Red counts columns, green counts rows.
        let rgb: Vec<u8> = (0..512_usize)
            .flat_map(|y| (0..400_usize).flat_map(move |x| [(x / 2 % 256) as u8, (y / 2) as u8, 7]))
            .collect();
        let [left, right] = of(&rgb, 400, 512);
        assert_eq!((left.across, left.down, right.across, right.down), (32, 256, 32, 256));
        assert_eq!((left.fields[0], left.fields[33]), ([0, 0, 7], [1, 1, 7]));
        assert_eq!((right.fields[0], right.fields[32 * 256 - 1]), ([168, 0, 7], [199, 255, 7]));
    }

    #[test]
    fn a_picture_of_few_columns_has_no_ends_and_one_of_few_rows_has_those() {
        assert_eq!(of(&[0; 199 * 10 * 3], 199, 10), <[PictureEnd; 2]>::default());
        assert_eq!(of(&[9; 300 * 10 * 3], 300, 10)[1].down, 10);
    }
}
