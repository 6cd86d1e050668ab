//! The full-size pass: what every pixel's ray hits, its material, and its light from the half-size map. Blocks that the
//! lens will blur well beyond their size are painted once.
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::camera::View;
use crate::light::{OPEN_AMBIENT, WINDOW_RADIANCE, reflection, window_form_factor};
use crate::lightmap::{LightMap, LightPoint};
use crate::materials::{Surface, surface_at};
use crate::noise::{floor_to_int, hash};
use crate::ray::Ray;
use crate::scene::{FAR, Hit, Scene};
use crate::vector::{Vec3, ZERO, grey, vec3};

/// Linear red, green, blue, and the diameter of the lens blur in px.
pub type Sample = [f32; 4];

/// Blur in px above which one point serves 2 x 2 px.
const PAIR_BLUR: f32 = 2.6;
/// Blur in px below which edges get two points per pixel.
const EDGE_BLUR: f32 = 2.5;
const EDGE_POINTS: usize = 2;
/// Brightest level allowed in a mean of points or for a whole block; brighter sparkles would become crosses.
const BRIGHTEST: f32 = 3.0;

/// The 2 x 2 positions in a block.
const CORNERS: [(usize, usize); 4] = [(0, 0), (1, 0), (0, 1), (1, 1)];

/// Paints all pixels in linear light, `view.width` per row.
pub fn shade(scene: &Scene, view: &View, light: &LightMap, cancel: &AtomicBool) -> Vec<Sample> {
    let mut samples = vec![[0f32; 4]; view.width * view.height];
    let shader = Shader { scene, view, light };
    samples.par_chunks_mut(view.width * 4).enumerate().for_each(|(block_y, rows)| {
        if cancel.load(Ordering::Relaxed) {
            return;
        }
        for block_x in 0..light.width.div_ceil(2) {
            shader.block(rows, block_x, block_y);
        }
    });
    samples
}

/// The target of the rays of 2 x 2 px, as far as the surrounding light points show.
#[derive(Clone, Copy, PartialEq)]
enum Met {
    /// This object, with nothing in front of it.
    Only(u32),
    /// Unknown.
    Anything,
    /// The edge of something, in focus.
    Edge,
}

struct Shader<'a> {
    scene: &'a Scene,
    view: &'a View,
    light: &'a LightMap,
}

impl Shader<'_> {
    /// Paints 4 x 4 px: at once if their light point covers all of them, otherwise in blocks of 2 x 2.
    fn block(&self, rows: &mut [Sample], block_x: usize, block_y: usize) {
        let first = self.light.at(block_x as i32 * 2, block_y as i32 * 2);
        let all = first.repeats.then(|| self.at_light_point(first, block_x, block_y, 4));
        for (dx, dy) in CORNERS {
            let (x, y) = (block_x * 2 + dx, block_y * 2 + dy);
            if x >= self.light.width || y >= self.light.height {
                continue;
            }
            self.pair(rows, (x, y), block_y * 4, all);
        }
    }

    /// Paints 2 x 2 px round one light point; `top` is the picture row with which `rows` begins.
    fn pair(&self, rows: &mut [Sample], (i, j): (usize, usize), top: usize, all: Option<Sample>) {
        let view = self.view;
        let mut once = all;
        let mut met = Met::Anything;
        if once.is_none() {
            let at = |dx: i32, dy: i32| self.light.at(i as i32 + dx, j as i32 + dy);
            let here = at(0, 0);
            let beside = [at(1, 0), at(-1, 0), at(0, 1), at(0, -1)];
            let blur = |point: &LightPoint| view.blur(view.depth(point.place));
            let least = beside
                .iter()
                .chain(&[here, at(2, 2), at(-2, -2)])
                .fold(f32::MAX, |least, point| least.min(blur(point)));
            if least > PAIR_BLUR {
                once = Some(self.at_light_point(here, i, j, 2));
            }
            let another = |p: &&LightPoint| p.object != here.object || p.normal.dot(here.normal) < 0.6;
            met = if least < EDGE_BLUR && beside.iter().any(another) {
                Met::Edge
            } else if beside.iter().all(|p| p.object == here.object) {
                Met::Only(here.object)
            } else {
                Met::Anything
            };
        }
        for (dx, dy) in CORNERS {
            let (x, y) = (i * 2 + dx, j * 2 + dy);
            if x < view.width && y < view.height {
                let sample = once.unwrap_or_else(|| self.pixel(x, y, met));
                rows[(y - top) * view.width + x] = sample;
            }
        }
    }

    /// Paints a block of `size` px at its light point.
    fn at_light_point(&self, point: &LightPoint, i: usize, j: usize, size: usize) -> Sample {
        let to_point = point.place - self.view.eye;
        let distance = to_point.length();
        let ray = Ray { from: self.view.eye, along: to_point * (1.0 / distance) };
        let hit = Hit { distance, normal: point.normal, object: point.object };
        let middle = |index: usize| (index * size + size / 2) as f32;
        let [r, g, b, blur] = self.sample((middle(i), middle(j)), &ray, &hit, size as f32);
        [r.min(BRIGHTEST), g.min(BRIGHTEST), b.min(BRIGHTEST), blur]
    }

    fn pixel(&self, x: usize, y: usize, met: Met) -> Sample {
        let points = if met == Met::Edge { EDGE_POINTS } else { 1 };
        let share = 1.0 / points as f32;
        let mut sum = [0f32; 4];
        for k in 0..points {
            let jitter = |lane: i32| hash(x as i32, y as i32, lane + k as i32);
            let px = x as f32 + jitter(11);
            let py = y as f32 + (k as f32 + jitter(51)) * share;
            let ray = self.view.ray(px, py);
            let known = match met {
                Met::Only(object) => self.scene.hit_of(&ray, object, FAR),
                Met::Anything | Met::Edge => None,
            };
            let Some(hit) = known.or_else(|| self.scene.hit(&ray, FAR)) else {
                continue;
            };
            let got = self.sample((px, py), &ray, &hit, 1.0);
            for (channel, (sum, got)) in sum.iter_mut().zip(got).enumerate() {
                *sum += share * if channel < 3 { got.min(BRIGHTEST) } else { got };
            }
        }
        sum
    }

    /// Returns colour and blur where the ray hit, for a point that covers `size` px each way.
    fn sample(&self, at_px: (f32, f32), ray: &Ray, hit: &Hit, size: f32) -> Sample {
        let place = ray.at(hit.distance);
        let footprint = hit.distance * self.view.pixel * size;
        let surface = surface_at(self.scene, hit, place, footprint);
        let (window, room) = self.interpolate_light(at_px, place, hit.normal);
        let colour = self.radiance(&surface, place, ray.along, window, room);
        [colour.x, colour.y, colour.z, self.view.blur(self.view.depth(place))]
    }

    /// Interpolates light from the four half-size neighbours, weighted towards those on the same surface.
    fn interpolate_light(&self, (px, py): (f32, f32), place: Vec3, normal: Vec3) -> (f32, Vec3) {
        let (x, y) = (px * 0.5 - 0.5, py * 0.5 - 0.5);
        let (left, top) = (floor_to_int(x), floor_to_int(y));
        let (mut sum, mut window, mut room) = (1e-6, 0.5e-6, ZERO);
        for (dx, dy) in CORNERS {
            let point = self.light.at(left + dx as i32, top + dy as i32);
            let off_plane = (point.place - place).dot(normal);
            let near = (1.0 - (x - left as f32 - dx as f32).abs()) * (1.0 - (y - top as f32 - dy as f32).abs());
            let facing = point.normal.dot(normal).max(0.0);
            let facing = facing * facing * facing * facing;
            let weight = near * facing / (1e-4 + off_plane * off_plane) + 1e-5;
            sum += weight;
            window += point.window * weight;
            room = room + point.room * weight;
        }
        (window / sum, room * (1.0 / sum))
    }

    /// Returns the linear light from the surface against the direction `along`.
    fn radiance(&self, surface: &Surface, place: Vec3, along: Vec3, window: f32, room: Vec3) -> Vec3 {
        let normal = surface.normal;
        // The bumped normal here keeps fine relief sharp over half-size shadows.
        let sun = WINDOW_RADIANCE * (window_form_factor(place, normal, surface.wrap) * window);
        let mut colour = surface.colour * (sun + room);
        if surface.translucency != ZERO {
            let behind = window_form_factor(place, -normal, 0.9) * 10.0;
            colour = colour + surface.translucency * (behind * (0.3 + 0.7 * window));
        }
        let cos = along.dot(normal);
        let mirror = along - normal * (2.0 * cos);
        // The full grazing term would draw white outlines round everything, so it is capped.
        let grazing = 0.30 * (1.0 - cos.abs()).powi(5) * (1.0 - surface.roughness).powi(4);
        let reflected = surface.reflectance + grazing;
        // Creases do not shine.
        let open = (room.y / (OPEN_AMBIENT * self.scene.light.fill)).min(1.0);
        let enclosed = 0.15 * open + 0.85 * open.min(0.25 + window);
        let tint = vec3(1.0, 0.97, 0.92).mix(grey(1.0), 0.5);
        colour + reflection(place, mirror, surface.roughness) * tint * (reflected * enclosed)
    }
}
