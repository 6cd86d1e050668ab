//! Total ink on paper.

use crate::measure::Grid;
use crate::measure::evidence::{INK_STEPS, Ink};
use crate::units::Share;
use crate::units::length::MM_PER_INCH;

/// Side of the area, in mm, over which too much ink sets off and dries badly; a thinner line does not. Source: common
/// practice, no source.
pub const AREA_MM: f64 = 10.0;

/// Returns the largest mean total ink, as a share of one full ink, over a square of [`AREA_MM`] on paper, or over the
/// whole picture where that is smaller.
pub fn largest_mean(ink: &Ink, ppi: f64) -> f64 {
    let (across, down) = (ink.fields.across, ink.fields.down);
    if across == 0 || down == 0 {
        return 0.0;
    }
    let side = window(ink, ppi);
    let (wide, high) = (side.min(across), side.min(down));
    let sums = integral(&ink.fields);
    let at = |x: usize, y: usize| sums[y * (across + 1) + x];
    let windows = (0..=down - high).flat_map(|y| (0..=across - wide).map(move |x| (x, y)));
    let most = windows.map(|(x, y)| at(x + wide, y + high) + at(x, y) - at(x + wide, y) - at(x, y + high)).max();
    most.unwrap_or(0) as f64 / (wide * high) as f64 / INK_STEPS as f64 / 100.0
}

/// Returns the share of the picture's pixels with more ink than a limit.
pub fn share_over(ink: &Ink, limit: Share) -> f64 {
    let pixels: u64 = ink.percent.iter().map(|count| u64::from(*count)).sum();
    let over = ink.percent.iter().enumerate().filter(|(percent, _)| *percent as f64 / 100.0 > limit.as_f64());
    over.map(|(_, count)| u64::from(*count)).sum::<u64>() as f64 / pixels.max(1) as f64
}

/// Returns the fields across a window of [`AREA_MM`].
fn window(ink: &Ink, ppi: f64) -> usize {
    (AREA_MM / MM_PER_INCH * ppi / f64::from(ink.field_px.max(1))).round().max(1.0) as usize
}

/// Returns the sums of all fields above and to the left.
fn integral(fields: &Grid<u16>) -> Vec<u64> {
    let stride = fields.across + 1;
    let mut sums = vec![0u64; stride * (fields.down + 1)];
    for y in 0..fields.down {
        let mut row = 0;
        for x in 0..fields.across {
            row += u64::from(fields.fields[y * fields.across + x]);
            sums[(y + 1) * stride + x + 1] = sums[y * stride + x + 1] + row;
        }
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 100 x 50 fields of 3 px: at 254 ppi 10 mm are 100 px, 33 fields; all at 100 % except a square of `side` fields
    /// at 340 %.
    fn ink(side: usize) -> Ink {
        let mut fields = Grid::filled(100, 50, 1_000u16);
        for y in 10..10 + side {
            fields.fields[y * 100 + 20..y * 100 + 20 + side].fill(3_400);
        }
        let mut percent = vec![0; 401];
        (percent[100], percent[340]) = (5_000 - (side * side) as u32, (side * side) as u32);
        Ink { percent, fields, field_px: 3 }
    }

    #[test]
    fn a_wide_area_counts_in_full_and_a_small_one_in_part() {
        assert!((largest_mean(&ink(33), 254.0) - 3.4).abs() < 1e-9);
        // Arithmetic: 10 of 33 fields each way: 1 + 2.4 * 100 / 1089.
        assert!((largest_mean(&ink(10), 254.0) - (1.0 + 2.4 * 100.0 / 1_089.0)).abs() < 1e-9);
        assert_eq!(share_over(&ink(10), Share::percent(300)), 0.02);
    }

    #[test]
    fn a_picture_smaller_than_the_area_counts_as_a_whole() {
        let small = Ink { percent: vec![0; 401], fields: Grid::filled(2, 1, 3_500), field_px: 1 };
        assert!((largest_mean(&small, 300.0) - 3.5).abs() < 1e-9);
        assert_eq!(largest_mean(&Ink::default(), 300.0), 0.0);
    }
}
