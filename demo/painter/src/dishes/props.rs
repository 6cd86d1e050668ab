//! Props common to all tables: plates, bowls, cutlery, leaves, crumbs; the usual light and camera.
use std::f32::consts::TAU;

use crate::camera::Camera;
use crate::light::Light;
use crate::noise::Random;
use crate::object::{Material, Object};
use crate::scene::Table;
use crate::vector::{Axes, Vec3, WHITE, grey, vec3};

/// Linear colour of pale stoneware.
pub const STONEWARE: Vec3 = vec3(0.62, 0.61, 0.57);
/// Linear colour of dark stoneware.
pub const SLATE_WARE: Vec3 = vec3(0.20, 0.22, 0.23);
const LEAF_GREEN: Vec3 = vec3(0.065, 0.125, 0.022);

/// The window, with the fill that the room gives by itself.
pub const DAYLIGHT: Light = Light { fill: 1.0 };

/// A white linen on warm wood.
pub const WHITE_LINEN: Table =
    Table { wood: vec3(0.30, 0.185, 0.105), linen: vec3(0.72, 0.68, 0.61), linen_edge: 0.25, linen_yaw: 0.35 };

/// Looks from above the table's near edge.
pub fn camera() -> Camera {
    Camera {
        target: vec3(0.0, 0.10, 0.0),
        distance: 9.0,
        pitch: 0.82,
        yaw: 0.22,
        field_of_view: 0.42,
        focus: vec3(0.0, 0.2, 0.55),
        aperture: 0.048,
        exposure: 5.8,
    }
}

/// The objects of a table, and the random numbers that make each one a little different.
pub struct Objects {
    /// The objects, in order of addition.
    pub list: Vec<Object>,
    /// Random numbers, advanced by each object that is varied.
    pub random: Random,
}

impl Objects {
    /// Creates an empty table whose random numbers begin at `start`.
    pub fn new(start: i32) -> Objects {
        Objects { list: Vec::new(), random: Random::new(start) }
    }

    /// Adds one object.
    pub fn add(&mut self, object: Object) {
        self.list.push(object);
    }

    /// Adds an ellipsoid.
    pub fn ellipsoid(&mut self, centre: Vec3, radii: Vec3, axes: Axes, material: Material, tint: Vec3) {
        self.add(Object::ellipsoid(centre, radii, axes, material, tint));
    }

    /// Adds a surface of revolution from (radius, height) points.
    pub fn lathe(&mut self, centre: Vec3, profile: &[(f32, f32)], material: Material, tint: Vec3) {
        self.add(Object::lathe(centre, profile, material, tint));
    }

    /// Returns any yaw, tilted by up to `tilt` radians.
    pub fn any_axes(&mut self, tilt: f32) -> Axes {
        let random = &mut self.random;
        Axes::turned(random.angle(), random.between(-tilt, tilt), random.between(-tilt, tilt))
    }

    /// Adds all objects of another table, moved.
    pub fn join(&mut self, other: Objects, by: Vec3) {
        self.list.extend(other.list.into_iter().map(|object| object.moved(by)));
    }

    /// Adds a coupe plate of this radius.
    pub fn plate(&mut self, centre: Vec3, r: f32, tint: Vec3) {
        let profile = [
            (0.001, 0.045),
            (0.60 * r, 0.045),
            (0.70 * r, 0.06),
            (0.78 * r, 0.115),
            (0.97 * r, 0.155),
            (1.0 * r, 0.150),
            (0.98 * r, 0.125),
            (0.80 * r, 0.085),
            (0.62 * r, 0.02),
            (0.60 * r, 0.001),
            (0.001, 0.002),
        ];
        self.lathe(centre, &profile, Material::Glaze, tint);
    }

    /// Adds a bowl of this radius and height.
    pub fn bowl(&mut self, centre: Vec3, r: f32, h: f32, tint: Vec3) {
        let profile = [
            (0.001, 0.08),
            (0.35 * r, 0.09),
            (0.68 * r, 0.28 * h),
            (0.90 * r, 0.64 * h),
            (0.965 * r, 0.985 * h),
            (0.985 * r, h),
            (r, 0.985 * h),
            (0.95 * r, 0.62 * h),
            (0.72 * r, 0.22 * h),
            (0.45 * r, 0.06),
            (0.43 * r, 0.001),
            (0.001, 0.002),
        ];
        self.lathe(centre, &profile, Material::Glaze, tint);
    }

    /// Adds a bellied jug, 8 cm high.
    pub fn jug(&mut self, centre: Vec3, tint: Vec3) {
        let profile = [
            (0.30, 0.0),
            (0.42, 0.02),
            (0.46, 0.25),
            (0.36, 0.55),
            (0.28, 0.68),
            (0.31, 0.78),
            (0.29, 0.78),
            (0.26, 0.68),
            (0.34, 0.5),
            (0.42, 0.25),
            (0.001, 0.05),
        ];
        self.lathe(centre, &profile, Material::Glaze, tint);
    }

    /// Adds a fork; `centre` is where the handle meets the head, `yaw` its bearing in radians.
    pub fn fork(&mut self, centre: Vec3, yaw: f32) {
        let axes = Axes::turned(yaw, 0.0, 0.0);
        let part = |from: Vec3, radii: Vec3| Object::ellipsoid(centre + from, radii, axes, Material::Metal, grey(0.5));
        self.add(part(axes.x * -0.75, vec3(0.75, 0.022, 0.055)));
        self.add(part(axes.x * 0.12 + vec3(0.0, 0.02, 0.0), vec3(0.22, 0.03, 0.115)));
        for tine in 0..4 {
            let aside = axes.z * (-0.084 + 0.056 * tine as f32);
            let from = axes.x * 0.42 + aside + vec3(0.0, 0.03, 0.0);
            self.add(part(from, vec3(0.30, 0.02, 0.017)));
        }
    }

    /// Adds a knife, its blade towards `yaw`.
    pub fn knife(&mut self, centre: Vec3, yaw: f32) {
        let axes = Axes::turned(yaw, 0.0, 0.0);
        let part = |from: Vec3, radii: Vec3| Object::ellipsoid(centre + from, radii, axes, Material::Metal, grey(0.5));
        self.add(part(axes.x * -0.62, vec3(0.60, 0.030, 0.050)));
        self.add(part(axes.x * 0.52 + axes.z * 0.02, vec3(0.62, 0.012, 0.085)));
    }

    /// Adds a spoon; `centre` is the middle of its bowl, `yaw` its bearing in radians.
    pub fn spoon(&mut self, centre: Vec3, yaw: f32) {
        let axes = Axes::turned(yaw, 0.0, 0.0);
        let part = |from: Vec3, radii: Vec3| Object::ellipsoid(centre + from, radii, axes, Material::Metal, grey(0.5));
        self.add(part(grey(0.0), vec3(0.30, 0.05, 0.20)));
        self.add(part(axes.x * -0.95, vec3(0.72, 0.03, 0.05)));
    }

    /// Adds a leaf of this half length; a thinner one would speckle.
    pub fn leaf(&mut self, centre: Vec3, size: f32, yaw: f32, tilt: f32) {
        let axes = Axes::turned(yaw, tilt, self.random.between(-0.3, 0.3));
        let tint = LEAF_GREEN * self.random.between(0.7, 1.3);
        self.ellipsoid(centre, vec3(size, size * 0.09, size * 0.42), axes, Material::Leaf, tint);
    }

    /// Adds a sprig of fine fronds.
    pub fn dill(&mut self, centre: Vec3, size: f32, yaw: f32) {
        let stem = Axes::turned(yaw, 0.0, 0.12);
        let tint = LEAF_GREEN * self.random.between(0.8, 1.2);
        self.ellipsoid(centre, vec3(size, 0.010, 0.010), stem, Material::Leaf, tint);
        for frond in 0..9 {
            let along = -0.7 + 0.19 * frond as f32;
            let side = if frond % 2 == 0 { 1.0 } else { -1.0 };
            let length = size * (0.46 - 0.16 * along.max(0.0)) * self.random.between(0.7, 1.1);
            let turned = yaw + side * self.random.between(0.5, 0.9);
            let axes = Axes::turned(turned, self.random.between(-0.2, 0.2), self.random.between(0.0, 0.4));
            let from = stem.x * (size * along) + axes.x * (length * 0.8);
            let tint = tint * self.random.between(0.8, 1.25);
            self.ellipsoid(centre + from, vec3(length, 0.009, 0.011), axes, Material::Leaf, tint);
        }
    }

    /// Adds crumbs or salt of about this size, scattered round `centre`.
    pub fn crumbs(&mut self, centre: Vec3, radius: f32, count: usize, (material, tint, size): (Material, Vec3, f32)) {
        for _ in 0..count {
            let (bearing, out) = (self.random.angle(), radius * self.random.between(0.05, 1.0));
            let s = size * self.random.between(0.4, 1.2);
            let radii = vec3(s, s * self.random.between(0.5, 0.9), s * self.random.between(0.6, 1.0));
            let at = centre + vec3(out * bearing.cos(), s * 0.5, out * bearing.sin());
            let axes = Axes::turned(bearing * 9.0, 0.3, 0.2);
            // Salt comes in crystals, crumbs are round.
            if material == Material::Salt {
                let half = radii * 0.8;
                self.add(Object::cuboid(at, half, axes, 0.3 * half.y, material, tint));
            } else {
                self.ellipsoid(at, radii, axes, material, tint);
            }
        }
    }

    /// Adds pastry crumbs, scattered round `centre`.
    pub fn pastry_crumbs(&mut self, centre: Vec3, radius: f32, count: usize) {
        self.crumbs(centre, radius, count, (Material::Pastry, WHITE, 0.019));
    }

    /// Adds half a lemon of this radius, its cut face along its own up axis.
    pub fn lemon_half(&mut self, centre: Vec3, radius: f32, yaw: f32, tilt: f32) {
        const RIND: Vec3 = vec3(0.78, 0.54, 0.05);
        let axes = Axes::turned(yaw, tilt, 0.0);
        let radii = vec3(radius, radius * 1.07, radius);
        let cup = Object::open_ellipsoid(centre, radii, axes, (0.0, 0.0), Material::Lemon, RIND);
        self.add(cup);
        self.ellipsoid(centre, vec3(radius, 0.012, radius), axes, Material::Lemon, RIND);
    }

    /// Adds a blue berry resting at height `base`.
    pub fn berry(&mut self, x: f32, base: f32, z: f32, r: f32) {
        let axes = Axes::turned(x * 9.0, 0.35 * (z * 7.0).sin(), 0.4 * (x * 11.0).cos());
        let (centre, radii) = (vec3(x, base + r * 0.85, z), vec3(r, r * 0.88, r));
        self.ellipsoid(centre, radii, axes, Material::Berry, BERRY_BLUE);
    }
}

/// Linear colour of a blue berry without its bloom.
pub const BERRY_BLUE: Vec3 = vec3(0.028, 0.036, 0.095);

/// Returns a point on a circle round the vertical axis.
pub fn round(bearing: f32, radius: f32, height: f32) -> Vec3 {
    vec3(radius * bearing.cos(), height, radius * bearing.sin())
}

/// Returns the bearing of one of `count` places on a circle, in radians.
pub fn bearing_of(index: usize, count: usize) -> f32 {
    index as f32 / count as f32 * TAU
}
