//! Traces of enlarging by interpolation: differences between neighbours become periodic with the scale.
//!
//! Sources of the effect: Gallagher, Detection of linear and cubic interpolation in JPEG compressed images, CRV 2005;
//! Mahdian and Saic, IEEE Transactions on Information Forensics and Security 2 (2008). Combination and thresholds are
//! ours: among others, that the blocks of a JPEG, scaled with the picture, tell which line is the interpolation's.

use realfft::RealFftPlanner;

use crate::units::vectors::widest;

use super::block_signs;
use super::evidence::{MAX_SCALE, Resampled};
use super::line_sampler::SampledLines;
use super::statistics::{sliding_mean, sliding_median};

/// Second differences are capped here, so that strong edges do not dominate; third differences at twice that. Codes.
const CAP: i16 = 12;
/// Samples over which a profile is levelled.
const LEVEL_WINDOW: usize = 31;
/// Frequencies of the common grid, from 0 to 1/2.
const GRID: usize = 4_096;
/// A frequency takes the largest value within this many grid steps.
const WIDENED_BY: usize = 2;
/// Frequencies examined, in cycles per pixel. Lower ones belong to enlargements up to 1.28 times, and mostly to blocks
/// of a camera's JPEG after reduction. Source: ours.
const EXAMINED: std::ops::RangeInclusive<f64> = 0.219..=0.494;
/// Frequencies at which lines of earlier blocks are counted.
const EXAMINED_FOR_BLOCKS: std::ops::Range<f64> = 0.03..0.494;
/// Least distance from the frequencies of JPEG blocks of 8 and 16.
const BLOCKS_APART: f64 = 0.0025;
/// The same in steps of a profile's own spectrum, for short ones: the window's widening of a line, and half of that
/// more.
const STEPS_APART: f64 = 3.0;
/// Of a large picture's kept lines one in this many is enough.
const THIN: usize = 2;
/// Profiles shorter than this give no answer.
const MIN_PROFILE: usize = 64;
/// Number of places of an 8-px block whose differences stay inside it.
const INSIDE_BLOCK: usize = 5;
/// Weight of a line's own height beside what earlier blocks say of it. Source: ours.
const LINE_WEIGHT: f64 = 2.0;
/// Fewer places where lines of earlier blocks could lie give no answer.
const MIN_PLACES: usize = 4;

/// Sums of capped second and third differences for each place along the lines.
struct Profiles {
    second: Vec<f64>,
    third: Vec<f64>,
}

/// A spectrum on the common grid.
struct Spectrum {
    /// How far each frequency is above its neighbours.
    heights: Vec<f64>,
    /// How far the sums swing with it, as a share of them.
    depths: Vec<f64>,
}

/// Traces in rows and columns; `None` for pictures too small.
pub fn detect(rows: &SampledLines, columns: &SampledLines, step: usize) -> Option<Resampled> {
    if rows.len < MIN_PROFILE || columns.len < MIN_PROFILE {
        return None;
    }
    let (along, down) = (profiles(rows, step), profiles(columns, step));
    let mut planner = RealFftPlanner::new();
    let mut spectrum = |profile: &[f64]| spectrum(profile, &mut planner);
    let second = (spectrum(&along.second), spectrum(&down.second));
    let third = (spectrum(&along.third), spectrum(&down.third));
    let shared = |of: fn(&Spectrum) -> &[f64]| -> Vec<f64> {
        let both = |(one, other): &(Spectrum, Spectrum), place: usize| (of(one)[place] * of(other)[place]).sqrt();
        (0..=GRID).map(|place| both(&second, place).max(both(&third, place))).collect()
    };
    let (heights, depths) = (shared(|spectrum| &spectrum.heights), shared(|spectrum| &spectrum.depths));
    let apart = BLOCKS_APART.max(STEPS_APART / rows.len.min(columns.len) as f64);
    let free =
        (0..=GRID).filter(|place| EXAMINED.contains(&frequency(*place)) && is_off_blocks(frequency(*place), apart));
    let mark = |place: usize| LINE_WEIGHT * heights[place].max(1.0).ln() + block_support(&heights, frequency(place));
    let marked = free.map(|place| (mark(place), place));
    let (_, best) = marked.reduce(|best, other| if other.0 > best.0 { other } else { best })?;
    let doubling = (alternation(&along.third) * alternation(&down.third)).sqrt();
    let (line, at, depth) = (heights[best], frequency(best), depths[best]);
    Some(Resampled { line, at, depth, doubling, signs: block_signs::measure(rows, columns) })
}

/// Returns the frequency of a grid step, in cycles a pixel.
fn frequency(place: usize) -> f64 {
    0.5 * place as f64 / GRID as f64
}

fn is_off_blocks(frequency: f64, apart: f64) -> bool {
    (0..=8).all(|k| (frequency - f64::from(k) / 16.0).abs() >= apart)
}

/// Returns how well lines of an earlier JPEG's blocks agree with one of the two scales whose line lies at this
/// frequency.
fn block_support(heights: &[f64], at: f64) -> f64 {
    let less = earlier_blocks(heights, 1.0 - at);
    if at >= 1.0 / MAX_SCALE { less.max(earlier_blocks(heights, at)) } else { less }
}

/// Returns the mean logarithm of the heights at which blocks of 8 pixels would show after those pixels were scaled;
/// `scale`: earlier pixels to one of today's.
fn earlier_blocks(heights: &[f64], scale: f64) -> f64 {
    let places = (1..8).map(|k| f64::from(k) * scale / 8.0).map(|at| (at - at.round_ties_even()).abs());
    let counted = places.filter(|at| EXAMINED_FOR_BLOCKS.contains(at) && is_off_blocks(*at, BLOCKS_APART));
    let place = |at: f64| (at * 2.0 * GRID as f64).round_ties_even() as usize;
    let (count, sum) = counted.fold((0, 0.0), |(count, sum), at| (count + 1, sum + heights[place(at)].max(1.0).ln()));
    if count < MIN_PLACES { 0.0 } else { sum / count as f64 }
}

fn profiles(lines: &SampledLines, step: usize) -> Profiles {
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

fn spectrum(profile: &[f64], planner: &mut RealFftPlanner<f64>) -> Spectrum {
    let levels = sliding_mean(profile, LEVEL_WINDOW);
    let mut signal: Vec<f64> = profile.iter().zip(levels).map(|(sum, level)| sum / (level + 1e-9) - 1.0).collect();
    let mut sizes: Vec<f32> = signal.iter().map(|s| s.abs() as f32).collect();
    let most = 6.0 * super::statistics::median(&mut sizes).unwrap_or(0.0) + 1e-9;
    let count = signal.len();
    let mut weights = 0.0;
    for (at, sample) in signal.iter_mut().enumerate() {
        let window = 0.5 - 0.5 * (2.0 * std::f64::consts::PI * at as f64 / (count - 1) as f64).cos();
        *sample = sample.clamp(-most, most) * window;
        weights += window;
    }
    let transform = planner.plan_fft_forward(count);
    let mut bins = transform.make_output_vec();
    // Cannot fail: both lengths are the plan's own.
    if transform.process(&mut signal, &mut bins).is_err() {
        return Spectrum { heights: vec![0.0; GRID + 1], depths: vec![0.0; GRID + 1] };
    }
    let swings: Vec<f32> = bins.iter().map(|bin| bin.norm() as f32).collect();
    let background = sliding_median(&swings, (swings.len() / 48).max(16));
    let heights =
        swings.iter().zip(background).map(|(swing, background)| f64::from(*swing) / (f64::from(background) + 1e-9));
    let depths = swings.iter().map(|swing| 2.0 * f64::from(*swing) / weights);
    Spectrum { heights: on_grid(heights, count), depths: on_grid(depths, count) }
}

/// Puts the bins of a profile of `count` places on the common grid; each grid step takes the largest of its neighbours.
fn on_grid(bins: impl Iterator<Item = f64>, count: usize) -> Vec<f64> {
    let mut grid = vec![0.0f64; GRID + 1];
    for (at, bin) in bins.enumerate() {
        let place = ((at as f64 * 2.0 * GRID as f64 / count as f64).round_ties_even() as usize).min(GRID);
        grid[place] = grid[place].max(bin);
    }
    (0..=GRID)
        .map(|at| grid[at.saturating_sub(WIDENED_BY)..=(at + WIDENED_BY).min(GRID)].iter().copied().fold(0.0, f64::max))
        .collect()
}

/// Returns the contrast of every other place, blind to the file's own blocks.
fn alternation(third: &[f64]) -> f64 {
    let levels = sliding_mean(third, 32);
    let level: Vec<f32> = third.iter().zip(levels).map(|(sum, level)| (sum / (level + 1e-9)) as f32).collect();
    let whole = level.len() / 8 * 8;
    let places: Vec<f64> = (0..INSIDE_BLOCK)
        .map(|phase| {
            let mut column: Vec<f32> = level[..whole].iter().skip(phase).step_by(8).copied().collect();
            super::statistics::median(&mut column).unwrap_or(0.0)
        })
        .collect();
    let swing = places[0] - 4.0 * places[1] + 6.0 * places[2] - 4.0 * places[3] + places[4];
    swing.abs() / 16.0 / (places.iter().sum::<f64>() / INSIDE_BLOCK as f64 + 1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::line_sampler::whole;
    use crate::measure::reference::{enlarged, noise};

    fn found(width: usize, codes: &[u8]) -> Resampled {
        let (rows, columns) = whole(codes, width);
        detect(&rows, &columns, 1).unwrap()
    }

    #[test]
    fn native_noise_shows_no_trace() {
        let codes: Vec<u8> = noise(512).into_iter().map(|code| code as u8).collect();
        let found = found(512, &codes);
        assert!((found.line - 2.5).abs() < 0.5 && found.depth < 0.03 && found.doubling < 0.01, "{found:?}");
    }

    #[test]
    fn an_enlargement_shows_its_scale() {
        // A line at 1/3 for 1.5 times and for 3 times; none off the JPEG grid for 2 times.
        for (side, factor) in [(341, 1.5), (171, 3.0)] {
            let (width, codes) = enlarged(side, factor);
            let found = found(width, &codes);
            assert!(found.line > 50.0 && (found.at - 1.0 / 3.0).abs() < 0.002, "{factor}: {found:?}");
            assert!(found.depth > 0.1 && (factor > 2.0 || found.doubling < 0.01), "{factor}: {found:?}");
        }
        let (width, codes) = enlarged(256, 2.0);
        let twice = found(width, &codes);
        assert!((twice.doubling - 0.759).abs() < 0.05 && twice.line < 6.0, "{twice:?}");
    }

    #[test]
    fn lines_of_earlier_blocks_speak_for_a_scale() {
        // Blocks of 8 enlarged 1.3 times leave lines at k / (8 x 1.3); a scale of 1.7 has none of them.
        let mut heights = vec![1.0; GRID + 1];
        for k in 1..8 {
            let at = f64::from(k) / (8.0 * 1.3);
            heights[((at - at.round()).abs() * 2.0 * GRID as f64).round() as usize] = 10.0;
        }
        assert!((earlier_blocks(&heights, 1.0 / 1.3) - 10.0f64.ln()).abs() < 1e-9);
        assert!(earlier_blocks(&heights, 1.0 / 1.7) < 0.5);
        assert!((block_support(&heights, 1.0 - 1.0 / 1.3) - 10.0f64.ln()).abs() < 1e-9);
    }

    #[test]
    fn a_stamp_tells_nothing() {
        let (rows, columns) = whole(&[9; 40 * 40], 40);
        assert_eq!(detect(&rows, &columns, 1), None);
    }
}
