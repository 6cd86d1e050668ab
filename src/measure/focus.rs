//! How wide the sharpest edges are: from 10 to 90 % of their rise, field by field.
//!
//! Shallow depth of field is normal at table, so the sharpest fields speak for the picture. Family of the method:
//! Marziliano et al., Signal Processing: Image Communication 19 (2004); the choice of fields is ours.

use super::edges::Line;
use super::evidence::Focus;
use super::grid::Grid;
use super::statistics::{median, percentile};
use super::tone::fields;

/// Samples that an edge's run is followed each way.
const REACH: usize = 14;
/// Least rise of a run, in codes; ten times the noise if that is more.
const RISE_LEAST: f32 = 32.0;
/// See [`RISE_LEAST`].
const NOISE_TIMES: f32 = 10.0;
/// Least change at an edge's steepest place: a twentieth of the rise, 3 codes at least.
const CHANGE_SHARE: f32 = 0.05;
/// See [`CHANGE_SHARE`].
const CHANGE_LEAST: f32 = 3.0;
/// Share of the short side that is left out all round: painted frames are sharp.
const OUTER: f64 = 0.02;
/// Fields along the longer side.
const FIELDS: usize = 16;
/// Edges that a field needs.
const EDGES_LEAST: usize = 12;
/// The sharpest fields: so many per cent of those with a value, three at least.
const SHARPEST: f64 = 0.05;
/// See [`SHARPEST`].
const SHARPEST_LEAST: usize = 3;

/// Edge widths, gathered by field.
pub struct Widths {
    size_px: (usize, usize),
    rise_least: f32,
    fields: Grid<Vec<f32>>,
}

impl Widths {
    /// For pictures of a size with so much noise, in codes.
    pub fn new(width_px: usize, height_px: usize, noise: f64) -> Widths {
        let (across, down) = fields(width_px, height_px, FIELDS);
        let rise_least = RISE_LEAST.max(NOISE_TIMES * noise as f32);
        Widths { size_px: (width_px, height_px), rise_least, fields: Grid::filled(across, down, Vec::new()) }
    }

    /// Takes the edges of a row, or of a column.
    pub fn add(&mut self, line: &Line<'_>, is_column: bool) {
        let (width, height) = self.size_px;
        let outer = OUTER * width.min(height) as f64;
        let change_least = 3.0 * CHANGE_LEAST.max(self.rise_least * CHANGE_SHARE);
        let inside = REACH as u32 + 1..(line.sums.len() as u32).saturating_sub(REACH as u32 + 2);
        for at in line.edges.iter().copied().filter(|at| inside.contains(at)) {
            let at = at as usize;
            let steep = f32::from((line.sums[at + 1] - line.sums[at]).abs());
            let (x, y) = if is_column { (line.number, at) } else { (at, line.number) };
            let clear = |place: usize, side: usize| (place as f64) > outer && (place as f64) < side as f64 - outer;
            if steep < change_least || !clear(x, width) || !clear(y, height) {
                continue;
            }
            if let Some(edge_px) = edge_width(line.sums, at, 3.0 * self.rise_least) {
                let field = y * self.fields.down / height * self.fields.across + x * self.fields.across / width;
                self.fields.fields[field].push(edge_px);
            }
        }
    }

    /// The sharpest fields, and every field, still as stored; `None` with too few edges.
    pub fn end(mut self) -> Option<Focus> {
        let mut all: Vec<f32> = self.fields.fields.iter().flatten().copied().collect();
        let quarter = |edges: &mut Vec<f32>| {
            if edges.len() < EDGES_LEAST { None } else { percentile(edges, 0.25).map(|width| width as f32) }
        };
        let fields: Vec<Option<f32>> = self.fields.fields.iter_mut().map(quarter).collect();
        let mut values: Vec<f32> = fields.iter().flatten().copied().collect();
        values.sort_unstable_by(f32::total_cmp);
        let sharpest = ((values.len() as f64 * SHARPEST).round_ties_even() as usize).max(SHARPEST_LEAST);
        let sharp_px = median(&mut values[..sharpest.min(values.len())].to_vec())?;
        let fields = Grid { across: self.fields.across, down: self.fields.down, fields };
        Some(Focus { sharp_px, overall_px: median(&mut all)?, fields })
    }
}

/// Width of the edge between a place and the next, from 10 to 90 % of the run of samples that only rise or only fall;
/// `None` where it rises too little. `rise_least` is in thirds of a code, as the sums are.
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
    use crate::measure::edges;
    use crate::measure::kept::whole;
    use crate::measure::reference::{edge, picture};

    fn focus(codes: &[u8], width: usize) -> Option<Focus> {
        let (rows, columns) = whole(codes, width);
        let mut widths = Widths::new(width, codes.len() / width, 0.0);
        edges::look(&rows, 1, |line| widths.add(line, false));
        edges::look(&columns, 1, |line| widths.add(line, true));
        widths.end()
    }

    #[test]
    fn a_blurred_step_is_as_wide_as_its_blur_says() {
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
