//! Objects of a scene: a shape, a place, a material. The look of each material is defined in `materials`.
use crate::ray::{Intersection, Ray};
use crate::shapes::{Cuboid, Ellipsoid, Lathe, Shape};
use crate::vector::{Axes, Vec3, vec3};

/// The material of an object; the numbers and colours of each are in `materials`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Material {
    Glaze,
    Metal,
    Board,
    Pastry,
    Custard,
    Crepe,
    Rye,
    Plum,
    Berry,
    Lemon,
    Leaf,
    Carrot,
    Leek,
    Beetroot,
    Radish,
    Broth,
    Barley,
    Butter,
    Salt,
    Crust,
    Shell,
    Oyster,
    SmokedSkin,
    SmokedFlesh,
}

/// An object of a scene.
pub struct Object {
    /// Position in the scene.
    pub centre: Vec3,
    /// Shape, with its size and its own axes.
    pub shape: Shape,
    /// Material, the same all over.
    pub material: Material,
    /// Linear colour, or a factor on the material's own colours.
    pub tint: Vec3,
    /// Offset of the noise, so that no two copies look alike.
    pub seed: f32,
    /// Corners of the bounding box.
    pub low: Vec3,
    pub high: Vec3,
}

impl Object {
    fn new(centre: Vec3, shape: Shape, half: Vec3, material: Material, tint: Vec3) -> Object {
        Object {
            seed: centre.x * 7.3 + centre.z * 3.1 + centre.y * 5.7,
            low: centre - half,
            high: centre + half,
            centre,
            shape,
            material,
            tint,
        }
    }

    /// Creates a turned ellipsoid with these radii.
    pub fn ellipsoid(centre: Vec3, radii: Vec3, axes: Axes, material: Material, tint: Vec3) -> Object {
        let ellipsoid = Ellipsoid::whole(radii, axes);
        Object::new(centre, Shape::Ellipsoid(ellipsoid), ellipsoid.half_box(), material, tint)
    }

    /// Creates an ellipsoid without the part above the local height `cut` (in radii, -1..1); `frill` (in radii) ruffles
    /// that rim.
    pub fn open_ellipsoid(
        centre: Vec3,
        radii: Vec3,
        axes: Axes,
        (cut, frill): (f32, f32),
        material: Material,
        tint: Vec3,
    ) -> Object {
        let ellipsoid = Ellipsoid::whole(radii, axes).opened(cut, frill);
        Object::new(centre, Shape::Ellipsoid(ellipsoid), ellipsoid.half_box(), material, tint)
    }

    /// Creates a turned box of these half sizes; its normals bend within `bevel` of an edge.
    pub fn cuboid(centre: Vec3, half: Vec3, axes: Axes, bevel: f32, material: Material, tint: Vec3) -> Object {
        let cuboid = Cuboid { axes, half, bevel };
        Object::new(centre, Shape::Cuboid(cuboid), cuboid.half_box(), material, tint)
    }

    /// Creates a surface of revolution round the vertical through `centre`, from (radius, height) points.
    pub fn lathe(centre: Vec3, profile: &[(f32, f32)], material: Material, tint: Vec3) -> Object {
        let lathe = Lathe::new(profile);
        let (bottom, top, radius) = (lathe.bottom, lathe.top, lathe.radius);
        let half = vec3(radius, 0.0, radius);
        let mut object = Object::new(centre, Shape::Lathe(lathe), half, material, tint);
        object.seed = centre.x;
        object.low.y = centre.y + bottom;
        object.high.y = centre.y + top;
        object
    }

    /// Moves the object.
    pub fn moved(mut self, by: Vec3) -> Object {
        self.centre = self.centre + by;
        self.low = self.low + by;
        self.high = self.high + by;
        self
    }

    /// Returns the object's own axes in the scene.
    pub fn axes(&self) -> Axes {
        match &self.shape {
            Shape::Ellipsoid(ellipsoid) => ellipsoid.axes,
            Shape::Cuboid(cuboid) => cuboid.axes,
            Shape::Lathe(_) => Axes::LEVEL,
        }
    }

    /// Converts a point of the scene to the object's own axes, from its centre.
    pub fn local(&self, place: Vec3) -> Vec3 {
        let from_centre = place - self.centre;
        match &self.shape {
            Shape::Lathe(_) => from_centre,
            Shape::Ellipsoid(_) | Shape::Cuboid(_) => self.axes().to_local(from_centre),
        }
    }

    /// Converts a local position to radii (half sizes for a cuboid; the outer radius for a lathe).
    pub fn in_radii(&self, local: Vec3) -> Vec3 {
        match &self.shape {
            Shape::Ellipsoid(ellipsoid) => local * ellipsoid.radii.inverse(),
            Shape::Cuboid(cuboid) => local * cuboid.half.inverse(),
            Shape::Lathe(lathe) => local * (1.0 / lathe.radius),
        }
    }

    /// Returns the outer radius across the table (a lathe's; half the box for the others).
    pub fn radius(&self) -> f32 {
        self.high.x - self.centre.x
    }

    /// Returns the nearest intersection closer than `limit`.
    pub fn intersect(&self, ray: &Ray, limit: f32) -> Option<Intersection> {
        let local = Ray { from: ray.from - self.centre, along: ray.along };
        match &self.shape {
            Shape::Ellipsoid(ellipsoid) => ellipsoid.intersect(&local, limit, self.seed),
            Shape::Lathe(lathe) => lathe.intersect(&local, limit),
            Shape::Cuboid(cuboid) => cuboid.intersect(&local, limit),
        }
    }
}
