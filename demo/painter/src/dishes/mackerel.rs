//! Smoked mackerel on rye: three slices with fish, radish and dill; a whole fish on a board behind.
use super::props::{Laid, look, round};
use crate::demo::camera::Look;
use crate::demo::materials::Material;
use crate::demo::shapes::Thing;
use crate::demo::tree::Scene;
use crate::demo::vector::{Axes, Vec3, WHITE, vec3};

const BOARD: f32 = 0.12;
const CREAM: Vec3 = vec3(0.78, 0.75, 0.66);

pub fn scene() -> Scene {
    Scene::new(table().things, wide_look())
}

fn table() -> Laid {
    let mut laid = Laid::new(7100);
    laid.add(Thing::slab(
        vec3(0.0, BOARD * 0.5, 0.0),
        vec3(2.05, BOARD * 0.5, 0.98),
        Axes::turned(0.06, 0.0, 0.0),
        0.05,
        Material::Board,
        vec3(0.30, 0.185, 0.11),
    ));
    open_sandwich(&mut laid, vec3(-1.22, BOARD, 0.10), 1.35);
    open_sandwich(&mut laid, vec3(0.02, BOARD, 0.16), 1.75);
    open_sandwich(&mut laid, vec3(1.22, BOARD, 0.02), 1.50);
    whole_fish(&mut laid, vec3(-0.35, 0.0, -1.55), -0.10);
    laid.lemon_half(vec3(1.75, 0.26, -1.35), 0.28, 0.7, 0.75);
    laid.lemon_half(vec3(2.15, 0.26, -1.75), 0.28, 2.2, 0.6);
    let bowl = vec3(2.35, 0.0, 0.95);
    laid.bowl(bowl, 0.46, 0.34, vec3(0.30, 0.33, 0.36));
    laid.lathe(bowl, &[(0.001, 0.26), (0.2, 0.27), (0.41, 0.25)], Material::Butter, CREAM);
    laid.dill(bowl + vec3(0.0, 0.29, 0.05), 0.24, 0.6);
    laid.dill(vec3(-2.0, 0.03, 1.15), 0.42, 0.3);
    laid.dill(vec3(-1.75, 0.05, 1.3), 0.34, -0.4);
    laid.crumbs(vec3(0.2, BOARD, 0.4), 1.7, 60, (Material::Rye, WHITE, 0.020));
    let pepper = (Material::Butter, vec3(0.030, 0.026, 0.022), 0.016);
    laid.crumbs(vec3(0.0, BOARD, 0.2), 1.8, 70, pepper);
    laid
}

/// For landscape pictures: low over the board, three slices across.
fn wide_look() -> Look {
    Look {
        wood: vec3(0.20, 0.18, 0.165),
        cloth: vec3(0.62, 0.61, 0.57),
        cloth_edge: 0.15,
        cloth_turn: 0.12,
        target: vec3(0.05, 0.12, -0.10),
        focus: vec3(0.0, 0.30, 0.40),
        distance: 9.0,
        field: 0.50,
        pitch: 0.72,
        turn: 0.12,
        exposure: 5.6,
        ..look()
    }
}

/// The same table from close by, salted: one slice fills an upright picture.
pub fn close_scene() -> Scene {
    let mut laid = table();
    let salt = (Material::Salt, vec3(0.82, 0.83, 0.84), 0.020);
    laid.crumbs(vec3(0.05, BOARD, 0.45), 1.1, 170, salt);
    let mut scene = Scene::new(laid.things, wide_look());
    scene.look = Look {
        target: vec3(0.05, 0.20, -0.05),
        focus: vec3(0.05, 0.32, 0.34),
        distance: 6.4,
        field: 0.40,
        pitch: 0.62,
        turn: 0.30,
        lens: 0.028,
        ..scene.look
    };
    scene
}

/// A slice of rye with cream, two pieces of fish, radish, dill; `yaw` turns its long side.
fn open_sandwich(laid: &mut Laid, at: Vec3, yaw: f32) {
    let axes = Axes::turned(yaw, 0.0, 0.0);
    let tint = WHITE * laid.dice.roll(0.9, 1.1);
    let half = vec3(0.66, 0.085, 0.44);
    let bread = at + vec3(0.0, 0.085, 0.0);
    laid.add(Thing::slab(bread, half, axes, 0.06, Material::Rye, tint));
    let top = at + vec3(0.0, 0.165, 0.0);
    let on = |along: f32, across: f32, height: f32| top + axes.x * along + axes.z * across + vec3(0.0, height, 0.0);
    for (along, across) in [(-0.25, 0.05), (0.22, -0.04), (0.0, 0.12)] {
        let radii = vec3(0.34, 0.045, 0.30) * laid.dice.roll(0.9, 1.05);
        let turned = Axes::turned(laid.dice.angle(), 0.03, 0.0);
        laid.ball(on(along, across, 0.0), radii, turned, Material::Butter, CREAM);
    }
    for (along, across, turn) in [(-0.16, 0.12, 0.30), (0.14, -0.10, 0.18)] {
        piece(laid, on(along, across, 0.075), yaw + turn);
    }
    for (along, across, lean) in [(-0.46, 0.26, 0.30), (-0.36, 0.34, 0.55), (0.46, -0.24, 0.45), (0.30, 0.30, 0.35)] {
        let size = laid.dice.roll(0.115, 0.145);
        let turned = Axes::turned(yaw + laid.dice.angle(), lean, laid.dice.roll(-0.2, 0.2));
        let disc = vec3(size, 0.016, size);
        let white = WHITE * laid.dice.roll(0.92, 1.05);
        laid.ball(on(along, across, 0.085), disc, turned, Material::Radish, white);
    }
    for (along, across, turn) in [(0.05, 0.20, 0.5), (-0.22, -0.22, 2.6)] {
        laid.dill(on(along, across, 0.13), 0.24, yaw + turn);
    }
}

/// A piece of fillet: skin side up over its own flesh.
fn piece(laid: &mut Laid, at: Vec3, yaw: f32) {
    let tilt = laid.dice.roll(0.02, 0.16);
    let axes = Axes::turned(yaw, tilt, laid.dice.roll(-0.08, 0.08));
    let tint = WHITE * laid.dice.roll(0.9, 1.1);
    let flesh = vec3(0.46, 0.070, 0.165);
    let under = at - vec3(0.0, 0.016, 0.0) - axes.x * 0.02;
    laid.ball(under, flesh, axes, Material::SmokedFlesh, tint);
    let (over, skin) = (at + vec3(0.0, 0.018, 0.0), vec3(0.445, 0.066, 0.150));
    laid.ball(over, skin, axes, Material::SmokedSkin, tint);
}

/// A whole fish on its side: body, head, a forked tail, fins.
fn whole_fish(laid: &mut Laid, at: Vec3, yaw: f32) {
    let axes = Axes::turned(yaw, 0.0, 0.0);
    laid.add(Thing::slab(
        at + vec3(0.0, 0.05, 0.0),
        vec3(1.75, 0.05, 0.52),
        axes,
        0.04,
        Material::Board,
        vec3(0.19, 0.115, 0.07),
    ));
    let on =
        |along: f32, across: f32, height: f32| at + axes.x * along + axes.z * across + vec3(0.0, height + 0.1, 0.0);
    // Its back looks to the camera, half upwards.
    let turned = Axes::turned(yaw, -0.5, 0.0);
    laid.ball(on(-0.05, 0.0, 0.15), vec3(1.25, 0.17, 0.29), turned, Material::SmokedSkin, WHITE);
    laid.ball(on(0.95, 0.0, 0.14), vec3(0.42, 0.155, 0.235), turned, Material::SmokedSkin, WHITE * 0.8);
    laid.ball(on(1.10, 0.06, 0.25), vec3(0.055, 0.03, 0.055), turned, Material::Berry, vec3(0.01, 0.01, 0.01));
    for side in [-1.0, 1.0] {
        let fork = Axes::turned(yaw + 0.55 * side, 0.0, 0.0);
        let tail = on(-1.32, 0.12 * side, 0.10) - axes.x * 0.05;
        laid.ball(tail, vec3(0.24, 0.025, 0.065), fork, Material::SmokedSkin, WHITE * 0.6);
    }
    for bearing in [0.4, 2.4] {
        laid.dill(on(0.5, -0.2, 0.05) + round(bearing, 0.9, 0.0), 0.3, bearing);
    }
}
