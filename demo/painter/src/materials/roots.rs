//! Roots and stems.
use super::surface::{Point, Surface, bump};
use crate::noise::{fractal3, noise2, noise3};
use crate::vector::{soft_step, vec3};

/// Shades cooked carrot, wet.
pub fn carrot(at: &Point) -> Surface {
    let (value, slope) = fractal3(at.local * 14.0 + at.seed, 2);
    let mut surface = at.plain().gloss(0.08, 0.04, 0.35);
    surface.colour = at.tint * (1.0 + 0.35 * value);
    surface.normal = bump(at.normal, slope, 0.03);
    surface
}

/// Shades a halved leek along its own x, white root at -x, green at +x; the flat cut side is up (local y). The cut has
/// the layers as long lines, the round side their fine ribs; browned by the pan.
pub fn leek(at: &Point) -> Surface {
    let r = at.in_radii();
    let is_cut = r.y > 0.9;
    let (value, slope) = fractal3(at.local * vec3(3.0, 10.0, 14.0) + at.seed, 3);
    let wander = 0.05 * noise2(r.x * 3.0 + at.object.seed, 2.0);
    let layer = ((r.z + wander) * 21.0 + 0.8 * value).sin();
    let rib = noise2(r.x * 2.5, r.z * 60.0 + at.object.seed);
    let green = soft_step(-0.25, 0.75, r.x + 0.25 * value);
    let inner = 1.0 - soft_step(0.0, 0.5, r.z.abs());
    let white = vec3(0.66, 0.62, 0.40).mix(vec3(0.62, 0.60, 0.26), inner);
    let pale = vec3(0.34, 0.42, 0.10);
    let deep = vec3(0.085, 0.155, 0.030);
    let tone = white.mix(pale, soft_step(0.0, 0.55, green)).mix(deep, soft_step(0.5, 1.0, green));
    let seam = if is_cut { soft_step(0.35, 0.95, layer) } else { 0.0 };
    // Browned in butter: the raised parts of the cut, most in the white half.
    let (patch, _) = fractal3(at.place * vec3(3.2, 1.0, 3.2) + at.seed, 3);
    let brown = if is_cut { soft_step(-0.12, 0.30, patch + 0.10 * layer) * (1.0 - 0.6 * green) } else { 0.0 };
    let mut surface = at.plain().gloss(0.20, 0.035, 0.30);
    surface.colour = (tone * (1.0 + 0.16 * rib + 0.10 * value))
        .mix(tone * vec3(0.52, 0.50, 0.34), 0.8 * seam)
        .mix(vec3(0.25, 0.110, 0.028), 0.85 * brown)
        * at.tint;
    let ridge = at.to_scene(vec3(0.0, 0.0, layer));
    surface.normal = bump(bump(at.normal, slope, 0.03), ridge, if is_cut { 0.12 } else { 0.06 });
    surface
}

/// Shades a slice or wedge of cooked beetroot: ruby with pale rings round its own y, wet.
pub fn beetroot(at: &Point) -> Surface {
    let r = at.in_radii();
    let (value, slope) = fractal3(at.local * 8.0 + at.seed, 3);
    let (fine, fine_slope) = noise3(at.local * 70.0 + at.seed);
    let out = r.off_upright();
    let ring = (out * 17.0 + 1.6 * value).sin() * 0.5 + 0.5;
    let skin = if at.is_thick() { 1.0 } else { soft_step(0.90, 0.98, out + 0.03 * value) };
    let flesh = vec3(0.215, 0.006, 0.030).mix(vec3(0.42, 0.022, 0.075), 0.75 * ring * ring);
    let mut surface = at.plain().gloss(0.16, 0.035, 0.25);
    surface.colour = (flesh * (1.0 + 0.25 * value + 0.12 * fine)).mix(vec3(0.060, 0.006, 0.014), 0.8 * skin) * at.tint;
    surface.normal = bump(bump(at.normal, slope, 0.025), fine_slope, 0.008);
    surface.translucency = vec3(0.060, 0.002, 0.006) * (1.0 - skin);
    surface
}

/// Shades a thin disc of radish: white with faint rays, a pink rim.
pub fn radish(at: &Point) -> Surface {
    let r = at.in_radii();
    let (out, bearing) = (r.off_upright(), r.z.atan2(r.x));
    let (value, slope) = noise3(at.local * 22.0 + at.seed);
    let ray = noise2(bearing * 9.0 + at.object.seed, out * 1.5);
    let rim = soft_step(0.83, 0.93, out + 0.03 * value);
    let core = vec3(0.74, 0.72, 0.66) * (1.0 + 0.07 * ray + 0.05 * value);
    let mut surface = at.plain().gloss(0.12, 0.04, 0.4);
    surface.colour = core.mix(vec3(0.50, 0.035, 0.085), rim) * at.tint;
    surface.normal = bump(at.normal, slope, 0.02);
    surface.translucency = vec3(0.03, 0.025, 0.022) * (1.0 - rim);
    surface
}
