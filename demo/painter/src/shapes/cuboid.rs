//! Turned boxes with soft edges: boards, butter, random of carrot, bread.
use crate::ray::{Intersection, NEAREST, Ray};
use crate::vector::{Axes, Vec3, vec3};

/// A box with its own axes.
#[derive(Clone, Copy)]
pub struct Cuboid {
    /// The box's own axes.
    pub axes: Axes,
    /// Half sizes along those axes.
    pub half: Vec3,
    /// Width of the strip beside an edge in which the normal bends; the outline stays sharp.
    pub bevel: f32,
}

impl Cuboid {
    /// Returns the half sizes of the upright bounding box.
    pub fn half_box(&self) -> Vec3 {
        let size = |axis: Vec3, half: f32| vec3(axis.x.abs() * half, axis.y.abs() * half, axis.z.abs() * half);
        size(self.axes.x, self.half.x) + size(self.axes.y, self.half.y) + size(self.axes.z, self.half.z)
    }

    /// Returns the ray's entry point, closer than `limit`.
    pub fn intersect(&self, ray: &Ray, limit: f32) -> Option<Intersection> {
        let from = self.axes.to_local(ray.from);
        let along = self.axes.to_local(ray.along);
        let steps = along.inverse();
        let (one, two) = ((-self.half - from) * steps, (self.half - from) * steps);
        let (near, far) = (one.min(two).largest(), one.max(two).smallest());
        if near > far || !(NEAREST..limit).contains(&near) {
            return None;
        }
        let at = from + along * near;
        let bend = |x: f32, half: f32| {
            let depth = (x.abs() - half + self.bevel).max(0.0) / self.bevel;
            depth * depth * x.signum()
        };
        let normal = vec3(bend(at.x, self.half.x), bend(at.y, self.half.y), bend(at.z, self.half.z));
        Some(Intersection { distance: near, normal: self.axes.to_world(normal).unit() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_a_face_looks_straight_out_and_an_edge_half_way() {
        let cuboid = Cuboid { axes: Axes::LEVEL, half: vec3(1.0, 0.2, 1.0), bevel: 0.1 };
        let down = |x: f32| {
            let ray = Ray { from: vec3(x, 3.0, 0.0), along: vec3(0.0, -1.0, 0.0) };
            cuboid.intersect(&ray, 60.0)
        };
        let middle = down(0.0).expect("above the middle");
        assert!((middle.distance - 2.8).abs() < 1e-5 && (middle.normal.y - 1.0).abs() < 1e-6);
        let edge = down(0.9999).expect("above the edge");
        assert!((edge.normal.x - edge.normal.y).abs() < 0.01);
        assert!(down(1.01).is_none());
    }
}
