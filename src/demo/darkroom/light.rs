//! Treatments of light: too much, too little, and of another colour.

use painter::Image;

use super::levels::{WHITE, level, quantile};

/// Side of the squares over which overexposed light blooms, px.
const BLOOM: usize = 21;
/// How far below white the bloom begins.
const BLOOM_FADE: f32 = 0.25;
/// How much brighter the rest becomes at the centre of a bloom.
const LIFT: f32 = 0.12;
/// Side of the cells in which dark tones are counted, px.
const DARK_CELL: usize = 8;
/// Side of a glint, px.
const GLINT: usize = 5;
/// Side of the surroundings that a glint stands out from, px.
const AROUND: usize = 41;
/// Range below full white over which glints fade in, as a share of their lead over the surroundings.
const GLINT_FADE: f32 = 0.4;
/// Lead of red, as shares of white, from which reds are driven, and from which wholly.
const RED_LEAD: (f32, f32) = (0.20, 0.38);
/// Radius of the pool of light as a share of the longer side, and what remains outside it.
const POOL: f32 = 0.45;
const OUTSIDE_POOL: f32 = 0.60;
/// Weights of luma on encoded levels: ITU-R BT.601, as in JPEG.
const LUMA: [f32; 3] = [0.299, 0.587, 0.114];

fn least(pixel: &[u16]) -> f32 {
    f32::from(pixel[0].min(pixel[1]).min(pixel[2])) / WHITE
}

/// Returns brightness that falls off from 1 at a centre, like the flare of a window.
fn falloff(painted: &Image, centre: (f32, f32), reach: f32) -> impl Fn(usize) -> f32 {
    let (width, height) = (painted.width_px, painted.height_px);
    let reach_px = reach * width.max(height) as f32;
    let middle = (centre.0 * width as f32, centre.1 * height as f32);
    move |i| {
        let across = ((i % width) as f32 + 0.5 - middle.0) / reach_px;
        let down = ((i / width) as f32 + 0.5 - middle.1) / reach_px;
        (-(across * across + down * down)).exp()
    }
}

/// Returns the indices of the pixels of each whole cell of this side.
fn cells(painted: &Image, side: usize) -> impl Iterator<Item = impl Iterator<Item = usize>> {
    let width = painted.width_px;
    let (across, down) = (width / side, painted.height_px / side);
    (0..across * down).map(move |cell| {
        let first = cell / across * side * width + cell % across * side;
        (0..side * side).map(move |i| first + i / side * width + i % side)
    })
}

/// Blooms bright things near the centre into white, up to this share of the picture; lifts the rest a little.
pub(super) fn overexpose(painted: &Image, centre: (f32, f32), reach: f32, share: f64) -> Image {
    let weight = falloff(painted, centre, reach);
    let bright: Vec<f32> = painted.rgb16().chunks_exact(3).map(least).collect();
    let around = mean_around(&bright, painted.width_px, painted.height_px, BLOOM);
    let light: Vec<f32> = around.iter().enumerate().map(|(i, around)| around * weight(i)).collect();
    let mut out = painted.clone();
    for (i, pixel) in out.rgb16_mut().chunks_exact_mut(3).enumerate() {
        let lift = 1.0 + LIFT * weight(i);
        pixel.iter_mut().for_each(|c| *c = level(f32::from(*c) * lift));
    }
    whiten(out, &light, share, BLOOM_FADE)
}

/// Whitens the brightest light, this share of the picture; below that it fades in over a share of the limit.
fn whiten(mut out: Image, light: &[f32], share: f64, fade: f32) -> Image {
    let limit = quantile(&mut light.to_vec(), 1.0 - share);
    for (pixel, light) in out.rgb16_mut().chunks_exact_mut(3).zip(light) {
        let near = ((light / limit - 1.0 + fade) / fade).clamp(0.0, 1.0);
        let white = if *light > limit { 1.0 } else { near * near };
        pixel.iter_mut().for_each(|c| *c = level(f32::from(*c) + (WHITE - f32::from(*c)) * white));
    }
    out
}

/// Whitens the details that lead their surroundings most: the wet edges, the salt.
pub(super) fn add_glints(painted: &Image, share: f64) -> Image {
    let bright: Vec<f32> = painted.rgb16().chunks_exact(3).map(least).collect();
    let mean = |side: usize| mean_around(&bright, painted.width_px, painted.height_px, side);
    let lead: Vec<f32> = mean(GLINT).iter().zip(mean(AROUND)).map(|(here, around)| here - around).collect();
    whiten(painted.clone(), &lead, share, GLINT_FADE)
}

/// Returns the means of squares of this side, by running sums along and across.
fn mean_around(values: &[f32], width: usize, height: usize, side: usize) -> Vec<f32> {
    let half = side / 2;
    let along = |from: &[f32], start: usize, stride: usize, count: usize, out: &mut [f32]| {
        let mut sums = Vec::with_capacity(count + 1);
        sums.push(0f64);
        for i in 0..count {
            sums.push(sums[i] + f64::from(from[start + i * stride]));
        }
        for i in 0..count {
            let (low, high) = (i.saturating_sub(half), (i + half + 1).min(count));
            out[start + i * stride] = ((sums[high] - sums[low]) / (high - low) as f64) as f32;
        }
    };
    let (mut rows, mut both) = (vec![0.0; values.len()], vec![0.0; values.len()]);
    (0..height).for_each(|y| along(values, y * width, 1, width, &mut rows));
    (0..width).for_each(|x| along(&rows, x, width, height, &mut both));
    both
}

/// Drives red harder the more it leads, until it is clipped in this share of the picture.
pub(super) fn redden(painted: &Image, share: f64) -> Image {
    let lead = |pixel: &[u16]| {
        let [red, green, blue] = [pixel[0], pixel[1], pixel[2]].map(f32::from);
        let share = (red - green.max(blue)) / WHITE;
        ((share - RED_LEAD.0) / (RED_LEAD.1 - RED_LEAD.0)).clamp(0.0, 1.0)
    };
    let gain_to_clip = |pixel: &[u16]| (WHITE / f32::from(pixel[0].max(1)) - 1.0) / lead(pixel).max(1e-6);
    let mut gains: Vec<f32> = painted.rgb16().chunks_exact(3).map(gain_to_clip).collect();
    let gain = quantile(&mut gains, share);
    let mut out = painted.clone();
    for pixel in out.rgb16_mut().chunks_exact_mut(3) {
        pixel[0] = level(f32::from(pixel[0]) * (1.0 + gain * lead(pixel)));
    }
    out
}

/// Returns the 8-bit level whose luminance has this density.
fn level_of_density(density: f64) -> f32 {
    let luminance = 10f64.powf(-density);
    // IEC 61966-2-1.
    let encoded = if luminance < 0.003_130_8 { 12.92 * luminance } else { 1.055 * luminance.powf(1.0 / 2.4) - 0.055 };
    encoded as f32 * WHITE
}

/// Dims the picture outside a pool of light; the gain is such that this share of the cells has a mean below the black.
pub(super) fn darken(painted: &Image, centre: (f32, f32), dmax: f64, share: f64) -> Image {
    let weight = falloff(painted, centre, POOL);
    let dim = |i: usize| OUTSIDE_POOL + (1.0 - OUTSIDE_POOL) * weight(i);
    let rgb16 = painted.rgb16();
    let luma = |i: usize| -> f32 { (0..3).map(|c| LUMA[c] * f32::from(rgb16[3 * i + c])).sum() };
    let mut means: Vec<f32> = cells(painted, DARK_CELL)
        .map(|cell| cell.map(|i| luma(i) * dim(i)).sum::<f32>() / (DARK_CELL * DARK_CELL) as f32)
        .collect();
    let gain = level_of_density(dmax) / quantile(&mut means, share);
    let mut out = painted.clone();
    for (i, pixel) in out.rgb16_mut().chunks_exact_mut(3).enumerate() {
        let factor = gain * dim(i);
        pixel.iter_mut().for_each(|c| *c = level(f32::from(*c) * factor));
    }
    out
}

/// Shifts the white: factors on linear red and blue against green, dimmed so that no channel clips.
pub(super) fn tint(painted: &Image, red: f64, blue: f64) -> Image {
    let most = red.max(blue).max(1.0);
    let curve = |factor: f64| -> Vec<u16> {
        let colour_space = painted.colour_space;
        (0..=u16::MAX)
            .map(|from| {
                let linear = colour_space.decode(f32::from(from) / WHITE) * factor as f32;
                level(colour_space.encode(linear.min(1.0)) * WHITE)
            })
            .collect()
    };
    let (reds, greens, blues) = (curve(red / most), curve(1.0 / most), curve(blue / most));
    let mut out = painted.clone();
    for pixel in out.rgb16_mut().chunks_exact_mut(3) {
        pixel[0] = reds[usize::from(pixel[0])];
        pixel[1] = greens[usize::from(pixel[1])];
        pixel[2] = blues[usize::from(pixel[2])];
    }
    out
}
