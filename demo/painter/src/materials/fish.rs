//! Fish and seafood: oysters in their shells, smoked mackerel.
use super::surface::{Point, Surface, bump};
use crate::noise::{fractal3, noise2, noise3};
use crate::shapes::Shape;
use crate::vector::{soft_step, vec3};

/// Shades an open shell: layered and rough outside, pale with a faint sheen and a dark rim inside. The tint's red is
/// the radius at which the inside ends.
pub fn shell(at: &Point) -> Surface {
    let Shape::Ellipsoid(ellipsoid) = &at.object.shape else {
        return at.plain();
    };
    let shrink = ellipsoid.radii.inverse();
    let inside = ellipsoid.axes.to_local(at.normal).dot(at.local * shrink * shrink) < 0.0;
    let (value, slope) = fractal3(at.local * 6.0 + at.seed, 3);
    let mut surface = at.plain();
    if inside {
        let radius = at.local.off_upright();
        let sheen = (7.0 * radius + 3.0 * value).sin();
        let rim = soft_step(0.86, 1.04, radius / at.tint.x + 0.15 * value);
        surface.colour = (vec3(0.80, 0.775, 0.74) + vec3(0.05, 0.0, 0.05) * sheen).mix(vec3(0.22, 0.20, 0.24), rim);
        surface.normal = bump(at.normal, slope, 0.02);
        surface.gloss(0.07, 0.06, 0.0)
    } else {
        let layer = ((at.local.y * 60.0 + 6.0 * value).sin() * 0.5 + 0.5) * 0.6 + 0.4;
        surface.colour = vec3(0.30, 0.27, 0.22) * (layer * (1.0 + 0.9 * value));
        surface.normal = bump(at.normal, slope, 0.22);
        surface.gloss(0.5, 0.04, 0.0)
    }
}

/// Shades the oyster's flesh: cream in a dark pleated mantle, wet.
pub fn oyster(at: &Point) -> Surface {
    let (value, slope) = fractal3(at.local * 4.0 + at.seed, 3);
    let r = at.in_radii();
    let bearing = r.z.atan2(r.x);
    let out = r.off_upright() + 0.20 * value + 0.05 * (bearing * 9.0).sin();
    let mantle = soft_step(0.55, 0.85, out);
    let pleat = (bearing * 26.0 + 4.0 * value).cos();
    let round = vec3(-bearing.sin(), 0.0, bearing.cos());
    let mut surface = at.plain().gloss(0.17, 0.04, 0.45);
    surface.colour = (at.tint * (1.0 + 0.5 * value)).mix(vec3(0.060, 0.050, 0.040), 0.9 * mantle);
    surface.normal = bump(bump(at.normal, slope, 0.10), round * pleat, 0.05 * mantle);
    surface.translucency = vec3(0.05, 0.04, 0.022) * (1.0 - mantle);
    surface
}

/// Shades mackerel skin, smoked to gold: dark wavy bars over the back (local z > 0), a bronze flank, a pale belly. Long
/// side along x.
pub fn smoked_skin(at: &Point) -> Surface {
    let r = at.in_radii();
    let (value, slope) = fractal3(at.local * vec3(5.0, 8.0, 8.0) + at.seed, 3);
    let back = soft_step(-0.45, 0.10, r.z + 0.08 * value);
    let belly = soft_step(-0.60, -0.95, r.z + 0.15 * value);
    let wave = at.local.x * 34.0 + 5.0 * noise2(r.z * 2.6 + at.object.seed, at.local.x * 1.5);
    let bars = soft_step(-0.70, -0.25, r.z + 0.2 * value);
    let bar = soft_step(-0.1, 0.45, wave.sin() + 0.25 * value) * bars;
    let bronze = vec3(0.44, 0.27, 0.075);
    let steel = vec3(0.175, 0.165, 0.105);
    let (scale, scale_slope) = noise3(at.local * 75.0 + at.seed);
    let mut surface = at.plain().gloss(0.36, 0.045, 0.10);
    surface.colour =
        bronze.mix(steel, back).mix(vec3(0.60, 0.50, 0.32), belly).mix(vec3(0.022, 0.024, 0.024), 0.9 * bar)
            * (at.tint * (1.0 + 0.18 * value + 0.08 * scale));
    surface.normal = bump(bump(at.normal, slope, 0.012), scale_slope, 0.010);
    surface
}

/// Shades smoked flesh: tan flakes separated by slanted lines.
pub fn smoked_flesh(at: &Point) -> Surface {
    let r = at.in_radii();
    let (value, slope) = fractal3(at.local * 9.0 + at.seed, 3);
    let (fine, fine_slope) = noise3(at.local * vec3(30.0, 60.0, 60.0) + at.seed);
    let flake = (at.local.x * 30.0 + 4.0 * r.z.abs() + 5.0 * value).sin();
    let gap = soft_step(0.55, 1.0, flake);
    let mut surface = at.plain().gloss(0.15, 0.04, 0.35);
    surface.colour = vec3(0.62, 0.41, 0.225)
        .mix(vec3(0.44, 0.235, 0.10), soft_step(-0.1, 0.5, value))
        .mix(vec3(0.30, 0.145, 0.062), 0.7 * gap)
        * (at.tint * (1.0 + 0.15 * fine));
    let ridge = at.to_scene(vec3(flake * 0.4, 0.0, 0.0));
    surface.normal = bump(bump(bump(at.normal, slope, 0.06), ridge, 0.3), fine_slope, 0.05);
    surface
}
