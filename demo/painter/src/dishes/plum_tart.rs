//! Plum tart: a crimped case, rings of glazed slices, almonds, a fork, plums behind.
use super::props::{DAYLIGHT, Objects, STONEWARE, WHITE_LINEN, bearing_of, camera, round};
use crate::object::Material;
use crate::scene::Scene;
use crate::vector::{Axes, WHITE, vec3};

/// Height of the plate's well.
const WELL: f32 = 0.05;

/// Builds a plum tart with a fork and plums; for upright pictures.
pub fn plum_tart() -> Scene {
    let mut objects = tart();
    objects.pastry_crumbs(vec3(1.1, 0.0, 1.55), 0.45, 14);
    objects.fork(vec3(1.72, 0.03, 0.95), 1.25);
    for (x, z, r) in [(-1.55, -1.75, 0.30f32), (-1.0, -2.05, 0.27), (-1.62, -2.45, 0.29)] {
        let (centre, radii) = (vec3(x, r * 0.96, z), vec3(r, r * 0.96, r * 1.04));
        let tint = vec3(0.075, 0.018, 0.045);
        objects.ellipsoid(centre, radii, Axes::turned(x, 0.2, 0.1), Material::Berry, tint);
    }
    let cream = vec3(1.35, 0.0, -2.25);
    objects.bowl(cream, 0.62, 0.42, vec3(0.55, 0.53, 0.48));
    objects.lathe(cream, &[(0.001, 0.30), (0.56, 0.29)], Material::Butter, vec3(0.80, 0.76, 0.66));
    Scene::new(objects.list, WHITE_LINEN, DAYLIGHT, camera())
}

/// Builds the tart on its plate, in the middle of the table.
pub(super) fn tart() -> Objects {
    let mut objects = Objects::new(100);
    objects.plate(vec3(0.0, 0.0, 0.0), 1.62, STONEWARE);
    case(&mut objects);
    slices(&mut objects);
    for _ in 0..34 {
        let bearing = objects.random.angle();
        let out = 0.95 * objects.random.between(0.02, 1.0).sqrt();
        let axes = objects.any_axes(0.5);
        let at = round(bearing, out, WELL + 0.32 + 0.05 * (1.0 - out));
        objects.ellipsoid(at, vec3(0.062, 0.009, 0.036), axes, Material::Butter, vec3(0.80, 0.62, 0.38));
    }
    for i in 0..3 {
        let i = i as f32;
        objects.leaf(vec3(0.05 * i - 0.05, WELL + 0.42, 0.02), 0.13, i * 2.2, 0.5);
    }
    objects.pastry_crumbs(vec3(0.1, WELL + 0.03, 0.2), 1.5, 26);
    objects
}

fn case(objects: &mut Objects) {
    const CRIMPS: usize = 42;
    let foot = vec3(0.0, WELL, 0.0);
    let wall =
        [(0.001, 0.20), (1.0, 0.20), (1.06, 0.24), (1.08, 0.30), (1.13, 0.315), (1.18, 0.28), (1.15, 0.02), (1.1, 0.0)];
    objects.lathe(foot, &wall, Material::Pastry, WHITE);
    for i in 0..CRIMPS {
        let bearing = bearing_of(i, CRIMPS) + objects.random.between(-0.012, 0.012);
        let at = round(bearing, 1.13, WELL + 0.235 + objects.random.between(-0.008, 0.012));
        let axes = Axes::turned(-bearing + 0.5, 0.0, 0.25);
        let tint = WHITE * objects.random.between(0.85, 1.1);
        objects.ellipsoid(at, vec3(0.072, 0.105, 0.092), axes, Material::Pastry, tint);
    }
    let filling = [(0.001, 0.235), (0.6, 0.232), (1.05, 0.222), (1.07, 0.21)];
    objects.lathe(foot, &filling, Material::Custard, vec3(0.72, 0.42, 0.12));
}

fn slices(objects: &mut Objects) {
    // (ring, slices, radius, how far they lean)
    for (ring, count, radius, lean) in [(0.0, 24, 0.84, 0.50), (1.0, 17, 0.53, 0.55), (2.0, 9, 0.24, 0.66)] {
        for i in 0..count {
            let random = &mut objects.random;
            let place = i as f32 + 0.37 * ring + random.between(-0.09, 0.09);
            let bearing = place / count as f32 * std::f32::consts::TAU;
            let size = random.between(0.92, 1.06);
            let tilt = -lean + random.between(-0.07, 0.07);
            let axes = Axes::turned(-bearing, tilt, random.between(-0.08, 0.08));
            let tint = WHITE * random.between(0.75, 1.2);
            let at = round(bearing, radius, WELL + 0.265 + 0.02 * ring);
            objects.ellipsoid(at, vec3(0.225 * size, 0.052, 0.185 * size), axes, Material::Plum, tint);
        }
    }
}
