//! The light that falls on what the camera sees, gathered at half size: soft shadows and bounced
//! light from rays, made cheap by sharing samples between neighbours. Next: `shading`.
use rayon::prelude::*;

use super::camera::{FAR, View};
use super::light::{WINDOW_LIGHT, ambient, window_at, window_on};
use super::materials::mean_colour;
use super::painting::Stop;
use super::shapes::Ray;
use super::tree::{Scene, TABLE};
use super::vector::{Vec3, ZERO, vec3};

/// Blur in px beyond which one point serves 4 x 4 px: the lens hides the difference completely.
const CALM_BLUR: f32 = 5.0;

/// Rays to the window and into the room end here, in units of 10 cm.
const WINDOW_REACH: f32 = 7.0;
const ROOM_REACH: f32 = 3.5;

/// Rays leave this far above their surface.
const LIFT: f32 = 0.003;

/// What comes back from a thing that a room ray meets: this share of the window's light there...
const BOUNCE: f32 = 0.55;
/// ...and a little of the room's.
const BOUNCED_ROOM: Vec3 = vec3(0.035, 0.036, 0.040);

/// The light at one point; stands for 2 x 2 px, or for 4 x 4 where `whole`.
#[derive(Clone, Copy)]
pub struct LightPoint {
    /// Share of the window that is seen from here.
    pub window: f32,
    /// Light from everywhere else.
    pub room: Vec3,
    pub normal: Vec3,
    pub place: Vec3,
    pub thing: u32,
    pub whole: bool,
}

impl LightPoint {
    const NOTHING: LightPoint =
        LightPoint { window: 0.0, room: ZERO, normal: ZERO, place: ZERO, thing: TABLE, whole: false };
}

/// Light points at half the picture's size.
pub struct LightMap {
    pub width: usize,
    pub height: usize,
    points: Vec<LightPoint>,
}

impl LightMap {
    pub fn gather(scene: &Scene, view: &View, stop: &Stop) -> LightMap {
        let calm = calm_blocks(scene, view);
        let map = LightMap::raw(scene, view, &calm, stop);
        // A mean over exactly one 4 x 4 pattern, then over its wider neighbourhood.
        let map = map.smoothed([-2, -1, 0, 1], stop);
        map.smoothed([-4, -1, 1, 4], stop)
    }

    /// The point there, or the nearest one inside.
    pub fn at(&self, x: i32, y: i32) -> &LightPoint {
        let x = x.clamp(0, self.width as i32 - 1) as usize;
        let y = y.clamp(0, self.height as i32 - 1) as usize;
        &self.points[y * self.width + x]
    }

    fn raw(scene: &Scene, view: &View, calm: &[bool], stop: &Stop) -> LightMap {
        let (width, height) = (view.width.div_ceil(2), view.height.div_ceil(2));
        let across = width.div_ceil(2);
        let mut points = vec![LightPoint::NOTHING; width * height];
        points.par_chunks_mut(width * 2).enumerate().for_each(|(block_y, rows)| {
            if stop.asked() {
                return;
            }
            for block_x in 0..across {
                let whole = calm[block_y * across + block_x];
                raw_block(scene, view, rows, width, (block_x, block_y), whole);
            }
        });
        LightMap { width, height, points }
    }

    /// Every point's mean with 4 x 4 others at these offsets; never across an edge of things.
    fn smoothed(&self, offsets: [i32; 4], stop: &Stop) -> LightMap {
        let (width, height) = (self.width, self.height);
        let mut points = vec![LightPoint::NOTHING; width * height];
        points.par_chunks_mut(width * 2).enumerate().for_each(|(block_y, rows)| {
            if stop.asked() {
                return;
            }
            for at in 0..rows.len() {
                let (x, y) = (at % width, block_y * 2 + at / width);
                let here = self.points[y * width + x];
                rows[at] = if here.whole && (x & 1 == 1 || y & 1 == 1) {
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
        let stride = if here.whole { 2 } else { 1 };
        let (mut count, mut window, mut room) = (0.0, 0.0, ZERO);
        for dy in offsets {
            for dx in offsets {
                let other = self.at(x + dx * stride, y + dy * stride);
                if alike(here, other) {
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

/// Whether two points lie on one surface: limits in units of 10 cm, found by trial.
fn alike(here: &LightPoint, other: &LightPoint) -> bool {
    let between = other.place - here.place;
    other.normal.dot(here.normal) > 0.75 && between.dot(here.normal).abs() < 0.02 && between.dot(between) < 0.03
}

/// Which blocks of 4 x 4 px lie, with all their neighbours, far out of focus.
fn calm_blocks(scene: &Scene, view: &View) -> Vec<bool> {
    let across = view.width.div_ceil(2).div_ceil(2);
    let down = view.height.div_ceil(2).div_ceil(2);
    let mut blur = vec![0f32; across * down];
    blur.par_chunks_mut(across).enumerate().for_each(|(y, row)| {
        for (x, out) in row.iter_mut().enumerate() {
            let ray = view.ray(x as f32 * 4.0 + 2.0, y as f32 * 4.0 + 2.0);
            let hit = scene.first(&ray, FAR);
            *out = hit.map_or(0.0, |hit| view.blur(view.depth(ray.at(hit.distance))));
        }
    });
    let beyond = |x: i32, y: i32| {
        let x = x.clamp(0, across as i32 - 1) as usize;
        let y = y.clamp(0, down as i32 - 1) as usize;
        blur[y * across + x] > CALM_BLUR
    };
    (0..across * down)
        .map(|i| {
            let (x, y) = ((i % across) as i32, (i / across) as i32);
            (-1..=1).all(|dy| (-1..=1).all(|dx| beyond(x + dx, y + dy)))
        })
        .collect()
}

/// Fills the 2 x 2 points of one block from one point, or each from its own.
fn raw_block(
    scene: &Scene,
    view: &View,
    rows: &mut [LightPoint],
    width: usize,
    (block_x, block_y): (usize, usize),
    whole: bool,
) {
    let height = rows.len() / width;
    let inside =
        [(0, 0), (1, 0), (0, 1), (1, 1)].into_iter().filter(|&(dx, dy)| block_x * 2 + dx < width && dy < height);
    if whole {
        let ray = view.ray(block_x as f32 * 4.0 + 2.0, block_y as f32 * 4.0 + 2.0);
        let point = light_at(scene, &ray, (block_x, block_y), true);
        inside.for_each(|(dx, dy)| rows[dy * width + block_x * 2 + dx] = point);
        return;
    }
    for (dx, dy) in inside {
        let (x, y) = (block_x * 2 + dx, block_y * 2 + dy);
        let ray = view.ray(x as f32 * 2.0 + 1.0, y as f32 * 2.0 + 1.0);
        rows[dy * width + x] = light_at(scene, &ray, (x, y), false);
    }
}

/// One ray to the window and one into the room from what this ray meets. The 16 points of a
/// 4 x 4 pattern (`cell`) use 16 places of one even sequence.
fn light_at(scene: &Scene, ray: &Ray, cell: (usize, usize), whole: bool) -> LightPoint {
    let Some(hit) = scene.first(ray, FAR) else {
        return LightPoint::NOTHING;
    };
    let (normal, place) = (hit.normal, ray.at(hit.distance));
    let from = place + normal * LIFT;
    let turn = ((cell.0 & 3) * 4 + (cell.1 & 3)) as f32 + 0.5;
    // Multiples of the plastic number's powers fill a square evenly.
    let (u, v) = ((0.5 + turn * 0.754_877_7).fract(), (0.5 + turn * 0.569_840_3).fract());
    let to_window = (window_at(u, v) - from).unit();
    let lit = to_window.dot(normal) > 0.0 && !scene.blocked(&Ray { from, along: to_window }, WINDOW_REACH);
    let along = over_the_surface(normal, u, v);
    let fill = scene.look.fill;
    let room = match scene.first(&Ray { from, along }, ROOM_REACH) {
        None => ambient(along, fill),
        Some(met) => {
            let there = from + along * met.distance;
            let light = WINDOW_LIGHT * (BOUNCE * window_on(there, met.normal, 0.0));
            mean_colour(scene, met.thing) * (light + BOUNCED_ROOM * fill)
        }
    };
    let window = if lit { 1.0 } else { 0.0 };
    LightPoint { window, room, normal, place, thing: hit.thing, whole }
}

/// A direction over the surface, the steep ones more often (cosine-weighted).
fn over_the_surface(normal: Vec3, u: f32, v: f32) -> Vec3 {
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
