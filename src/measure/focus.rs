//! How wide the sharpest edges are: from 10 to 90 % of their rise, field by field.
//!
//! Shallow depth of field is normal at table, so the sharpest fields decide. Motion blurs edges in one
//! direction and leaves them sharp in the other, so directions are kept apart too. Family of the method: Marziliano et
//! al., Signal Processing: Image Communication 19 (2004); the choice of fields and directions is ours.

use super::edges::EdgeLine;
use super::evidence::{Crossed, Focus};
use super::grid::Grid;
use super::statistics::{median, percentile};
use super::tone::fields;

/// Samples that an edge's run is followed each way.
const REACH: usize = 14;
/// Least rise of a run, in codes.
const MIN_RISE: f32 = 32.0;
/// Least rise as a multiple of the noise.
const NOISE_TIMES: f32 = 10.0;
/// Least change at an edge's steepest place, as a share of the rise.
const CHANGE_SHARE: f32 = 0.05;
/// Least change at an edge's steepest place, in codes.
const MIN_CHANGE: f32 = 3.0;
/// Share of the short side that is left out all round: painted frames are sharp.
const OUTER: f64 = 0.02;
/// Fields along the longer side.
const FIELDS: usize = 16;
/// Edges that a field needs.
const MIN_EDGES: usize = 12;
/// Share of the fields with a value that are called the sharpest.
const SHARPEST: f64 = 0.05;
/// Fewest fields that are called so.
const MIN_SHARPEST: usize = 3;

/// Fields with an answer that a direction needs before it is compared with the one across it. Source: ours.
const MIN_DIRECTED: usize = 12;
/// Of the fields that answer in both directions the sharpest are compared: one in this many.
const COMPARED_PARTS: usize = 5;
/// Fewest fields in which two directions are compared.
const MIN_COMPARED: usize = 6;
/// Widths no more than a thousandth apart are the same.
const SAME: f32 = 1.001;

/// The direction along which the width of edges is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Along rows.
    Horizontal,
    /// Along columns.
    Vertical,
    /// From the upper left to the lower right.
    Falling,
    /// From the lower left to the upper right.
    Rising,
}

/// Edge widths, gathered by direction and field.
pub struct EdgeWidthCounter {
    size_px: (usize, usize),
    rise_least: f32,
    fields: [Grid<Vec<f32>>; 4],
}

impl EdgeWidthCounter {
    /// Creates a counter for pictures of this size with this noise, in codes.
    pub fn new(width_px: usize, height_px: usize, noise: f64) -> EdgeWidthCounter {
        let (across, down) = fields(width_px, height_px, FIELDS);
        let rise_least = MIN_RISE.max(NOISE_TIMES * noise as f32);
        let fields = std::array::from_fn(|_| Grid::filled(across, down, Vec::new()));
        EdgeWidthCounter { size_px: (width_px, height_px), rise_least, fields }
    }

    /// Takes the edges of a row, or of a column where widths are measured vertically.
    pub fn add(&mut self, line: &EdgeLine<'_>, direction: Direction) {
        // Across a diagonal edge the way is shorter than along the row that meets it.
        let of_row = match direction {
            Direction::Horizontal | Direction::Vertical => 1.0,
            Direction::Falling | Direction::Rising => std::f32::consts::FRAC_1_SQRT_2,
        };
        let (width, height) = self.size_px;
        let outer = OUTER * width.min(height) as f64;
        let change_least = 3.0 * MIN_CHANGE.max(self.rise_least * CHANGE_SHARE);
        let inside = REACH as u32 + 1..(line.sums.len() as u32).saturating_sub(REACH as u32 + 2);
        for at in line.edges.iter().copied().filter(|at| inside.contains(at)) {
            let at = at as usize;
            let steep = f32::from((line.sums[at + 1] - line.sums[at]).abs());
            let place = at + line.first;
            let (x, y) = if direction == Direction::Vertical { (line.number, place) } else { (place, line.number) };
            let clear = |place: usize, side: usize| (place as f64) > outer && (place as f64) < side as f64 - outer;
            if steep < change_least || !clear(x, width) || !clear(y, height) {
                continue;
            }
            if let Some(edge_px) = edge_width(line.sums, at, 3.0 * self.rise_least) {
                let fields = &mut self.fields[direction as usize];
                let field = y * fields.down / height * fields.across + x * fields.across / width;
                fields.fields[field].push(edge_px * of_row);
            }
        }
    }

    /// Returns the sharpest fields, and every field, still as stored; `None` with too few edges.
    pub fn finish(self) -> Option<Focus> {
        let (across, down) = (self.fields[0].across, self.fields[0].down);
        let [horizontal, vertical, falling, rising] = self.fields.map(|grid| grid.fields);
        let mut both: Vec<Vec<f32>> =
            horizontal.iter().zip(&vertical).map(|(one, other)| [&one[..], other].concat()).collect();
        let mut all: Vec<f32> = both.iter().flatten().copied().collect();
        let fields = lower_quartiles(&mut both);
        let sharp_px = sharpest(&fields)?;
        let crossed = |mut one: Vec<Vec<f32>>, mut other: Vec<Vec<f32>>| {
            compare_directions(&lower_quartiles(&mut one), &lower_quartiles(&mut other))
        };
        Some(Focus {
            sharp_px,
            overall_px: median(&mut all)?,
            fields: Grid { across, down, fields },
            straight: crossed(horizontal, vertical),
            diagonal: crossed(falling, rising),
        })
    }
}

/// Returns the lower quartile of each field's edge widths, in pixels; `None` with too few edges.
fn lower_quartiles(fields: &mut [Vec<f32>]) -> Vec<Option<f32>> {
    let quarter = |edges: &mut Vec<f32>| {
        if edges.len() < MIN_EDGES { None } else { percentile(edges, 0.25).map(|width| width as f32) }
    };
    fields.iter_mut().map(quarter).collect()
}

/// Returns the median of the sharpest fields; `None` where none has an answer.
fn sharpest(fields: &[Option<f32>]) -> Option<f64> {
    let mut values: Vec<f32> = fields.iter().flatten().copied().collect();
    values.sort_unstable_by(f32::total_cmp);
    let sharpest = ((values.len() as f64 * SHARPEST).round_ties_even() as usize).max(MIN_SHARPEST);
    median(&mut values[..sharpest.min(values.len())].to_vec())
}

/// Returns the widths in two directions across each other; `None` where one of them has too few fields, or they share
/// too few.
fn compare_directions(one: &[Option<f32>], other: &[Option<f32>]) -> Option<Crossed> {
    if [one, other].iter().any(|fields| fields.iter().flatten().count() < MIN_DIRECTED) {
        return None;
    }
    let mut shared: Vec<(f32, f32)> = one.iter().zip(other).filter_map(|(one, other)| (*one).zip(*other)).collect();
    if shared.len() < MIN_COMPARED {
        return None;
    }
    shared.sort_by(|a, b| a.0.min(a.1).total_cmp(&b.0.min(b.1)));
    let compared = (shared.len() / COMPARED_PARTS).max(MIN_COMPARED);
    let last = shared[compared - 1];
    // All fields that are as sharp as the last one: none of them is ranked before another.
    let most = SAME * last.0.min(last.1);
    let among = shared.iter().take_while(|(one, other)| one.min(*other) <= most);
    let mut ratios: Vec<f32> = among.map(|(one, other)| one / other).collect();
    Some(Crossed { one_px: sharpest(one)?, other_px: sharpest(other)?, ratio: median(&mut ratios)? })
}

/// Returns the width of the edge between a place and the next, from 10 to 90 % of the run of samples that only rise or
/// only fall; `None` where it rises too little. `rise_least` is in thirds of a code, as the sums are.
fn edge_width(sums: &[i16], at: usize, rise_least: f32) -> Option<f32> {
    let sign = (sums[at + 1] - sums[at]).signum();
    let rises = |place: usize| (sums[place + 1] - sums[place]) * sign > 0;
    let left = (1..REACH).take_while(|k| rises(at - k)).count();
    let right = (1..REACH).take_while(|k| rises(at + k)).count();
    let run = &sums[at - left..=at + right + 1];
    let value = |place: usize| f32::from(run[place] * sign);
    let (low, high) = (value(0), value(run.len() - 1));
    if high - low < rise_least {
        return None;
    }
    let crossing = |share: f32| {
        let wanted = low + share * (high - low);
        let place = (0..run.len() - 1).find(|place| value(place + 1) >= wanted).unwrap_or(run.len() - 2);
        place as f32 + (wanted - value(place)) / (value(place + 1) - value(place))
    };
    Some(crossing(0.9) - crossing(0.1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::edges::{self, LineDirection};
    use crate::measure::line_sampler::whole;
    use crate::measure::reference::{edge, picture};

    fn focus(codes: &[u8], width: usize) -> Option<Focus> {
        let (rows, columns) = whole(codes, width);
        let mut widths = EdgeWidthCounter::new(width, codes.len() / width, 0.0);
        edges::find(&rows, 1, LineDirection::Upright, |line| widths.add(line, Direction::Horizontal));
        edges::find(&columns, 1, LineDirection::Upright, |line| widths.add(line, Direction::Vertical));
        edges::find(&rows, 1, LineDirection::Falling, |line| widths.add(line, Direction::Rising));
        edges::find(&rows, 1, LineDirection::Rising, |line| widths.add(line, Direction::Falling));
        widths.finish()
    }

    /// Squares of 32 px that lean a little, moved by 9 px along (dx, dy) while they were taken. With `on_corner` they
    /// stand on a corner, but for the upper quarter, which lies still.
    fn moved(on_corner: bool, dx: f64, dy: f64) -> Vec<u8> {
        picture(512, 512, |x, y| {
            let is_still = on_corner && y < 128;
            let light = |t: f64| {
                let t = if is_still { 0.0 } else { t };
                let (x, y) = (x as f64 + t * dx, y as f64 + t * dy);
                let stands = on_corner && !is_still;
                let (u, v) = if stands { (x + y, x - y) } else { (x + 0.1 * y, y - 0.1 * x) };
                let side = if stands { 45.0 } else { 32.0 };
                60.0 + 120.0 * ((u / side).floor() + (v / side).floor()).rem_euclid(2.0)
            };
            let sum: f64 = (0..45).map(|step| light((f64::from(step) - 22.0) / 5.0)).sum();
            (sum / 45.0) as u8
        })
    }

    #[test]
    fn motion_widens_the_edges_across_it_and_no_others() {
        // Arithmetic: 9 px of even motion rise from 10 to 90 % over 7.2 px; corners are smeared by less.
        let straight = |dx: f64, dy: f64| focus(&moved(false, dx, dy), 512).unwrap().straight.unwrap();
        let diagonal = |dx: f64, dy: f64| focus(&moved(true, dx, dy), 512).unwrap().diagonal.unwrap();
        for still in [straight(0.0, 0.0), diagonal(0.0, 0.0)] {
            assert!((still.ratio - 1.0).abs() < 0.2, "{still:?}");
        }
        let half = std::f64::consts::FRAC_1_SQRT_2;
        let moved = [straight(1.0, 0.0), straight(0.0, 1.0).swapped(), diagonal(half, half)];
        for moved in moved.into_iter().chain([diagonal(half, -half).swapped()]) {
            assert!((moved.ratio * moved.other_px - 7.2).abs() < 1.0 && moved.other_px < 1.0, "{moved:?}");
        }
    }

    #[test]
    fn a_blurred_step_has_the_width_of_its_blur() {
        // Source: the normal distribution, 10 to 90 % = 2.563 standard deviations.
        for blur in [0.7, 1.0, 2.0, 3.0] {
            let found = focus(&edge(blur, 0.0, 1.0), 200).unwrap().sharp_px;
            assert!((found / (2.563 * blur) - 1.0).abs() < 0.08, "{found} at {blur}");
        }
    }

    #[test]
    fn the_sharpest_fields_speak_and_know_where_they_are() {
        // Bars of soft edges everywhere, of hard ones in the lower right quarter.
        let codes = picture(640, 640, |x, y| {
            if x >= 320 && y >= 320 {
                if x / 16 % 2 == 0 { 60 } else { 180 }
            } else {
                (120.0 + 60.0 * (x as f64 / 12.0).sin()) as u8
            }
        });
        let found = focus(&codes, 640).unwrap();
        assert!(found.sharp_px < 1.5 && found.overall_px > found.sharp_px);
        let sharp = |place: [f64; 4]| place[0] >= 0.5 && place[1] >= 0.5;
        for (place, width) in found.fields.placed() {
            assert_eq!(width.is_some_and(|width| width < 2.0), sharp(place) && width.is_some(), "{place:?} {width:?}");
        }
    }

    #[test]
    fn without_edges_there_is_no_answer() {
        assert_eq!(focus(&picture(200, 200, |x, _| (x / 2) as u8), 200), None);
    }
}
