//! Contrast beside the steepest edges, against what is usual for edges of their slope and step: what sharpening leaves
//! where edges are too close together to measure overshoot.
//!
//! An unsharp mask adds to the contrast within a few pixels of an edge, and nothing to that of places 8 to 24 pixels
//! away. Source of the method and its numbers: ours, from 32 photographs, whole and reduced, as they are and sharpened.

use super::edges::EdgeLine;
use super::evidence::Swing;

/// Samples from an edge within which the darkest and the lightest are sought.
const NEAR: usize = 8;
/// Distance between the samples further out, at 8, 12, 16, 20 and 24.
const FURTHER_STEP: usize = 4;
/// Samples further out on each side.
const FURTHER: usize = 5;
/// Samples that an edge needs on each side.
const REACH: usize = NEAR + FURTHER_STEP * (FURTHER - 1);
/// A line's samples are sums of three codes.
const THIRDS: f64 = 3.0;
/// Least swing of an edge that counts: 32 codes, in thirds.
const MIN_SWING: i16 = 96;
/// Number of possible slopes: 0 to 3 x 255 thirds of a code.
const SLOPES: usize = 3 * 255 + 1;
/// Fewer edges give no answer.
const MIN_EDGES: usize = 100;
/// One edge in this many is among the steepest.
const STEEPEST_OF: usize = 25;
/// Fewest edges that are counted as the steepest.
const MIN_STEEPEST: usize = 30;
/// Swing beside the steepest edges of an unsharpened photograph whose edges are one code apart and one code steep, in
/// codes; it goes with the cube root of how far they are apart and the sixth root of how steep they are.
const USUAL: f64 = 18.7;

/// Edges of one slope, added up, in thirds of a code and in samples.
#[derive(Clone, Copy, Debug, Default)]
struct SlopeSums {
    edges: usize,
    swing: u64,
    beyond: u64,
    reach: u64,
}

impl SlopeSums {
    fn plus(self, other: &SlopeSums) -> SlopeSums {
        SlopeSums {
            edges: self.edges + other.edges,
            swing: self.swing + other.swing,
            beyond: self.beyond + other.beyond,
            reach: self.reach + other.reach,
        }
    }
}

/// Edges measured so far, by their slope.
#[derive(Debug)]
pub struct EdgeContrastCounter {
    by_slope: Vec<SlopeSums>,
    /// Sum of the squares of how far five samples ahead of each edge and five behind it are apart.
    apart_squares: u64,
}

impl Default for EdgeContrastCounter {
    fn default() -> EdgeContrastCounter {
        EdgeContrastCounter { by_slope: vec![SlopeSums::default(); SLOPES], apart_squares: 0 }
    }
}

impl EdgeContrastCounter {
    /// Takes the edges of a line.
    pub fn add(&mut self, line: &EdgeLine<'_>) {
        let inside = REACH as u32..(line.sums.len() as u32).saturating_sub(REACH as u32 + 1);
        for at in line.edges.iter().filter(|at| inside.contains(at)) {
            // The edge lies between this sample and the next.
            let (behind, ahead) = line.sums.split_at(*at as usize + 1);
            self.add_edge(&behind[behind.len() - REACH..], &ahead[..REACH]);
        }
    }

    fn add_edge(&mut self, behind: &[i16], ahead: &[i16]) {
        let slope = ahead[0] - behind[REACH - 1];
        let (near_behind, near_ahead) = (&behind[REACH - NEAR..], &ahead[..NEAR]);
        let (dark, light) = if slope > 0 { (near_behind, near_ahead) } else { (near_ahead, near_behind) };
        let (least, most) = (least_of(dark), most_of(light));
        let swing = most - least;
        if swing < MIN_SWING {
            return;
        }
        let further_behind: [i16; FURTHER] = std::array::from_fn(|at| behind[FURTHER_STEP * at]);
        let further_ahead: [i16; FURTHER] = std::array::from_fn(|at| ahead[NEAR - 1 + FURTHER_STEP * at]);
        let sum = |samples: [i16; FURTHER]| samples.iter().map(|sample| i64::from(*sample)).sum::<i64>();
        self.apart_squares += (sum(further_ahead) - sum(further_behind)).pow(2).unsigned_abs();
        let beyond = most_of(&further_behind).max(most_of(&further_ahead))
            - least_of(&further_behind).min(least_of(&further_ahead));
        // How many samples from the edge its darkest and its lightest lie, the nearest where several are alike.
        let after = |least_or_most: i16| near_ahead.iter().position(|code| *code == least_or_most).unwrap_or(0);
        let before = |least_or_most: i16| near_behind.iter().rev().position(|code| *code == least_or_most).unwrap_or(0);
        let reach = if slope > 0 { before(least) + after(most) } else { after(least) + before(most) } + 1;
        let alike = &mut self.by_slope[usize::from(slope.unsigned_abs())];
        *alike = alike.plus(&SlopeSums {
            edges: 1,
            swing: u64::from(swing.unsigned_abs()),
            beyond: u64::from(beyond.unsigned_abs()),
            reach: reach as u64,
        });
    }

    /// Returns the picture's swing; `None` with too few edges.
    pub fn finish(self) -> Option<Swing> {
        let edges: usize = self.by_slope.iter().map(|alike| alike.edges).sum();
        if edges < MIN_EDGES {
            return None;
        }
        let needed = edges.div_ceil(STEEPEST_OF).max(MIN_STEEPEST);
        let mut steepest = SlopeSums::default();
        for alike in self.by_slope.iter().rev() {
            if steepest.edges >= needed {
                break;
            }
            steepest = steepest.plus(alike);
        }
        let each = |sum: u64| sum as f64 / steepest.edges as f64;
        let slopes = self.by_slope.iter().enumerate();
        let slope_squares: u64 = slopes.map(|(slope, alike)| (slope * slope * alike.edges) as u64).sum();
        let root_mean = |squares: u64| (squares as f64 / edges as f64).sqrt() / THIRDS;
        let apart = (root_mean(self.apart_squares) / FURTHER as f64).max(1.0);
        let usual = USUAL * apart.cbrt() * root_mean(slope_squares).sqrt().cbrt();
        let codes = each(steepest.swing) / THIRDS;
        let beyond = steepest.beyond as f64 / steepest.swing as f64;
        Some(Swing { codes, times: codes / usual, beyond, reach_px: each(steepest.reach) / 2.0 })
    }
}

fn least_of(codes: &[i16]) -> i16 {
    codes.iter().fold(i16::MAX, |least, code| least.min(*code))
}

fn most_of(codes: &[i16]) -> i16 {
    codes.iter().fold(i16::MIN, |most, code| most.max(*code))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::edges;
    use crate::measure::line_sampler::whole;
    use crate::measure::reference::{edge, normal, overshoot, picture, seam};

    fn swing(codes: &[u8], width: usize) -> Option<Swing> {
        let (rows, columns) = whole(codes, width);
        let mut swings = EdgeContrastCounter::default();
        edges::find(&rows, 1, edges::LineDirection::Upright, |line| swings.add(line));
        edges::find(&columns, 1, edges::LineDirection::Upright, |line| swings.add(line));
        swings.finish()
    }

    #[test]
    fn tones_swing_by_the_step_and_its_overshoot_on_both_sides() {
        // The step has 120 codes; blur, amount, radius of the mask. Pixels and three lines mean a little of it away.
        for (blur, amount, radius) in [(1.0, 1.0, 1.5), (0.8, 1.5, 2.0), (1.2, 3.0, 1.0), (0.8, 2.0, 3.0)] {
            let found = swing(&edge(blur, amount, radius), 200).unwrap();
            let closed = 120.0 * (1.0 + 2.0 * overshoot(blur, amount, radius));
            assert!(found.codes < closed + 1.0 && found.codes > 0.97 * closed, "{found:?} against {closed}");
            let seam = seam(blur, amount, radius);
            assert!((found.reach_px - seam).abs() < 0.25, "{found:?} against {seam}");
        }
    }

    #[test]
    fn the_usual_contrast_depends_on_step_and_slope() {
        // Source: worked by the formula: the steepest of the step's samples, (1 + amount) f(0) / blur - amount f(0) /
        // wide with f(0) = 0.399, meaned over the pixel; 120 codes apart.
        let (blur, amount, radius) = (1.2, 3.0, 1.0);
        let rise = |blur: f64| 2.0 * normal(0.5 / blur) - 1.0;
        let slope = 120.0 * ((1.0 + amount) * rise(blur) - amount * rise(f64::hypot(blur, radius)));
        let usual = 18.7 * 120_f64.cbrt() * slope.sqrt().cbrt();
        let found = swing(&edge(blur, amount, radius), 200).unwrap();
        assert!((found.codes / found.times / usual - 1.0).abs() < 0.01, "{found:?} against {usual}");
    }

    #[test]
    fn the_stronger_and_the_wider_mask_swings_further() {
        let times = |amount: f64, radius: f64| swing(&edge(0.8, amount, radius), 200).unwrap().times;
        assert!(times(1.0, 1.0) < times(2.0, 1.0) && times(2.0, 1.0) < times(2.0, 2.0));
        assert!(times(2.0, 2.0) < times(2.0, 3.0));
    }

    #[test]
    fn tones_that_swing_as_far_further_out_are_no_seam() {
        let beyond = |codes: &[u8]| swing(codes, 200).map(|found| (found.beyond * 100.0).round());
        assert_eq!(beyond(&edge(0.8, 0.0, 1.0)), Some(100.0), "a step");
        assert_eq!(beyond(&picture(200, 200, |x, _| if x / 6 % 2 == 0 { 60 } else { 180 })), Some(100.0), "a texture");
        // Source: worked by the formula: 120 of 215 codes.
        assert_eq!(beyond(&edge(0.8, 2.0, 2.0)), Some(56.0));
        assert_eq!(beyond(&picture(200, 200, |_, _| 100)), None, "nothing");
    }

    #[test]
    fn an_edge_needs_its_samples_on_both_sides() {
        // A light seam two pixels wide beside the step, so that tones swing further beside it than beyond.
        let at = |column: usize| {
            let code = move |x: usize| {
                if x < column {
                    60
                } else if x < column + 2 {
                    220
                } else {
                    180
                }
            };
            swing(&picture(200, 200, |x, _| code(x)), 200).is_some()
        };
        assert_eq!([24, 25, 175, 176].map(at), [false, true, true, false]);
    }
}
