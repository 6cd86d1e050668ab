//! The light on the visible surfaces, gathered at half size: soft shadows and bounced light from rays, made cheap by
//! sharing samples between neighbours.
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::camera::View;
use crate::light::{WINDOW_RADIANCE, window_form_factor, window_point};
use crate::materials::mean_colour;
use crate::noise::above_floor;
use crate::ray::Ray;
use crate::scene::{FAR, Hit, Scene, TABLE};
use crate::vector::{Vec3, ZERO, vec3};

/// Blur in px above which one point serves 4 x 4 px: the lens hides the difference completely.
const BLOCK_BLUR: f32 = 4.2;

/// Blur in px above which the light of one point serves 8 x 8 px.
const WIDE_BLUR: f32 = 8.0;

/// Reach of rays to the window and into the room, in units of 10 cm.
const WINDOW_REACH: f32 = 7.0;
const ROOM_REACH: f32 = 3.5;

/// Height above a surface at which rays start.
const LIFT: f32 = 0.003;

/// Light returned by an object that a room ray meets: this share of the window's light there...
const BOUNCE: f32 = 0.55;
/// ...and a little of the room's.
const BOUNCED_ROOM: Vec3 = vec3(0.035, 0.036, 0.040);

/// The light at one point; covers 2 x 2 px, or 4 x 4 where its neighbours repeat it.
#[derive(Clone, Copy)]
pub struct LightPoint {
    /// Share of the window visible from here.
    pub window: f32,
    /// Light from all other directions.
    pub room: Vec3,
    /// Surface normal, facing the camera.
    pub normal: Vec3,
    /// Position in the scene.
    pub place: Vec3,
    /// Index into the scene's objects, or `TABLE`.
    pub object: u32,
    /// True if its neighbours in the block repeat it.
    pub repeats: bool,
}

impl LightPoint {
    const NOTHING: LightPoint =
        LightPoint { window: 0.0, room: ZERO, normal: ZERO, place: ZERO, object: TABLE, repeats: false };
}

/// Light points at half the picture's size.
pub struct LightMap {
    /// Light points across.
    pub width: usize,
    /// Light points down.
    pub height: usize,
    points: Vec<LightPoint>,
}

impl LightMap {
    /// Traces the light points of a view and smooths their noise; the result is unfinished if `cancel` is raised.
    pub fn gather(scene: &Scene, view: &View, cancel: &AtomicBool) -> LightMap {
        let blocks = blocks(scene, view);
        let map = LightMap::trace(scene, view, &blocks, cancel);
        // Averages over exactly one 4 x 4 pattern, then over its wider neighbourhood.
        let map = map.smooth([-2, -1, 0, 1], cancel);
        map.smooth([-4, -1, 1, 4], cancel)
    }

    /// Returns the point there, or the nearest one inside.
    pub fn at(&self, x: i32, y: i32) -> &LightPoint {
        let x = x.clamp(0, self.width as i32 - 1) as usize;
        let y = y.clamp(0, self.height as i32 - 1) as usize;
        &self.points[y * self.width + x]
    }

    fn trace(scene: &Scene, view: &View, blocks: &[Block], cancel: &AtomicBool) -> LightMap {
        let (width, height) = (view.width.div_ceil(2), view.height.div_ceil(2));
        let across = width.div_ceil(2);
        let mut points = vec![LightPoint::NOTHING; width * height];
        points.par_chunks_mut(width * 4).enumerate().for_each(|(pair_y, rows)| {
            if cancel.load(Ordering::Relaxed) {
                return;
            }
            let (upper, lower) = rows.split_at_mut(rows.len().min(width * 2));
            for block_x in 0..across {
                let at = (block_x, pair_y * 2);
                trace_block(scene, view, upper, width, at, out_of_focus(blocks, across, at), upper[(block_x & !1) * 2]);
                let at = (block_x, pair_y * 2 + 1);
                if !lower.is_empty() {
                    trace_block(
                        scene,
                        view,
                        lower,
                        width,
                        at,
                        out_of_focus(blocks, across, at),
                        upper[(block_x & !1) * 2],
                    );
                }
            }
        });
        LightMap { width, height, points }
    }

    /// Averages every point with 4 x 4 others at these offsets; never across the edge of an object.
    fn smooth(&self, offsets: [i32; 4], cancel: &AtomicBool) -> LightMap {
        let (width, height) = (self.width, self.height);
        let mut points = vec![LightPoint::NOTHING; width * height];
        points.par_chunks_mut(width * 2).enumerate().for_each(|(block_y, rows)| {
            if cancel.load(Ordering::Relaxed) {
                return;
            }
            for at in 0..rows.len() {
                let (x, y) = (at % width, block_y * 2 + at / width);
                let here = self.points[y * width + x];
                rows[at] = if here.repeats && (x & 1 == 1 || y & 1 == 1) {
                    rows[x & !1]
                } else {
                    self.mean(&here, x as i32, y as i32, offsets)
                };
            }
        });
        LightMap { width, height, points }
    }

    fn mean(&self, here: &LightPoint, x: i32, y: i32, offsets: [i32; 4]) -> LightPoint {
        // Grouped points repeat, so their pattern is twice as wide.
        let stride = if here.repeats { 2 } else { 1 };
        let (mut count, mut window, mut room) = (0.0, 0.0, ZERO);
        for dy in offsets {
            for dx in offsets {
                let other = self.at(x + dx * stride, y + dy * stride);
                if on_one_surface(here, other) {
                    count += 1.0;
                    window += other.window;
                    room = room + other.room;
                }
            }
        }
        let share = 1.0 / f32::max(count, 1.0);
        LightPoint { window: window * share, room: room * share, ..*here }
    }
}

/// True if two points are on one surface: limits in units of 10 cm, found by trial.
fn on_one_surface(here: &LightPoint, other: &LightPoint) -> bool {
    let between = other.place - here.place;
    other.normal.dot(here.normal) > 0.75 && between.dot(here.normal).abs() < 0.02 && between.dot(between) < 0.03
}

/// A block of 4 x 4 px: what the ray through its middle meets, and the lens's blur there, in px.
#[derive(Clone, Copy)]
struct Block {
    ray: Ray,
    hit: Option<Hit>,
    blur: f32,
}

impl Block {
    /// Returns the block's point with a neighbour's light, if the lens hides the difference.
    fn in_the_light_of(&self, neighbour: &LightPoint) -> Option<LightPoint> {
        let hit = self.hit.filter(|_| neighbour.repeats && self.blur > WIDE_BLUR)?;
        let point =
            LightPoint { normal: hit.normal, place: self.ray.at(hit.distance), object: hit.object, ..*neighbour };
        on_one_surface(&point, neighbour).then_some(point)
    }
}

fn blocks(scene: &Scene, view: &View) -> Vec<Block> {
    let across = view.width.div_ceil(4);
    let at = |i: usize| {
        let (x, y) = (i % across, i / across);
        let ray = view.ray(x as f32 * 4.0 + 2.0, y as f32 * 4.0 + 2.0);
        let hit = scene.hit(&ray, FAR);
        let blur = hit.map_or(0.0, |hit| view.blur(view.depth(ray.at(hit.distance))));
        Block { ray, hit, blur }
    };
    (0..across * view.height.div_ceil(4)).into_par_iter().map(at).collect()
}

/// Returns the block if it and all its neighbours are far out of focus.
fn out_of_focus(blocks: &[Block], across: usize, (x, y): (usize, usize)) -> Option<&Block> {
    let down = blocks.len() / across;
    let beside = |at: usize, end: usize| at.saturating_sub(1)..=(at + 1).min(end - 1);
    let beyond = |x: usize, y: usize| blocks[y * across + x].blur > BLOCK_BLUR;
    let all = beside(y, down).all(|y| beside(x, across).all(|x| beyond(x, y)));
    all.then(|| &blocks[y * across + x])
}

/// Fills the 2 x 2 points of a block from one point, or each from its own. Far out of focus the light of `neighbour`, a
/// point of the preceding even block, is reused on the same surface.
fn trace_block(
    scene: &Scene,
    view: &View,
    rows: &mut [LightPoint],
    width: usize,
    (block_x, block_y): (usize, usize),
    block: Option<&Block>,
    neighbour: LightPoint,
) {
    let height = rows.len() / width;
    let inside =
        [(0, 0), (1, 0), (0, 1), (1, 1)].into_iter().filter(|&(dx, dy)| block_x * 2 + dx < width && dy < height);
    if let Some(block) = block {
        let point = match block.in_the_light_of(&neighbour) {
            Some(point) if (block_x | block_y) & 1 == 1 => point,
            _ => trace_light(scene, &block.ray, block.hit, (block_x / 2, block_y / 2)),
        };
        let point = LightPoint { repeats: true, ..point };
        inside.for_each(|(dx, dy)| rows[dy * width + block_x * 2 + dx] = point);
        return;
    }
    for (dx, dy) in inside {
        let (x, y) = (block_x * 2 + dx, block_y * 2 + dy);
        let ray = view.ray(x as f32 * 2.0 + 1.0, y as f32 * 2.0 + 1.0);
        rows[dy * width + x] = trace_light(scene, &ray, scene.hit(&ray, FAR), (x, y));
    }
}

/// Traces one ray to the window and one into the room from where this ray hit. The 16 points of a 4 x 4 pattern
/// (`cell`) use 16 places of one even sequence.
fn trace_light(scene: &Scene, ray: &Ray, hit: Option<Hit>, cell: (usize, usize)) -> LightPoint {
    let Some(hit) = hit else {
        return LightPoint::NOTHING;
    };
    let (normal, place) = (hit.normal, ray.at(hit.distance));
    let from = place + normal * LIFT;
    let turn = ((cell.0 & 3) * 4 + (cell.1 & 3)) as f32 + 0.5;
    // Multiples of the plastic number's powers fill a square evenly.
    let (u, v) = (above_floor(0.5 + turn * 0.754_877_7), above_floor(0.5 + turn * 0.569_840_3));
    let to_window = (window_point(u, v) - from).unit();
    let lit = to_window.dot(normal) > 0.0 && !scene.occluded(&Ray { from, along: to_window }, WINDOW_REACH);
    let along = cosine_weighted(normal, u, v);
    let room = match scene.hit(&Ray { from, along }, ROOM_REACH) {
        None => scene.light.ambient(along),
        Some(met) => {
            let there = from + along * met.distance;
            let light = WINDOW_RADIANCE * (BOUNCE * window_form_factor(there, met.normal, 0.0));
            mean_colour(scene, met.object) * (light + BOUNCED_ROOM * scene.light.fill)
        }
    };
    let window = if lit { 1.0 } else { 0.0 };
    LightPoint { window, room, normal, place, object: hit.object, repeats: false }
}

/// Returns a direction above the surface, steep ones more often (cosine-weighted).
fn cosine_weighted(normal: Vec3, u: f32, v: f32) -> Vec3 {
    let (nx, ny, nz) = (normal.x, normal.y, normal.z);
    let one = if nx.abs() < 0.8 {
        vec3(1.0 - nx * nx, -nx * ny, -nx * nz).unit()
    } else {
        vec3(-nz * nx, -nz * ny, 1.0 - nz * nz).unit()
    };
    let two = normal.cross(one);
    let (radius, (sin, cos)) = (v.sqrt(), (u * std::f32::consts::TAU).sin_cos());
    one * (radius * cos) + two * (radius * sin) + normal * (1.0 - v).sqrt()
}
