//! A point of a surface: the input of its material, and its response to light.
use crate::object::Object;
use crate::shapes::Shape;
use crate::vector::{Vec3, ZERO};

/// The response to light at a point.
#[derive(Clone, Copy)]
pub struct Surface {
    /// Share of the light that is scattered, linear.
    pub colour: Vec3,
    pub normal: Vec3,
    /// Roughness: 0 is a mirror, 1 chalk.
    pub roughness: f32,
    /// Share of the light reflected at normal incidence.
    pub reflectance: f32,
    /// Wrap lighting: reach of the light past the edge of shade, 0..1.
    pub wrap: f32,
    /// Colour of light transmitted from behind.
    pub translucency: Vec3,
}

impl Surface {
    /// Creates a plain surface for a material to change.
    pub fn plain(colour: Vec3, normal: Vec3) -> Surface {
        Surface { colour, normal, roughness: 0.3, reflectance: 0.04, wrap: 0.0, translucency: ZERO }
    }

    /// Sets roughness, reflectance and wrap.
    pub fn gloss(mut self, roughness: f32, reflectance: f32, wrap: f32) -> Surface {
        (self.roughness, self.reflectance, self.wrap) = (roughness, reflectance, wrap);
        self
    }
}

/// Half height below which an ellipsoid is a cut face, in units of 10 cm.
const DISC: f32 = 0.02;

/// Half height above which an ellipsoid is not a slice.
const SLICE: f32 = 0.10;

/// A point of an object, as input to its material.
pub struct Point<'a> {
    /// The object.
    pub object: &'a Object,
    /// Position in the scene's axes.
    pub place: Vec3,
    /// Position in the object's own axes, from its centre.
    pub local: Vec3,
    pub normal: Vec3,
    /// Linear colour, or a factor on the material's own.
    pub tint: Vec3,
    /// Offset of noise coordinates.
    pub seed: Vec3,
}

impl Point<'_> {
    /// Returns the object's tint, without relief.
    pub fn plain(&self) -> Surface {
        Surface::plain(self.tint, self.normal)
    }

    /// Returns the local position in radii.
    pub fn in_radii(&self) -> Vec3 {
        self.object.in_radii(self.local)
    }

    /// Converts a direction from the object's own axes to the scene's.
    pub fn to_scene(&self, direction: Vec3) -> Vec3 {
        self.object.axes().to_world(direction)
    }

    /// True if this is a whole root or its rounded half rather than a slice.
    pub fn is_thick(&self) -> bool {
        matches!(&self.object.shape, Shape::Ellipsoid(ellipsoid) if ellipsoid.radii.y > SLICE)
    }

    /// True if this is the flat disc that closes a halved fruit or stem.
    pub fn is_cut_face(&self) -> bool {
        matches!(&self.object.shape, Shape::Ellipsoid(ellipsoid) if ellipsoid.radii.y < DISC)
    }
}

/// Tilts a normal against a slope.
pub fn bump(normal: Vec3, slope: Vec3, strength: f32) -> Vec3 {
    (normal - (slope - normal * slope.dot(normal)) * strength).unit()
}
