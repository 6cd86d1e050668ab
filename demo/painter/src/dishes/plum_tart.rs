//! Plum tart: a crimped case, rings of glazed slices, almonds, a fork, plums behind.
use super::props::{Laid, STONEWARE, bearing_of, look, round};
use crate::demo::materials::Material;
use crate::demo::tree::Scene;
use crate::demo::vector::{Axes, WHITE, vec3};

/// Height of the plate's well.
const WELL: f32 = 0.05;

pub fn scene() -> Scene {
    let mut laid = tart();
    laid.pastry_crumbs(vec3(1.1, 0.0, 1.55), 0.45, 14);
    laid.fork(vec3(1.72, 0.03, 0.95), 1.25);
    for (x, z, r) in [(-1.55, -1.75, 0.30f32), (-1.0, -2.05, 0.27), (-1.62, -2.45, 0.29)] {
        let (centre, radii) = (vec3(x, r * 0.96, z), vec3(r, r * 0.96, r * 1.04));
        let tint = vec3(0.075, 0.018, 0.045);
        laid.ball(centre, radii, Axes::turned(x, 0.2, 0.1), Material::Berry, tint);
    }
    let cream = vec3(1.35, 0.0, -2.25);
    laid.bowl(cream, 0.62, 0.42, vec3(0.55, 0.53, 0.48));
    laid.lathe(cream, &[(0.001, 0.30), (0.56, 0.29)], Material::Butter, vec3(0.80, 0.76, 0.66));
    Scene::new(laid.things, look())
}

/// The tart on its plate, round the middle of the table.
pub fn tart() -> Laid {
    let mut laid = Laid::new(100);
    laid.plate(vec3(0.0, 0.0, 0.0), 1.62, STONEWARE);
    case(&mut laid);
    slices(&mut laid);
    for _ in 0..34 {
        let bearing = laid.dice.angle();
        let out = 0.95 * laid.dice.roll(0.02, 1.0).sqrt();
        let axes = laid.any_turn(0.5);
        let at = round(bearing, out, WELL + 0.32 + 0.05 * (1.0 - out));
        laid.ball(at, vec3(0.062, 0.009, 0.036), axes, Material::Butter, vec3(0.80, 0.62, 0.38));
    }
    for i in 0..3 {
        let i = i as f32;
        laid.leaf(vec3(0.05 * i - 0.05, WELL + 0.42, 0.02), 0.13, i * 2.2, 0.5);
    }
    laid.pastry_crumbs(vec3(0.1, WELL + 0.03, 0.2), 1.5, 26);
    laid
}

fn case(laid: &mut Laid) {
    const CRIMPS: usize = 42;
    let foot = vec3(0.0, WELL, 0.0);
    let wall =
        [(0.001, 0.20), (1.0, 0.20), (1.06, 0.24), (1.08, 0.30), (1.13, 0.315), (1.18, 0.28), (1.15, 0.02), (1.1, 0.0)];
    laid.lathe(foot, &wall, Material::Pastry, WHITE);
    for i in 0..CRIMPS {
        let bearing = bearing_of(i, CRIMPS) + laid.dice.roll(-0.012, 0.012);
        let at = round(bearing, 1.13, WELL + 0.235 + laid.dice.roll(-0.008, 0.012));
        let axes = Axes::turned(-bearing + 0.5, 0.0, 0.25);
        let tint = WHITE * laid.dice.roll(0.85, 1.1);
        laid.ball(at, vec3(0.072, 0.105, 0.092), axes, Material::Pastry, tint);
    }
    let filling = [(0.001, 0.235), (0.6, 0.232), (1.05, 0.222), (1.07, 0.21)];
    laid.lathe(foot, &filling, Material::Custard, vec3(0.72, 0.42, 0.12));
}

fn slices(laid: &mut Laid) {
    // (ring, slices, radius, how far they lean)
    for (ring, count, radius, lean) in [(0.0, 24, 0.84, 0.50), (1.0, 17, 0.53, 0.55), (2.0, 9, 0.24, 0.66)] {
        for i in 0..count {
            let dice = &mut laid.dice;
            let place = i as f32 + 0.37 * ring + dice.roll(-0.09, 0.09);
            let bearing = place / count as f32 * std::f32::consts::TAU;
            let size = dice.roll(0.92, 1.06);
            let tilt = -lean + dice.roll(-0.07, 0.07);
            let axes = Axes::turned(-bearing, tilt, dice.roll(-0.08, 0.08));
            let tint = WHITE * dice.roll(0.75, 1.2);
            let at = round(bearing, radius, WELL + 0.265 + 0.02 * ring);
            laid.ball(at, vec3(0.225 * size, 0.052, 0.185 * size), axes, Material::Plum, tint);
        }
    }
}
