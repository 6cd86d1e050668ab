//! Fruit and leaves.
use super::surface::{Point, Surface, bump};
use crate::noise::{fractal3, noise2, noise3};
use crate::vector::{soft_step, vec3};

/// Shades a slice of plum: dark skin on the outer arc (local z), ruby to amber flesh, a wet glaze.
pub fn plum(at: &Point) -> Surface {
    let r = at.in_radii();
    let (value, slope) = fractal3(at.local * 7.0 + at.seed, 3);
    let skin = soft_step(0.66, 0.80, r.z + 0.07 * value);
    let ripe = soft_step(-0.65, 0.55, r.z + 0.6 * value);
    let flesh = vec3(0.56, 0.20, 0.035).mix(vec3(0.30, 0.016, 0.024), ripe);
    let pulp = noise2(at.place.x * 130.0 + at.place.y * 90.0, at.place.z * 130.0);
    let fibre = 0.20 * noise2(r.x * 7.0 + 3.0 * at.object.seed, r.z * 2.0) + 0.10 * pulp;
    let mut surface = at.plain().gloss(0.06, 0.04, 0.20);
    surface.colour = (flesh * (1.0 + fibre)).mix(vec3(0.070, 0.012, 0.028), skin) * at.tint;
    surface.normal = bump(bump(at.normal, slope, 0.05), vec3(pulp, 0.0, -pulp), 0.05);
    surface.translucency = vec3(0.05, 0.008, 0.004) * (1.0 - skin);
    surface
}

/// Shades a round fruit with a pale bloom and a five-pointed crown on top.
pub fn berry(at: &Point) -> Surface {
    let (value, slope) = fractal3(at.local * 13.0 + at.seed, 3);
    let bloom = soft_step(-0.35, 0.4, value + 0.35 * at.normal.y);
    let r = at.in_radii();
    let points = (5.0 * r.z.atan2(r.x)).cos();
    let from_top = r.off_upright() * if r.y > 0.0 { 1.0 } else { 9.0 };
    let crown = 1.0 - soft_step(0.22 + 0.07 * points, 0.32 + 0.09 * points, from_top);
    let mut surface = at.plain().gloss(0.09 + 0.22 * bloom, 0.035, 0.15);
    let pale = at.tint * 2.0 + vec3(0.06, 0.075, 0.11);
    surface.colour = at.tint.mix(pale, 0.75 * bloom) * (1.0 - 0.85 * crown);
    surface.normal = bump(at.normal, slope, 0.012 + 0.08 * crown);
    surface
}

/// Shades half a lemon: pitted rind, and on the flat disc rind, pith and nine segments of wet pulp.
pub fn lemon(at: &Point) -> Surface {
    /// Waves round the disc, half as many as the nine walls.
    const WALLS: f32 = 4.5;
    let r = at.in_radii();
    if !at.is_cut_face() {
        let (value, slope) = noise3(at.local * 34.0);
        let mut surface = at.plain().gloss(0.16, 0.04, 0.3);
        surface.colour = at.tint * (1.0 + 0.1 * value);
        surface.normal = bump(at.normal, slope, 0.06);
        return surface;
    }
    let (out, bearing) = (r.off_upright(), r.z.atan2(r.x));
    let from_wall = ((bearing * WALLS).sin().abs() * out - 0.055).max(0.0);
    let pith =
        (1.0 - soft_step(0.0, 0.05, from_wall)).max(soft_step(0.78, 0.83, out)).max(1.0 - soft_step(0.05, 0.10, out));
    let pulp = noise2(bearing * 26.0, out * 5.0 + at.object.seed);
    let mut surface = at.plain().gloss(0.07, 0.04, 0.4);
    surface.colour = (vec3(0.72, 0.52, 0.10) * (1.0 + 0.25 * pulp))
        .mix(vec3(0.80, 0.76, 0.58), pith)
        .mix(at.tint, soft_step(0.93, 0.96, out));
    let round = vec3(-bearing.sin(), 0.0, bearing.cos());
    surface.normal = bump(at.normal, round * pulp, 0.25 * (1.0 - pith));
    surface
}

/// Shades a leaf along its own x: pale midrib, slanted veins.
pub fn leaf(at: &Point) -> Surface {
    let r = at.in_radii();
    let midrib = 1.0 - soft_step(0.0, 0.05, r.z.abs());
    let slanted = (r.x * 5.0 + r.z.abs() * 3.0).sin().abs();
    let vein = midrib + 0.5 * (1.0 - soft_step(0.0, 0.16, slanted));
    let (value, slope) = noise3(at.local * 26.0 + at.seed);
    let mut surface = at.plain().gloss(0.20, 0.045, 0.2);
    let pale = at.tint * 1.7 + vec3(0.02, 0.03, 0.0);
    surface.colour = at.tint.mix(pale, 0.5 * vein) * (1.0 + 0.2 * value);
    surface.normal = bump(at.normal, slope, 0.012 + 0.01 * vein);
    surface
}
