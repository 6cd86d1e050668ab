//! Surfaces of revolution: plates, bowls, jugs, tart cases, liquid surfaces.
use crate::ray::{Intersection, NEAREST, Ray};
use crate::vector::{max_fast, min_fast, vec3};

/// Rise as a share of its run below which a cone is intersected as a flat ring: so shallow a cone loses all its digits
/// in the quadratic, and a liquid would turn to noise.
const FLAT_RISE: f32 = 0.012;

/// A point of a profile or a direction across it: (radius, height).
type Point = (f32, f32);

/// A ring: a cone with the profile's normals at both ends, or a flat ring.
struct Ring {
    from: Point,
    to: Point,
    /// Radius gained per unit of height.
    slope: f32,
    flat: bool,
    normal_from: Point,
    normal_to: Point,
}

/// A surface of revolution round the vertical axis.
pub struct Lathe {
    rings: Vec<Ring>,
    /// Upper bound of the distance from the foot of the axis to the farthest point.
    span: f32,
    /// Radius of the widest point.
    pub radius: f32,
    /// Height of the lowest point.
    pub bottom: f32,
    /// Height of the highest point.
    pub top: f32,
}

impl Lathe {
    /// Creates a lathe from (radius, height) points, whose corners are rounded.
    pub fn new(profile: &[Point]) -> Lathe {
        let points = corners_cut(profile);
        let normals = normals(&points);
        let rings = (0..points.len().saturating_sub(1))
            .map(|i| {
                let (from, to) = (points[i], points[i + 1]);
                let (run, rise) = (to.0 - from.0, to.1 - from.1);
                Ring {
                    from,
                    to,
                    slope: run / rise,
                    flat: rise.abs() < FLAT_RISE * run.abs(),
                    normal_from: normals[i],
                    normal_to: normals[i + 1],
                }
            })
            .collect();
        Lathe {
            rings,
            span: points.iter().fold(0.0, |most, p| p.0.hypot(p.1).max(most)),
            radius: points.iter().fold(0.0, |most, p| p.0.max(most)),
            bottom: points.iter().fold(f32::MAX, |least, p| p.1.min(least)),
            top: points.iter().fold(f32::MIN, |most, p| p.1.max(most)),
        }
    }

    /// Returns the nearest intersection closer than `limit`.
    pub fn intersect(&self, ray: &Ray, limit: f32) -> Option<Intersection> {
        // Starts close by: a camera's distance squared would leave no digits for a shallow cone.
        let skipped = (-ray.from.dot(ray.along) - self.span).max(0.0);
        if skipped >= limit {
            return None;
        }
        let close = Ray { from: ray.at(skipped), along: ray.along };
        let met = self.intersect_close(&close, limit - skipped, NEAREST - skipped)?;
        Some(Intersection { distance: met.distance + skipped, ..met })
    }

    fn intersect_close(&self, ray: &Ray, limit: f32, nearest: f32) -> Option<Intersection> {
        let reach = Reach::new(self, ray, nearest, limit)?;
        let mut best: Option<Intersection> = None;
        for ring in &self.rings {
            if ring.out_of(&reach) {
                continue;
            }
            let limit = best.map_or(limit, |m| m.distance);
            let met = if ring.flat {
                ring.intersect_flat(ray, &reach, limit)
            } else {
                ring.intersect_cone(ray, &reach, limit)
            };
            best = met.or(best);
        }
        best
    }
}

/// Values of a ray that every ring of a lathe needs, calculated once.
struct Reach {
    /// Distance below which intersections do not count.
    nearest: f32,
    /// Quadratic terms of the ray across the axis: direction, product, place.
    a: f32,
    b: f32,
    c: f32,
    /// Heights between which the ray stays inside the cylinder round the lathe.
    low: f32,
    high: f32,
    /// Square of the ray's closest approach to the axis.
    closest: f32,
}

impl Reach {
    fn new(lathe: &Lathe, ray: &Ray, nearest: f32, limit: f32) -> Option<Reach> {
        let (from, along) = (ray.from, ray.along);
        let a = along.x * along.x + along.z * along.z;
        let b = from.x * along.x + from.z * along.z;
        let c = from.x * from.x + from.z * from.z;
        let discriminant = b * b - a * (c - lathe.radius * lathe.radius);
        if discriminant < 0.0 {
            return None;
        }
        let (half, middle) = (discriminant.sqrt() / a, -b / a);
        let enters = from.y + along.y * max_fast(middle - half, 0.0);
        let leaves = from.y + along.y * min_fast(middle + half, limit);
        let passes = middle > 0.0 && middle < limit;
        Some(Reach {
            nearest,
            a,
            b,
            c,
            low: min_fast(enters, leaves),
            high: max_fast(enters, leaves),
            closest: if passes { c - b * b / a } else { 0.0 },
        })
    }
}

impl Ring {
    fn out_of(&self, reach: &Reach) -> bool {
        let widest = max_fast(self.from.0, self.to.0);
        min_fast(self.from.1, self.to.1) > reach.high + 1e-3
            || max_fast(self.from.1, self.to.1) < reach.low - 1e-3
            || widest * widest < reach.closest
    }

    fn intersect_flat(&self, ray: &Ray, reach: &Reach, limit: f32) -> Option<Intersection> {
        let distance = (0.5 * (self.from.1 + self.to.1) - ray.from.y) / ray.along.y;
        if !(reach.nearest..limit).contains(&distance) {
            return None;
        }
        let at = ray.at(distance);
        let radius = at.off_upright();
        let inside = radius >= self.from.0.min(self.to.0) && radius <= self.from.0.max(self.to.0);
        inside.then(|| Intersection { distance, normal: vec3(0.0, -ray.along.y.signum(), 0.0) })
    }

    fn intersect_cone(&self, ray: &Ray, reach: &Reach, limit: f32) -> Option<Intersection> {
        let (k, rise) = (self.slope, ray.along.y);
        let width = self.from.0 + k * (ray.from.y - self.from.1);
        let a = reach.a - k * k * rise * rise;
        let b = reach.b - k * width * rise;
        let discriminant = b * b - a * (reach.c - width * width);
        if discriminant < 0.0 {
            return None;
        }
        let (root, scale) = (discriminant.sqrt(), 1.0 / a);
        let mut best: Option<Intersection> = None;
        for distance in [(-b - root) * scale, (-b + root) * scale] {
            let limit = best.map_or(limit, |m| m.distance);
            if !(reach.nearest..limit).contains(&distance) {
                continue;
            }
            let at = ray.at(distance);
            let share = (at.y - self.from.1) / (self.to.1 - self.from.1);
            let on_the_cone = self.from.0 + (self.to.0 - self.from.0) * share >= 0.0;
            if !(0.0..=1.0).contains(&share) || !on_the_cone {
                continue;
            }
            let (one, two) = (self.normal_from, self.normal_to);
            let out = one.0 + (two.0 - one.0) * share;
            let up = one.1 + (two.1 - one.1) * share;
            let inverse = 1.0 / max_fast(at.off_upright(), 1e-6);
            let normal = vec3(at.x * inverse * out, up, at.z * inverse * out).unit();
            best = Some(Intersection::facing(distance, normal, ray.along));
        }
        best
    }
}

/// Cuts the corners once: enough to take the lathe's edges off.
fn corners_cut(profile: &[Point]) -> Vec<Point> {
    let mut points: Vec<Point> = profile.first().copied().into_iter().collect();
    for pair in profile.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let at = |share: f32| (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
        points.push(at(0.25));
        points.push(at(0.75));
    }
    points.extend(profile.last());
    points
}

/// Returns the mean of the normals before and after each point.
fn normals(points: &[Point]) -> Vec<Point> {
    let unit = |x: f32, y: f32| {
        let length = x.hypot(y).max(1e-9);
        (x / length, y / length)
    };
    let of_ring = |i: usize| {
        let (a, b) = (points[i], points[i + 1]);
        unit(b.1 - a.1, a.0 - b.0)
    };
    let last = points.len().saturating_sub(2);
    (0..points.len())
        .map(|i| {
            let (before, after) = (of_ring(i.saturating_sub(1)), of_ring(i.min(last)));
            unit(before.0 + after.0, before.1 + after.1)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vector::Vec3;

    fn ray(from: Vec3, along: Vec3) -> Ray {
        Ray { from, along: along.unit() }
    }

    #[test]
    fn a_can_is_met_on_its_wall_and_its_lid() {
        let can = Lathe::new(&[(1.0, 0.0), (1.0, 1.0), (0.001, 1.0)]);
        let side = can.intersect(&ray(vec3(5.0, 0.4, 0.0), vec3(-1.0, 0.0, 0.0)), 60.0);
        let side = side.expect("the wall is in the way");
        assert!((side.distance - 4.0).abs() < 1e-3 && side.normal.x > 0.99);
        let lid = can.intersect(&ray(vec3(0.3, 4.0, 0.0), vec3(0.0, -1.0, 0.001)), 60.0);
        let lid = lid.expect("the lid is in the way");
        assert!((lid.distance - 3.0).abs() < 1e-2 && lid.normal.y > 0.99);
        assert!(can.intersect(&ray(vec3(5.0, 2.0, 0.0), vec3(-1.0, 0.0, 0.0)), 60.0).is_none());
    }
}
