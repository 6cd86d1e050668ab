//! Pictures by formula, for the tests of measures.

use std::f64::consts::SQRT_2;

/// Codes of a picture, row by row.
pub fn picture(width: usize, height: usize, mut code: impl FnMut(usize, usize) -> u8) -> Vec<u8> {
    (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).map(|(x, y)| code(x, y)).collect()
}

/// A plain sequence of numbers: s = (1 664 525 s + 1 013 904 223) mod 2^32. Source of the constants: Press et al.,
/// Numerical Recipes.
pub struct Random {
    state: u32,
    shift: u32,
}

impl Random {
    /// From a seed; each number is its state without the lowest `shift` bits.
    pub fn new(seed: u32, shift: u32) -> Random {
        Random { state: seed, shift }
    }

    /// The next number.
    pub fn next(&mut self) -> u32 {
        self.state = self.state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        self.state >> self.shift
    }
}

/// The normal distribution's integral.
pub fn normal(x: f64) -> f64 {
    libm::erfc(-x / SQRT_2) / 2.0
}

/// A slanted step from 60 to 180, blurred by `blur` pixels and sharpened by `amount` with a mask of `radius`.
pub fn edge(blur: f64, amount: f64, radius: f64) -> Vec<u8> {
    let wide = blur.hypot(radius);
    picture(200, 200, |x, y| {
        let x = x as f64 - (99.5 + 0.05 * (y as f64 - 100.0));
        let step = (1.0 + amount) * normal(x / blur) - amount * normal(x / wide);
        (60.0 + 120.0 * step + 0.5).floor().clamp(0.0, 255.0) as u8
    })
}

/// How far from the step it is lightest and darkest, in pixels: where the derivative vanishes.
pub fn seam(blur: f64, amount: f64, radius: f64) -> f64 {
    let wide = blur.hypot(radius);
    (2.0 * ((1.0 + amount) * wide / (amount * blur)).ln() / (blur.powi(-2) - wide.powi(-2))).sqrt()
}

/// How far that step overshoots there, as a share of it.
pub fn overshoot(blur: f64, amount: f64, radius: f64) -> f64 {
    let x = seam(blur, amount, radius);
    (1.0 + amount) * normal(x / blur) - amount * normal(x / blur.hypot(radius)) - 1.0
}

/// Noise of `side x side` pixels between 64 and 191.
pub fn noise(side: usize) -> Vec<f64> {
    let mut random = Random::new(1, 25);
    (0..side * side).map(|_| f64::from(64 + random.next())).collect()
}

/// The top left of 512 x 512 pixels of noise, enlarged bilinearly, centres aligned, edges repeated.
pub fn enlarged(side: usize, factor: f64) -> (usize, Vec<u8>) {
    let noise = noise(512);
    let to = (side as f64 * factor).round() as usize;
    let places: Vec<(usize, f64)> = (0..to)
        .map(|at| {
            let place = ((at as f64 + 0.5) / factor - 0.5).clamp(0.0, (side - 1) as f64);
            let low = (place as usize).min(side - 2);
            (low, place - low as f64)
        })
        .collect();
    let codes = picture(to, to, |x, y| {
        let ((x, fx), (y, fy)) = (places[x], places[y]);
        let row = |y: usize| noise[y * 512 + x] * (1.0 - fx) + noise[y * 512 + x + 1] * fx;
        (row(y) * (1.0 - fy) + row(y + 1) * fy + 0.5).floor() as u8
    });
    (to, codes)
}
