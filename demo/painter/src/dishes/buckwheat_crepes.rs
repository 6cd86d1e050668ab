//! Buckwheat crepes: a stack with butter, syrup and berries; a bowl of berries and a jug behind.
use super::props::{BERRY_BLUE, DAYLIGHT, Objects, camera, round};
use crate::camera::Camera;
use crate::object::{Material, Object};
use crate::scene::{Scene, Table};
use crate::vector::{Axes, WHITE, vec3};

const CREPES: usize = 15;
/// Height between one crepe and the next.
const STEP: f32 = 0.045;
const FIRST: f32 = 0.085;
const TOP: f32 = FIRST + STEP * CREPES as f32;

/// Builds a stack of buckwheat crepes with butter and berries; for upright pictures.
pub fn buckwheat_crepes() -> Scene {
    let mut objects = stack();
    objects.fork(vec3(-1.78, 0.03, 0.75), 1.75);
    let bowl = vec3(-1.25, 0.0, -2.2);
    objects.bowl(bowl, 0.66, 0.46, vec3(0.30, 0.33, 0.36));
    for _ in 0..40 {
        let (bearing, out) = (objects.random.angle(), objects.random.in_disc(0.5));
        let height = 0.40 + 0.12 * (1.0 - 2.0 * out) + objects.random.between(-0.03, 0.05);
        let axes = objects.any_axes(0.6);
        let at = bowl + round(bearing, out, height);
        objects.ellipsoid(at, vec3(0.11, 0.10, 0.11), axes, Material::Berry, BERRY_BLUE);
    }
    objects.jug(vec3(1.5, 0.0, -2.0), vec3(0.60, 0.59, 0.56));
    let table = Table { wood: vec3(0.36, 0.24, 0.14), linen: vec3(0.66, 0.63, 0.58), linen_edge: 0.5, linen_yaw: 0.28 };
    let camera =
        Camera { focus: vec3(0.0, 0.75, 0.35), target: vec3(0.0, 0.25, 0.0), pitch: 0.62, exposure: 5.1, ..camera() };
    Scene::new(objects.list, table, DAYLIGHT, camera)
}

/// Builds the stack on its plate, in the middle of the table.
fn stack() -> Objects {
    let mut objects = Objects::new(500);
    objects.plate(vec3(0.0, 0.0, 0.0), 1.60, vec3(0.50, 0.52, 0.52));
    for i in 0..CREPES {
        let (x, z) = (objects.random.between(-0.05, 0.05), objects.random.between(-0.05, 0.05));
        let radius = 1.10 + objects.random.between(-0.05, 0.05);
        let radii = vec3(radius, 0.040, radius * objects.random.between(0.95, 1.0));
        let axes = objects.any_axes(0.022);
        let tint = WHITE * objects.random.between(0.85, 1.1);
        objects.ellipsoid(vec3(x, FIRST + STEP * i as f32, z), radii, axes, Material::Crepe, tint);
    }
    objects.add(Object::cuboid(
        vec3(-0.22, TOP + 0.04, 0.10),
        vec3(0.19, 0.075, 0.16),
        Axes::turned(0.5, 0.04, 0.05),
        0.05,
        Material::Butter,
        vec3(0.86, 0.70, 0.30),
    ));
    let pool = Axes::turned(0.7, 0.0, 0.0);
    let syrup = vec3(0.55, 0.32, 0.06);
    objects.ellipsoid(vec3(-0.20, TOP - 0.005, 0.12), vec3(0.36, 0.022, 0.30), pool, Material::Broth, syrup);
    for (x, lift, z, r) in [
        (0.22, 0.0, 0.10, 0.115),
        (0.36, 0.0, 0.26, 0.105),
        (0.10, 0.0, 0.33, 0.11),
        (0.40, 0.0, -0.02, 0.10),
        (0.24, 0.0, -0.14, 0.11),
        (0.26, 0.16, 0.16, 0.11),
    ] {
        objects.berry(x, TOP + lift, z, r);
    }
    // Some have rolled onto the plate, some off it.
    for (x, z, r) in [(1.30, 0.25, 0.11), (1.22, 0.46, 0.105), (-1.05, 0.85, 0.11)] {
        objects.berry(x, 0.10, z, r);
    }
    for (x, z, r) in [(1.9, 1.35, 0.11), (1.75, 1.58, 0.10), (-1.9, 1.2, 0.11)] {
        objects.berry(x, 0.0, z, r);
    }
    objects.leaf(vec3(0.44, TOP + 0.10, 0.36), 0.17, 0.6, -0.4);
    objects.leaf(vec3(0.50, TOP + 0.09, 0.20), 0.15, -0.5, -0.2);
    objects
}
