//! A scene: objects on a table, light, a camera. The table is the infinite plane y = 0.
use crate::bvh::Bvh;
use crate::camera::Camera;
use crate::light::Light;
use crate::object::Object;
use crate::ray::{NEAREST, Ray};
use crate::vector::{Vec3, vec3};

/// A distance beyond anything in a scene, in units of 10 cm.
pub const FAR: f32 = 60.0;

/// The table's index in [`Hit::object`].
pub const TABLE: u32 = u32::MAX;

/// A point where a ray hits the table or an object.
#[derive(Clone, Copy, Debug)]
pub struct Hit {
    /// Distance along the ray, in units of 10 cm.
    pub distance: f32,
    /// Unit normal, facing the ray.
    pub normal: Vec3,
    /// Index into the scene's objects, or `TABLE`.
    pub object: u32,
}

/// The table's boards and the linen on them. Lengths in units of 10 cm.
pub struct Table {
    /// Linear colour of the boards.
    pub wood: Vec3,
    /// Linear colour of the linen.
    pub linen: Vec3,
    /// Distance of the linen's edge from the middle, towards the camera.
    pub linen_edge: f32,
    /// Rotation of that edge, in radians.
    pub linen_yaw: f32,
}

/// Objects on a table in the light of a room, and the camera that looks at them.
pub struct Scene {
    /// The camera, which may be moved; the objects stay.
    pub camera: Camera,
    pub(crate) objects: Vec<Object>,
    pub(crate) table: Table,
    pub(crate) light: Light,
    bvh: Bvh,
}

impl Scene {
    pub(crate) fn new(mut objects: Vec<Object>, table: Table, light: Light, camera: Camera) -> Scene {
        let bvh = Bvh::build(&mut objects);
        Scene { camera, objects, table, light, bvh }
    }

    /// Returns the nearest hit within `reach`.
    pub(crate) fn hit(&self, ray: &Ray, reach: f32) -> Option<Hit> {
        let mut best = self.hit_table(ray, reach);
        let mut limit = best.map_or(reach, |hit| hit.distance);
        self.bvh.visit(&self.objects, ray, &mut limit, |index, object, limit| {
            if let Some(met) = object.intersect(ray, *limit) {
                *limit = met.distance;
                best = Some(Hit { distance: met.distance, normal: met.normal, object: index });
            }
            false
        });
        best
    }

    /// Returns the ray's hit on this one object, even if others are in front of it.
    pub(crate) fn hit_of(&self, ray: &Ray, object: u32, reach: f32) -> Option<Hit> {
        let Some(known) = self.objects.get(object as usize) else {
            return self.hit_table(ray, reach);
        };
        let met = known.intersect(ray, reach)?;
        Some(Hit { distance: met.distance, normal: met.normal, object })
    }

    /// True if anything is in the way within `reach`.
    pub(crate) fn occluded(&self, ray: &Ray, reach: f32) -> bool {
        if self.hit_table(ray, reach).is_some() {
            return true;
        }
        let mut limit = reach;
        self.bvh.visit(&self.objects, ray, &mut limit, |_, object, limit| object.intersect(ray, *limit).is_some())
    }

    fn hit_table(&self, ray: &Ray, reach: f32) -> Option<Hit> {
        let distance = -ray.from.y / ray.along.y;
        let met = ray.along.y < 0.0 && distance > NEAREST && distance < reach;
        met.then_some(Hit { distance, normal: vec3(0.0, 1.0, 0.0), object: TABLE })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::noise::Random;
    use crate::object::Material;
    use crate::vector::{Axes, WHITE, grey};

    const CAMERA: Camera = Camera {
        target: vec3(0.0, 0.0, 0.0),
        distance: 9.0,
        pitch: 0.8,
        yaw: 0.0,
        field_of_view: 0.4,
        focus: vec3(0.0, 0.0, 0.0),
        aperture: 0.0,
        exposure: 1.0,
    };

    /// Creates many small objects of every shape, some of them inside each other.
    fn heap() -> Vec<Object> {
        let mut random = Random::new(17);
        let mut objects = Vec::new();
        for i in 0..150 {
            let at = vec3(random.between(-3.0, 3.0), random.between(0.0, 1.5), random.between(-3.0, 3.0));
            let size = vec3(random.between(0.05, 0.4), random.between(0.05, 0.4), random.between(0.05, 0.4));
            let axes = Axes::turned(random.angle(), random.angle(), 0.0);
            objects.push(match i % 3 {
                0 => Object::ellipsoid(at, size, axes, Material::Butter, WHITE),
                1 => Object::cuboid(at, size, axes, 0.02, Material::Board, grey(0.5)),
                _ => Object::lathe(at, &[(size.x, 0.0), (size.z, size.y)], Material::Glaze, WHITE),
            });
        }
        objects
    }

    #[test]
    fn the_tree_finds_what_a_plain_search_finds() {
        let table = Table { wood: WHITE, linen: WHITE, linen_edge: 0.0, linen_yaw: 0.0 };
        let scene = Scene::new(heap(), table, Light { fill: 1.0 }, CAMERA);
        let mut tables = 0;
        for i in 0..400 {
            let (a, b) = (i as f32 * 0.37, i as f32 * 0.11);
            let ray = Ray {
                from: vec3(4.0 * a.sin(), 6.0, 4.0 * a.cos()),
                along: vec3(-0.5 * a.sin() + 0.2 * b.cos(), -1.0, -0.5 * a.cos()).unit(),
            };
            let plain = scene.objects.iter().filter_map(|object| object.intersect(&ray, FAR));
            let plain = plain.map(|met| met.distance).fold(-ray.from.y / ray.along.y, f32::min);
            let found = scene.hit(&ray, FAR).expect("the table at least");
            assert_eq!(found.distance, plain);
            assert!(scene.occluded(&ray, FAR));
            tables += usize::from(found.object == TABLE);
        }
        assert!((40..360).contains(&tables), "{tables} of 400 rays reach the table");
    }
}
