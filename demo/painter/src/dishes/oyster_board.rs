//! Oyster board: eight open shells round a bowl of sauce on a wooden board, lemons, coarse salt.
use super::props::{DAYLIGHT, Objects, bearing_of, camera};
use crate::camera::Camera;
use crate::object::{Material, Object};
use crate::scene::{Scene, Table};
use crate::vector::{Axes, Vec3, vec3};

/// Height of the board's top.
const BOARD: f32 = 0.18;

/// Builds oysters round a bowl of sauce on a board; for upright pictures.
pub fn oyster_board() -> Scene {
    let mut objects = board();
    objects.lemon_half(vec3(-1.15, 0.26, -1.95), 0.29, 1.0, 0.6);
    objects.lemon_half(vec3(-1.75, 0.28, -1.65), 0.29, 2.6, 0.9);
    let table =
        Table { wood: vec3(0.13, 0.115, 0.105), linen: vec3(0.30, 0.36, 0.42), linen_edge: 0.6, linen_yaw: -0.25 };
    let camera = Camera { focus: vec3(0.0, 0.3, 0.55), pitch: 0.86, exposure: 5.6, ..camera() };
    Scene::new(objects.list, table, DAYLIGHT, camera)
}

/// Builds the board and everything on it, in the middle of the table.
pub(super) fn board() -> Objects {
    let mut objects = Objects::new(300);
    let askew = Axes::turned(-0.12, 0.0, 0.0);
    objects.add(Object::cuboid(
        vec3(0.0, BOARD * 0.5, 0.0),
        vec3(1.75, BOARD * 0.5, 1.35),
        askew,
        0.05,
        Material::Board,
        vec3(0.34, 0.20, 0.115),
    ));
    for i in 0..8 {
        let bearing = bearing_of(i, 8) + 0.2;
        let x = 1.02 * bearing.cos() + objects.random.between(-0.05, 0.05);
        let z = 0.80 * bearing.sin() + objects.random.between(-0.05, 0.05);
        open_oyster(&mut objects, vec3(x, BOARD + 0.20, z), -bearing);
    }
    let middle = vec3(0.0, BOARD, 0.02);
    objects.bowl(middle, 0.36, 0.24, vec3(0.60, 0.59, 0.55));
    let sauce = vec3(0.26, 0.03, 0.03);
    objects.lathe(middle, &[(0.001, 0.18), (0.32, 0.182)], Material::Broth, sauce);
    objects.lemon_half(vec3(1.28, 0.42, 0.98), 0.29, 0.5, 0.70);
    let salt = (Material::Salt, vec3(0.82, 0.83, 0.84), 0.036);
    objects.crumbs(vec3(0.0, BOARD, 0.0), 1.3, 420, salt);
    for _ in 0..26 {
        let (bearing, out) = (objects.random.angle(), objects.random.between(0.3, 1.3));
        let at = vec3(out * bearing.cos(), BOARD + 0.07, 0.8 * out * bearing.sin());
        let (size, yaw) = (objects.random.between(0.05, 0.12), objects.random.angle());
        let tilt = objects.random.between(-0.4, 0.4);
        objects.leaf(at, size, yaw, tilt);
    }
    objects
}

/// Adds an oyster: two open balls make a thick dark lip, with a mantle of three cream lobes inside.
fn open_oyster(objects: &mut Objects, centre: Vec3, yaw: f32) {
    let random = &mut objects.random;
    let axes = Axes::turned(yaw + random.between(-0.3, 0.3), random.between(-0.08, 0.08), random.between(-0.08, 0.08));
    let (long, wide) = (0.43 * random.between(0.92, 1.08), 0.31 * random.between(0.92, 1.1));
    let shell = |centre: Vec3, radii: Vec3, cut: f32, pale_within: f32| {
        let tint = vec3(pale_within, 0.6, 0.6);
        Object::open_ellipsoid(centre, radii, axes, (cut, 0.16), Material::Shell, tint)
    };
    objects.add(shell(centre, vec3(long, 0.20, wide), -0.12, long));
    let outer = vec3(long * 1.07, 0.215, wide * 1.08);
    objects.add(shell(centre - vec3(0.0, 0.012, 0.0), outer, -0.14, long * 0.2));
    let turned = Axes::turned(yaw + objects.random.between(0.0, 0.4), 0.0, 0.0);
    objects.ellipsoid(
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
        let turned = Axes::turned(yaw + objects.random.between(0.0, 1.6), 0.06, 0.06);
        let aside = axes.x * (long * along) + axes.z * (wide * across);
        let at = centre + aside + vec3(0.0, height, 0.0);
        let radii = vec3(long * half_long, half_high, wide * half_wide);
        objects.ellipsoid(at, radii, turned, Material::Butter, tint);
    }
}
