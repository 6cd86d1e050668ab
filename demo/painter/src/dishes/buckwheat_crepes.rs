//! Buckwheat crepes: a stack with butter, syrup and berries; a bowl of berries and a jug behind.
use super::props::{BERRY_BLUE, Laid, look, round};
use crate::demo::camera::Look;
use crate::demo::materials::Material;
use crate::demo::shapes::Thing;
use crate::demo::tree::Scene;
use crate::demo::vector::{Axes, WHITE, vec3};

const CREPES: usize = 15;
/// From one crepe to the next.
const STEP: f32 = 0.045;
const FIRST: f32 = 0.085;
const TOP: f32 = FIRST + STEP * CREPES as f32;

pub fn scene() -> Scene {
    let mut laid = stack();
    laid.fork(vec3(-1.78, 0.03, 0.75), 1.75);
    let bowl = vec3(-1.25, 0.0, -2.2);
    laid.bowl(bowl, 0.66, 0.46, vec3(0.30, 0.33, 0.36));
    for _ in 0..40 {
        let (bearing, out) = (laid.dice.angle(), laid.dice.within(0.5));
        let height = 0.40 + 0.12 * (1.0 - 2.0 * out) + laid.dice.roll(-0.03, 0.05);
        let axes = laid.any_turn(0.6);
        let at = bowl + round(bearing, out, height);
        laid.ball(at, vec3(0.11, 0.10, 0.11), axes, Material::Berry, BERRY_BLUE);
    }
    laid.jug(vec3(1.5, 0.0, -2.0), vec3(0.60, 0.59, 0.56));
    let look = Look {
        wood: vec3(0.36, 0.24, 0.14),
        cloth: vec3(0.66, 0.63, 0.58),
        cloth_edge: 0.5,
        cloth_turn: 0.28,
        focus: vec3(0.0, 0.75, 0.35),
        target: vec3(0.0, 0.25, 0.0),
        pitch: 0.62,
        exposure: 5.1,
        ..look()
    };
    Scene::new(laid.things, look)
}

/// The stack on its plate, round the middle of the table.
pub fn stack() -> Laid {
    let mut laid = Laid::new(500);
    laid.plate(vec3(0.0, 0.0, 0.0), 1.60, vec3(0.50, 0.52, 0.52));
    for i in 0..CREPES {
        let (x, z) = (laid.dice.roll(-0.05, 0.05), laid.dice.roll(-0.05, 0.05));
        let radius = 1.10 + laid.dice.roll(-0.05, 0.05);
        let radii = vec3(radius, 0.040, radius * laid.dice.roll(0.95, 1.0));
        let axes = laid.any_turn(0.022);
        let tint = WHITE * laid.dice.roll(0.85, 1.1);
        laid.ball(vec3(x, FIRST + STEP * i as f32, z), radii, axes, Material::Crepe, tint);
    }
    laid.add(Thing::slab(
        vec3(-0.22, TOP + 0.04, 0.10),
        vec3(0.19, 0.075, 0.16),
        Axes::turned(0.5, 0.04, 0.05),
        0.05,
        Material::Butter,
        vec3(0.86, 0.70, 0.30),
    ));
    let pool = Axes::turned(0.7, 0.0, 0.0);
    let syrup = vec3(0.55, 0.32, 0.06);
    laid.ball(vec3(-0.20, TOP - 0.005, 0.12), vec3(0.36, 0.022, 0.30), pool, Material::Broth, syrup);
    for (x, lift, z, r) in [
        (0.22, 0.0, 0.10, 0.115),
        (0.36, 0.0, 0.26, 0.105),
        (0.10, 0.0, 0.33, 0.11),
        (0.40, 0.0, -0.02, 0.10),
        (0.24, 0.0, -0.14, 0.11),
        (0.26, 0.16, 0.16, 0.11),
    ] {
        laid.berry(x, TOP + lift, z, r);
    }
    // Some have rolled onto the plate, some off it.
    for (x, z, r) in [(1.30, 0.25, 0.11), (1.22, 0.46, 0.105), (-1.05, 0.85, 0.11)] {
        laid.berry(x, 0.10, z, r);
    }
    for (x, z, r) in [(1.9, 1.35, 0.11), (1.75, 1.58, 0.10), (-1.9, 1.2, 0.11)] {
        laid.berry(x, 0.0, z, r);
    }
    laid.leaf(vec3(0.44, TOP + 0.10, 0.36), 0.17, 0.6, -0.4);
    laid.leaf(vec3(0.50, TOP + 0.09, 0.20), 0.15, -0.5, -0.2);
    laid
}
