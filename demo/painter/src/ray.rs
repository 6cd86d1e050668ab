//! Rays, and where they meet a surface.
use crate::vector::Vec3;

/// Nearer intersections do not count: they are of the surface that the ray leaves. In units of 10 cm.
pub const NEAREST: f32 = 2e-3;

/// A half-line: its origin, and its unit direction.
#[derive(Clone, Copy, Debug)]
pub struct Ray {
    /// In units of 10 cm.
    pub from: Vec3,
    /// Of length 1.
    pub along: Vec3,
}

impl Ray {
    /// The place at this distance.
    pub fn at(&self, distance: f32) -> Vec3 {
        self.from + self.along * distance
    }
}

/// Where a ray met a shape: the distance along it and the surface's unit normal, turned to the ray.
#[derive(Clone, Copy, Debug)]
pub struct Intersection {
    /// Along the ray, in units of 10 cm.
    pub distance: f32,
    /// Of length 1.
    pub normal: Vec3,
}

impl Intersection {
    /// With the normal on the side that the ray comes from.
    pub fn facing(distance: f32, normal: Vec3, along: Vec3) -> Intersection {
        let normal = if normal.dot(along) > 0.0 { -normal } else { normal };
        Intersection { distance, normal }
    }
}
