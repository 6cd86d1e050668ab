//! Tests that each step of the darkroom gives its stated measure.

use painter::ColourSpace;

use super::levels::WHITE;
use super::*;

/// Creates a grey picture from a formula in 8-bit levels.
fn grey(width_px: usize, height_px: usize, level: impl Fn(usize, usize) -> f64) -> Image {
    let pixel = |i: usize| [(level(i % width_px, i / width_px) * 257.0).round() as u16; 3];
    let rows = (0..width_px * height_px).flat_map(pixel).collect();
    Image::new(width_px, height_px, ColourSpace::Srgb, rows)
}

/// Creates soft waves with some grain, 120 x 80 px.
fn waves() -> Image {
    let wave = |x: usize, y: usize| 130.0 + 70.0 * (x as f64 / 9.0).sin() * (y as f64 / 13.0).cos();
    add_grain(&grey(120, 80, wave))
}

fn add_grain(painted: &Image) -> Image {
    treat(painted, Treatment::Grained { sigma_levels: 1.0 }).unwrap()
}

fn share(painted: &Image, meets: impl Fn(&[u16]) -> bool) -> f64 {
    let count = painted.rgb16().chunks_exact(3).filter(|pixel| meets(pixel)).count();
    count as f64 / (painted.width_px * painted.height_px) as f64
}

fn luma(pixel: &[u16]) -> f64 {
    0.299 * f64::from(pixel[0]) + 0.587 * f64::from(pixel[1]) + 0.114 * f64::from(pixel[2])
}

fn is_white(pixel: &[u16]) -> bool {
    pixel.iter().all(|&level| level == u16::MAX)
}

#[test]
fn the_overexposed_share_is_white_and_near_the_centre() {
    let step = Treatment::Overexposed { centre: (0.4, 0.5), reach: 0.2, share: 0.05 };
    let out = treat(&waves(), step).unwrap();
    assert!((share(&out, is_white) - 0.05).abs() < 2e-4);
    assert!(!is_white(&out.rgb16()[..3]));
}

#[test]
fn glints_take_their_share_of_pixels() {
    let out = treat(&waves(), Treatment::Glinting { share: 0.01 }).unwrap();
    assert!((share(&out, is_white) - 0.01).abs() < 2e-4);
}

#[test]
fn reds_end_where_they_lead_and_nowhere_else() {
    let mut apple = waves();
    for pixel in apple.rgb16_mut().chunks_exact_mut(3).take(4800) {
        (pixel[1], pixel[2]) = (pixel[0] / 4, pixel[0] / 5);
    }
    let out = treat(&apple, Treatment::Reddened { share: 0.2 }).unwrap();
    assert!((share(&out, |pixel| pixel[0] == u16::MAX && pixel[1] < u16::MAX / 2) - 0.2).abs() < 0.002);
    assert!(out.rgb16()[4800 * 3..] == apple.rgb16()[4800 * 3..]);
}

#[test]
fn the_dark_share_lies_below_the_papers_black() {
    let step = Treatment::Darkened { centre: (0.5, 0.5), dmax: 1.31, share: 0.6 };
    let out = treat(&waves(), step).unwrap();
    // D 1.31 is a luminance of 0.0490, in sRGB 62.5 of 255.
    let mean = |cell: usize| {
        let (left, top) = (cell % 15 * 8, cell / 15 * 8);
        let pixels = (0..64).map(|i| 3 * ((top + i / 8) * 120 + left + i % 8));
        pixels.map(|at| luma(&out.rgb16()[at..at + 3]) / 257.0).sum::<f64>() / 64.0
    };
    let count = (0..150).filter(|&cell| mean(cell) < 62.5).count();
    assert!(count.abs_diff(90) <= 1, "{count}");
}

#[test]
fn a_border_covers_its_width_and_no_more() {
    let out = treat(&waves(), Treatment::Bordered { width_px: 5 }).unwrap();
    let inside = 110.0 * 70.0 / 9600.0;
    assert!((share(&out, |pixel| pixel == BORDER) - (1.0 - inside)).abs() < 1e-9);
}

#[test]
fn grain_has_the_asked_deviation_in_luma() {
    let out = treat(&grey(200, 200, |_, _| 120.0), Treatment::Grained { sigma_levels: 6.0 }).unwrap();
    let off: Vec<f64> = out.rgb16().chunks_exact(3).map(|pixel| luma(pixel) / 257.0 - 120.0).collect();
    let deviation = (off.iter().map(|v| v * v).sum::<f64>() / off.len() as f64).sqrt();
    assert!((deviation - 6.0).abs() < 0.1, "{deviation}");
}

/// Creates a step of 100 levels softened by a Gaussian of 1 px (Abramowitz and Stegun 26.2.18 for its integral).
fn soft_step() -> Image {
    let phi = |x: f64| {
        let sum = [0.019527, 0.000344, 0.115194, 0.196854, 1.0].into_iter().fold(0.0, |sum, c| sum * x.abs() + c);
        let tail = 0.5 / sum.powi(4);
        if x < 0.0 { tail } else { 1.0 - tail }
    };
    grey(64, 8, |x, _| 60.0 + 100.0 * phi(x as f64 - 31.5))
}

#[test]
fn an_unsharp_mask_overshoots_as_the_formula_says() {
    let out = treat(&soft_step(), Treatment::Sharpened { radius_px: 2.0, amount: 1.5 }).unwrap();
    let top = out.rgb16().iter().max().map(|&v| f64::from(v) / 257.0).unwrap();
    // U(x) = 2.5 Phi(x) - 1.5 Phi(x / sqrt 5) is 1.2097 at x = 1.5, the sample nearest to its peak at 1.81.
    assert!((top - (60.0 + 120.97)).abs() < 0.1, "{top}");
}

#[test]
fn missed_focus_widens_a_step() {
    let width = |painted: &Image| {
        let row: Vec<f64> = painted.rgb16()[..64 * 3].chunks_exact(3).map(|p| f64::from(p[1]) / 257.0).collect();
        row.iter().filter(|&&v| v > 70.0 && v < 150.0).count()
    };
    assert_eq!(width(&soft_step()), 2);
    let out = treat(&soft_step(), Treatment::Defocused { blur_px: 3.0 }).unwrap();
    // 10 to 90 % of a step softened by sqrt(1 + 9) px: 2.563 x 3.16 = 8.1 px.
    assert!((7..=9).contains(&width(&out)), "{}", width(&out));
}

#[test]
fn enlarging_keeps_a_ramp_straight() {
    let ramp = grey(40, 10, |x, _| 40.0 + 4.0 * x as f64);
    let step = Treatment::Enlarged { factor: 1.8, width_px: 72, height_px: 18 };
    let out = treat(&ramp, step).unwrap();
    assert_eq!((out.width_px, out.height_px), (72, 18));
    for x in 4..68 {
        let wanted = 40.0 + 4.0 * ((x as f64 + 0.5) / 1.8 - 0.5);
        assert!((f64::from(out.rgb16()[3 * x]) / 257.0 - wanted).abs() < 0.02);
    }
}

#[test]
fn a_poor_saving_leaves_steps_on_its_grid() {
    let slope = grey(163, 83, |x, y| 90.0 + 0.35 * x as f64 + 0.2 * y as f64);
    let out = treat(&slope, Treatment::Resaved { quality: 20, cut_px: (5, 3) }).unwrap();
    assert_eq!((out.width_px, out.height_px), (158, 80));
    let step = |x: usize| -> i32 {
        let level = |x: usize, y: usize| i32::from(out.rgb16()[3 * (y * 158 + x) + 1] / WIDE_STEP);
        (0..80).map(|y| (level(x + 1, y) - level(x, y)).abs()).sum()
    };
    // Blocks begin at columns 3, 11, 19 of the remaining picture.
    let at_phase = |phase: usize| -> i32 { (0..18).map(|block| step(8 * block + phase)).sum() };
    assert!((0..8).filter(|&phase| phase != 2).all(|phase| at_phase(2) > 2 * at_phase(phase)));
}

#[test]
fn a_tint_multiplies_linear_light() {
    let out = treat(&grey(2, 2, |_, _| 128.0), Treatment::Tinted { red: 1.1, blue: 0.9 }).unwrap();
    let linear = |channel: usize| f64::from(ColourSpace::Srgb.decode(f32::from(out.rgb16()[channel]) / WHITE));
    assert!((linear(0) / linear(1) - 1.1).abs() < 1e-3);
    assert!((linear(2) / linear(1) - 0.9).abs() < 1e-3);
}
