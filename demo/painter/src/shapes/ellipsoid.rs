//! Ellipsoids, whole or open: fruit, grains, leaves, shells, cutlery.
use crate::noise::noise2;
use crate::ray::{Intersection, NEAREST, Ray};
use crate::vector::{Axes, Vec3, vec3};

/// No cut: above every height in radii.
const WHOLE: f32 = 9.0;

/// An ellipsoid, or the lower part of one, as a thin shell.
#[derive(Clone, Copy)]
pub struct Ellipsoid {
    /// The ellipsoid's own axes.
    pub axes: Axes,
    /// Radii along those axes.
    pub radii: Vec3,
    /// Local height (in radii) above which the surface is removed.
    cut: f32,
    /// Depth of the ruffles of that rim, in radii.
    frill: f32,
    /// Axes divided by their radii: three products map a ray to the unit sphere.
    shrink: Axes,
}

impl Ellipsoid {
    /// Creates a closed ellipsoid.
    pub fn whole(radii: Vec3, axes: Axes) -> Ellipsoid {
        let shrink = Axes { x: axes.x * (1.0 / radii.x), y: axes.y * (1.0 / radii.y), z: axes.z * (1.0 / radii.z) };
        Ellipsoid { axes, radii, cut: WHOLE, frill: 0.0, shrink }
    }

    /// Removes the part above the local height `cut` and ruffles the rim by `frill` (both in radii).
    pub fn opened(self, cut: f32, frill: f32) -> Ellipsoid {
        Ellipsoid { cut, frill, ..self }
    }

    /// Returns the half sizes of the upright bounding box.
    pub fn half_box(&self) -> Vec3 {
        let (x, y, z) = (self.axes.x * self.radii.x, self.axes.y * self.radii.y, self.axes.z * self.radii.z);
        let squares = x * x + y * y + z * z;
        vec3(squares.x.sqrt(), squares.y.sqrt(), squares.z.sqrt())
    }

    /// Returns the nearest intersection closer than `limit`; `seed` varies the ruffled rim.
    pub fn intersect(&self, ray: &Ray, limit: f32, seed: f32) -> Option<Intersection> {
        // Starts at the point nearest the centre, or small objects far away lose all their digits.
        let middle = -ray.from.dot(ray.along);
        let from = self.shrink.to_local(ray.at(middle));
        let along = self.shrink.to_local(ray.along);
        let (a, b, c) = (along.dot(along), from.dot(along), from.dot(from) - 1.0);
        let discriminant = b * b - a * c;
        if discriminant < 0.0 {
            return None;
        }
        let root = discriminant.sqrt();
        for step in [(-b - root) / a, (-b + root) / a] {
            let distance = middle + step;
            if !(NEAREST..limit).contains(&distance) {
                continue;
            }
            let at = from + along * step;
            if self.cut < 1.0 && at.y > self.rim(at, seed) {
                continue;
            }
            return Some(Intersection::facing(distance, self.shrink.to_world(at).unit(), ray.along));
        }
        None
    }

    /// Returns the height of the open rim at this point's bearing, in radii.
    fn rim(&self, at: Vec3, seed: f32) -> f32 {
        if self.frill == 0.0 {
            return self.cut;
        }
        let bearing = at.z.atan2(at.x);
        let ruffle = noise2(bearing * 2.6 + seed, seed) + 0.5 * noise2(bearing * 7.0, seed);
        self.cut + self.frill * ruffle
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ray_meets_the_near_side_and_an_open_one_its_inside() {
        let down = Ray { from: vec3(0.0, 5.0, 0.0), along: vec3(0.0, -1.0, 0.0) };
        let whole = Ellipsoid::whole(vec3(1.0, 0.5, 1.0), Axes::LEVEL);
        let near = whole.intersect(&down, 60.0, 0.0).expect("straight above");
        assert!((near.distance - 4.5).abs() < 1e-4 && near.normal.y > 0.99);
        let open = whole.opened(0.0, 0.0);
        let inside = open.intersect(&down, 60.0, 0.0).expect("the far wall");
        assert!((inside.distance - 5.5).abs() < 1e-4 && inside.normal.y > 0.99);
    }
}
