//! Salt-baked beetroot: a broken salt crust, a halved root, a fan of ruby slices, herbs.
use super::props::{DAYLIGHT, Objects, bearing_of, camera, round};
use crate::camera::Camera;
use crate::object::{Material, Object};
use crate::scene::{Scene, Table};
use crate::vector::{Axes, Vec3, WHITE, vec3};

const WELL: f32 = 0.05;
const VIVID: Vec3 = vec3(0.018, 0.080, 0.008);
const CRUST: Vec3 = vec3(0.74, 0.70, 0.63);

/// Builds salt-baked beetroot with greens outside sRGB; for landscape pictures.
pub fn beetroot() -> Scene {
    let mut objects = Objects::new(6300);
    objects.plate(vec3(0.35, 0.0, 0.25), 1.55, vec3(0.56, 0.55, 0.51));
    fan(&mut objects, vec3(0.40, WELL, 0.30));
    oil(&mut objects, vec3(0.38, WELL, 0.28));
    broken_crust(&mut objects, vec3(-1.45, 0.0, -1.10), 0.86);
    half_root(&mut objects, vec3(2.15, 0.34, -0.85), 0.42, (-0.5, 0.62));
    greens(&mut objects, vec3(1.72, 0.03, -1.62));
    objects.knife(vec3(2.15, 0.03, 0.95), 1.35);
    for i in 0..22 {
        let bearing = bearing_of(i, 22) + objects.random.between(-0.2, 0.2);
        let at = vec3(-1.45, 0.03, -1.10) + round(bearing, objects.random.between(0.9, 1.25), 0.0);
        shard(&mut objects, at, 0.11);
    }
    objects.crumbs(vec3(-0.8, 0.0, -0.6), 1.9, 260, (Material::Salt, vec3(0.82, 0.81, 0.79), 0.022));
    objects.dill(vec3(-1.9, 0.03, 1.35), 0.45, 0.5);
    objects.dill(vec3(-1.7, 0.04, 1.15), 0.36, -0.2);
    let table =
        Table { wood: vec3(0.24, 0.155, 0.095), linen: vec3(0.50, 0.52, 0.53), linen_edge: 0.55, linen_yaw: -0.15 };
    let camera = Camera {
        target: vec3(0.10, 0.10, -0.15),
        focus: vec3(0.3, 0.20, 0.55),
        distance: 9.0,
        field_of_view: 0.49,
        pitch: 0.80,
        yaw: 0.08,
        exposure: 5.9,
        ..camera()
    };
    Scene::new(objects.list, table, DAYLIGHT, camera)
}

/// Adds overlapping slices in a ring, wedges in the middle, cream and leaves.
fn fan(objects: &mut Objects, at: Vec3) {
    for i in 0..15 {
        let bearing = bearing_of(i, 15) + objects.random.between(-0.05, 0.05);
        let axes = Axes::turned(-bearing + 1.57, objects.random.between(-0.06, 0.06), 0.30);
        let size = 0.30 * objects.random.between(0.92, 1.08);
        let tint = WHITE * objects.random.between(0.8, 1.15);
        let place = at + round(bearing, 0.78, 0.075);
        objects.ellipsoid(place, vec3(size, 0.030, size), axes, Material::Beetroot, tint);
    }
    for i in 0..8 {
        let bearing = bearing_of(i, 8) + objects.random.between(-0.2, 0.2);
        let axes = Axes::turned(-bearing + 1.57, objects.random.between(-0.1, 0.1), 0.40);
        let size = 0.25 * objects.random.between(0.9, 1.1);
        let tint = WHITE * objects.random.between(0.8, 1.15);
        let place = at + round(bearing, 0.38, 0.125);
        objects.ellipsoid(place, vec3(size, 0.030, size), axes, Material::Beetroot, tint);
    }
    let cream = vec3(0.78, 0.75, 0.68);
    for (x, z, r) in [(0.02f32, 0.02, 0.22f32), (0.12, -0.08, 0.16), (-0.12, 0.05, 0.15)] {
        let radii = vec3(r, r * 0.55, r);
        objects.ellipsoid(at + vec3(x, 0.17, z), radii, Axes::turned(x * 20.0, 0.1, 0.1), Material::Butter, cream);
    }
    for _ in 0..16 {
        let (bearing, out) = (objects.random.angle(), objects.random.in_disc(0.85));
        let (size, tilt) = (objects.random.between(0.06, 0.12), objects.random.between(-0.4, 0.4));
        let yaw = objects.random.angle();
        objects.leaf(at + round(bearing, out, 0.17 + 0.06 * (1.0 - out)), size, yaw, tilt);
    }
    objects.dill(at + vec3(0.05, 0.30, 0.05), 0.26, 0.7);
    objects.dill(at + vec3(-0.08, 0.28, 0.10), 0.22, 2.2);
    for _ in 0..14 {
        let (bearing, out) = (objects.random.angle(), objects.random.in_disc(0.95));
        let radii = vec3(0.045, 0.03, 0.038) * objects.random.between(0.8, 1.2);
        let axes = objects.any_axes(0.5);
        objects.ellipsoid(at + round(bearing, out, 0.15), radii, axes, Material::Butter, vec3(0.46, 0.27, 0.12));
    }
}

/// Adds a thick ragged wall of two open shells, with a root in it.
fn broken_crust(objects: &mut Objects, at: Vec3, r: f32) {
    let centre = at + vec3(0.0, r * 0.46, 0.0);
    let axes = Axes::turned(0.4, 0.0, 0.10);
    for size in [1.0, 0.86] {
        let radii = vec3(r, r * 0.62, r * 0.94) * size;
        let shell = Object::open_ellipsoid(centre, radii, axes, (0.18, 0.34), Material::Crust, CRUST);
        objects.add(shell);
    }
    let root = centre + vec3(0.02, r * 0.08, 0.0);
    objects.ellipsoid(root, vec3(r * 0.60, r * 0.50, r * 0.58), axes, Material::Beetroot, WHITE);
    objects.ellipsoid(root + vec3(0.1, r * 0.50, -0.05), vec3(0.05, 0.12, 0.05), axes, Material::Beetroot, WHITE);
}

/// Adds a bunch of the root's own leaves, more vivid than sRGB can encode, on ruby stems.
fn greens(objects: &mut Objects, at: Vec3) {
    for i in 0..9 {
        let yaw = -0.80 + 0.10 * i as f32 + objects.random.between(-0.05, 0.05);
        let lift = 0.05 + 0.045 * (i % 3) as f32;
        let stem = Axes::turned(yaw, 0.0, 0.04);
        let foot = at + vec3(0.0, lift, 0.06 * i as f32 - 0.25);
        objects.ellipsoid(foot, vec3(0.75, 0.026, 0.030), stem, Material::Beetroot, WHITE);
        let tint = VIVID * objects.random.between(0.75, 1.25);
        for (along, aside, size) in [(-0.55, 0.10, 0.34), (-0.75, -0.11, 0.32), (-0.98, 0.02, 0.36)] {
            let axes = Axes::turned(yaw + objects.random.between(-0.25, 0.25), objects.random.between(-0.5, 0.5), 0.12);
            let place = foot + stem.x * along + stem.z * aside + vec3(0.0, 0.05, 0.0);
            objects.ellipsoid(place, vec3(size, size * 0.09, size * 0.55), axes, Material::Leaf, tint);
        }
    }
}

/// Adds drops of herb oil on the plate.
fn oil(objects: &mut Objects, at: Vec3) {
    for _ in 0..26 {
        let (bearing, out) = (objects.random.angle(), objects.random.between(1.02, 1.16));
        let size = objects.random.between(0.025, 0.085);
        let rises = 0.10 * (out - 1.0);
        let drop = vec3(size, 0.014, size * objects.random.between(0.8, 1.0));
        let axes = Axes::turned(bearing, 0.0, 0.0);
        objects.ellipsoid(at + round(bearing, out, rises), drop, axes, Material::Broth, vec3(0.006, 0.078, 0.008));
    }
}

fn half_root(objects: &mut Objects, at: Vec3, r: f32, (yaw, tilt): (f32, f32)) {
    let axes = Axes::turned(yaw, tilt, 0.0);
    let cup = Object::open_ellipsoid(at, vec3(r, r * 0.95, r), axes, (0.0, 0.0), Material::Beetroot, WHITE);
    objects.add(cup);
    objects.ellipsoid(at, vec3(r, 0.012, r), axes, Material::Beetroot, WHITE);
}

fn shard(objects: &mut Objects, at: Vec3, size: f32) {
    let half = vec3(size * objects.random.between(0.5, 1.3), 0.035, size * objects.random.between(0.4, 0.9));
    let axes = objects.any_axes(0.35);
    let tint = CRUST * objects.random.between(0.9, 1.05);
    objects.add(Object::cuboid(at, half, axes, 0.03, Material::Crust, tint));
}
