//! A border painted into a picture: lines of one colour along a whole side, ending in a step.

use crate::measure::evidence::Border;

/// How deep it is looked for, as a share of the picture's extent.
const DEPTH: f64 = 0.12;
/// A line is of one colour where this share of its pixels lies within [`ALIKE`] of its median.
const MIN_EVEN: f64 = 0.97;
/// Codes of 255, each channel.
const ALIKE: u8 = 6;
/// A border ends where a line's colour changes by this many codes, or where lines are of one colour no more.
const MIN_STEP: u8 = 24;
/// Share of the side that the end of a border must step along: a plain ground has no such end.
const STEP_ALONG: f64 = 0.8;

/// Returns a painted border at each side: top, right, bottom, left.
pub fn find(rgb: &[u8], width: usize, height: usize) -> [Option<Border>; 4] {
    let at = |x: usize, y: usize| -> [u8; 3] { std::array::from_fn(|c| rgb[(y * width + x) * 3 + c]) };
    [
        of_side(height, width, |depth, along| at(along, depth)),
        of_side(width, height, |depth, along| at(width - 1 - depth, along)),
        of_side(height, width, |depth, along| at(along, height - 1 - depth)),
        of_side(width, height, at),
    ]
}

/// Returns the border of one side: `deep` lines of `len` pixels, the outermost first.
fn of_side(deep: usize, len: usize, pixel: impl Fn(usize, usize) -> [u8; 3]) -> Option<Border> {
    let lines = (deep as f64 * DEPTH) as usize;
    if lines < 2 || len < 16 {
        return None;
    }
    let mut colours = (0..lines).map(|depth| colour_of(len, |along| pixel(depth, along)));
    // The outermost band of one colour, or a band of one colour within the picture's first lines.
    let (from, first) = colours.by_ref().enumerate().find_map(|(from, colour)| Some((from, colour?)))?;
    let same = |colour: &Option<[u8; 3]>| colour.is_some_and(|colour| apart(colour, first) <= ALIKE);
    let to = from + 1 + colours.take_while(same).count();
    if to >= lines {
        return None;
    }
    // A plain ground runs out softly or into the picture here and there; a painted border ends along the whole side.
    // Where the small picture mixed the last line with what lies behind, the step shows one line later.
    let behind = (to + 1).min(lines - 1);
    let steps = (0..len).filter(|along| apart(pixel(behind, *along), first) >= MIN_STEP).count();
    let ends = steps as f64 >= STEP_ALONG * len as f64;
    let begins = from == 0
        || (0..len).filter(|along| apart(pixel(0, *along), first) >= MIN_STEP).count() as f64
            >= STEP_ALONG * len as f64;
    let share = |line: usize| line as f32 / deep as f32;
    (ends && begins).then(|| Border { from: share(from), to: share(to) })
}

/// Returns the colour of a line, if it has only one.
fn colour_of(len: usize, pixel: impl Fn(usize) -> [u8; 3]) -> Option<[u8; 3]> {
    let even_least = (MIN_EVEN * len as f64).ceil() as usize;
    // Most lines are none, which few pixels show: of two that lie too far apart to be both like the median, one is not.
    let half = len / 2;
    let mut apart_pairs = (0..half).filter(|along| apart(pixel(*along), pixel(*along + half)) > 2 * ALIKE);
    if apart_pairs.nth(len - even_least).is_some() {
        return None;
    }
    let mut counts = [[0usize; 256]; 3];
    for along in 0..len {
        counts.iter_mut().zip(pixel(along)).for_each(|(counts, code)| counts[usize::from(code)] += 1);
    }
    let median: [u8; 3] = std::array::from_fn(|channel| {
        let mut left = len / 2;
        let code = counts[channel].iter().position(|count| {
            let here = *count > left;
            left = left.saturating_sub(*count);
            here
        });
        code.unwrap_or_default() as u8
    });
    let even = (0..len).filter(|along| apart(pixel(*along), median) <= ALIKE).count();
    (even >= even_least).then_some(median)
}

fn apart(one: [u8; 3], other: [u8; 3]) -> u8 {
    one.iter().zip(other).map(|(a, b)| a.abs_diff(b)).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(pixel: impl Fn(usize, usize) -> [u8; 3]) -> [Option<Border>; 4] {
        let rgb: Vec<u8> = (0..200 * 300).flat_map(|at| pixel(at % 200, at / 200)).collect();
        find(&rgb, 200, 300)
    }

    fn scene(x: usize, y: usize) -> [u8; 3] {
        [(60 + (x * 7 + y * 3) % 90) as u8, (80 + (x + y) % 50) as u8, 70]
    }

    #[test]
    fn a_white_border_is_found_on_the_sides_it_has() {
        let found = of(|x, y| if x < 6 || y < 9 { [255; 3] } else { scene(x, y) });
        assert_eq!(found[0], Some(Border { from: 0.0, to: 0.03 }));
        assert_eq!(found[3], Some(Border { from: 0.0, to: 0.03 }));
        assert_eq!((found[1], found[2]), (None, None));
    }

    #[test]
    fn a_line_is_of_one_colour_with_three_odd_pixels_in_a_hundred_and_not_with_four() {
        let line = |odd: usize| colour_of(100, move |at| if at < odd { [200; 3] } else { [100; 3] });
        assert_eq!((line(3), line(4)), (Some([100; 3]), None));
        // Two pixels as far apart as both may be from the median, and one code farther.
        let halves = |other: u8| colour_of(100, move |at| if at < 50 { [100; 3] } else { [other; 3] });
        assert_eq!((halves(106), halves(107)), (Some([106; 3]), None));
    }

    #[test]
    fn a_thin_line_inside_the_edge_is_a_border_too() {
        let found = of(|x, y| {
            if (290..292).contains(&y) {
                [10; 3]
            } else {
                let [r, g, b] = scene(x, y);
                [r.max(60), g, b]
            }
        });
        let border = found[2].unwrap();
        assert!((border.from - 8.0 / 300.0).abs() < 1e-6 && (border.to - 10.0 / 300.0).abs() < 1e-6);
    }

    #[test]
    fn a_plain_ground_is_no_border() {
        let dish = |x: usize, y: usize| (x as f64 - 100.0).hypot(y as f64 - 150.0) < 80.0;
        assert_eq!(of(|x, y| if dish(x, y) { scene(x, y) } else { [240; 3] }), [None; 4]);
        assert_eq!(of(|_, y| [(y / 2) as u8; 3]), [None; 4]);
    }
}
