//! Rays, and their intersections with surfaces.
use crate::vector::Vec3;

/// Least distance of an intersection, in units of 10 cm; nearer ones are of the surface that the ray leaves.
pub const NEAREST: f32 = 2e-3;

/// A half-line: its origin, and its unit direction.
#[derive(Clone, Copy, Debug)]
pub struct Ray {
    /// Origin, in units of 10 cm.
    pub from: Vec3,
    /// Unit direction.
    pub along: Vec3,
}

impl Ray {
    /// Returns the point at this distance.
    pub fn at(&self, distance: f32) -> Vec3 {
        self.from + self.along * distance
    }
}

/// A ray's intersection with a shape: the distance along it and the surface's unit normal, facing the ray.
#[derive(Clone, Copy, Debug)]
pub struct Intersection {
    /// Distance along the ray, in units of 10 cm.
    pub distance: f32,
    /// Unit normal.
    pub normal: Vec3,
}

impl Intersection {
    /// Turns the normal to the side from which the ray comes.
    pub fn facing(distance: f32, normal: Vec3, along: Vec3) -> Intersection {
        let normal = if normal.dot(along) > 0.0 { -normal } else { normal };
        Intersection { distance, normal }
    }
}
