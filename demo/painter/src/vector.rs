//! Vectors of three numbers: positions (1 unit = 10 cm), directions and linear colours.
//!
use std::ops::{Add, Mul, Neg, Sub};

/// A position, a direction, or a linear colour (red, green, blue in x, y, z).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Vec3 {
    /// To the right across the table, or red.
    pub x: f32,
    /// Upwards, or green.
    pub y: f32,
    /// Towards the near side of the table, or blue.
    pub z: f32,
}

/// Creates a vector; a short form, since scenes are full of them.
pub const fn vec3(x: f32, y: f32, z: f32) -> Vec3 {
    Vec3 { x, y, z }
}

/// Creates a vector of three equal numbers.
pub const fn grey(level: f32) -> Vec3 {
    vec3(level, level, level)
}

pub const ZERO: Vec3 = grey(0.0);
pub const WHITE: Vec3 = grey(1.0);

impl Add for Vec3 {
    type Output = Vec3;
    fn add(self, other: Vec3) -> Vec3 {
        vec3(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Vec3 {
    type Output = Vec3;
    fn sub(self, other: Vec3) -> Vec3 {
        vec3(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Mul<f32> for Vec3 {
    type Output = Vec3;
    fn mul(self, factor: f32) -> Vec3 {
        vec3(self.x * factor, self.y * factor, self.z * factor)
    }
}

impl Mul for Vec3 {
    type Output = Vec3;
    fn mul(self, other: Vec3) -> Vec3 {
        vec3(self.x * other.x, self.y * other.y, self.z * other.z)
    }
}

impl Neg for Vec3 {
    type Output = Vec3;
    fn neg(self) -> Vec3 {
        vec3(-self.x, -self.y, -self.z)
    }
}

impl Vec3 {
    pub(crate) fn dot(self, other: Vec3) -> f32 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    pub(crate) fn cross(self, other: Vec3) -> Vec3 {
        vec3(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    pub(crate) fn length(self) -> f32 {
        self.dot(self).sqrt()
    }

    /// Returns the distance from the vertical axis (a library's `hypot` is several times slower).
    pub(crate) fn off_upright(self) -> f32 {
        (self.x * self.x + self.z * self.z).sqrt()
    }

    /// Returns the same direction with length 1; the zero vector stays near zero.
    pub(crate) fn unit(self) -> Vec3 {
        self * (1.0 / self.length().max(1e-12))
    }

    /// Returns one over each number; zeros give infinities, as the box tests require.
    pub(crate) fn inverse(self) -> Vec3 {
        vec3(1.0 / self.x, 1.0 / self.y, 1.0 / self.z)
    }

    pub(crate) fn min(self, other: Vec3) -> Vec3 {
        vec3(min_fast(self.x, other.x), min_fast(self.y, other.y), min_fast(self.z, other.z))
    }

    pub(crate) fn max(self, other: Vec3) -> Vec3 {
        vec3(max_fast(self.x, other.x), max_fast(self.y, other.y), max_fast(self.z, other.z))
    }

    pub(crate) fn largest(self) -> f32 {
        max_fast(max_fast(self.x, self.y), self.z)
    }

    pub(crate) fn smallest(self) -> f32 {
        min_fast(min_fast(self.x, self.y), self.z)
    }

    /// Mixes two vectors: this one at `share` 0, the other at 1.
    pub(crate) fn mix(self, other: Vec3, share: f32) -> Vec3 {
        self * (1.0 - share) + other * share
    }
}

/// Returns the lesser of two numbers. If one is NaN the other may be lost, unlike with `f32::min`, which costs a sixth
/// of all painting time.
pub fn min_fast(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

/// Returns the greater of two numbers; NaN as in [`min_fast`].
pub fn max_fast(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

/// Returns 0 below `from`, 1 above `to`, with a soft S between; `from` may be the larger one.
pub fn soft_step(from: f32, to: f32, x: f32) -> f32 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Three directions at right angles: an object's own x, y (up) and z.
#[derive(Clone, Copy, Debug)]
pub struct Axes {
    pub x: Vec3,
    pub y: Vec3,
    pub z: Vec3,
}

impl Axes {
    /// The table's own axes.
    pub const LEVEL: Axes = Axes { x: vec3(1.0, 0.0, 0.0), y: vec3(0.0, 1.0, 0.0), z: vec3(0.0, 0.0, 1.0) };

    /// Returns axes turned by angles in radians: `yaw` round the vertical, then `pitch`, then `roll`.
    pub(crate) fn turned(yaw: f32, pitch: f32, roll: f32) -> Axes {
        let ((sy, cy), (sp, cp), (sr, cr)) = (yaw.sin_cos(), pitch.sin_cos(), roll.sin_cos());
        let x = vec3(cy * cr + sy * sp * sr, cp * sr, -sy * cr + cy * sp * sr);
        let y = vec3(-cy * sr + sy * sp * cr, cp * cr, sy * sr + cy * sp * cr);
        Axes { x, y, z: x.cross(y) }
    }

    pub(crate) fn to_local(self, v: Vec3) -> Vec3 {
        vec3(self.x.dot(v), self.y.dot(v), self.z.dot(v))
    }

    pub(crate) fn to_world(self, v: Vec3) -> Vec3 {
        self.x * v.x + self.y * v.y + self.z * v.z
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turned_axes_stay_at_right_angles_and_undo_each_other() {
        let axes = Axes::turned(0.7, -0.4, 1.9);
        assert!(axes.x.dot(axes.y).abs() < 1e-6 && axes.x.dot(axes.z).abs() < 1e-6);
        let there = vec3(0.3, -2.0, 1.1);
        let back = axes.to_local(axes.to_world(there));
        assert!((back - there).length() < 1e-5, "{back:?}");
    }

    #[test]
    fn soft_step_meets_its_ends_and_its_middle() {
        assert_eq!(soft_step(1.0, 3.0, 0.5), 0.0);
        assert_eq!(soft_step(1.0, 3.0, 2.0), 0.5);
        assert_eq!(soft_step(3.0, 1.0, 0.5), 1.0);
    }
}
