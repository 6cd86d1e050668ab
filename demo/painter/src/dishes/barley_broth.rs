//! Barley broth: a deep bowl on a dark plate, grains, carrots, herbs; bread and salt behind.
use super::props::{Objects, SLATE_WARE, camera, round};
use crate::camera::Camera;
use crate::light::Light;
use crate::object::{Material, Object};
use crate::scene::{Scene, Table};
use crate::vector::{Axes, grey, vec3};

/// Height of the broth's surface.
const FACE: f32 = 0.61;

/// Builds barley broth in a deep bowl, bread and salt behind; for upright pictures.
pub fn barley_broth() -> Scene {
    let mut objects = Objects::new(890);
    objects.plate(vec3(0.0, 0.0, 0.0), 1.66, SLATE_WARE);
    objects.join(bowl_of_broth(), vec3(0.0, 0.05, 0.0));
    for (x, z, yaw) in [(-1.35, -2.0, 0.4), (-1.05, -2.35, 0.75)] {
        let axes = Axes::turned(yaw, 0.5, 0.0);
        let crust = vec3(0.85, 0.95, 1.05);
        objects.ellipsoid(vec3(x, 0.30, z), vec3(0.78, 0.36, 0.22), axes, Material::Pastry, crust);
    }
    objects.spoon(vec3(1.62, 0.05, 1.15), 1.15);
    objects.bowl(vec3(1.5, 0.0, -2.1), 0.48, 0.32, vec3(0.18, 0.20, 0.21));
    let salt = (Material::Salt, vec3(0.85, 0.85, 0.84), 0.05);
    objects.crumbs(vec3(1.5, 0.16, -2.1), 0.33, 60, salt);
    objects.pastry_crumbs(vec3(-0.9, 0.0, 1.75), 0.5, 16);
    let table =
        Table { wood: vec3(0.19, 0.125, 0.080), linen: vec3(0.40, 0.42, 0.43), linen_edge: -0.5, linen_yaw: -0.3 };
    let camera = Camera { focus: vec3(0.0, 0.65, 0.35), pitch: 0.72, yaw: 0.36, aperture: 0.038, ..camera() };
    Scene::new(objects.list, table, Light { fill: 0.9 }, camera)
}

/// Builds the bowl and everything in the broth.
pub(super) fn bowl_of_broth() -> Objects {
    let mut objects = Objects::new(900);
    objects.bowl(vec3(0.0, 0.0, 0.0), 1.22, 0.72, vec3(0.52, 0.53, 0.50));
    let face = FACE - 0.05;
    let broth = vec3(0.40, 0.19, 0.035);
    objects.lathe(vec3(0.0, face, 0.0), &[(0.001, 0.0), (1.06, 0.003)], Material::Broth, broth);
    for _ in 0..150 {
        let (bearing, out) = (objects.random.angle(), objects.random.in_disc(0.86));
        let heap = (0.07 * (1.0 - out) - 0.012) * objects.random.between(0.2, 1.0);
        let axes = objects.any_axes(0.4);
        let tint = vec3(0.62, 0.50, 0.32) * objects.random.between(0.85, 1.1);
        let at = round(bearing, out, face + heap) + vec3(0.05, 0.0, 0.0);
        objects.ellipsoid(at, vec3(0.060, 0.033, 0.036), axes, Material::Barley, tint);
    }
    for _ in 0..26 {
        let (bearing, out) = (objects.random.angle(), objects.random.in_disc(0.80));
        let half = vec3(0.050, 0.040, 0.047) * objects.random.between(0.8, 1.15);
        let axes = objects.any_axes(0.4);
        let tint = vec3(0.66, 0.21, 0.03) * objects.random.between(0.85, 1.1);
        let at = round(bearing, out, face + 0.02 + 0.05 * (1.0 - out));
        objects.add(Object::cuboid(at, half, axes, 0.032, Material::Carrot, tint));
    }
    for _ in 0..34 {
        let (bearing, out) = (objects.random.angle(), objects.random.in_disc(0.62));
        let (tilt, size) = (objects.random.between(-0.5, 0.5), objects.random.between(0.05, 0.12));
        let at = round(bearing, out, face + 0.055 + 0.07 * (1.0 - out)) + vec3(0.05, 0.0, 0.0);
        let yaw = objects.random.angle();
        objects.leaf(at, size, yaw, tilt);
    }
    objects.crumbs(vec3(0.02, face + 0.04, 0.0), 0.7, 30, (Material::Salt, grey(0.05), 0.012));
    objects
}
