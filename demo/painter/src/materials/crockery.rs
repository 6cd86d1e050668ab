//! Stoneware, metal and wooden boards.
use super::surface::{Point, Surface, bump};
use crate::noise::{fractal2, fractal3, noise2, noise3};
use crate::vector::{grey, soft_step, vec3};

/// Shades hand-thrown stoneware: throwing rings, iron specks, glaze thinner and browner at the rim.
pub fn glaze(at: &Point) -> Surface {
    let q = at.local;
    let (value, slope) = noise3(q * 5.0);
    let radius = q.off_upright();
    let ring = (radius * 60.0 + q.y * 70.0 + value).sin();
    let speck = noise2(q.x * 46.0 + 9.0, q.z * 46.0 + q.y * 40.0);
    let outer = at.object.radius();
    let rim = soft_step(outer - 0.045 - 0.015 * value, outer - 0.012, radius) * soft_step(0.0, 0.3, at.normal.y + 0.3);
    let mut surface = at.plain().gloss(0.05 + 0.03 * (1.0 + value), 0.055, 0.0);
    surface.colour = (at.tint * (1.0 + 0.05 * value + 0.015 * ring))
        .mix(vec3(0.16, 0.10, 0.06), 0.75 * soft_step(0.72, 0.86, speck))
        .mix(vec3(0.30, 0.18, 0.09), 0.7 * rim);
    surface.normal = bump(at.normal, slope, 0.010);
    surface
}

/// Shades brushed steel.
pub fn metal(at: &Point) -> Surface {
    let (_, slope) = fractal3(at.local * vec3(2.0, 5.0, 40.0), 2);
    let mut surface = at.plain().gloss(0.14, 0.42, 0.0);
    surface.colour = grey(0.02);
    surface.normal = bump(at.normal, slope, 0.004);
    surface
}

/// Shades a board of oiled wood, grain along its own x.
pub fn board(at: &Point) -> Surface {
    let x = at.local.x * 1.1 + 3.0;
    let z = at.local.z * 7.0 + at.local.y * 5.0;
    let warp = fractal2(x * 0.9, z * 0.3, 3);
    let pores = soft_step(0.3, 0.8, noise2(x * 9.0, z * 22.0));
    let tone = 0.70 + 0.35 * ((z + 5.0 * warp) * 2.2).sin().abs() + 0.35 * fractal2(x * 3.0, z * 8.0, 3) - 0.2 * pores;
    let mut surface = at.plain().gloss(0.34, 0.03, 0.0);
    surface.colour = at.tint * tone;
    surface.normal = bump(at.normal, vec3(0.0, 0.0, noise2(x * 9.0, z * 16.0)), 0.05);
    surface
}
