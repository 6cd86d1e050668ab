//! Liquids, grains, butter, salt.
use super::surface::{Point, Surface, bump};
use crate::noise::{above_floor, floor_to_int, fractal3, hash, noise3};
use crate::vector::{soft_step, vec3};

/// Drops of fat per unit, at most one per cell.
const EYES: f32 = 5.0;

/// Shades broth, sauce, melted butter: paler at the wall, darker with depth, with drops of fat.
pub fn broth(at: &Point) -> Surface {
    let rim = soft_step(0.70, 1.0, at.local.off_upright() / at.object.radius());
    let p = at.place;
    let (value, slope) = fractal3(p * vec3(1.6, 1.0, 1.6), 2);
    let (i, j) = (floor_to_int(p.x * EYES), floor_to_int(p.z * EYES));
    let radius = 0.06 + 0.19 * hash(i, j, 3) * hash(i, j, 4);
    let dx = above_floor(p.x * EYES) - (hash(i, j, 1) * 0.5 + 0.25);
    let dz = above_floor(p.z * EYES) - (hash(i, j, 2) * 0.5 + 0.25);
    let out = dx.hypot(dz) / radius;
    // Red sauces (little green in their tint) have no fat.
    let eye = (1.0 - soft_step(0.88, 1.0, out)) * soft_step(0.08, 0.12, at.tint.y);
    let lip = soft_step(0.55, 1.0, out) * eye * 0.35;
    let deep = at.tint * vec3(0.50, 0.36, 0.25);
    let shallow = at.tint * vec3(1.5, 1.5, 1.4);
    let wall = 1.0 - soft_step(0.0, 0.5, 1.0 - rim) * 0.85;
    let mut surface = at.plain().gloss(0.05, 0.020, 0.3);
    surface.colour = (deep.mix(shallow, wall) * (1.0 + 0.35 * value)).mix(vec3(0.72, 0.47, 0.12), 0.35 * eye);
    surface.normal = bump(at.normal, slope * 0.05 + vec3(-dx, 0.0, -dz) * (lip / radius), 1.0);
    surface
}

/// Shades a swollen grain with its dark crease on top.
pub fn barley(at: &Point) -> Surface {
    let mut surface = butter(at);
    let r = at.in_radii();
    if r.y > 0.0 && r.z.abs() < 0.14 {
        surface.colour = surface.colour * 0.55;
    }
    surface
}

/// Shades butter, almonds, cream, grains of salt: pale, moist, light creeping round.
pub fn butter(at: &Point) -> Surface {
    let (value, slope) = fractal3(at.local * 12.0 + at.seed, 3);
    let mut surface = at.plain().gloss(0.10, 0.045, 0.45);
    surface.colour = at.tint * (1.0 + 0.30 * value);
    surface.normal = bump(at.normal, slope, 1.0 / 24.0);
    surface
}

/// Shades baked salt crust: coarse, matt, browned at its raised parts.
pub fn crust(at: &Point) -> Surface {
    let (value, slope) = fractal3(at.local * 10.0 + at.seed, 3);
    let (fine, fine_slope) = noise3(at.local * 64.0 + at.seed);
    let bake = soft_step(0.05, 0.50, value + 0.25 * at.normal.y - 0.12);
    let mut surface = at.plain().gloss(0.45, 0.03, 0.35);
    surface.colour = (at.tint * (1.0 + 0.12 * value + 0.10 * fine)).mix(vec3(0.50, 0.36, 0.20), 0.55 * bake);
    surface.normal = bump(bump(at.normal, slope, 0.12), fine_slope, 0.22);
    surface
}
