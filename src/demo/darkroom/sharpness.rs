//! Treatments: too soft, too sharp, enlarged, grainy.

use painter::Image;
use painter::noise::hash;
use rayon::prelude::*;

use super::levels::{WIDE_STEP, level};

/// Half length of a Gaussian's table, in standard deviations.
const GAUSS_REACH: f64 = 3.5;
/// Grain of a sound picture at mid-tones, 8-bit levels of luma; from measured pictures of the shoot.
const NATIVE_GRAIN: f64 = 0.8;
/// Shares of grain's deviation: common to the channels, and each channel's own.
const COMMON: f32 = 0.9;
/// Weights of luma: ITU-R BT.601.
const LUMA: [f32; 3] = [0.299, 0.587, 0.114];
/// The cubic kernel's slope at 1 px (Keys 1981).
const CUBIC_SLOPE: f64 = -0.5;

/// Returns a Gaussian's weights, with sum 1.
fn gauss(sigma_px: f64) -> Vec<f32> {
    let reach = (GAUSS_REACH * sigma_px).ceil() as i32;
    let weights: Vec<f64> = (-reach..=reach).map(|x| (-0.5 * (f64::from(x) / sigma_px).powi(2)).exp()).collect();
    let sum: f64 = weights.iter().sum();
    weights.iter().map(|weight| (weight / sum) as f32).collect()
}

/// Blurs all channels by a Gaussian, with edges repeated.
fn blur(painted: &Image, sigma_px: f64) -> Vec<f32> {
    let weights = gauss(sigma_px);
    let reach = weights.len() / 2;
    let (width, height, row) = (painted.width_px, painted.height_px, painted.width_px * 3);
    let from = painted.rgb16();
    let mut along = vec![0f32; from.len()];
    along.par_chunks_mut(row).zip(from.par_chunks(row)).for_each(|(out, from)| {
        for (x, pixel) in out.chunks_exact_mut(3).enumerate() {
            for (k, weight) in weights.iter().enumerate() {
                let at = 3 * (x + k).saturating_sub(reach).min(width - 1);
                for (channel, sum) in pixel.iter_mut().enumerate() {
                    *sum += weight * f32::from(from[at + channel]);
                }
            }
        }
    });
    let mut both = vec![0f32; from.len()];
    both.par_chunks_mut(row).enumerate().for_each(|(y, out)| {
        for (k, weight) in weights.iter().enumerate() {
            let at = (y + k).saturating_sub(reach).min(height - 1) * row;
            out.iter_mut().zip(&along[at..at + row]).for_each(|(sum, from)| *sum += weight * from);
        }
    });
    both
}

pub(super) fn defocus(painted: &Image, blur_px: f64) -> Image {
    let mut out = painted.clone();
    out.rgb16_mut().iter_mut().zip(blur(painted, blur_px)).for_each(|(out, soft)| *out = level(soft));
    add_grain(&out, NATIVE_GRAIN)
}

pub(super) fn sharpen(painted: &Image, radius_px: f64, amount: f32) -> Image {
    let mut out = painted.clone();
    for (out, soft) in out.rgb16_mut().iter_mut().zip(blur(painted, radius_px)) {
        let here = f32::from(*out);
        *out = level(here + amount * (here - soft));
    }
    out
}

/// Adds grain whose luma has this standard deviation in 8-bit levels.
pub(super) fn add_grain(painted: &Image, sigma_levels: f64) -> Image {
    // The sum of two uniform numbers in 0..1 has a variance of 1/6.
    let even = 6f32.sqrt();
    let own_in_luma = LUMA.iter().map(|weight| weight * weight).sum::<f32>().sqrt();
    let own = (1.0 - COMMON * COMMON).sqrt() / own_in_luma;
    let scale = sigma_levels as f32 * f32::from(WIDE_STEP);
    let width = painted.width_px;
    let roll = |x: i32, y: i32, z: i32| even * (hash(x, y, z) + hash(x, y, z + 1) - 1.0);
    let mut out = painted.clone();
    out.rgb16_mut().par_chunks_mut(width * 3).enumerate().for_each(|(y, row)| {
        for (x, pixel) in row.chunks_exact_mut(3).enumerate() {
            let (x, y) = (x as i32, y as i32);
            let common = COMMON * roll(x, y, 41);
            for (channel, value) in pixel.iter_mut().enumerate() {
                let grain = common + own * roll(x, y, 43 + 2 * channel as i32);
                *value = level(f32::from(*value) + scale * grain);
            }
        }
    });
    out
}

/// Returns the start of the four source samples of each enlarged one, and their weights.
fn cubic_places(count: usize, from: usize, factor: f64) -> Vec<([usize; 4], [f32; 4])> {
    let near = |t: f64| ((CUBIC_SLOPE + 2.0) * t - (CUBIC_SLOPE + 3.0)) * t * t + 1.0;
    let far = |t: f64| ((CUBIC_SLOPE * t - 5.0 * CUBIC_SLOPE) * t + 8.0 * CUBIC_SLOPE) * t - 4.0 * CUBIC_SLOPE;
    (0..count)
        .map(|x| {
            let at = (x as f64 + 0.5) / factor - 0.5;
            let (first, part) = (at.floor(), at - at.floor());
            let places = [-1.0, 0.0, 1.0, 2.0].map(|step| (first + step).clamp(0.0, from as f64 - 1.0) as usize);
            let weights = [far(1.0 + part), near(part), near(1.0 - part), far(2.0 - part)];
            (places, weights.map(|weight| weight as f32))
        })
        .collect()
}

/// Enlarges bicubically, centres aligned, cropped to this size at the right and the bottom.
pub(super) fn enlarge(painted: &Image, factor: f64, (width_px, height_px): (usize, usize)) -> Image {
    let (columns, rows) =
        (cubic_places(width_px, painted.width_px, factor), cubic_places(height_px, painted.height_px, factor));
    let from = painted.rgb16();
    let mut out = vec![0u16; width_px * height_px * 3];
    out.par_chunks_mut(width_px * 3).zip(&rows).for_each(|(out, (ys, down))| {
        let mut mixed = vec![0f32; painted.width_px * 3];
        for (y, weight) in ys.iter().zip(down) {
            let row = &from[y * painted.width_px * 3..(y + 1) * painted.width_px * 3];
            mixed.iter_mut().zip(row).for_each(|(sum, from)| *sum += weight * f32::from(*from));
        }
        for (pixel, (xs, across)) in out.chunks_exact_mut(3).zip(&columns) {
            for (channel, value) in pixel.iter_mut().enumerate() {
                *value = level(xs.iter().zip(across).map(|(x, weight)| weight * mixed[3 * x + channel]).sum());
            }
        }
    });
    Image::new(width_px, height_px, painted.colour_space, out)
}
