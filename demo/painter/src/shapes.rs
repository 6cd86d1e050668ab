//! The things on a table: a shape, a place, a material. Rays meet them here; what they look like
//! there says `materials`. Next: `tree`.
mod ball;
mod lathe;
mod slab;

use super::materials::Material;
use super::vector::{Axes, Vec3, vec3};
pub use ball::Ball;
pub use lathe::Lathe;
pub use slab::Slab;

/// A ray starts this far from where it was born, or a surface would meet itself.
pub const NEAREST: f32 = 2e-3;

/// A ray: where from, and the unit direction.
#[derive(Clone, Copy, Debug)]
pub struct Ray {
    pub from: Vec3,
    pub along: Vec3,
}

impl Ray {
    pub fn at(&self, distance: f32) -> Vec3 {
        self.from + self.along * distance
    }
}

/// Where a ray met a shape: the distance along it and the surface's unit normal, turned to the ray.
#[derive(Clone, Copy, Debug)]
pub struct Meeting {
    pub distance: f32,
    pub normal: Vec3,
}

impl Meeting {
    fn facing(distance: f32, normal: Vec3, along: Vec3) -> Meeting {
        let normal = if normal.dot(along) > 0.0 { -normal } else { normal };
        Meeting { distance, normal }
    }
}

pub enum Shape {
    Ball(Ball),
    Lathe(Lathe),
    Slab(Slab),
}

/// One thing on the table.
pub struct Thing {
    pub centre: Vec3,
    pub shape: Shape,
    pub material: Material,
    /// Linear colour, or a factor on the material's own colours.
    pub tint: Vec3,
    /// Shifts the noise, so that no two copies look alike.
    pub seed: f32,
    /// Corners of the box round it.
    pub low: Vec3,
    pub high: Vec3,
}

impl Thing {
    fn new(centre: Vec3, shape: Shape, half: Vec3, material: Material, tint: Vec3) -> Thing {
        Thing {
            seed: centre.x * 7.3 + centre.z * 3.1 + centre.y * 5.7,
            low: centre - half,
            high: centre + half,
            centre,
            shape,
            material,
            tint,
        }
    }

    /// A turned ellipsoid with these radii.
    pub fn ball(centre: Vec3, radii: Vec3, axes: Axes, material: Material, tint: Vec3) -> Thing {
        let ball = Ball::whole(radii, axes);
        Thing::new(centre, Shape::Ball(ball), ball.half_box(), material, tint)
    }

    /// An ellipsoid without the part above the local height `cut` (in radii, -1..1);
    /// `frill` (in radii) ruffles that rim.
    pub fn open_ball(
        centre: Vec3,
        radii: Vec3,
        axes: Axes,
        (cut, frill): (f32, f32),
        material: Material,
        tint: Vec3,
    ) -> Thing {
        let ball = Ball::whole(radii, axes).opened(cut, frill);
        Thing::new(centre, Shape::Ball(ball), ball.half_box(), material, tint)
    }

    /// A turned box of these half sizes; its normals bend within `bevel` of an edge.
    pub fn slab(centre: Vec3, half: Vec3, axes: Axes, bevel: f32, material: Material, tint: Vec3) -> Thing {
        let slab = Slab { axes, half, bevel };
        Thing::new(centre, Shape::Slab(slab), slab.half_box(), material, tint)
    }

    /// A surface turned round the upright through `centre`, from (radius, height) points.
    pub fn lathe(centre: Vec3, profile: &[(f32, f32)], material: Material, tint: Vec3) -> Thing {
        let lathe = Lathe::new(profile);
        let (bottom, top, radius) = (lathe.bottom, lathe.top, lathe.radius);
        let half = vec3(radius, 0.0, radius);
        let mut thing = Thing::new(centre, Shape::Lathe(lathe), half, material, tint);
        thing.seed = centre.x;
        thing.low.y = centre.y + bottom;
        thing.high.y = centre.y + top;
        thing
    }

    pub fn moved(mut self, by: Vec3) -> Thing {
        self.centre = self.centre + by;
        self.low = self.low + by;
        self.high = self.high + by;
        self
    }

    pub fn axes(&self) -> Axes {
        match &self.shape {
            Shape::Ball(ball) => ball.axes,
            Shape::Slab(slab) => slab.axes,
            Shape::Lathe(_) => Axes::LEVEL,
        }
    }

    /// A place of the scene in the thing's own axes, from its centre.
    pub fn local(&self, place: Vec3) -> Vec3 {
        let from_centre = place - self.centre;
        match &self.shape {
            Shape::Lathe(_) => from_centre,
            Shape::Ball(_) | Shape::Slab(_) => self.axes().to_local(from_centre),
        }
    }

    /// A local place in radii (half sizes for a slab; the outer radius for a lathe).
    pub fn in_radii(&self, local: Vec3) -> Vec3 {
        match &self.shape {
            Shape::Ball(ball) => local * ball.radii.inverse(),
            Shape::Slab(slab) => local * slab.half.inverse(),
            Shape::Lathe(lathe) => local * (1.0 / lathe.radius),
        }
    }

    /// The outer radius across the table (a lathe's; half the box for the others).
    pub fn radius(&self) -> f32 {
        self.high.x - self.centre.x
    }

    /// The nearest meeting closer than `limit`.
    pub fn meet(&self, ray: &Ray, limit: f32) -> Option<Meeting> {
        let local = Ray { from: ray.from - self.centre, along: ray.along };
        match &self.shape {
            Shape::Ball(ball) => ball.meet(&local, limit, self.seed),
            Shape::Lathe(lathe) => lathe.meet(&local, limit),
            Shape::Slab(slab) => slab.meet(&local, limit),
        }
    }
}
