//! A picture's last rows where they are one flat colour that the picture above does not lead to: what a decoder leaves
//! in place of blocks that a broken-off file lacks, after somebody saved the picture again.
//!
//! Blocks come from left to right and from top to bottom, so the flat part begins within a row of blocks: one row of
//! blocks higher on the right than on the left. No plain ground and no painted border has such a step. Where the flat
//! part begins straight along the whole width it could be painted; only in the middle grey that decoders put, on the
//! grid of blocks, and with no border at the sides, is it taken for lost.

use std::collections::VecDeque;

/// Pixels a side of a block. Source: ITU-T T.81.
const BLOCK_PX: usize = 8;
/// Heights of rows of units, in pixels: of a block, of colours stored at half height, at a quarter. Source: ITU-T T.81.
const UNITS_PX: [usize; 3] = [8, 16, 32];
/// Luma codes within which a row is flat: rounding.
const FLAT_WITHIN: u8 = 1;
/// Luma codes within which the picture above leads to the flat colour, or is its ripple at the border. Source: ours.
const LEADS_WITHIN: u8 = 8;
/// Rows above the flat ones that are kept: the highest unit, and one block on either side of the step for compression
/// ripple.
const KEPT_ROWS: usize = 32 + 2 * BLOCK_PX;
/// Columns that are looked at, spread over the width.
const COLUMNS: usize = 128;
/// Rows that a step may be off: ripple of a picture that was cropped in between.
const STEP_WITHIN: usize = 2;
/// Least evidence for a step in the grey of missing blocks: columns on either side, and the share of them at its
/// height. Source: ours; a picture is here and there as light as what follows. Of 544 pictures with plain grounds and
/// borders none is taken for lost; of 256 that broke off and were saved again 220 are.
const GREY_STEP: (usize, f64) = (2, 0.85);
/// The same in any other colour, which a picture's own edge may resemble along a few columns.
const OTHER_STEP: (usize, f64) = (16, 0.95);
/// Share of the columns along which a straight beginning must be one.
const STRAIGHT: f64 = 0.97;
/// The grey of blocks that never came: code 128 of each channel, as rounding leaves it. Source: ITU-T T.81 (level
/// shift); what decoders do is from memory.
const MISSING_GREY: std::ops::RangeInclusive<u8> = 127..=129;

/// Looks at rows as they come.
pub struct LostRowsCounter {
    width_px: usize,
    /// The columns that are looked at.
    places: [usize; COLUMNS],
    rows: usize,
    /// The last rows that are flat and of one colour.
    flat: Flat,
    /// Some columns of the rows above them, the last one at the back.
    above: VecDeque<[u8; COLUMNS]>,
}

#[derive(Clone, Copy, Default)]
struct Flat {
    rows: usize,
    luma: u8,
    is_missing_grey: bool,
}

impl LostRowsCounter {
    /// Creates a counter for pictures of this width.
    pub fn new(width_px: usize) -> LostRowsCounter {
        let above = VecDeque::with_capacity(KEPT_ROWS);
        let places = std::array::from_fn(|at| at * width_px.saturating_sub(1) / (COLUMNS - 1));
        LostRowsCounter { width_px, places, rows: 0, flat: Flat::default(), above }
    }

    /// Takes the next row, as it is and as luma.
    pub fn add(&mut self, plain: &[u8], luma: &[u8]) {
        self.rows += 1;
        let Some(last) = luma.last().copied() else { return };
        let is_flat = luma.chunks(BLOCK_PX * BLOCK_PX).all(|some| some.iter().all(|l| l.abs_diff(last) <= FLAT_WITHIN));
        // The last row decides: the first may hold the ripple of what lies above.
        self.flat.is_missing_grey = is_flat && plain.iter().all(|code| MISSING_GREY.contains(code));
        if is_flat && self.flat.rows > 0 && last.abs_diff(self.flat.luma) <= FLAT_WITHIN {
            self.flat.rows += 1;
            return;
        }
        for _ in 0..self.flat.rows.min(KEPT_ROWS) {
            self.keep([self.flat.luma; COLUMNS]);
        }
        self.flat.rows = 0;
        if is_flat {
            (self.flat.rows, self.flat.luma) = (1, last);
        } else {
            self.keep(self.places.map(|at| luma[at]));
        }
    }

    fn keep(&mut self, row: [u8; COLUMNS]) {
        if self.above.len() == KEPT_ROWS {
            self.above.pop_front();
        }
        self.above.push_back(row);
    }

    /// Returns the whole rows at the end that stand for lost ones; 0 where none do.
    pub fn finish(self) -> u32 {
        let enough = self.flat.rows >= BLOCK_PX && self.width_px >= COLUMNS && self.above.len() == KEPT_ROWS;
        let heights = self.heights();
        let is_grey = self.flat.is_missing_grey;
        let steps = || steps(&heights, if is_grey { GREY_STEP } else { OTHER_STEP });
        let lost = enough && (steps() || (is_grey && self.begins_straight(&heights)));
        if lost { u32::try_from(self.flat.rows).unwrap_or(u32::MAX) } else { 0 }
    }

    /// Returns how many rows above the flat ones are of their colour, column by column.
    fn heights(&self) -> [usize; COLUMNS] {
        let leads = |luma: u8| luma.abs_diff(self.flat.luma) <= LEADS_WITHIN;
        std::array::from_fn(|at| self.above.iter().rev().take_while(|row| leads(row[at])).count())
    }

    fn begins_straight(&self, heights: &[usize; COLUMNS]) -> bool {
        let straight = heights.iter().filter(|height| **height == 0).count();
        let to_both_ends = heights.first() == Some(&0) && heights.last() == Some(&0);
        let on_grid = (self.rows - self.flat.rows).is_multiple_of(BLOCK_PX);
        on_grid && to_both_ends && straight as f64 >= STRAIGHT * COLUMNS as f64
    }
}

/// True if columns from some place rightwards are flat for just one row of units more than those on its left.
fn steps(heights: &[usize; COLUMNS], (side_least, share): (usize, f64)) -> bool {
    // Columns at a height on the left of each place.
    let up_to = |height: usize| -> [usize; COLUMNS + 1] {
        let mut count = 0;
        let mut counts = [0; COLUMNS + 1];
        for (at, own) in heights.iter().enumerate() {
            count += usize::from(own.abs_diff(height) <= STEP_WITHIN);
            counts[at + 1] = count;
        }
        counts
    };
    let enough = |count: usize, of: usize| count as f64 >= share * of as f64;
    (0..=BLOCK_PX).any(|low| {
        let left = up_to(low);
        UNITS_PX.iter().any(|unit| {
            let right = up_to(low + unit);
            (side_least..=COLUMNS - side_least)
                .any(|at| enough(left[at], at) && enough(right[COLUMNS] - right[at], COLUMNS - at))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const WIDTH: usize = 300;
    const HEIGHT: usize = 200;

    /// A picture of rows of grey pixels, painted by its columns and rows.
    fn lost(pixel: impl Fn(usize, usize) -> u8) -> u32 {
        let mut end = LostRowsCounter::new(WIDTH);
        for y in 0..HEIGHT {
            let row: Vec<u8> = (0..WIDTH).map(|x| pixel(x, y)).collect();
            end.add(&row, &row);
        }
        end.finish()
    }

    fn scene(x: usize, y: usize) -> u8 {
        (40 + (x * 7 + y * 3) % 70) as u8
    }

    #[test]
    fn missing_blocks_are_found_by_the_step_where_they_end() {
        for (colour, unit) in [(128, 8), (255, 16), (0, 32), (200, 8)] {
            let broken = |x: usize, y: usize| {
                if y >= 160 || (x >= 112 && y >= 160 - unit) { colour } else { scene(x, y) }
            };
            assert_eq!(lost(broken), 40, "{colour} {unit}");
            // The other way round no decoder leaves them, nor in another height.
            let mirrored = |x: usize, y: usize| broken(WIDTH - 1 - x, y);
            assert_eq!(lost(mirrored), 0, "{colour} {unit}");
            let taller = |x: usize, y: usize| if x >= 112 && y >= 155 - unit { colour } else { broken(x, y) };
            assert_eq!(lost(taller), 0, "{colour} {unit}");
        }
    }

    #[test]
    fn a_step_of_few_columns_is_one_only_in_the_grey_of_missing_blocks() {
        let corner = |colour: u8| {
            move |x: usize, y: usize| {
                if y >= 160 || (x >= 280 && y >= 152) { colour } else { scene(x, y) }
            }
        };
        assert_eq!((lost(corner(128)), lost(corner(200))), (40, 0));
    }

    #[test]
    fn a_straight_beginning_is_lost_only_in_the_grey_of_missing_blocks_on_the_grid() {
        let bar = |colour: u8, from: usize| move |x: usize, y: usize| if y >= from { colour } else { scene(x, y) };
        assert_eq!(lost(bar(128, 160)), 40);
        assert_eq!(lost(bar(128, 161)), 0);
        assert_eq!(lost(bar(0, 160)), 0);
        assert_eq!(lost(bar(255, 160)), 0);
        // A grey frame has sides.
        assert_eq!(lost(|x, y| if !(3..WIDTH - 3).contains(&x) { 128 } else { bar(128, 160)(x, y) }), 0);
        // Seven rows are less than a block.
        assert_eq!(lost(bar(128, 193)), 0);
    }

    #[test]
    fn a_ground_that_the_picture_leads_to_is_none() {
        // A studio ground that darkens to the middle grey, and a dish on white.
        assert_eq!(lost(|_, y| (288 - y.min(160)) as u8), 0);
        let dish = |x: usize, y: usize| (x as f64 - 150.0).hypot(y as f64 - 90.0) < 70.0;
        assert_eq!(lost(|x, y| if dish(x, y) { scene(x, y) } else { 255 }), 0);
        assert_eq!(lost(|_, _| 128), 0);
    }
}
