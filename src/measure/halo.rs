//! Overshoot and undershoot beside strong isolated edges: what sharpening leaves.
//!
//! Source of the method and its thresholds: ours, from unsharpened and sharpened photographs; the overshoot of an
//! unsharp-masked blurred step in closed form is its check.

use super::edges::EdgeLine;
use super::evidence::Overshoot;
use super::statistics::{median, percentile};

/// Samples each side of an edge.
const REACH: usize = 16;
/// Samples from the edge within which a halo is sought; beyond lie the plateaus.
const NEAR: usize = 8;
/// Profiles are whole numbers of sixths of a code, so that an edge exactly on a limit is always on the same side of
/// it: a line's samples are means of three codes, and a plateau's median is the mean of two of them.
const SIXTHS: f32 = 6.0;
/// Least step of an edge: 40 codes.
const MIN_STEP: f32 = 40.0 * SIXTHS;
/// Largest deviation of a plateau, as a share of the step.
const MAX_PLATEAU: f32 = 0.06;
/// Least rise within 4.5 samples of the edge, in fifths of the step.
const RISEN_FIFTHS: f32 = 4.0;
/// Least rise of the least step, in thirds of a code.
const MIN_RISE: i16 = (MIN_STEP / 2.0 * RISEN_FIFTHS / 5.0) as i16;
/// Largest fall inside the rise: the step divided by this.
const FALL_PARTS: f32 = 20.0;
/// A plateau this light is clipped and says nothing: code 250.
const CLIPPED_LIGHT: f32 = 250.0 * SIXTHS;
/// A plateau this dark is clipped and says nothing: code 5.
const CLIPPED_DARK: f32 = 5.0 * SIXTHS;
/// Fewer edges give no answer.
const MIN_EDGES: usize = 30;
/// Overshoot from which an edge has a halo whose width counts.
const MIN_HALO: f32 = 0.05;
/// Fewest such edges for an answer.
const MIN_WIDTHS: usize = 10;

/// Edges measured so far: overshoot, and the halo's width in samples.
#[derive(Debug, Default)]
pub struct HaloCounter {
    edges: Vec<(f32, f32)>,
}

impl HaloCounter {
    /// Takes the edges of a line.
    pub fn add(&mut self, line: &EdgeLine<'_>) {
        let inside = REACH as u32..(line.sums.len() as u32).saturating_sub(REACH as u32 + 1);
        // Cheap test first: most edges rise too little, and are skipped before their profile is taken.
        let rises = |at: &&u32| {
            let at = **at as usize;
            (line.sums[at + 5] - line.sums[at - 4]).abs() >= MIN_RISE
        };
        for at in line.edges.iter().filter(|at| inside.contains(at)).filter(rises) {
            let mut profile = [0.0; 2 * REACH];
            for (code, sum) in profile.iter_mut().zip(&line.sums[*at as usize + 1 - REACH..]) {
                *code = f32::from(*sum) * (SIXTHS / 3.0);
            }
            // Always from dark to light.
            if profile[REACH] < profile[REACH - 1] {
                profile.reverse();
            }
            self.edges.extend(of_profile(&profile));
        }
    }

    /// Returns the picture's overshoot; `None` with too few edges.
    pub fn finish(self) -> Option<Overshoot> {
        if self.edges.len() < MIN_EDGES {
            return None;
        }
        let mut shares: Vec<f32> = self.edges.iter().map(|(share, _)| share.max(0.0)).collect();
        let haloed = self.edges.iter().filter(|(share, _)| *share > MIN_HALO);
        let mut widths: Vec<f32> = haloed.map(|(_, width)| *width).collect();
        let width_px = if widths.len() >= MIN_WIDTHS { median(&mut widths)? } else { 0.0 };
        let (share, p90) = (median(&mut shares)?, percentile(&mut shares, 0.9)?);
        Some(Overshoot { share, p90, width_px, edges: self.edges.len() as u32 })
    }
}

/// Returns the overshoot and width of one edge; `None` where it is not an isolated step.
fn of_profile(profile: &[f32; 2 * REACH]) -> Option<(f32, f32)> {
    let (dark, light) = (&profile[..NEAR], &profile[2 * REACH - NEAR..]);
    let (lo, hi) = (median_of_eight(dark), median_of_eight(light));
    let step = hi - lo;
    if step < MIN_STEP || 5.0 * (profile[REACH + 4] - profile[REACH - 5]) < RISEN_FIFTHS * step {
        return None;
    }
    let (dark_deviation, light_deviation) = (deviation(dark), deviation(light));
    if dark_deviation.max(light_deviation) > MAX_PLATEAU * step {
        return None;
    }
    let (before, after) = (&profile[NEAR..REACH], &profile[REACH..2 * REACH - NEAR]);
    let lowest = NEAR + place(before, |code, least| code < least);
    let highest = REACH + place(after, |code, most| code > most);
    let fall: f32 = profile[lowest..=highest].windows(2).map(|two| (two[0] - two[1]).max(0.0)).sum();
    if FALL_PARTS * fall > step {
        return None;
    }
    let under = (lo - dark_deviation - profile[lowest]) / step;
    let over = (profile[highest] - hi - light_deviation) / step;
    let (twice_over, twice_under) = (hi + profile[highest], lo + profile[lowest]);
    let wide_over = profile[REACH - 4..2 * REACH - NEAR].iter().filter(|code| 2.0 * **code > twice_over).count();
    let wide_under = profile[NEAR..REACH + 4].iter().filter(|code| 2.0 * **code < twice_under).count();
    let sides = [(over, hi < CLIPPED_LIGHT), (under, lo > CLIPPED_DARK)];
    let valid = sides.iter().filter(|(_, valid)| *valid);
    let share = valid.clone().map(|(share, _)| share).sum::<f32>() / valid.count() as f32;
    share.is_finite().then_some((share, (wide_over + wide_under) as f32 / 2.0))
}

fn median_of_eight(codes: &[f32]) -> f32 {
    let mut sorted = [0.0; NEAR];
    sorted.copy_from_slice(codes);
    sorted.sort_unstable_by(f32::total_cmp);
    (sorted[NEAR / 2 - 1] + sorted[NEAR / 2]) / 2.0
}

fn deviation(codes: &[f32]) -> f32 {
    let mean = codes.iter().sum::<f32>() / codes.len() as f32;
    (codes.iter().map(|code| (code - mean).powi(2)).sum::<f32>() / codes.len() as f32).sqrt()
}

/// Returns the index of the first code that no other beats.
fn place(codes: &[f32], beats: impl Fn(f32, f32) -> bool) -> usize {
    (1..codes.len()).fold(0, |best, at| if beats(codes[at], codes[best]) { at } else { best })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::edges;
    use crate::measure::line_sampler::whole;
    use crate::measure::reference::{edge, overshoot, picture};

    fn halo(codes: &[u8], width: usize) -> Option<Overshoot> {
        let (rows, columns) = whole(codes, width);
        let mut halos = HaloCounter::default();
        edges::find(&rows, 1, edges::LineDirection::Upright, |line| halos.add(line));
        edges::find(&columns, 1, edges::LineDirection::Upright, |line| halos.add(line));
        halos.finish()
    }

    #[test]
    fn the_overshoot_of_a_sharpened_step_is_that_of_its_closed_form() {
        // Blur, amount, radius of the mask; the closed form of `overshoot`, and what eight bits leave of it.
        let cases = [(1.0, 1.0, 1.5, 0.0886, 0.0833), (1.0, 2.0, 1.0, 0.0958, 0.0861), (0.8, 1.5, 2.0, 0.2887, 0.2764)];
        let more = [(1.2, 3.0, 1.0, 0.1096, 0.1042), (1.0, 0.5, 1.0, 0.0101, 0.0083)];
        for (blur, amount, radius, closed, measured) in cases.into_iter().chain(more) {
            assert!((overshoot(blur, amount, radius) - closed).abs() < 5e-5);
            let found = halo(&edge(blur, amount, radius), 200).unwrap();
            assert!((found.share - measured).abs() < 0.000_6, "{found:?} against {measured}");
            assert!(found.share - closed > -0.015 && found.share - closed < 0.005);
        }
    }

    #[test]
    fn the_width_of_a_halo_grows_with_the_mask() {
        for (blur, amount, radius, width) in [(1.0, 1.0, 1.5, 1.5), (0.8, 1.5, 2.0, 2.0), (1.2, 3.0, 1.0, 2.0)] {
            assert_eq!(halo(&edge(blur, amount, radius), 200).unwrap().width_px, width);
        }
    }

    #[test]
    fn an_unsharpened_step_has_none_and_a_flat_picture_no_answer() {
        assert!(halo(&edge(1.0, 0.0, 1.0), 200).unwrap().share < 0.005);
        assert_eq!(halo(&picture(200, 200, |_, _| 100), 200), None);
    }
}
