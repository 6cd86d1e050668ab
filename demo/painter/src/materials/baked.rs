//! Food from the oven or the pan.
use super::surface::{Point, Surface, bump};
use crate::noise::{fractal3, noise2, noise3};
use crate::shapes::Shape;
use crate::vector::{soft_step, vec3};

/// Shades short pastry: browner where it is raised, two scales of crumb.
pub fn pastry(at: &Point) -> Surface {
    let (value, slope) = fractal3(at.local * 9.0 + at.seed, 3);
    let (crumb, crumb_slope) = noise3(at.local * 60.0 + at.seed);
    let bake = (0.40 + 1.1 * value + 0.35 * at.normal.y + 0.15 * crumb).clamp(0.0, 1.0);
    let mut surface = at.plain().gloss(0.42, 0.025, 0.15);
    surface.colour = vec3(0.70, 0.43, 0.17).mix(vec3(0.30, 0.115, 0.030), bake * 0.9) * at.tint;
    surface.normal = bump(bump(at.normal, slope, 0.10), crumb_slope, 0.20);
    surface
}

/// Shades a smooth set cream, browned in patches.
pub fn custard(at: &Point) -> Surface {
    let (value, slope) = fractal3(at.place * 4.0, 3);
    let mut surface = at.plain().gloss(0.16, 0.04, 0.3);
    surface.colour = at.tint.mix(at.tint * vec3(0.62, 0.42, 0.25), soft_step(0.0, 0.5, value));
    surface.normal = bump(at.normal, slope, 0.03);
    surface
}

/// Shades a thin pancake with brown lace, browner towards its edge.
pub fn crepe(at: &Point) -> Surface {
    let (p, shift) = (at.place, at.object.seed);
    let (value, _) = fractal3(p * vec3(2.2, 1.0, 2.2) + at.seed, 4);
    let lace = noise2(p.x * 11.0 + shift, p.z * 11.0 - shift) + 0.6 * noise2(p.x * 27.0, p.z * 27.0 + shift);
    let (fine, slope) = fractal3(p * 24.0 + at.seed, 2);
    let r = at.in_radii();
    let edge = match at.object.shape {
        Shape::Ellipsoid(_) => 0.5 * soft_step(0.86, 0.99, r.off_upright()),
        Shape::Lathe(_) | Shape::Cuboid(_) => 0.0,
    };
    let brown = soft_step(-0.35, 0.80, lace * 0.6 + value + 0.1 * fine + edge) * soft_step(0.1, 0.6, at.normal.y);
    let pitted = vec3(noise2(p.x * 150.0, p.z * 150.0), 0.0, noise2(p.x * 150.0, 9.0 - p.z * 150.0));
    let mut surface = at.plain().gloss(0.26, 0.03, 0.3);
    surface.colour = vec3(0.74, 0.47, 0.19).mix(vec3(0.30, 0.105, 0.025), brown) * at.tint * (1.0 + 0.12 * fine);
    surface.normal = bump(bump(at.normal, slope, 0.06), pitted, 0.09);
    surface
}

/// Shades dark rye: a moist crumb with holes and seeds on the cut faces, a floury crust round the sides.
pub fn rye(at: &Point) -> Surface {
    let (value, slope) = fractal3(at.local * 16.0 + at.seed, 3);
    let (fine, fine_slope) = noise3(at.local * 55.0 + at.seed);
    let (seeds, _) = noise3(at.local * vec3(20.0, 30.0, 34.0) + at.seed * 2.0);
    let r = at.in_radii();
    // Crust within a tenth of the outer edge of the slice.
    let crust = soft_step(0.90, 0.97, r.x.abs().max(r.z.abs()) + 0.03 * value);
    let hole = soft_step(0.30, 0.55, value + 0.2 * fine);
    let crumb = vec3(0.185, 0.098, 0.046) * (1.0 + 0.45 * value + 0.20 * fine);
    let crumb = crumb.mix(vec3(0.050, 0.024, 0.012), 0.75 * hole);
    let crumb = crumb.mix(vec3(0.42, 0.29, 0.14), 0.8 * soft_step(0.62, 0.74, seeds));
    let flour = soft_step(0.0, 0.5, value + 0.4 * fine);
    let rind = vec3(0.085, 0.042, 0.020).mix(vec3(0.34, 0.27, 0.19), 0.45 * flour);
    let mut surface = at.plain().gloss(0.45, 0.02, 0.15);
    surface.colour = crumb.mix(rind, crust) * at.tint;
    surface.normal = bump(bump(at.normal, slope, 0.09), fine_slope, 0.16);
    surface
}
