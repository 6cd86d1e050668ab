//! Overlays painted over a thumbnail: hatched fields, patterned lines, dimmed surroundings. Everything is black and
//! white together, so that it shows on any background and nothing depends on colour.
//!
//! Positions are shares of the upright picture; painting is done at the size in which the picture is shown.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;

use image::{Rgb, RgbImage};

use crate::judge::metrics::Grid;
use crate::judge::metrics::cut_lines::Rectangle;
use crate::live::snapshot::ShownThumbnail;
use crate::tui::picture::scale::scaled;

const BLACK: Rgb<u8> = Rgb([0; 3]);
const WHITE: Rgb<u8> = Rgb([255; 3]);
/// Parts of a value: a dimmed pixel keeps some of its own and takes the rest of a middle grey. Own choice.
const WHOLE: u32 = 4;
const DIMMED_TO: u32 = 96;
/// How far a line may be beyond the picture's edge and still be drawn on it: allows for rounding of shares.
const BEYOND: f64 = 1e-6;

/// The two directions of hatching.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Hatch {
    /// Rising to the right.
    Rising,
    /// Falling to the right.
    Falling,
}

/// The patterns of lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dash {
    /// A line without gaps.
    Solid,
    /// Long strokes.
    Long,
    /// Dots.
    Dotted,
    /// Dots far apart.
    Sparse,
    /// A stroke and a dot in turn.
    StrokeDot,
    /// Only the ends of each side.
    Corners,
}

/// One mark painted over the picture.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Hatching over the fields that are true.
    Hatched(Hatch, Arc<Grid<bool>>),
    /// Dimming outside a rectangle, and the quarters kept there.
    Dimmed(Rectangle, u8),
    /// The four sides of a rectangle; sides beyond the picture are left out.
    Frame(Dash, Rectangle),
    /// An upright line: its position, and its top and bottom.
    Upright(Dash, f64, (f64, f64)),
    /// A level line: its position, and its left and right.
    Level(Dash, f64, (f64, f64)),
}

/// Everything painted over one picture, in order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Overlay {
    /// The marks, the lowest first.
    pub marks: Vec<Mark>,
}

/// The thickness of strokes at the size shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct StrokeWidth {
    /// Width of the white and of the black half of a line, in pixels.
    half_px: u32,
    /// Distance from one hatching line to the next, in pixels.
    period_px: u32,
    /// True if there is room for a white and a black half side by side; else each pixel contrasts with its background.
    is_paired: bool,
}

impl StrokeWidth {
    /// For half blocks: a pixel is half a cell. Own choice, tried in xterm at 28 and 80 columns.
    pub const BLOCKS: StrokeWidth = StrokeWidth { half_px: 1, period_px: 4, is_paired: false };

    /// For graphics: strokes as thick as those of the letters beside them. Own choice, tried in xterm and kitty.
    pub fn graphics(cell_px: (u16, u16)) -> StrokeWidth {
        let half_px = (u32::from(cell_px.1) / 16).max(1);
        StrokeWidth { half_px, period_px: 8 * half_px, is_paired: true }
    }
}

impl Dash {
    /// Returns the lengths of strokes and gaps in turn, in units of three half-widths of a line.
    const fn lengths(self) -> &'static [u32] {
        match self {
            Dash::Solid | Dash::Corners => &[1],
            Dash::Long => &[4, 2],
            Dash::Dotted => &[1, 1],
            Dash::Sparse => &[1, 3],
            Dash::StrokeDot => &[4, 1, 1, 1],
        }
    }

    /// True if a line of `length` pixels is drawn at `at`.
    fn is_drawn(self, at: u32, length: u32, pen: StrokeWidth) -> bool {
        /// The part of a side that a corner takes: one sixth.
        const CORNER: u32 = 6;
        let unit = if pen.is_paired { 3 * pen.half_px } else { 1 };
        match self {
            Dash::Solid => true,
            Dash::Corners => at < length / CORNER || at + length / CORNER >= length,
            _ => {
                let lengths = self.lengths();
                let mut left = at / unit % lengths.iter().sum::<u32>();
                for (place, part) in lengths.iter().enumerate() {
                    if left < *part {
                        return place % 2 == 0;
                    }
                    left -= part;
                }
                false
            }
        }
    }
}

impl Overlay {
    /// Returns a hash of the overlay; 0 for an empty one.
    pub fn stamp(&self) -> u64 {
        if self.marks.is_empty() {
            return 0;
        }
        let mut hasher = DefaultHasher::new();
        for mark in &self.marks {
            match mark {
                Mark::Hatched(hatch, marked) => (hatch, marked.across, &marked.fields).hash(&mut hasher),
                Mark::Dimmed(outside, quarters) => (outside.map(f64::to_bits), quarters).hash(&mut hasher),
                Mark::Frame(dash, frame) => (dash, frame.map(f64::to_bits)).hash(&mut hasher),
                Mark::Upright(dash, at, (from, to)) => {
                    ("upright", dash, [*at, *from, *to].map(f64::to_bits)).hash(&mut hasher);
                }
                Mark::Level(dash, at, (from, to)) => {
                    ("level", dash, [*at, *from, *to].map(f64::to_bits)).hash(&mut hasher);
                }
            }
        }
        hasher.finish().max(1)
    }

    /// Returns the overlay for a part of the picture, without hatching: that belongs to fields of the whole.
    #[must_use]
    pub fn seen_in(&self, [left, top, right, bottom]: Rectangle) -> Overlay {
        let x = |share: f64| (share - left) / (right - left);
        let y = |share: f64| (share - top) / (bottom - top);
        let frame = |[left, top, right, bottom]: Rectangle| [x(left), y(top), x(right), y(bottom)];
        let marks = self.marks.iter().filter_map(|mark| match mark {
            Mark::Hatched(..) => None,
            Mark::Dimmed(outside, quarters) => Some(Mark::Dimmed(frame(*outside), *quarters)),
            Mark::Frame(dash, around) => Some(Mark::Frame(*dash, frame(*around))),
            Mark::Upright(dash, at, (from, to)) => Some(Mark::Upright(*dash, x(*at), (y(*from), y(*to)))),
            Mark::Level(dash, at, (from, to)) => Some(Mark::Level(*dash, y(*at), (x(*from), x(*to)))),
        });
        Overlay { marks: marks.collect() }
    }

    fn paint(&self, picture: &mut RgbImage, pen: StrokeWidth) {
        for mark in &self.marks {
            match mark {
                Mark::Hatched(hatch, marked) => hatched(picture, *hatch, marked, pen),
                Mark::Dimmed(outside, quarters) => dimmed(picture, *outside, *quarters),
                Mark::Frame(dash, [left, top, right, bottom]) => {
                    for x in [*left, *right] {
                        upright(picture, *dash, x, (*top, *bottom), pen);
                    }
                    for y in [*top, *bottom] {
                        level(picture, *dash, y, (*left, *right), pen);
                    }
                }
                Mark::Upright(dash, at, ends) => upright(picture, *dash, *at, *ends, pen),
                Mark::Level(dash, at, ends) => level(picture, *dash, *at, *ends, pen),
            }
        }
    }
}

/// Scales a thumbnail to exactly `size_px` pixels and paints an overlay over it.
pub fn overlaid(thumbnail: &ShownThumbnail, overlay: &Overlay, size_px: (u32, u32), pen: StrokeWidth) -> RgbImage {
    let mut picture = scaled(thumbnail, size_px.0, size_px.1);
    overlay.paint(&mut picture, pen);
    picture
}

fn hatched(picture: &mut RgbImage, hatch: Hatch, grid: &Grid<bool>, pen: StrokeWidth) {
    if grid.fields.is_empty() {
        return;
    }
    let (width, height) = picture.dimensions();
    for (x, y, pixel) in picture.enumerate_pixels_mut() {
        let field = |at: u32, of: u32, fields: usize| ((2 * at as usize + 1) * fields) / (2 * of as usize);
        let place = field(y, height, grid.down) * grid.across + field(x, width, grid.across);
        if grid.fields.get(place) != Some(&true) {
            continue;
        }
        let along = match hatch {
            Hatch::Rising => x + y,
            Hatch::Falling => x + pen.period_px * height - y,
        };
        match along % pen.period_px / pen.half_px {
            0 => *pixel = WHITE,
            1 => *pixel = BLACK,
            _ => {}
        }
    }
}

fn dimmed(picture: &mut RgbImage, [left, top, right, bottom]: Rectangle, quarters: u8) {
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    let own = u32::from(quarters).min(WHOLE);
    for (x, y, pixel) in picture.enumerate_pixels_mut() {
        let (x, y) = ((f64::from(x) + 0.5) / width, (f64::from(y) + 0.5) / height);
        if x < left || x > right || y < top || y > bottom {
            pixel.0 = pixel.0.map(|value| ((u32::from(value) * own + DIMMED_TO * (WHOLE - own)) / WHOLE) as u8);
        }
    }
}

/// Returns the first pixel of a line across `of` pixels, or `None` beyond the picture.
fn place(share: f64, of: u32, pen: StrokeWidth) -> Option<u32> {
    let thick = if pen.is_paired { 2 * pen.half_px } else { 1 };
    (-BEYOND..=1.0 + BEYOND).contains(&share).then(|| {
        let at = (share * f64::from(of) - f64::from(thick) / 2.0).round();
        (at.max(0.0) as u32).min(of.saturating_sub(thick))
    })
}

/// Returns the pixels between two shares, within the picture.
fn between((from, to): (f64, f64), of: u32) -> std::ops::Range<u32> {
    let at = |share: f64| (share.clamp(0.0, 1.0) * f64::from(of)).round() as u32;
    at(from)..at(to)
}

fn upright(picture: &mut RgbImage, dash: Dash, share: f64, ends: (f64, f64), pen: StrokeWidth) {
    let Some(first) = place(share, picture.width(), pen) else { return };
    let range = between(ends, picture.height());
    for y in range.clone().filter(|y| dash.is_drawn(y - range.start, range.len() as u32, pen)) {
        stroke(picture, pen, |across| (first + across, y));
    }
}

fn level(picture: &mut RgbImage, dash: Dash, share: f64, ends: (f64, f64), pen: StrokeWidth) {
    let Some(first) = place(share, picture.height(), pen) else { return };
    let range = between(ends, picture.width());
    for x in range.clone().filter(|x| dash.is_drawn(x - range.start, range.len() as u32, pen)) {
        stroke(picture, pen, |across| (x, first + across));
    }
}

/// Draws one step of a line: its white and black halves, or one pixel that contrasts with its background.
fn stroke(picture: &mut RgbImage, pen: StrokeWidth, at: impl Fn(u32) -> (u32, u32)) {
    /// Brightness from which a background counts as light, in levels of 255.
    const MIDDLE: u16 = 118;
    let thick = if pen.is_paired { 2 * pen.half_px } else { 1 };
    for across in 0..thick {
        let (x, y) = at(across);
        let Some(pixel) = picture.get_pixel_mut_checked(x, y) else { continue };
        let [red, green, blue] = pixel.0.map(u16::from);
        let white = if pen.is_paired { across < pen.half_px } else { (red + 2 * green + blue) / 4 < MIDDLE };
        *pixel = if white { WHITE } else { BLACK };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::tests::order::thumbnail;

    fn plain(grey: u8, width_px: u32, height_px: u32) -> ShownThumbnail {
        let rgb = vec![grey; (width_px * height_px * 3) as usize];
        ShownThumbnail { width_px, height_px, rgb, ..thumbnail("plum.jpg", 1, 1) }
    }

    fn of(marks: Vec<Mark>) -> Overlay {
        Overlay { marks }
    }

    #[test]
    fn without_marks_the_picture_is_as_sent() {
        let plum = thumbnail("plum.jpg", 60, 40);
        assert_eq!(overlaid(&plum, &Overlay::default(), (30, 20), StrokeWidth::BLOCKS), scaled(&plum, 30, 20));
        assert_eq!(Overlay::default().stamp(), 0);
    }

    #[test]
    fn hatching_is_seen_on_black_and_on_white_and_stays_in_its_fields() {
        let marked = Arc::new(Grid { across: 2, down: 1, fields: vec![true, false] });
        for pen in [StrokeWidth::BLOCKS, StrokeWidth::graphics((8, 17))] {
            for background in [0, 255] {
                let overlay = of(vec![Mark::Hatched(Hatch::Rising, Arc::clone(&marked))]);
                let picture = overlaid(&plain(background, 64, 32), &overlay, (64, 32), pen);
                let other = |(x, _, pixel): &(u32, u32, &Rgb<u8>)| *x < 32 && pixel.0 != [background; 3];
                let seen = picture.enumerate_pixels().filter(other).count();
                assert!((32 * 32 / 10..=32 * 32 / 3).contains(&seen), "{pen:?} on {background}: {seen}");
                assert!(picture.enumerate_pixels().all(|(x, _, pixel)| x < 32 || pixel.0 == [background; 3]));
            }
        }
    }

    #[test]
    fn the_two_hatchings_run_in_different_directions() {
        let field = Arc::new(Grid { across: 1, down: 1, fields: vec![true] });
        let white = |hatch| {
            let overlay = of(vec![Mark::Hatched(hatch, Arc::clone(&field))]);
            let picture = overlaid(&plain(100, 16, 16), &overlay, (16, 16), StrokeWidth::graphics((8, 16)));
            let mut rows = (0..2).map(|y| (0..16).find(|x| *picture.get_pixel(*x, y + 4) == WHITE).unwrap());
            (rows.next().unwrap(), rows.next().unwrap())
        };
        let ((rising, below), (falling, below_falling)) = (white(Hatch::Rising), white(Hatch::Falling));
        assert_eq!((below + 1) % 8, rising % 8);
        assert_eq!(below_falling % 8, (falling + 1) % 8);
    }

    #[test]
    fn lines_are_seen_on_any_ground_in_both_ways_of_drawing() {
        for pen in [StrokeWidth::BLOCKS, StrokeWidth::graphics((10, 20))] {
            for background in [0, 118, 255] {
                let overlay = of(vec![Mark::Frame(Dash::Solid, [0.25, 0.25, 0.75, 0.75])]);
                let picture = overlaid(&plain(background, 80, 80), &overlay, (80, 80), pen);
                let most = picture.pixels().map(|pixel| pixel.0[0].abs_diff(background)).max().unwrap();
                assert!(most >= 118, "{pen:?} on {background}: {most}");
            }
        }
    }

    #[test]
    fn patterns_differ_and_lines_beyond_the_picture_are_left_out() {
        let pen = StrokeWidth::graphics((8, 16));
        let pattern = |dash: Dash| (0..60).map(|at| dash.is_drawn(at, 60, pen)).collect::<Vec<_>>();
        let all = [Dash::Solid, Dash::Long, Dash::Dotted, Dash::Sparse, Dash::StrokeDot, Dash::Corners].map(pattern);
        for (i, one) in all.iter().enumerate() {
            assert!(all[i + 1..].iter().all(|other| other != one));
        }
        let beyond = of(vec![Mark::Frame(Dash::Solid, [-0.2, -0.2, 1.2, 1.2])]);
        let grey = plain(90, 20, 20);
        assert_eq!(overlaid(&grey, &beyond, (20, 20), pen), scaled(&grey, 20, 20));
        let edges = of(vec![Mark::Frame(Dash::Solid, [0.0, 0.0, 1.0, 1.0])]);
        let picture = overlaid(&grey, &edges, (20, 20), pen);
        assert_eq!((*picture.get_pixel(0, 10), *picture.get_pixel(19, 10)), (WHITE, BLACK));
    }

    #[test]
    fn what_lies_outside_is_dimmed() {
        let overlay = of(vec![Mark::Dimmed([0.5, 0.0, 1.0, 1.0], 2)]);
        let picture = overlaid(&plain(200, 10, 10), &overlay, (10, 10), StrokeWidth::BLOCKS);
        assert_eq!((picture.get_pixel(0, 5).0, picture.get_pixel(9, 5).0), ([148; 3], [200; 3]));
    }

    #[test]
    fn a_moved_line_and_another_field_make_another_stamp() {
        let frame = |left| of(vec![Mark::Frame(Dash::Solid, [left, 0.0, 1.0, 1.0])]).stamp();
        assert_eq!(frame(0.1), frame(0.1));
        assert_ne!(frame(0.1), frame(0.2));
        let fields = |marked: bool| {
            let grid = Grid { across: 1, down: 1, fields: vec![marked] };
            of(vec![Mark::Hatched(Hatch::Rising, Arc::new(grid))]).stamp()
        };
        assert_ne!(fields(true), fields(false));
    }
}
