//! Whether two pictures that lie side by side go on from one another: the last columns of the left one against the
//! first columns of the right one, row by row.
//!
//! Fine structure along the seam (what differs from the mean of the rows around) is correlated at every shift up to
//! 1/16 of the height. Two columns of one picture that are half a per cent of its width apart agree, whatever was done
//! to the tones of either; columns of different pictures do not, and a shift moves the best agreement. Method:
//! normalised cross-correlation, a textbook one; its constants are ours.

use super::evidence::{END_COLUMNS, PictureEnd};
use super::statistics::{median, sliding_mean};

/// Rows into which the height of a seam is divided.
pub const ROWS: usize = 256;
/// Rows within which two columns count as not shifted: a sloping line moves that far from column to column.
const STILL_ROWS: usize = 1;
/// Largest shift that is looked for, in rows.
const MAX_SHIFT_ROWS: usize = 16;
/// Rows over which a column is smoothed, against grain and sharpening.
const SMOOTH_ROWS: usize = 3;
/// Rows around one whose mean is taken off, so that what is left is fine structure: an eighth of the height.
const COARSE_ROWS: usize = 33;
/// Weights of red, green and blue in luma. Source: ITU-R BT.601.
const LUMA: [f32; 3] = [0.299, 0.587, 0.114];

/// A side of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Where a picture on its left would end.
    Left,
    /// Where a picture on its right would begin.
    Right,
}

/// One side of a seam: two neighbouring columns of a picture, from top to bottom, in sRGB codes.
#[derive(Clone, Debug, PartialEq)]
pub struct SeamEdge {
    /// The column next to the seam.
    next: Vec<[u8; 3]>,
    /// The column behind it.
    behind: Vec<[u8; 3]>,
}

impl SeamEdge {
    /// Returns the edge at a seam that runs at `at` of the picture's width, between `top` and `bottom` of its height,
    /// all shares from the top left; `None` where the seam lies deeper in the picture than its end was kept.
    pub fn of(ends: &[PictureEnd; 2], side: Side, at: f64, (top, bottom): (f64, f64)) -> Option<SeamEdge> {
        let (end, first, inwards) = match side {
            Side::Left => (&ends[0], 0, 1.0),
            Side::Right => (&ends[1], END_COLUMNS.checked_sub(ends[1].across)?, -1.0),
        };
        let column = |number: f64| {
            // The middle of the column, in columns of the end.
            let place = at * END_COLUMNS as f64 + inwards * (number + 0.5) - 0.5 - first as f64;
            // A rounded seam may lie a hair outside the picture.
            let place = if (-0.5..0.0).contains(&place) { 0.0 } else { place };
            let last = end.across.checked_sub(1)? as f64;
            let place = if (last..last + 0.5).contains(&place) { last } else { place };
            (0.0..=last).contains(&place).then(|| column_at(end, place, (top, bottom)))
        };
        Some(SeamEdge { next: column(0.0)?, behind: column(1.0)? })
    }
}

/// Returns a column of an end between two of its columns and between two shares of its height, in [`ROWS`] rows.
fn column_at(end: &PictureEnd, place: f64, (top, bottom): (f64, f64)) -> Vec<[u8; 3]> {
    let down = end.down as f64;
    let cell = |x: usize, y: usize| end.fields[y * end.across + x].map(f64::from);
    let mix = |one: [f64; 3], other: [f64; 3], share: f64| -> [f64; 3] {
        std::array::from_fn(|at| one[at] + (other[at] - one[at]) * share)
    };
    let x = (place as usize).min(end.across.saturating_sub(2));
    let of_row = |y: usize| mix(cell(x, y), cell((x + 1).min(end.across - 1), y), place - x as f64);
    let row = |number: usize| {
        let share = top + (bottom - top) * (number as f64 + 0.5) / ROWS as f64;
        let y = (share * down - 0.5).clamp(0.0, down - 1.0);
        let above = (y as usize).min(end.down.saturating_sub(2));
        let codes = mix(of_row(above), of_row((above + 1).min(end.down - 1)), y - above as f64);
        codes.map(|code| code.round().clamp(0.0, 255.0) as u8)
    };
    (0..ROWS).map(row).collect()
}

/// How two edges agree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seam {
    /// Agreement of the fine structure where nothing is shifted, -1 to 1; 1 is the same.
    pub agrees: f64,
    /// The best agreement at any shift.
    pub agrees_shifted: f64,
    /// The shift of that, as a share of the height; positive where the right picture lies lower.
    pub shift: f64,
    /// Standard deviation of the fine structure in codes, of the edge that has more.
    pub structure: f64,
    /// How much lighter the right picture is than the left one leads to, in codes of luma.
    pub lighter: f64,
    /// The same of red, green and blue, without what luma says.
    pub tint: [f64; 3],
}

/// Compares the right edge of one picture with the left edge of the next.
pub fn compare(left: &SeamEdge, right: &SeamEdge) -> Seam {
    let (one, other) = (fine_structure(&left.next), fine_structure(&right.next));
    let by_shift: Vec<f64> = (0..=2 * MAX_SHIFT_ROWS).map(|at| agreement(&one, &other, at)).collect();
    let best = (0..by_shift.len()).max_by(|a, b| by_shift[*a].total_cmp(&by_shift[*b])).unwrap_or(MAX_SHIFT_ROWS);
    let still = MAX_SHIFT_ROWS - STILL_ROWS..=MAX_SHIFT_ROWS + STILL_ROWS;
    let (lighter, tint) = step(left, right);
    Seam {
        agrees: by_shift[still].iter().copied().fold(f64::MIN, f64::max),
        agrees_shifted: by_shift[best],
        shift: (best as f64 + peak(&by_shift, best) - MAX_SHIFT_ROWS as f64) / ROWS as f64,
        structure: deviation(&one).max(deviation(&other)),
        lighter,
        tint,
    }
}

/// Returns each colour of a column less the mean of the rows around.
fn fine_structure(column: &[[u8; 3]]) -> [Vec<f64>; 3] {
    std::array::from_fn(|colour| {
        let codes: Vec<f64> = column.iter().map(|pixel| f64::from(pixel[colour])).collect();
        let smooth = sliding_mean(&codes, SMOOTH_ROWS);
        let coarse = sliding_mean(&smooth, COARSE_ROWS);
        smooth.iter().zip(coarse).map(|(fine, coarse)| fine - coarse).collect()
    })
}

/// Returns the agreement of two columns where the second lies `at` - [`MAX_SHIFT_ROWS`] rows lower.
fn agreement(one: &[Vec<f64>; 3], other: &[Vec<f64>; 3], at: usize) -> f64 {
    let (up, down) = (MAX_SHIFT_ROWS.saturating_sub(at), at.saturating_sub(MAX_SHIFT_ROWS));
    let (mut both, mut first, mut second) = (0.0, 0.0, 0.0);
    for (one, other) in one.iter().zip(other) {
        for (a, b) in one.iter().skip(up).zip(other.iter().skip(down)) {
            both += a * b;
            first += a * a;
            second += b * b;
        }
    }
    if first * second > 0.0 { both / (first * second).sqrt() } else { 0.0 }
}

/// Returns where a parabola through a value and its neighbours is highest, -0.5 to 0.5 from the value.
fn peak(values: &[f64], at: usize) -> f64 {
    let (Some(before), Some(after)) = (at.checked_sub(1).and_then(|at| values.get(at)), values.get(at + 1)) else {
        return 0.0;
    };
    let bend = before - 2.0 * values[at] + after;
    if bend < 0.0 { ((before - after) / (2.0 * bend)).clamp(-0.5, 0.5) } else { 0.0 }
}

fn deviation(column: &[Vec<f64>; 3]) -> f64 {
    let squares: f64 = column.iter().flatten().map(|code| code * code).sum();
    (squares / (3 * ROWS) as f64).sqrt()
}

/// Returns the step of luma, and of each colour beside it, from the left picture to the right one: the median over the
/// rows of what is left once both go on to the seam as they come.
fn step(left: &SeamEdge, right: &SeamEdge) -> (f64, [f64; 3]) {
    let (mut lighter, mut tint) = (Vec::with_capacity(ROWS), [const { Vec::new() }; 3]);
    let rows = left.next.iter().zip(&left.behind).zip(right.next.iter().zip(&right.behind));
    for ((next, behind), (right_next, right_behind)) in rows {
        let steps: [f32; 3] = std::array::from_fn(|at| {
            let [a, b, c, d] = [behind[at], next[at], right_next[at], right_behind[at]].map(f32::from);
            (c - b) - ((b - a) + (d - c)) / 2.0
        });
        let luma = steps.iter().zip(LUMA).map(|(step, weight)| step * weight).sum::<f32>();
        lighter.push(luma);
        tint.iter_mut().zip(steps).for_each(|(all, step)| all.push(step - luma));
    }
    let middle = |mut steps: Vec<f32>| median(&mut steps).unwrap_or(0.0);
    (middle(lighter), tint.map(middle))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An end whose every row has a grey of its own, by the number of the row.
    fn ends(code: impl Fn(usize) -> [u8; 3]) -> [PictureEnd; 2] {
        let end = || PictureEnd { across: 32, down: 256, fields: (0..256 * 32).map(|at| code(at / 32)).collect() };
        [end(), end()]
    }

    /// Stripes of uneven heights: nothing like themselves when shifted.
    fn stripes(y: usize) -> [u8; 3] {
        let y = y as f64;
        [(120.0 + 50.0 * (y / 3.1).sin() + 40.0 * (y * y / 900.0).sin()) as u8; 3]
    }

    fn seam(left: &[PictureEnd; 2], right: &[PictureEnd; 2]) -> Seam {
        let whole = (0.0, 1.0);
        let edges = (SeamEdge::of(left, Side::Right, 1.0, whole), SeamEdge::of(right, Side::Left, 0.0, whole));
        compare(&edges.0.unwrap(), &edges.1.unwrap())
    }

    #[test]
    fn what_goes_on_agrees_and_what_is_shifted_says_by_how_much() {
        let same = seam(&ends(stripes), &ends(stripes));
        assert!(same.agrees > 0.999 && same.shift.abs() < 1e-6 && same.lighter.abs() < 1e-3, "{same:?}");
        for rows in [5_isize, -7] {
            let shifted = seam(&ends(stripes), &ends(|y| stripes((y as isize - rows).rem_euclid(256) as usize)));
            assert!(shifted.agrees < 0.6 && shifted.agrees_shifted > 0.9, "{shifted:?}");
            assert!((shifted.shift * ROWS as f64 - rows as f64).abs() < 0.6, "{shifted:?}");
        }
    }

    #[test]
    fn another_picture_agrees_at_no_shift_and_a_plain_one_has_no_structure() {
        let other = |y: usize| [(128.0 + 60.0 * (y as f64 * y as f64 / 210.0).cos()) as u8; 3];
        let found = seam(&ends(stripes), &ends(other));
        assert!(found.agrees_shifted < 0.5 && found.structure > 20.0, "{found:?}");
        let plain = seam(&ends(|_| [90; 3]), &ends(|_| [90; 3]));
        assert_eq!((plain.agrees, plain.structure), (0.0, 0.0));
    }

    #[test]
    fn a_step_of_tone_or_colour_is_told_from_a_gradient() {
        let lighter = seam(&ends(stripes), &ends(|y| stripes(y).map(|code| code + 12)));
        assert!((lighter.lighter - 12.0).abs() < 1e-3 && lighter.agrees > 0.99, "{lighter:?}");
        let warm = seam(&ends(|_| [100; 3]), &ends(|_| [110, 100, 90]));
        assert!(warm.tint[0] > 8.0 && warm.tint[2] < -8.0 && warm.lighter.abs() < 3.0, "{warm:?}");
        // A sky that darkens evenly from column to column goes on through the seam.
        let falling = |from: usize| {
            let fields = (0..256 * 32).map(|at| [(200 - (from + at % 32)) as u8; 3]).collect();
            PictureEnd { across: 32, down: 256, fields }
        };
        let even = seam(&[falling(0), falling(0)], &[falling(32), falling(32)]);
        assert!(even.lighter.abs() < 1e-3, "{even:?}");
    }

    #[test]
    fn a_seam_within_the_bleed_is_looked_at_there_and_deeper_than_the_end_nowhere() {
        // Beyond the seam, at 1 % of the width, lies another picture.
        let cells = |at: usize| if at % 32 < 2 { [255, 0, 0] } else { stripes(at / 32) };
        let bled = PictureEnd { across: 32, down: 256, fields: (0..256 * 32).map(cells).collect() };
        let right = [bled.clone(), bled];
        let left = SeamEdge::of(&ends(stripes), Side::Right, 1.0, (0.0, 1.0)).unwrap();
        let at = |share: f64| SeamEdge::of(&right, Side::Left, share, (0.0, 1.0));
        assert!(compare(&left, &at(0.01).unwrap()).agrees > 0.99);
        assert!(compare(&left, &at(0.0).unwrap()).lighter.abs() > 20.0);
        assert_eq!((at(0.2), at(-0.01)), (None, None));
        assert_eq!(SeamEdge::of(&Default::default(), Side::Right, 1.0, (0.0, 1.0)), None);
    }
}
