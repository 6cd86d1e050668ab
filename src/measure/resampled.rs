//! Traces of enlarging by interpolation: differences between neighbours become periodic with the scale.
//!
//! Sources of the effect: Gallagher, Detection of linear and cubic interpolation in JPEG compressed images, CRV 2005;
//! Mahdian and Saic, IEEE Transactions on Information Forensics and Security 2 (2008). Combination and thresholds are
//! ours.

use realfft::RealFftPlanner;

use crate::units::vectors::widest;

use super::evidence::Resampled;
use super::kept::Lines;
use super::statistics::{sliding_mean, sliding_median};

/// Second differences are capped here, so that strong edges do not rule; third differences at twice that. Codes.
const CAP: i16 = 12;
/// Samples over which a profile is levelled.
const LEVEL: usize = 31;
/// Frequencies of the common grid, from 0 to 1/2.
const GRID: usize = 4_096;
/// Neighbours on the grid that lend their height.
const LEND: usize = 2;
/// Frequencies looked at, in cycles a pixel.
const FREE: std::ops::RangeInclusive<f64> = 0.07..=0.494;
/// Distance kept from the frequencies of JPEG blocks of 8 and 16.
const BLOCKS_APART: f64 = 0.0025;
/// Of a large picture's kept lines one in so many is enough.
const THIN: usize = 2;
/// Profiles shorter than this tell nothing.
const LEAST: usize = 64;
/// Places of an 8-px block whose differences stay inside it.
const INSIDE: usize = 5;

/// Sums of capped second and third differences for each place along the lines.
struct Profiles {
    second: Vec<f64>,
    third: Vec<f64>,
}

/// Traces in rows and columns; `None` for pictures too small.
pub fn look(rows: &Lines, columns: &Lines, step: usize) -> Option<Resampled> {
    if rows.len < LEAST || columns.len < LEAST {
        return None;
    }
    let (along, down) = (profiles(rows, step), profiles(columns, step));
    let mut planner = RealFftPlanner::new();
    let mut spectrum = |profile: &[f64]| lines(profile, &mut planner);
    let second = (spectrum(&along.second), spectrum(&down.second));
    let third = (spectrum(&along.third), spectrum(&down.third));
    let (mut line, mut at) = (0.0, 0.0);
    for place in 0..=GRID {
        let frequency = 0.5 * place as f64 / GRID as f64;
        let on_blocks = (1..=8).any(|k| (frequency - f64::from(k) / 16.0).abs() < BLOCKS_APART);
        let both = |(one, other): &(Vec<f64>, Vec<f64>)| (one[place] * other[place]).sqrt();
        let height = both(&second).max(both(&third));
        if FREE.contains(&frequency) && !on_blocks && height > line {
            (line, at) = (height, frequency);
        }
    }
    let doubling = (folded(&along.third) * folded(&down.third)).sqrt();
    Some(Resampled { line, at, doubling })
}

fn profiles(lines: &Lines, step: usize) -> Profiles {
    let mut second = vec![0u32; lines.len - 2];
    let mut third = vec![0u32; lines.len - 3];
    for line in lines.each(step, THIN) {
        let one = |at: usize| line[at..].iter().map(|code| i16::from(*code));
        widest(
            #[inline(always)]
            || {
                for (sum, ((a, b), c)) in second.iter_mut().zip(one(0).zip(one(1)).zip(one(2))) {
                    *sum += (2 * b - a - c).abs().min(CAP) as u32;
                }
                for (sum, (((a, b), c), d)) in third.iter_mut().zip(one(0).zip(one(1)).zip(one(2)).zip(one(3))) {
                    *sum += (d - 3 * c + 3 * b - a).abs().min(2 * CAP) as u32;
                }
            },
        );
    }
    let floats = |sums: Vec<u32>| sums.into_iter().map(f64::from).collect();
    Profiles { second: floats(second), third: floats(third) }
}

/// Heights of spectral lines over their surroundings, on the common grid.
fn lines(profile: &[f64], planner: &mut RealFftPlanner<f64>) -> Vec<f64> {
    let levels = sliding_mean(profile, LEVEL);
    let mut signal: Vec<f64> = profile.iter().zip(levels).map(|(sum, level)| sum / (level + 1e-9) - 1.0).collect();
    let mut sizes: Vec<f32> = signal.iter().map(|s| s.abs() as f32).collect();
    let most = 6.0 * super::statistics::median(&mut sizes).unwrap_or(0.0) + 1e-9;
    let count = signal.len();
    for (at, sample) in signal.iter_mut().enumerate() {
        let window = 0.5 - 0.5 * (2.0 * std::f64::consts::PI * at as f64 / (count - 1) as f64).cos();
        *sample = sample.clamp(-most, most) * window;
    }
    let transform = planner.plan_fft_forward(count);
    let mut bins = transform.make_output_vec();
    // Cannot fail: both lengths are the plan's own.
    if transform.process(&mut signal, &mut bins).is_err() {
        return vec![0.0; GRID + 1];
    }
    let heights: Vec<f32> = bins.iter().map(|bin| bin.norm() as f32).collect();
    let ground = sliding_median(&heights, (heights.len() / 48).max(16));
    let mut grid = vec![0.0f64; GRID + 1];
    for (at, (height, ground)) in heights.iter().zip(ground).enumerate() {
        let place = ((at as f64 * 2.0 * GRID as f64 / count as f64).round_ties_even() as usize).min(GRID);
        grid[place] = grid[place].max(f64::from(*height) / (f64::from(ground) + 1e-9));
    }
    (0..=GRID)
        .map(|at| grid[at.saturating_sub(LEND)..=(at + LEND).min(GRID)].iter().copied().fold(0.0, f64::max))
        .collect()
}

/// Contrast of every other place, blind to the file's own blocks.
fn folded(third: &[f64]) -> f64 {
    let levels = sliding_mean(third, 32);
    let level: Vec<f32> = third.iter().zip(levels).map(|(sum, level)| (sum / (level + 1e-9)) as f32).collect();
    let whole = level.len() / 8 * 8;
    let places: Vec<f64> = (0..INSIDE)
        .map(|phase| {
            let mut column: Vec<f32> = level[..whole].iter().skip(phase).step_by(8).copied().collect();
            super::statistics::median(&mut column).unwrap_or(0.0)
        })
        .collect();
    let swing = places[0] - 4.0 * places[1] + 6.0 * places[2] - 4.0 * places[3] + places[4];
    swing.abs() / 16.0 / (places.iter().sum::<f64>() / INSIDE as f64 + 1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::kept::whole;
    use crate::measure::reference::{enlarged, noise};

    fn found(width: usize, codes: &[u8]) -> Resampled {
        let (rows, columns) = whole(codes, width);
        look(&rows, &columns, 1).unwrap()
    }

    #[test]
    fn native_noise_shows_no_trace() {
        let codes: Vec<u8> = noise(512).into_iter().map(|code| code as u8).collect();
        let found = found(512, &codes);
        assert!((found.line - 2.5).abs() < 0.5 && found.doubling < 0.01, "{found:?}");
    }

    #[test]
    fn an_enlargement_shows_its_scale() {
        // A line at 1/3 for 1.5 times and for 3 times; doubling for 2 times, whose line lies on the JPEG grid.
        for (side, factor) in [(341, 1.5), (171, 3.0)] {
            let (width, codes) = enlarged(side, factor);
            let found = found(width, &codes);
            assert!(found.line > 50.0 && (found.at - 1.0 / 3.0).abs() < 0.002, "{factor}: {found:?}");
            assert!(factor > 2.0 || found.doubling < 0.01, "{factor}: {found:?}");
        }
        let (width, codes) = enlarged(256, 2.0);
        let twice = found(width, &codes);
        assert!((twice.doubling - 0.759).abs() < 0.05 && twice.line < 6.0, "{twice:?}");
    }

    #[test]
    fn a_stamp_tells_nothing() {
        let (rows, columns) = whole(&[9; 40 * 40], 40);
        assert_eq!(look(&rows, &columns, 1), None);
    }
}
