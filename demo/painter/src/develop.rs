//! Turns linear light into a picture: lens blur, the lens's own softness, vignette, saturation, grain, tone curve,
//! encoding.
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::camera::View;
use crate::colour_space::ColourSpace;
use crate::noise::{hash, hash_bits};
use crate::shading::Sample;
use crate::vector::{max_fast, min_fast, soft_step};

/// Levels of the blur pyramid, each half the size of the one before.
const LEVELS: usize = 4;
/// Samples of the disc that gathers the blur.
const TAPS: usize = 18;
/// The golden angle, in radians: spreads samples evenly over a disc.
const GOLDEN_ANGLE: f32 = 2.399_963;
/// The sharp picture is used below the first blur (px), the blurred one above the second.
const SHARP_TO_SOFT: (f32, f32) = (0.9, 2.4);
/// The lens's own softness: weights of a pixel and its neighbours, along and across.
const SOFTNESS: [f32; 3] = [0.13, 0.74, 0.13];
/// Brightest level that the softness spreads.
const BRIGHTEST: f32 = 3.5;
/// Loss of light in the corners, growing with the square of the distance from the middle.
const VIGNETTE: f32 = 0.55;
/// Grain in linear light: growing with the root of the level, and a floor.
const GRAIN: f32 = 0.018;
const GRAIN_FLOOR: f32 = 0.0015;
/// Steps of the tone curve's table, and the level where it ends.
const CURVE_STEPS: usize = 4096;
const CURVE_END: f32 = 6.0;

struct Level<'a> {
    width: usize,
    height: usize,
    samples: std::borrow::Cow<'a, [Sample]>,
}

impl Level<'_> {
    fn at(&self, x: usize, y: usize) -> &Sample {
        &self.samples[y.min(self.height - 1) * self.width + x.min(self.width - 1)]
    }

    fn halve(&self) -> Level<'static> {
        let (width, height) = (self.width.div_ceil(2), self.height.div_ceil(2));
        let mut samples = vec![[0f32; 4]; width * height];
        samples.par_chunks_mut(width).enumerate().for_each(|(y, row)| {
            for (x, out) in row.iter_mut().enumerate() {
                for (dx, dy) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
                    let from = self.at(2 * x + dx, 2 * y + dy);
                    for channel in 0..4 {
                        out[channel] += 0.25 * from[channel];
                    }
                }
            }
        });
        Level { width, height, samples: samples.into() }
    }
}

/// Turns linear samples into rows of encoded 16-bit RGB.
pub fn develop(
    samples: &[Sample],
    view: &View,
    exposure: f32,
    colour_space: ColourSpace,
    cancel: &AtomicBool,
) -> Vec<u16> {
    let (width, height) = (view.width, view.height);
    let sharp = Level { width, height, samples: samples.into() };
    let mut levels = vec![sharp.halve()];
    for level in 1..LEVELS {
        levels.push(levels[level - 1].halve());
    }
    let soft = defocus(&levels, cancel);
    let curve = tone_curve(colour_space);
    let mut out = vec![0u16; width * height * 3];
    out.par_chunks_mut(width * 3).enumerate().for_each(|(y, row)| {
        if cancel.load(Ordering::Relaxed) {
            return;
        }
        for (x, pixel) in row.chunks_exact_mut(3).enumerate() {
            let seen = mix_focus(&sharp, &levels[1], &levels[0], &soft, x, y);
            let across = x as f32 / width as f32 - 0.5;
            let down = y as f32 / height as f32 - 0.5;
            let light = exposure * (1.0 - VIGNETTE * (across * across + down * down));
            let exposed = expose(seen, light, colour_space, (x as i32, y as i32));
            for (out, level) in pixel.iter_mut().zip(exposed) {
                *out = encode(&curve, level);
            }
        }
    });
    out
}

/// Blurs at half size: gathers a disc from the pyramid, in linear light.
fn defocus(levels: &[Level], cancel: &AtomicBool) -> Vec<[f32; 3]> {
    let taps: [(f32, f32, f32); TAPS] = std::array::from_fn(|i| {
        let radius = ((i as f32 + 0.5) / TAPS as f32).sqrt();
        let (sin, cos) = (i as f32 * GOLDEN_ANGLE).sin_cos();
        (radius * cos, radius * sin, radius)
    });
    let (half, eighth) = (&levels[0], &levels[2]);
    let mut soft = vec![[0f32; 3]; half.width * half.height];
    soft.par_chunks_mut(half.width).enumerate().for_each(|(y, row)| {
        if cancel.load(Ordering::Relaxed) {
            return;
        }
        for (x, out) in row.iter_mut().enumerate() {
            let here = half.at(x, y);
            // Neighbours out of focus spread over the edge of what is sharp.
            let blur = max_fast(here[3], eighth.at(x / 4, y / 4)[3] * 0.8);
            *out = if blur < 0.8 { [here[0], here[1], here[2]] } else { gather_disc(levels, &taps, x, y, blur) };
        }
    });
    soft
}

fn gather_disc(levels: &[Level], taps: &[(f32, f32, f32)], x: usize, y: usize, blur: f32) -> [f32; 3] {
    // The level whose pixels are about as large as the gaps between the taps.
    let index = match blur {
        b if b < 5.0 => 0,
        b if b < 11.0 => 1,
        b if b < 26.0 => 2,
        _ => 3,
    };
    let level = &levels[index];
    let scale = 0.5f32.powi(index as i32);
    let (sin, cos) = (hash(x as i32, y as i32, 3) * 0.35).sin_cos();
    let (mut sum, mut colour) = (0.0, [0f32; 3]);
    for &(across, down, radius) in taps {
        let px = (x as f32 + 0.5 + (across * cos - down * sin) * blur * 0.5) * scale;
        let py = (y as f32 + 0.5 + (across * sin + down * cos) * blur * 0.5) * scale;
        // Samples left of the picture or above it use its first column or row: the cast stops at 0.
        let from = level.at(px as usize, py as usize);
        // A sample counts when its own blur reaches this pixel.
        let weight = ((from[3] - radius * blur) / (0.25 * blur) + 1.0).clamp(0.03, 1.0);
        sum += weight;
        for channel in 0..3 {
            colour[channel] += weight * from[channel];
        }
    }
    colour.map(|c| c / sum)
}

/// Returns the sharp picture with the lens's softness, the blurred one, or a mix.
fn mix_focus(sharp: &Level, quarter: &Level, half: &Level, soft: &[[f32; 3]], x: usize, y: usize) -> [f32; 3] {
    let blur = max_fast(sharp.at(x, y)[3], quarter.at(x / 4, y / 4)[3] * 0.7);
    let share = soft_step(SHARP_TO_SOFT.0, SHARP_TO_SOFT.1, blur);
    let mut colour = [0f32; 3];
    if share < 1.0 {
        for (down, dy) in SOFTNESS.iter().zip([y.saturating_sub(1), y, y + 1]) {
            for (across, dx) in SOFTNESS.iter().zip([x.saturating_sub(1), x, x + 1]) {
                let (weight, from) = (down * across * (1.0 - share), sharp.at(dx, dy));
                for channel in 0..3 {
                    colour[channel] += weight * min_fast(from[channel], BRIGHTEST);
                }
            }
        }
    }
    if share > 0.0 {
        let px = max_fast((x as f32 - 0.5) * 0.5, 0.0);
        let py = max_fast((y as f32 - 0.5) * 0.5, 0.0);
        let (left, top) = (px as usize, py as usize);
        let (u, v) = (px - left as f32, py - top as f32);
        let at = |dx: usize, dy: usize| {
            let x = (left + dx).min(half.width - 1);
            &soft[(top + dy).min(half.height - 1) * half.width + x]
        };
        let (a, b, c, d) = (at(0, 0), at(1, 0), at(0, 1), at(1, 1));
        for i in 0..3 {
            let (upper, lower) = (a[i] + (b[i] - a[i]) * u, c[i] + (d[i] - c[i]) * u);
            colour[i] += share * (upper + (lower - upper) * v);
        }
    }
    colour
}

/// Applies exposure, saturation around grey, and grain (mostly common to the channels).
fn expose(seen: [f32; 3], light: f32, colour_space: ColourSpace, (x, y): (i32, i32)) -> [f32; 3] {
    let [grain, own @ ..] = grain_at(x, y);
    let grey = 0.3 * seen[0] + 0.59 * seen[1] + 0.11 * seen[2];
    let saturation = colour_space.saturation();
    std::array::from_fn(|i| {
        let level = max_fast((grey + (seen[i] - grey) * saturation) * light, 0.0);
        max_fast(level + (0.7 * grain + 0.6 * own[i]) * (GRAIN * level.sqrt() + GRAIN_FLOOR), 0.0)
    })
}

/// Returns the grain of one pixel: the common part (-1..1), then each channel's own (-0.5..0.5).
fn grain_at(x: i32, y: i32) -> [f32; 4] {
    // The sum of two uniform numbers tends to the middle, as grain does.
    let (two, three) = (hash_bits(x, y, 21), hash_bits(x, y, 22));
    let part = |bits: u32, from: u32, width: u32| (bits >> from & ((1 << width) - 1)) as f32 / (1 << width) as f32;
    let own = |from: u32| part(three, from, 8) - 0.5;
    [part(two, 8, 12) + part(two, 20, 12) - 1.0, own(8), own(16), own(24)]
}

/// Returns encoded levels (0..65535) over the square root of the linear level.
fn tone_curve(colour_space: ColourSpace) -> Vec<f32> {
    (0..=CURVE_STEPS)
        .map(|i| {
            let root = i as f32 / CURVE_STEPS as f32;
            let level = root * root * CURVE_END;
            // A soft shoulder, and a toe that keeps blacks deep.
            let toned = (1.0 - (-1.25 * level).exp()).powf(1.28);
            colour_space.encode(toned) * 65535.0
        })
        .collect()
}

fn encode(curve: &[f32], level: f32) -> u16 {
    let at = min_fast((level * (1.0 / CURVE_END)).sqrt() * CURVE_STEPS as f32, CURVE_STEPS as f32);
    let below = (at as usize).min(CURVE_STEPS - 1);
    let (low, high) = (curve[below], curve[below + 1]);
    (low + (high - low) * (at - below as f32) + 0.5) as u16
}
