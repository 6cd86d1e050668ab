//! The light that falls on what the camera sees, gathered at half size: soft shadows and bounced
//! light from rays, made cheap by sharing samples between neighbours. Next: `shading`.
use rayon::prelude::*;

use super::camera::{FAR, View};
use super::light::{WINDOW_LIGHT, ambient, window_at, window_on};
use super::materials::mean_colour;
use super::noise::above_floor;
use super::painting::Stop;
use super::shapes::Ray;
use super::tree::{Hit, Scene, TABLE};
use super::vector::{Vec3, ZERO, vec3};

/// Blur in px beyond which one point serves 4 x 4 px: the lens hides the difference completely.
const CALM_BLUR: f32 = 4.2;

/// Blur in px beyond which the light of one point serves 8 x 8 px.
const FAR_OUT_BLUR: f32 = 8.0;

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
        let blocks = blocks(scene, view);
        let map = LightMap::raw(scene, view, &blocks, stop);
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

    fn raw(scene: &Scene, view: &View, blocks: &[Block], stop: &Stop) -> LightMap {
        let (width, height) = (view.width.div_ceil(2), view.height.div_ceil(2));
        let across = width.div_ceil(2);
        let mut points = vec![LightPoint::NOTHING; width * height];
        points.par_chunks_mut(width * 4).enumerate().for_each(|(pair_y, rows)| {
            if stop.asked() {
                return;
            }
            let (upper, lower) = rows.split_at_mut(rows.len().min(width * 2));
            for block_x in 0..across {
                let at = (block_x, pair_y * 2);
                raw_block(scene, view, upper, width, at, calm(blocks, across, at), upper[(block_x & !1) * 2]);
                let at = (block_x, pair_y * 2 + 1);
                if !lower.is_empty() {
                    raw_block(scene, view, lower, width, at, calm(blocks, across, at), upper[(block_x & !1) * 2]);
                }
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

/// 4 x 4 px: what the ray through their middle meets, and how the lens blurs it, in px.
#[derive(Clone, Copy)]
struct Block {
    ray: Ray,
    hit: Option<Hit>,
    blur: f32,
}

impl Block {
    /// The block's point with another's light, if the lens hides the difference.
    fn under_the_light_of(&self, lead: &LightPoint) -> Option<LightPoint> {
        let hit = self.hit.filter(|_| lead.whole && self.blur > FAR_OUT_BLUR)?;
        let point = LightPoint { normal: hit.normal, place: self.ray.at(hit.distance), thing: hit.thing, ..*lead };
        alike(&point, lead).then_some(point)
    }
}

fn blocks(scene: &Scene, view: &View) -> Vec<Block> {
    let across = view.width.div_ceil(4);
    let at = |i: usize| {
        let (x, y) = (i % across, i / across);
        let ray = view.ray(x as f32 * 4.0 + 2.0, y as f32 * 4.0 + 2.0);
        let hit = scene.first(&ray, FAR);
        let blur = hit.map_or(0.0, |hit| view.blur(view.depth(ray.at(hit.distance))));
        Block { ray, hit, blur }
    };
    (0..across * view.height.div_ceil(4)).into_par_iter().map(at).collect()
}

/// The block, if it lies far out of focus with all its neighbours.
fn calm(blocks: &[Block], across: usize, (x, y): (usize, usize)) -> Option<&Block> {
    let down = blocks.len() / across;
    let beside = |at: usize, end: usize| at.saturating_sub(1)..=(at + 1).min(end - 1);
    let beyond = |x: usize, y: usize| blocks[y * across + x].blur > CALM_BLUR;
    let all = beside(y, down).all(|y| beside(x, across).all(|x| beyond(x, y)));
    all.then(|| &blocks[y * across + x])
}

/// Fills the 2 x 2 points of one block from one point, or each from its own. Far out of focus the light of
/// `lead`, a point of the even block before it, serves the same surface here.
fn raw_block(
    scene: &Scene,
    view: &View,
    rows: &mut [LightPoint],
    width: usize,
    (block_x, block_y): (usize, usize),
    calm: Option<&Block>,
    lead: LightPoint,
) {
    let height = rows.len() / width;
    let inside =
        [(0, 0), (1, 0), (0, 1), (1, 1)].into_iter().filter(|&(dx, dy)| block_x * 2 + dx < width && dy < height);
    if let Some(block) = calm {
        let point = match block.under_the_light_of(&lead) {
            Some(point) if (block_x | block_y) & 1 == 1 => point,
            _ => light_at(scene, &block.ray, block.hit, (block_x / 2, block_y / 2)),
        };
        let point = LightPoint { whole: true, ..point };
        inside.for_each(|(dx, dy)| rows[dy * width + block_x * 2 + dx] = point);
        return;
    }
    for (dx, dy) in inside {
        let (x, y) = (block_x * 2 + dx, block_y * 2 + dy);
        let ray = view.ray(x as f32 * 2.0 + 1.0, y as f32 * 2.0 + 1.0);
        rows[dy * width + x] = light_at(scene, &ray, scene.first(&ray, FAR), (x, y));
    }
}

/// One ray to the window and one into the room from what this ray has met. The 16 points of a
/// 4 x 4 pattern (`cell`) use 16 places of one even sequence.
fn light_at(scene: &Scene, ray: &Ray, hit: Option<Hit>, cell: (usize, usize)) -> LightPoint {
    let Some(hit) = hit else {
        return LightPoint::NOTHING;
    };
    let (normal, place) = (hit.normal, ray.at(hit.distance));
    let from = place + normal * LIFT;
    let turn = ((cell.0 & 3) * 4 + (cell.1 & 3)) as f32 + 0.5;
    // Multiples of the plastic number's powers fill a square evenly.
    let (u, v) = (above_floor(0.5 + turn * 0.754_877_7), above_floor(0.5 + turn * 0.569_840_3));
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
    LightPoint { window, room, normal, place, thing: hit.thing, whole: false }
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
