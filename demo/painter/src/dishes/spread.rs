//! The table laid for all: tart, broth, leeks and oysters together, for the prints on the wall.
use super::props::{Laid, STONEWARE, look};
use super::{barley_broth, leeks, oyster_board, plum_tart};
use crate::demo::camera::Look;
use crate::demo::materials::Material;
use crate::demo::tree::Scene;
use crate::demo::vector::{Axes, Vec3, vec3};

pub fn scene() -> Scene {
    let mut laid = Laid::new(8800);
    laid.join(plum_tart::tart(), vec3(-0.95, 0.0, 2.05));
    laid.join(oyster_board::board(), vec3(0.55, 0.0, -1.75));
    laid.join(barley_broth::bowl_of_broth(), vec3(2.35, 0.0, 1.35));
    laid.join(leeks::leeks(), vec3(-3.0, 0.0, -1.35));
    laid.fork(vec3(1.05, 0.03, 3.1), 1.35);
    laid.knife(vec3(1.35, 0.03, 3.0), 1.35);
    empty_place(&mut laid, vec3(3.0, 0.0, 4.3));
    empty_place(&mut laid, vec3(-3.6, 0.0, 3.9));
    let water = vec3(-2.95, 0.0, 1.45);
    laid.jug(water, vec3(0.30, 0.33, 0.36));
    laid.bowl(vec3(3.05, 0.0, -1.0), 0.55, 0.38, vec3(0.30, 0.33, 0.36));
    for i in 0..26 {
        let turn = i as f32 * 2.4;
        let out = 0.08 * (i as f32).sqrt();
        laid.berry(3.05 + out * turn.cos(), 0.30 + 0.10 * (0.4 - out), -1.0 + out * turn.sin(), 0.10);
    }
    for (x, z, yaw) in [(0.4, -4.2, 0.4), (0.9, -4.5, 0.8), (-0.3, -4.5, 0.1)] {
        let axes = Axes::turned(yaw, 0.5, 0.0);
        laid.ball(vec3(x, 0.30, z), vec3(0.80, 0.36, 0.24), axes, Material::Pastry, vec3(0.85, 0.95, 1.05));
    }
    laid.lemon_half(vec3(-0.9, 0.26, 0.0), 0.28, 0.5, 0.6);
    laid.dill(vec3(0.9, 0.03, 0.75), 0.45, 0.4);
    laid.pastry_crumbs(vec3(0.7, 0.0, 3.0), 0.8, 26);
    let look = Look {
        wood: vec3(0.24, 0.155, 0.095),
        cloth: vec3(0.52, 0.54, 0.55),
        cloth_edge: 0.15,
        cloth_turn: 0.24,
        target: vec3(-0.15, 0.1, 0.45),
        focus: vec3(0.0, 0.2, 1.2),
        distance: 17.0,
        field: 0.46,
        pitch: 0.98,
        turn: 0.10,
        lens: 0.040,
        exposure: 5.8,
        ..look()
    };
    Scene::new(laid.things, look)
}

/// The same table from its right corner, lower.
pub fn corner_scene() -> Scene {
    let mut scene = scene();
    scene.look = Look {
        target: vec3(0.9, 0.1, 0.6),
        focus: vec3(1.4, 0.4, 1.4),
        distance: 13.0,
        turn: 0.85,
        pitch: 0.66,
        ..scene.look
    };
    scene
}

fn empty_place(laid: &mut Laid, at: Vec3) {
    laid.plate(at, 1.15, STONEWARE);
    laid.fork(at + vec3(-1.4, 0.03, 0.3), 1.55);
    laid.knife(at + vec3(1.35, 0.03, 0.3), 1.60);
}
