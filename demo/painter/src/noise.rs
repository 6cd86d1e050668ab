//! Repeatable irregularity: every number is a hash of a position, so pixels share no state and any number of threads
//! paints the same bytes.
use crate::vector::{Vec3, ZERO, vec3};

/// Hashes three whole numbers to bits, the upper ones mixed best.
pub(crate) fn hash_bits(x: i32, y: i32, z: i32) -> u32 {
    let mut h = (x as u32).wrapping_mul(0x9E37_79B1)
        ^ (y as u32).wrapping_mul(0x85EB_CA77)
        ^ (z as u32).wrapping_mul(0xC2B2_AE3D);
    h ^= h >> 15;
    h = h.wrapping_mul(0x2C1B_3C6D);
    h ^ h >> 13
}

/// Returns a number in 0..1 from three whole numbers.
pub fn hash(x: i32, y: i32, z: i32) -> f32 {
    // 24 bits fill a float's digits.
    (hash_bits(x, y, z) >> 8) as f32 * (1.0 / 16_777_216.0)
}

/// Rounds down without the library call that plain x86-64 needs.
pub(crate) fn floor_to_int(x: f32) -> i32 {
    let i = x as i32;
    i - i32::from(x < i as f32)
}

/// Returns the part above the floor, 0..1.
pub(crate) fn above_floor(x: f32) -> f32 {
    x - floor_to_int(x) as f32
}

fn fade(t: f32) -> f32 {
    t * t * (3.0 - 2.0 * t)
}

fn fade_slope(t: f32) -> f32 {
    6.0 * t * (1.0 - t)
}

/// Returns value noise in -1..1 over a plane, one cell per unit.
pub(crate) fn noise2(x: f32, y: f32) -> f32 {
    let (i, j) = (floor_to_int(x), floor_to_int(y));
    let (u, v) = (fade(x - i as f32), fade(y - j as f32));
    let (a, b) = (hash(i, j, 7), hash(i + 1, j, 7));
    let (c, d) = (hash(i, j + 1, 7), hash(i + 1, j + 1, 7));
    let (low, high) = (a + (b - a) * u, c + (d - c) * u);
    2.0 * (low + (high - low) * v) - 1.0
}

/// Returns value noise in -1..1 in space, with its gradient (differences would take three more calls).
pub(crate) fn noise3(p: Vec3) -> (f32, Vec3) {
    let (i, j, k) = (floor_to_int(p.x), floor_to_int(p.y), floor_to_int(p.z));
    let (x, y, z) = (p.x - i as f32, p.y - j as f32, p.z - k as f32);
    let (u, v, w) = (fade(x), fade(y), fade(z));
    let corner = |a: i32, b: i32, c: i32| hash(i + a, j + b, k + c);
    let (a0, a1) = (corner(0, 0, 0), corner(1, 0, 0));
    let (a2, a3) = (corner(0, 1, 0), corner(1, 1, 0));
    let (b0, b1) = (corner(0, 0, 1), corner(1, 0, 1));
    let (b2, b3) = (corner(0, 1, 1), corner(1, 1, 1));
    let (low0, low1) = (a0 + (a1 - a0) * u, a2 + (a3 - a2) * u);
    let (high0, high1) = (b0 + (b1 - b0) * u, b2 + (b3 - b2) * u);
    let (near, far) = (low0 + (low1 - low0) * v, high0 + (high1 - high0) * v);
    let slope_near = (a1 - a0) + ((a3 - a2) - (a1 - a0)) * v;
    let slope_far = (b1 - b0) + ((b3 - b2) - (b1 - b0)) * v;
    let slope = vec3(
        2.0 * fade_slope(x) * (slope_near + (slope_far - slope_near) * w),
        2.0 * fade_slope(y) * ((low1 - low0) + ((high1 - high0) - (low1 - low0)) * w),
        2.0 * fade_slope(z) * (far - near),
    );
    (2.0 * (near + (far - near) * w) - 1.0, slope)
}

/// Sums octaves of `noise2`, each half as strong and turned, so that no grid shows.
pub(crate) fn fractal2(mut x: f32, mut y: f32, octaves: u32) -> f32 {
    let (mut sum, mut weight) = (0.0, 0.5);
    for _ in 0..octaves {
        sum += weight * noise2(x, y);
        (x, y) = (x * 1.7 + y * 1.1 + 3.1, y * 1.7 - x * 1.1 + 1.7);
        weight *= 0.5;
    }
    sum
}

/// Sums octaves of `noise3` with their gradient.
pub(crate) fn fractal3(p: Vec3, octaves: u32) -> (f32, Vec3) {
    let (mut sum, mut slope, mut weight, mut scale) = (0.0, ZERO, 0.5, 1.0);
    for _ in 0..octaves {
        let (value, gradient) = noise3(p * scale + vec3(scale, 2.0 * scale, 0.3));
        sum += weight * value;
        slope = slope + gradient * (weight * scale);
        weight *= 0.5;
        scale *= 2.07;
    }
    (sum, slope)
}

/// An endless sequence of repeatable random numbers.
pub(crate) struct Random(i32);

impl Random {
    /// Starts after this number.
    pub(crate) fn new(start: i32) -> Random {
        Random(start)
    }

    /// Returns the next number in `low..high`.
    pub(crate) fn between(&mut self, low: f32, high: f32) -> f32 {
        self.0 += 1;
        low + (high - low) * hash(self.0, 77, self.0 >> 3)
    }

    /// Returns an angle round the vertical, in radians.
    pub(crate) fn angle(&mut self) -> f32 {
        self.between(0.0, std::f32::consts::TAU)
    }

    /// Returns a distance from the middle such that points fill a disc of this radius evenly.
    pub(crate) fn in_disc(&mut self, radius: f32) -> f32 {
        radius * self.between(0.0, 1.0).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gradient_is_the_slope_of_the_value() {
        let (p, step) = (vec3(1.3, -2.6, 0.45), 1e-2);
        let (_, slope) = noise3(p);
        for (along, got) in
            [(vec3(1.0, 0.0, 0.0), slope.x), (vec3(0.0, 1.0, 0.0), slope.y), (vec3(0.0, 0.0, 1.0), slope.z)]
        {
            let (up, down) = (noise3(p + along * step).0, noise3(p - along * step).0);
            assert!(((up - down) / (2.0 * step) - got).abs() < 2e-3);
        }
    }

    #[test]
    fn floors_below_zero_too() {
        assert_eq!(floor_to_int(-0.25), -1);
        assert_eq!(floor_to_int(-2.0), -2);
        assert_eq!(above_floor(-0.25), 0.75);
    }
}
