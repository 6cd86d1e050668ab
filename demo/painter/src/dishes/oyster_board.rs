//! Oyster board: eight open shells round a bowl of sauce on a wooden board, lemons, coarse salt.
use super::props::{Laid, bearing_of, look};
use crate::demo::camera::Look;
use crate::demo::materials::Material;
use crate::demo::shapes::Thing;
use crate::demo::tree::Scene;
use crate::demo::vector::{Axes, Vec3, vec3};

/// Height of the board's face.
const BOARD: f32 = 0.18;

pub fn scene() -> Scene {
    let mut laid = board();
    laid.lemon_half(vec3(-1.15, 0.26, -1.95), 0.29, 1.0, 0.6);
    laid.lemon_half(vec3(-1.75, 0.28, -1.65), 0.29, 2.6, 0.9);
    let look = Look {
        wood: vec3(0.13, 0.115, 0.105),
        cloth: vec3(0.30, 0.36, 0.42),
        cloth_edge: 0.6,
        cloth_turn: -0.25,
        focus: vec3(0.0, 0.3, 0.55),
        pitch: 0.86,
        exposure: 5.6,
        ..look()
    };
    Scene::new(laid.things, look)
}

/// The board across a landscape picture.
pub fn wide_scene() -> Scene {
    let mut scene = scene();
    scene.look = Look { target: vec3(0.05, 0.10, -0.12), field: 0.48, pitch: 0.78, ..scene.look };
    scene
}

/// A second frame of the same board: the camera has moved round and closer.
pub fn second_scene() -> Scene {
    let mut scene = wide_scene();
    scene.look = Look {
        target: vec3(0.45, 0.15, 0.30),
        focus: vec3(0.45, 0.30, 0.55),
        distance: 7.0,
        turn: 0.48,
        pitch: 0.68,
        field: 0.40,
        ..scene.look
    };
    scene
}

/// The laid board round the middle of the table.
pub fn board() -> Laid {
    let mut laid = Laid::new(300);
    let askew = Axes::turned(-0.12, 0.0, 0.0);
    laid.add(Thing::slab(
        vec3(0.0, BOARD * 0.5, 0.0),
        vec3(1.75, BOARD * 0.5, 1.35),
        askew,
        0.05,
        Material::Board,
        vec3(0.34, 0.20, 0.115),
    ));
    for i in 0..8 {
        let bearing = bearing_of(i, 8) + 0.2;
        let x = 1.02 * bearing.cos() + laid.dice.roll(-0.05, 0.05);
        let z = 0.80 * bearing.sin() + laid.dice.roll(-0.05, 0.05);
        open_oyster(&mut laid, vec3(x, BOARD + 0.20, z), -bearing);
    }
    let middle = vec3(0.0, BOARD, 0.02);
    laid.bowl(middle, 0.36, 0.24, vec3(0.60, 0.59, 0.55));
    let sauce = vec3(0.26, 0.03, 0.03);
    laid.lathe(middle, &[(0.001, 0.18), (0.32, 0.182)], Material::Broth, sauce);
    laid.lemon_half(vec3(1.28, 0.42, 0.98), 0.29, 0.5, 0.70);
    let salt = (Material::Salt, vec3(0.82, 0.83, 0.84), 0.036);
    laid.crumbs(vec3(0.0, BOARD, 0.0), 1.3, 420, salt);
    for _ in 0..26 {
        let (bearing, out) = (laid.dice.angle(), laid.dice.roll(0.3, 1.3));
        let at = vec3(out * bearing.cos(), BOARD + 0.07, 0.8 * out * bearing.sin());
        let (size, yaw) = (laid.dice.roll(0.05, 0.12), laid.dice.angle());
        let tilt = laid.dice.roll(-0.4, 0.4);
        laid.leaf(at, size, yaw, tilt);
    }
    laid
}

/// Two open balls make a thick dark lip; a mantle with three cream lobes lies inside.
fn open_oyster(laid: &mut Laid, centre: Vec3, yaw: f32) {
    let dice = &mut laid.dice;
    let axes = Axes::turned(yaw + dice.roll(-0.3, 0.3), dice.roll(-0.08, 0.08), dice.roll(-0.08, 0.08));
    let (long, wide) = (0.43 * dice.roll(0.92, 1.08), 0.31 * dice.roll(0.92, 1.1));
    let shell = |centre: Vec3, radii: Vec3, cut: f32, pale_within: f32| {
        let tint = vec3(pale_within, 0.6, 0.6);
        Thing::open_ball(centre, radii, axes, (cut, 0.16), Material::Shell, tint)
    };
    laid.add(shell(centre, vec3(long, 0.20, wide), -0.12, long));
    let outer = vec3(long * 1.07, 0.215, wide * 1.08);
    laid.add(shell(centre - vec3(0.0, 0.012, 0.0), outer, -0.14, long * 0.2));
    let turned = Axes::turned(yaw + laid.dice.roll(0.0, 0.4), 0.0, 0.0);
    laid.ball(
        centre + axes.x * 0.02 + vec3(0.0, -0.095, 0.0),
        vec3(long * 0.74, 0.07, wide * 0.74),
        turned,
        Material::Oyster,
        vec3(0.46, 0.38, 0.25),
    );
    // (along, across, height, half length, half height, half width, colour): in shell sizes.
    let lobes = [
        (0.22, 0.0, -0.075, 0.42, 0.070, 0.50, vec3(0.50, 0.42, 0.28)),
        (-0.20, 0.12, -0.075, 0.38, 0.062, 0.38, vec3(0.54, 0.46, 0.33)),
        (-0.02, -0.25, -0.080, 0.34, 0.058, 0.30, vec3(0.44, 0.37, 0.25)),
    ];
    for (along, across, height, half_long, half_high, half_wide, tint) in lobes {
        let turned = Axes::turned(yaw + laid.dice.roll(0.0, 1.6), 0.06, 0.06);
        let aside = axes.x * (long * along) + axes.z * (wide * across);
        let at = centre + aside + vec3(0.0, height, 0.0);
        let radii = vec3(long * half_long, half_high, wide * half_wide);
        laid.ball(at, radii, turned, Material::Butter, tint);
    }
}
