//! A point of a surface: what its material is told of it, and what light does there.
use crate::object::Object;
use crate::shapes::Shape;
use crate::vector::{Vec3, ZERO};

/// What light does at a point.
#[derive(Clone, Copy)]
pub struct Surface {
    /// Linear share of the light that is scattered.
    pub colour: Vec3,
    pub normal: Vec3,
    /// 0 a mirror, 1 chalk.
    pub roughness: f32,
    /// Share of the light that is mirrored at normal incidence.
    pub reflectance: f32,
    /// Wrap lighting: how far light reaches past the edge of shade, 0..1.
    pub wrap: f32,
    /// Colour of the light that comes through from behind.
    pub translucency: Vec3,
}

impl Surface {
    /// Something plain, for a material to change.
    pub fn plain(colour: Vec3, normal: Vec3) -> Surface {
        Surface { colour, normal, roughness: 0.3, reflectance: 0.04, wrap: 0.0, translucency: ZERO }
    }

    /// With this roughness, reflectance and wrap.
    pub fn gloss(mut self, roughness: f32, reflectance: f32, wrap: f32) -> Surface {
        (self.roughness, self.reflectance, self.wrap) = (roughness, reflectance, wrap);
        self
    }
}

/// An ellipsoid flatter than this half height, in units of 10 cm, is a cut face.
const DISC: f32 = 0.02;

/// An ellipsoid thicker than this half height is no slice.
const SLICE: f32 = 0.10;

/// A point of an object, as its material sees it.
pub struct Point<'a> {
    /// What it is a point of.
    pub object: &'a Object,
    /// In the scene's axes.
    pub place: Vec3,
    /// In the object's own axes, from its centre.
    pub local: Vec3,
    pub normal: Vec3,
    /// Linear colour, or a factor on the material's own.
    pub tint: Vec3,
    /// Added to noise coordinates.
    pub seed: Vec3,
}

impl Point<'_> {
    /// The object's tint, without relief.
    pub fn plain(&self) -> Surface {
        Surface::plain(self.tint, self.normal)
    }

    /// The local place in radii.
    pub fn in_radii(&self) -> Vec3 {
        self.object.in_radii(self.local)
    }

    /// A direction of the object's own axes in the scene's.
    pub fn to_scene(&self, direction: Vec3) -> Vec3 {
        self.object.axes().to_world(direction)
    }

    /// Whether this is no slice but a whole root or its rounded half.
    pub fn is_thick(&self) -> bool {
        matches!(&self.object.shape, Shape::Ellipsoid(ellipsoid) if ellipsoid.radii.y > SLICE)
    }

    /// Whether this is the flat disc that closes a halved fruit or stem.
    pub fn is_cut_face(&self) -> bool {
        matches!(&self.object.shape, Shape::Ellipsoid(ellipsoid) if ellipsoid.radii.y < DISC)
    }
}

/// Tilts a normal against a slope.
pub fn bump(normal: Vec3, slope: Vec3, strength: f32) -> Vec3 {
    (normal - (slope - normal * slope.dot(normal)) * strength).unit()
}
