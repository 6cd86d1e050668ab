//! A long table with tart, broth, leeks and oysters together.
use super::props::{DAYLIGHT, Objects, STONEWARE};
use super::{barley_broth, leeks, oyster_board, plum_tart};
use crate::camera::Camera;
use crate::object::Material;
use crate::scene::{Scene, Table};
use crate::vector::{Axes, Vec3, vec3};

/// Builds the long table with four of the dishes, seen from above; for upright pictures.
pub fn long_table() -> Scene {
    let mut objects = Objects::new(8800);
    objects.join(plum_tart::tart(), vec3(-0.95, 0.0, 2.05));
    objects.join(oyster_board::board(), vec3(0.55, 0.0, -1.75));
    objects.join(barley_broth::bowl_of_broth(), vec3(2.35, 0.0, 1.35));
    objects.join(leeks::plate_of_leeks(), vec3(-3.0, 0.0, -1.35));
    objects.fork(vec3(1.05, 0.03, 3.1), 1.35);
    objects.knife(vec3(1.35, 0.03, 3.0), 1.35);
    empty_place(&mut objects, vec3(3.0, 0.0, 4.3));
    empty_place(&mut objects, vec3(-3.6, 0.0, 3.9));
    let water = vec3(-2.95, 0.0, 1.45);
    objects.jug(water, vec3(0.30, 0.33, 0.36));
    objects.bowl(vec3(3.05, 0.0, -1.0), 0.55, 0.38, vec3(0.30, 0.33, 0.36));
    for i in 0..26 {
        let turn = i as f32 * 2.4;
        let out = 0.08 * (i as f32).sqrt();
        objects.berry(3.05 + out * turn.cos(), 0.30 + 0.10 * (0.4 - out), -1.0 + out * turn.sin(), 0.10);
    }
    for (x, z, yaw) in [(0.4, -4.2, 0.4), (0.9, -4.5, 0.8), (-0.3, -4.5, 0.1)] {
        let axes = Axes::turned(yaw, 0.5, 0.0);
        objects.ellipsoid(vec3(x, 0.30, z), vec3(0.80, 0.36, 0.24), axes, Material::Pastry, vec3(0.85, 0.95, 1.05));
    }
    objects.lemon_half(vec3(-0.9, 0.26, 0.0), 0.28, 0.5, 0.6);
    objects.dill(vec3(0.9, 0.03, 0.75), 0.45, 0.4);
    objects.pastry_crumbs(vec3(0.7, 0.0, 3.0), 0.8, 26);
    let table =
        Table { wood: vec3(0.24, 0.155, 0.095), linen: vec3(0.52, 0.54, 0.55), linen_edge: 0.15, linen_yaw: 0.24 };
    let camera = Camera {
        target: vec3(-0.15, 0.1, 0.45),
        focus: vec3(0.0, 0.2, 1.2),
        distance: 17.0,
        field_of_view: 0.46,
        pitch: 0.98,
        yaw: 0.10,
        aperture: 0.040,
        exposure: 5.8,
    };
    Scene::new(objects.list, table, DAYLIGHT, camera)
}

fn empty_place(objects: &mut Objects, at: Vec3) {
    objects.plate(at, 1.15, STONEWARE);
    objects.fork(at + vec3(-1.4, 0.03, 0.3), 1.55);
    objects.knife(at + vec3(1.35, 0.03, 0.3), 1.60);
}
