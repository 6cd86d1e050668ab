//! The ground of every picture: wooden boards with linen on them.
use std::f32::consts::TAU;

use super::surface::Surface;
use crate::noise::{above_floor, floor_to_int, fractal2, hash, noise2};
use crate::scene::Table;
use crate::vector::{Vec3, ZERO, soft_step, vec3};

/// Threads of the linen per unit (10 cm).
const THREADS: f32 = 92.0;
/// Point sizes between which the weave fades, or it would turn into waves.
const WEAVE_FADES: (f32, f32) = (0.004, 0.012);
/// Boards per unit across the table.
const BOARDS: f32 = 0.62;

/// Returns the table's surface at this point; `footprint` is the size that one point covers, in units of 10 cm.
pub fn surface(table: &Table, place: Vec3, footprint: f32) -> Surface {
    let fine = 1.0 - soft_step(WEAVE_FADES.0, WEAVE_FADES.1, footprint);
    let (sin, cos) = table.linen_yaw.sin_cos();
    let across = place.x * cos + place.z * sin;
    let along = place.z * cos - place.x * sin;
    let ragged = 0.03 * noise2(across * 2.0, 5.0) + 0.05 * noise2(across * 0.7, 9.0);
    let inside = along - table.linen_edge - ragged;
    if inside > 0.0 {
        linen(table.linen, (across, along), inside, (sin, cos), fine)
    } else {
        wood(table.wood, place, inside, fine)
    }
}

/// Returns the height of the cloth's broad soft folds.
fn fold(x: f32, z: f32) -> f32 {
    let wave = (1.1 * x + 1.5 * z + 3.2 * fractal2(x * 0.40 + 4.0, z * 0.40, 2)).sin();
    0.085 * wave * wave * wave + 0.17 * fractal2(x * 0.9, z * 0.8 + 3.0, 2)
}

/// Returns linen: two crossed sets of uneven threads, slubs, folds, a stitched hem.
fn linen(colour: Vec3, (x, z): (f32, f32), inside: f32, (sin, cos): (f32, f32), fine: f32) -> Surface {
    const STEP: f32 = 0.03;
    let here = fold(x, z);
    let slope_x = (fold(x + STEP, z) - here) / STEP;
    let slope_z = (fold(x, z + STEP) - here) / STEP;
    let warp = x * THREADS + 0.7 * noise2(x * 3.0, z * 9.0);
    let weft = z * THREADS + 0.7 * noise2(x * 9.0, z * 3.0);
    let (wave_x, wave_z) = ((warp * TAU).sin(), (weft * TAU).sin());
    let slub =
        0.5 * noise2(floor_to_int(warp) as f32 * 1.3, z * 2.2) + 0.5 * noise2(x * 2.2, floor_to_int(weft) as f32 * 1.3);
    let weave = fine * 0.10 * wave_x * wave_z;
    let (gx, gz) = (slope_x + fine * 0.20 * wave_z, slope_z + fine * 0.20 * wave_x);
    let normal = vec3(-(gx * cos - gz * sin), 1.0, -(gz * cos + gx * sin)).unit();
    let stitched = (inside - 0.13).abs() < 0.012 && above_floor(x * 22.0) < 0.7;
    let hem = if stitched { 0.8 } else { 1.0 };
    let edge = 0.86 + 0.14 * soft_step(0.0, 0.02, inside);
    // No reflection at all: any sheen looks like plastic.
    let colour = colour * ((1.0 + 0.09 * slub + weave) * hem * edge);
    Surface { colour, normal, roughness: 0.8, reflectance: 0.0, wrap: 0.15, translucency: ZERO }
}

/// Returns wood: boards along x with long grain, pores and seams, and the cloth's contact shadow.
fn wood(colour: Vec3, place: Vec3, outside: f32, fine: f32) -> Surface {
    let across = place.z * BOARDS + 40.35;
    let board = floor_to_int(across);
    let in_board = above_floor(across);
    let shift = board as f32;
    let (gx, gz) = (place.x * 0.55 + shift * 17.3, place.z * 4.5 + shift * 5.1);
    let warp = fractal2(gx * 0.8, gz * 0.35, 3);
    let ring = ((gz + warp * 4.2) * 3.1).sin() * 0.5 + 0.5;
    let pore = noise2(gx * 7.0, gz * 30.0);
    let streak = fractal2(gx * 2.2, gz * 9.0, 3);
    let tone = 0.72 + 0.22 * ring + 0.30 * streak + 0.16 * hash(board, 3, 9) - 0.22 * soft_step(0.25, 0.8, pore);
    let seam = soft_step(0.0, 0.012, in_board.min(1.0 - in_board));
    let under_cloth = 1.0 - 0.55 * (1.0 - soft_step(0.0, 0.10, -outside));
    let lip = (1.0 - seam) * (in_board - 0.5).signum() * 0.5;
    let normal = vec3(0.02 * noise2(gx * 9.0, gz * 3.0), 1.0, 0.10 * pore * fine + lip + 0.05 * streak);
    Surface {
        colour: colour * (tone * (0.25 + 0.75 * seam) * under_cloth),
        normal: normal.unit(),
        roughness: 0.36 + 0.1 * pore,
        // A higher reflectance turns wood milky.
        reflectance: 0.018 * seam,
        wrap: 0.0,
        translucency: ZERO,
    }
}
