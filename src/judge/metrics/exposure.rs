//! Exposure of a frame against the others of its set-up, in stops, by the tones that they share.
//!
//! Exposure moves every tone by the same stops and keeps its colour. So the fields of each colour are compared with
//! those of the other frames at each shift, and the best agreement gives the stops; things in one frame alone agree
//! nowhere and do not count. Source: ours; histogram intersection is Swain and Ballard, Color indexing, International
//! Journal of Computer Vision 7 (1991).

use std::collections::BTreeMap;

use crate::measure::evidence::{SHADE_STEPS, STEPS_A_STOP, Shade};

/// Largest difference searched, in steps: three stops.
const MAX_STEPS: usize = 3 * STEPS_A_STOP;
/// Standard deviation by which tones are blurred, in steps. Source: ours.
const BLUR: f64 = 1.2;
/// Steps at which that blur is cut off. Source: ours.
const BLUR_STEPS: usize = 4;
/// Agreement is a share of what both hold, or of this much of the picture if that is more: a little proves nothing.
const MIN_HELD: f64 = 0.5;

/// Frequency of each colour at each step.
#[derive(Clone, Debug, Default)]
struct StepColours(BTreeMap<u8, [f64; SHADE_STEPS]>);

/// A frame's exposure compared with the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// Stops above the others.
    pub stops: f64,
    /// Share of their common tones that agrees at that shift.
    pub agrees: f64,
    /// Share that agrees without a shift.
    pub agrees_as_it_is: f64,
}

/// Compares each frame's exposure with the mean of the others.
pub fn compare_with_others(frames: &[&[Option<Shade>]]) -> Vec<Exposure> {
    let tones: Vec<StepColours> = frames.iter().map(|frame| StepColours::of(frame)).collect();
    let mut all = StepColours::default();
    tones.iter().for_each(|one| all.add(one, 1.0));
    let others = (frames.len().max(2) - 1) as f64;
    tones.iter().map(|one| one.compare(&all, others)).collect()
}

impl StepColours {
    fn of(frame: &[Option<Shade>]) -> StepColours {
        let weights: [f64; 2 * BLUR_STEPS + 1] =
            std::array::from_fn(|at| (-(at as f64 - BLUR_STEPS as f64).powi(2) / (2.0 * BLUR * BLUR)).exp());
        let share = 1.0 / (weights.iter().sum::<f64>() * frame.len().max(1) as f64);
        let mut tones = StepColours::default();
        for shade in frame.iter().flatten() {
            let steps = tones.0.entry(shade.colour).or_insert([0.0; SHADE_STEPS]);
            for (at, weight) in weights.iter().enumerate() {
                if let Some(step) = (usize::from(shade.step) + at).checked_sub(BLUR_STEPS)
                    && let Some(found) = steps.get_mut(step)
                {
                    *found += weight * share;
                }
            }
        }
        tones
    }

    fn add(&mut self, other: &StepColours, times: f64) {
        for (colour, steps) in &other.0 {
            let sums = self.0.entry(*colour).or_insert([0.0; SHADE_STEPS]);
            sums.iter_mut().zip(steps).for_each(|(sum, step)| *sum += times * step);
        }
    }

    /// Compares it with the mean of the `others` frames that are in `all` besides this one.
    fn compare(&self, all: &StepColours, others: f64) -> Exposure {
        let mut rest = all.clone();
        rest.add(self, -1.0);
        rest.0.values_mut().flatten().for_each(|share| *share = share.max(0.0) / others);
        let steps = (0..=2 * MAX_STEPS).map(|at| self.agreement(&rest, at as isize - MAX_STEPS as isize));
        let agreement: Vec<f64> = steps.collect();
        let best = (0..agreement.len()).fold(0, |best, at| if agreement[at] > agreement[best] { at } else { best });
        // The top of the parabola through the best step and its neighbours.
        let between = match (best.checked_sub(1).map(|before| agreement[before]), agreement.get(best + 1)) {
            (Some(before), Some(after)) => (before - after) / 2.0 / (before - 2.0 * agreement[best] + after),
            _ => 0.0,
        };
        let between = if between.is_finite() { between } else { 0.0 };
        Exposure {
            stops: (best as f64 - MAX_STEPS as f64 + between) / STEPS_A_STOP as f64,
            agrees: agreement[best],
            agrees_as_it_is: agreement[MAX_STEPS],
        }
    }

    /// Returns the share that agrees if this frame is `by` steps above the rest.
    fn agreement(&self, rest: &StepColours, by: isize) -> f64 {
        let (up, down) = (by.max(0) as usize, (-by).max(0) as usize);
        let here = |steps: &[f64; SHADE_STEPS]| -> f64 { steps[up..SHADE_STEPS - down].iter().sum() };
        let there = |steps: &[f64; SHADE_STEPS]| -> f64 { steps[down..SHADE_STEPS - up].iter().sum() };
        let both = |(colour, steps): (&u8, &[f64; SHADE_STEPS])| -> f64 {
            let Some(others) = rest.0.get(colour) else { return 0.0 };
            steps[up..].iter().zip(&others[down..]).map(|(one, other)| one.min(*other)).sum()
        };
        let held = self.0.values().map(here).sum::<f64>().min(rest.0.values().map(there).sum());
        self.0.iter().map(both).sum::<f64>() / held.max(MIN_HELD)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fields of a grey ground, a third of the frame, and of the frame's own subject.
    fn frame(up: i32, subject: u8) -> Vec<Option<Shade>> {
        let shade = |step: i32, colour: u8| Some(Shade { step: (step + up) as u8, colour });
        (0..90).map(|at| if at % 3 < 2 { shade(24 + at % 5, 85) } else { shade(14 + at % 7, subject) }).collect()
    }

    fn found(frames: &[Vec<Option<Shade>>]) -> Vec<Exposure> {
        compare_with_others(&frames.iter().map(Vec::as_slice).collect::<Vec<_>>())
    }

    #[test]
    fn a_frame_is_found_as_many_stops_off_as_it_is_whatever_stands_in_it() {
        for up in [-8, -4, 4, 6, 11] {
            let mut frames: Vec<_> = (0..5).map(|at| frame(0, 10 * at + 2)).collect();
            frames[3] = frame(up, 199);
            let found = found(&frames);
            assert!((found[3].stops - f64::from(up) / 8.0).abs() < 0.06, "{up}: {:?}", found[3]);
            assert!(found[3].agrees > 0.5 && found[3].agrees - found[3].agrees_as_it_is > 0.1, "{up}: {:?}", found[3]);
            // It shifts the mean that the others are compared with, by less than a step.
            assert!(found.iter().enumerate().all(|(at, one)| at == 3 || one.stops.abs() < 0.125), "{found:?}");
        }
    }

    #[test]
    fn frames_that_share_nothing_do_not_agree() {
        let frames: Vec<_> = (0..5u8).map(|at| vec![Some(Shade { step: 9 * at, colour: 40 * at }); 60]).collect();
        assert!(found(&frames).iter().all(|one| one.agrees < 0.01));
        assert!(found(&[vec![None; 60], vec![None; 60]]).iter().all(|one| one.agrees == 0.0));
        assert!(found(&[Vec::new()]).iter().all(|one| one.stops.is_finite()));
    }
}
