//! Where the picture's own detail ends, as a share of what its pixels could hold: the mean power spectrum of its
//! busiest windows, less the noise, weighted by the square of the frequency. Source of the numbers below: ours.

use realfft::RealFftPlanner;

use super::line_sampler::SampledLines;
use super::statistics::percentile;

/// Samples of a window along a line.
const WINDOW_SAMPLES: usize = 256;
/// Windows each way over the picture.
const WINDOWS_A_SIDE: usize = 8;
/// Places tried for each window; the busiest is taken.
const CANDIDATES: usize = 6;
/// Mean squared difference below which a window is flat, in codes squared.
const MIN_BUSY: f32 = 4.0;
/// A window with a larger share of white than this is clipped.
const MAX_WHITE: f32 = 0.1;
/// A window with a larger share of black than this is clipped.
const MAX_BLACK: f32 = 0.2;
/// Codes from which a sample is white, and up to which it is black.
const WHITE_FROM: u8 = 253;
const BLACK_TO: u8 = 2;
/// Lines side by side that a window takes in.
const LINES: usize = 4;
/// Fewer lines are not looked at.
const MIN_LINES: usize = 16;
/// Samples that a line must have beyond a window.
const SPARE_SAMPLES: usize = 4;
/// Fewer windows give no answer.
const MIN_WINDOWS: usize = 6;
/// Share of the energy of detail below the end.
const DETAIL_ENERGY: f64 = 0.95;
/// White noise is taken off: this many times [`NOISE_PERCENTILE`] of the power above a quarter of the range.
const NOISE_FLOOR_FACTOR: f64 = 1.5;
/// See [`NOISE_FLOOR_FACTOR`].
const NOISE_PERCENTILE: f64 = 0.05;
/// Part of the range, from its lower end, that is lightness and not detail.
const LIGHTNESS_PARTS: usize = 32;
/// Keeps a picture without any detail from a division by zero.
const NO_ENERGY: f64 = 1e-9;

/// Returns the end of detail, 0 to 1; `None` with too few busy windows.
pub fn find_detail_end(rows: &SampledLines, columns: &SampledLines) -> Option<f64> {
    let mut power = vec![0.0f64; WINDOW_SAMPLES / 2 + 1];
    let windows = add_power(rows, &mut power) + add_power(columns, &mut power);
    if windows < MIN_WINDOWS {
        return None;
    }
    power.iter_mut().for_each(|p| *p /= windows as f64);
    let bins = power.len() - 1;
    let mut upper: Vec<f32> = power[bins / 4..].iter().map(|p| *p as f32).collect();
    let floor = NOISE_FLOOR_FACTOR * percentile(&mut upper, NOISE_PERCENTILE)?;
    let share = |at: usize| at as f64 / bins as f64;
    let energy =
        |at: usize| if at < bins / LIGHTNESS_PARTS { 0.0 } else { (power[at] - floor).max(0.0) * share(at).powi(2) };
    let total: f64 = (0..=bins).map(energy).sum();
    let mut below = 0.0;
    for at in 0..=bins {
        let here = energy(at) / (total + NO_ENERGY);
        if below + here >= DETAIL_ENERGY {
            let part = if here > 0.0 { (DETAIL_ENERGY - below) / here } else { 0.0 };
            return Some((at as f64 - 1.0 + part).max(0.0) / bins as f64);
        }
        below += here;
    }
    Some(1.0)
}

/// Adds the power of the busiest windows along lines; returns how many there are.
fn add_power(lines: &SampledLines, power: &mut [f64]) -> usize {
    if lines.line_count < MIN_LINES || lines.len < WINDOW_SAMPLES + SPARE_SAMPLES {
        return 0;
    }
    let window: Vec<f64> = (0..WINDOW_SAMPLES)
        .map(|at| 0.5 - 0.5 * (2.0 * std::f64::consts::PI * at as f64 / (WINDOW_SAMPLES - 1) as f64).cos())
        .collect();
    let scale = window.iter().map(|w| w * w).sum::<f64>();
    let transform = RealFftPlanner::<f64>::new().plan_fft_forward(WINDOW_SAMPLES);
    let (mut signal, mut bins) = (transform.make_input_vec(), transform.make_output_vec());
    let mut windows = 0;
    for down in 0..WINDOWS_A_SIDE {
        let (first, last) = (
            lines.line_count * down / WINDOWS_A_SIDE,
            (lines.line_count * (down + 1) / WINDOWS_A_SIDE).saturating_sub(LINES),
        );
        for across in 0..WINDOWS_A_SIDE {
            let from = (lines.len * across / WINDOWS_A_SIDE).min(lines.len - WINDOW_SAMPLES);
            let place = |at: usize| first + (last.saturating_sub(first)) * at / (CANDIDATES - 1);
            let tried =
                (0..CANDIDATES).map(|at| lines.four_near(place(at)).map(|line| &line[from..from + WINDOW_SAMPLES]));
            let best = tried
                .filter_map(|four| difference_energy(&four).map(|busy| (busy, four)))
                .reduce(|best, other| if other.0 > best.0 { other } else { best });
            let Some((_, four)) = best.filter(|(busy, _)| *busy > MIN_BUSY) else { continue };
            for line in four {
                let mean = line.iter().map(|code| f64::from(*code)).sum::<f64>() / WINDOW_SAMPLES as f64;
                for ((sample, code), weight) in signal.iter_mut().zip(line).zip(&window) {
                    *sample = (f64::from(*code) - mean) * weight;
                }
                if transform.process(&mut signal, &mut bins).is_ok() {
                    power.iter_mut().zip(&bins).for_each(|(p, bin)| *p += bin.norm_sqr() / scale / LINES as f64);
                }
            }
            windows += 1;
        }
    }
    windows
}

/// Returns the mean squared difference between neighbours; `None` where too much is clipped.
fn difference_energy(four: &[&[u8]; LINES]) -> Option<f32> {
    let share = |is: fn(u8) -> bool| {
        four.iter().flat_map(|line| line.iter()).filter(|code| is(**code)).count() as f32
            / (LINES * WINDOW_SAMPLES) as f32
    };
    if share(|code| code >= WHITE_FROM) > MAX_WHITE || share(|code| code <= BLACK_TO) > MAX_BLACK {
        return None;
    }
    let squares: u32 =
        four.iter().flat_map(|line| line.windows(2)).map(|two| u32::from(two[0].abs_diff(two[1])).pow(2)).sum();
    Some(squares as f32 / (LINES * (WINDOW_SAMPLES - 1)) as f32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::line_sampler::whole;
    use crate::measure::reference::{enlarged, noise, picture};

    fn ends(width: usize, codes: &[u8]) -> Option<f64> {
        let (rows, columns) = whole(codes, width);
        find_detail_end(&rows, &columns)
    }

    #[test]
    fn native_noise_fills_its_pixels_and_an_enlargement_does_not() {
        let codes: Vec<u8> = noise(512).into_iter().map(|code| code as u8).collect();
        assert!(ends(512, &codes).unwrap() > 0.97);
        let (width, codes) = enlarged(256, 2.0);
        assert!(ends(width, &codes).unwrap() < 0.7);
    }

    #[test]
    fn flat_and_small_pictures_have_no_answer() {
        assert_eq!(ends(600, &picture(600, 600, |_, _| 90)), None);
        assert_eq!(ends(100, &picture(100, 100, |x, y| (x * y) as u8)), None);
    }
}
