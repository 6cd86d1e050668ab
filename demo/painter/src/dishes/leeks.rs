//! Brown butter leeks: halved leeks side by side on a dark plate, hazelnuts, herbs, a pan behind.
use super::props::{DAYLIGHT, Objects, SLATE_WARE, camera, round};
use crate::camera::Camera;
use crate::object::{Material, Object};
use crate::scene::{Scene, Table};
use crate::vector::{Axes, Vec3, WHITE, vec3};

const WELL: f32 = 0.05;
const BROWN_BUTTER: Vec3 = vec3(0.40, 0.185, 0.040);
const HAZELNUT: Vec3 = vec3(0.50, 0.30, 0.13);

/// Builds halved leeks in brown butter on a dark plate; for landscape pictures.
pub fn leeks() -> Scene {
    let mut objects = plate_of_leeks();
    objects.fork(vec3(-2.05, 0.03, 0.55), 1.70);
    let pan = vec3(1.55, 0.0, -1.95);
    objects.bowl(pan, 0.62, 0.40, vec3(0.055, 0.055, 0.058));
    objects.lathe(pan, &[(0.001, 0.25), (0.54, 0.252)], Material::Broth, BROWN_BUTTER);
    let handle = Axes::turned(0.5, 0.0, 0.10);
    objects.ellipsoid(
        pan + handle.x * 1.15 + vec3(0.0, 0.30, 0.0),
        vec3(0.60, 0.035, 0.07),
        handle,
        Material::Metal,
        WHITE,
    );
    let salt = vec3(-1.75, 0.0, -1.75);
    objects.bowl(salt, 0.40, 0.26, vec3(0.60, 0.59, 0.55));
    objects.crumbs(salt + vec3(0.0, 0.14, 0.0), 0.28, 60, (Material::Salt, vec3(0.85, 0.85, 0.84), 0.045));
    for (x, z) in [(1.75, 1.25), (1.95, 1.02), (1.55, 1.45), (-1.2, 1.75)] {
        nut(&mut objects, vec3(x, 0.075, z));
    }
    let table =
        Table { wood: vec3(0.25, 0.165, 0.10), linen: vec3(0.58, 0.56, 0.51), linen_edge: 0.35, linen_yaw: -0.22 };
    let camera = Camera {
        target: vec3(0.0, 0.08, -0.05),
        focus: vec3(0.0, 0.20, 0.35),
        distance: 9.0,
        field_of_view: 0.49,
        pitch: 0.84,
        yaw: -0.10,
        exposure: 5.8,
        ..camera()
    };
    Scene::new(objects.list, table, DAYLIGHT, camera)
}

/// Builds the plate of leeks, in the middle of the table.
pub(super) fn plate_of_leeks() -> Objects {
    let mut objects = Objects::new(4200);
    objects.plate(vec3(0.0, 0.0, 0.0), 1.78, SLATE_WARE);
    let pool = Axes::turned(0.2, 0.0, 0.0);
    objects.ellipsoid(vec3(0.0, WELL, 0.05), vec3(1.18, 0.016, 0.92), pool, Material::Broth, BROWN_BUTTER);
    for i in 0..4 {
        let across = -0.58 + 0.39 * i as f32 + objects.random.between(-0.02, 0.02);
        half_leek(&mut objects, across);
    }
    for _ in 0..26 {
        let (bearing, out) = (objects.random.angle(), objects.random.in_disc(0.95));
        let on_leeks = WELL + 0.235;
        nut(&mut objects, round(bearing, out, on_leeks));
    }
    for _ in 0..30 {
        let (bearing, out) = (objects.random.angle(), objects.random.in_disc(0.95));
        let (size, tilt) = (objects.random.between(0.045, 0.10), objects.random.between(-0.4, 0.4));
        let yaw = objects.random.angle();
        objects.leaf(round(bearing, out, WELL + 0.225), size, yaw, tilt);
    }
    objects.crumbs(vec3(0.0, WELL + 0.19, 0.0), 1.0, 90, (Material::Salt, vec3(0.84, 0.84, 0.82), 0.018));
    objects.crumbs(vec3(0.0, WELL + 0.02, 0.0), 1.25, 50, (Material::Pastry, WHITE, 0.024));
    objects
}

/// Adds one half, cut side up, its root to the left: coats one inside the other, each a little longer than the one
/// around it, as they slip in the pan.
fn half_leek(objects: &mut Objects, across: f32) {
    let yaw = objects.random.between(-0.07, 0.10);
    let axes = Axes::turned(yaw, objects.random.between(-0.06, 0.06), objects.random.between(-0.015, 0.015));
    let long = (1.16 - 0.45 * across * across) * objects.random.between(0.92, 1.02);
    let at = vec3(objects.random.between(-0.10, 0.06), WELL + 0.10, across);
    let tint = WHITE * objects.random.between(0.88, 1.06);
    for (coat, wide) in [0.185, 0.130, 0.075].into_iter().enumerate() {
        let coat = coat as f32;
        let slip = axes.x * (0.055 * coat + objects.random.between(-0.02, 0.03));
        let bent = Axes::turned(yaw + objects.random.between(-0.018, 0.018), 0.0, 0.0);
        let half = vec3(long, 0.085, wide);
        let place = at + slip + vec3(0.0, 0.022 * coat, 0.0);
        objects.add(Object::cuboid(place, half, bent, 0.06, Material::Leek, tint * (1.0 + 0.05 * coat)));
    }
    let root = at - axes.x * (long - 0.01) + vec3(0.0, -0.005, 0.0);
    objects.ellipsoid(root, vec3(0.07, 0.088, 0.165), axes, Material::Leek, tint);
}

/// Adds a piece of a toasted hazelnut: half a nut, pale where it broke.
fn nut(objects: &mut Objects, at: Vec3) {
    let axes = objects.any_axes(0.9);
    let tint = HAZELNUT * objects.random.between(0.75, 1.15);
    let radii = vec3(0.068, 0.058, 0.060) * objects.random.between(0.55, 1.0);
    objects.add(Object::open_ellipsoid(at, radii, axes, (0.1, 0.2), Material::Pastry, tint * 1.6));
    objects.ellipsoid(at, vec3(radii.x * 0.97, 0.012, radii.z * 0.97), axes, Material::Butter, vec3(0.70, 0.56, 0.36));
}
