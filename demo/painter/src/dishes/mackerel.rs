//! Smoked mackerel on rye: three slices with fish, radish and dill; a whole fish on a board behind.
use super::props::{DAYLIGHT, Objects, camera, round};
use crate::camera::Camera;
use crate::object::{Material, Object};
use crate::scene::{Scene, Table};
use crate::vector::{Axes, Vec3, WHITE, vec3};

const BOARD: f32 = 0.12;
const CREAM: Vec3 = vec3(0.78, 0.75, 0.66);

/// Builds three slices of rye with mackerel, seen from low over their board; for landscape pictures.
pub fn mackerel() -> Scene {
    laid(board())
}

/// Builds the three slices with coarse salt over them, for a closer view.
pub fn salted_mackerel() -> Scene {
    let mut objects = board();
    let salt = (Material::Salt, vec3(0.82, 0.83, 0.84), 0.020);
    objects.crumbs(vec3(0.05, BOARD, 0.45), 1.1, 170, salt);
    laid(objects)
}

fn laid(objects: Objects) -> Scene {
    let table =
        Table { wood: vec3(0.20, 0.18, 0.165), linen: vec3(0.62, 0.61, 0.57), linen_edge: 0.15, linen_yaw: 0.12 };
    let camera = Camera {
        target: vec3(0.05, 0.12, -0.10),
        focus: vec3(0.0, 0.30, 0.40),
        distance: 9.0,
        field_of_view: 0.50,
        pitch: 0.72,
        yaw: 0.12,
        exposure: 5.6,
        ..camera()
    };
    Scene::new(objects.list, table, DAYLIGHT, camera)
}

fn board() -> Objects {
    let mut objects = Objects::new(7100);
    objects.add(Object::cuboid(
        vec3(0.0, BOARD * 0.5, 0.0),
        vec3(2.05, BOARD * 0.5, 0.98),
        Axes::turned(0.06, 0.0, 0.0),
        0.05,
        Material::Board,
        vec3(0.30, 0.185, 0.11),
    ));
    open_sandwich(&mut objects, vec3(-1.22, BOARD, 0.10), 1.35);
    open_sandwich(&mut objects, vec3(0.02, BOARD, 0.16), 1.75);
    open_sandwich(&mut objects, vec3(1.22, BOARD, 0.02), 1.50);
    whole_fish(&mut objects, vec3(-0.35, 0.0, -1.55), -0.10);
    objects.lemon_half(vec3(1.75, 0.26, -1.35), 0.28, 0.7, 0.75);
    objects.lemon_half(vec3(2.15, 0.26, -1.75), 0.28, 2.2, 0.6);
    let bowl = vec3(2.35, 0.0, 0.95);
    objects.bowl(bowl, 0.46, 0.34, vec3(0.30, 0.33, 0.36));
    objects.lathe(bowl, &[(0.001, 0.26), (0.2, 0.27), (0.41, 0.25)], Material::Butter, CREAM);
    objects.dill(bowl + vec3(0.0, 0.29, 0.05), 0.24, 0.6);
    objects.dill(vec3(-2.0, 0.03, 1.15), 0.42, 0.3);
    objects.dill(vec3(-1.75, 0.05, 1.3), 0.34, -0.4);
    objects.crumbs(vec3(0.2, BOARD, 0.4), 1.7, 60, (Material::Rye, WHITE, 0.020));
    let pepper = (Material::Butter, vec3(0.030, 0.026, 0.022), 0.016);
    objects.crumbs(vec3(0.0, BOARD, 0.2), 1.8, 70, pepper);
    objects
}

/// Adds a slice of rye with cream, two pieces of fish, radish, dill; `yaw` turns its long side.
fn open_sandwich(objects: &mut Objects, at: Vec3, yaw: f32) {
    let axes = Axes::turned(yaw, 0.0, 0.0);
    let tint = WHITE * objects.random.between(0.9, 1.1);
    let half = vec3(0.66, 0.085, 0.44);
    let bread = at + vec3(0.0, 0.085, 0.0);
    objects.add(Object::cuboid(bread, half, axes, 0.06, Material::Rye, tint));
    let top = at + vec3(0.0, 0.165, 0.0);
    let on = |along: f32, across: f32, height: f32| top + axes.x * along + axes.z * across + vec3(0.0, height, 0.0);
    for (along, across) in [(-0.25, 0.05), (0.22, -0.04), (0.0, 0.12)] {
        let radii = vec3(0.34, 0.045, 0.30) * objects.random.between(0.9, 1.05);
        let turned = Axes::turned(objects.random.angle(), 0.03, 0.0);
        objects.ellipsoid(on(along, across, 0.0), radii, turned, Material::Butter, CREAM);
    }
    for (along, across, turn) in [(-0.16, 0.12, 0.30), (0.14, -0.10, 0.18)] {
        piece(objects, on(along, across, 0.075), yaw + turn);
    }
    for (along, across, lean) in [(-0.46, 0.26, 0.30), (-0.36, 0.34, 0.55), (0.46, -0.24, 0.45), (0.30, 0.30, 0.35)] {
        let size = objects.random.between(0.115, 0.145);
        let turned = Axes::turned(yaw + objects.random.angle(), lean, objects.random.between(-0.2, 0.2));
        let disc = vec3(size, 0.016, size);
        let white = WHITE * objects.random.between(0.92, 1.05);
        objects.ellipsoid(on(along, across, 0.085), disc, turned, Material::Radish, white);
    }
    for (along, across, turn) in [(0.05, 0.20, 0.5), (-0.22, -0.22, 2.6)] {
        objects.dill(on(along, across, 0.13), 0.24, yaw + turn);
    }
}

/// Adds a piece of fillet, skin side up.
fn piece(objects: &mut Objects, at: Vec3, yaw: f32) {
    let tilt = objects.random.between(0.02, 0.16);
    let axes = Axes::turned(yaw, tilt, objects.random.between(-0.08, 0.08));
    let tint = WHITE * objects.random.between(0.9, 1.1);
    let flesh = vec3(0.46, 0.070, 0.165);
    let under = at - vec3(0.0, 0.016, 0.0) - axes.x * 0.02;
    objects.ellipsoid(under, flesh, axes, Material::SmokedFlesh, tint);
    let (over, skin) = (at + vec3(0.0, 0.018, 0.0), vec3(0.445, 0.066, 0.150));
    objects.ellipsoid(over, skin, axes, Material::SmokedSkin, tint);
}

/// Adds a whole fish on its side: body, head, a forked tail, fins.
fn whole_fish(objects: &mut Objects, at: Vec3, yaw: f32) {
    let axes = Axes::turned(yaw, 0.0, 0.0);
    objects.add(Object::cuboid(
        at + vec3(0.0, 0.05, 0.0),
        vec3(1.75, 0.05, 0.52),
        axes,
        0.04,
        Material::Board,
        vec3(0.19, 0.115, 0.07),
    ));
    let on =
        |along: f32, across: f32, height: f32| at + axes.x * along + axes.z * across + vec3(0.0, height + 0.1, 0.0);
    // Its back faces the camera, turned half upwards.
    let turned = Axes::turned(yaw, -0.5, 0.0);
    objects.ellipsoid(on(-0.05, 0.0, 0.15), vec3(1.25, 0.17, 0.29), turned, Material::SmokedSkin, WHITE);
    objects.ellipsoid(on(0.95, 0.0, 0.14), vec3(0.42, 0.155, 0.235), turned, Material::SmokedSkin, WHITE * 0.8);
    objects.ellipsoid(on(1.10, 0.06, 0.25), vec3(0.055, 0.03, 0.055), turned, Material::Berry, vec3(0.01, 0.01, 0.01));
    for side in [-1.0, 1.0] {
        let fork = Axes::turned(yaw + 0.55 * side, 0.0, 0.0);
        let tail = on(-1.32, 0.12 * side, 0.10) - axes.x * 0.05;
        objects.ellipsoid(tail, vec3(0.24, 0.025, 0.065), fork, Material::SmokedSkin, WHITE * 0.6);
    }
    for bearing in [0.4, 2.4] {
        objects.dill(on(0.5, -0.2, 0.05) + round(bearing, 0.9, 0.0), 0.3, bearing);
    }
}
