//! One picture from one scene: the passes in their order, and the finished rows.
//! Knows no file; those are written by `files`.
use std::sync::atomic::{AtomicBool, Ordering};

use super::camera::View;
use super::finish::develop;
use super::lightmap::LightMap;
use super::shading::shade;
use super::tree::Scene;

/// The RGB space in which a picture is developed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gamut {
    Srgb,
    /// Adobe RGB (1998), developed with more saturation, so that greens leave sRGB
    /// (its reds cannot: the two share that primary).
    AdobeRgb,
}

impl Gamut {
    /// Factor on the distance from grey.
    pub(super) fn saturation(self) -> f32 {
        match self {
            Gamut::Srgb => 1.12,
            Gamut::AdobeRgb => 1.36,
        }
    }

    /// A linear level 0..1, encoded 0..1.
    pub fn encoded(self, level: f32) -> f32 {
        match self {
            // IEC 61966-2-1.
            Gamut::Srgb if level < 0.003_130_8 => 12.92 * level,
            Gamut::Srgb => 1.055 * level.powf(1.0 / 2.4) - 0.055,
            // Adobe RGB (1998): gamma 563/256.
            Gamut::AdobeRgb => level.powf(256.0 / 563.0),
        }
    }

    /// An encoded level 0..1, linear 0..1.
    pub fn linear(self, level: f32) -> f32 {
        match self {
            Gamut::Srgb if level < 0.040_45 => level / 12.92,
            Gamut::Srgb => ((level + 0.055) / 1.055).powf(2.4),
            Gamut::AdobeRgb => level.powf(563.0 / 256.0),
        }
    }
}

/// A rectangle of a picture, in px.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    pub left: usize,
    pub top: usize,
    pub width_px: usize,
    pub height_px: usize,
}

/// The size of a picture and how it is framed and developed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    pub width_px: usize,
    pub height_px: usize,
    /// Moves the picture right and down by this much, as a shifted lens does.
    pub shift_px: (f32, f32),
    pub gamut: Gamut,
}

#[cfg(test)]
impl Frame {
    pub fn new(width_px: usize, height_px: usize) -> Frame {
        Frame { width_px, height_px, shift_px: (0.0, 0.0), gamut: Gamut::Srgb }
    }
}

/// Says, between rows, whether somebody wants the work to end.
pub(super) struct Stop<'a>(&'a AtomicBool);

impl<'a> Stop<'a> {
    pub(super) fn new(flag: &'a AtomicBool) -> Stop<'a> {
        Stop(flag)
    }

    pub(super) fn asked(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

/// A finished picture: encoded 16-bit RGB, row by row.
#[derive(Clone, Debug, PartialEq)]
pub struct Painted {
    pub width_px: usize,
    pub height_px: usize,
    pub gamut: Gamut,
    rgb16: Vec<u16>,
}

/// Paints the scene with the threads of the current pool; the bytes do not depend on their number.
/// Gives nothing if `cancel` was raised on the way.
pub fn paint(scene: &Scene, frame: &Frame, cancel: &AtomicBool) -> Option<Painted> {
    let stop = Stop::new(cancel);
    let view = View::new(&scene.look, frame.width_px, frame.height_px, frame.shift_px);
    let light = LightMap::gather(scene, &view, &stop);
    let samples = shade(scene, &view, &light, &stop);
    drop(light);
    let rgb16 = develop(&samples, &view, scene.look.exposure, frame.gamut, &stop);
    let (width_px, height_px) = (frame.width_px, frame.height_px);
    (!stop.asked()).then_some(Painted { width_px, height_px, gamut: frame.gamut, rgb16 })
}

impl Painted {
    /// A picture of these rows, `3 * width_px * height_px` levels.
    pub fn new(width_px: usize, height_px: usize, gamut: Gamut, rgb16: Vec<u16>) -> Painted {
        Painted { width_px, height_px, gamut, rgb16 }
    }

    pub fn rgb16(&self) -> &[u16] {
        &self.rgb16
    }

    pub fn rgb16_mut(&mut self) -> &mut [u16] {
        &mut self.rgb16
    }

    /// The same rows with 8 bits a channel.
    pub fn rgb8(&self) -> Vec<u8> {
        self.rgb16.iter().map(|&level| ((u32::from(level) + 128) / 257) as u8).collect()
    }

    /// Naive inks, 8 bits each, 255 for full ink: what a careless conversion gives.
    pub fn cmyk8(&self) -> Vec<u8> {
        let inks = |pixel: &[u16]| {
            let ink = [pixel[0], pixel[1], pixel[2]].map(|level| 255 - (u32::from(level) + 128) / 257);
            let black = ink[0].min(ink[1]).min(ink[2]);
            let rest = |ink: u32| {
                if black == 255 { 0 } else { ((ink - black) * 255 / (255 - black)) as u8 }
            };
            [rest(ink[0]), rest(ink[1]), rest(ink[2]), black as u8]
        };
        self.rgb16.chunks_exact(3).flat_map(inks).collect()
    }

    /// A part of the picture at full resolution.
    pub fn part(&self, part: Part) -> Painted {
        let row = |y: usize| {
            let from = ((part.top + y) * self.width_px + part.left) * 3;
            &self.rgb16[from..from + part.width_px * 3]
        };
        let rgb16 = (0..part.height_px).flat_map(row).copied().collect();
        let (width_px, height_px) = (part.width_px, part.height_px);
        Painted { width_px, height_px, gamut: self.gamut, rgb16 }
    }

    /// A quarter turn to the left: the picture's right side becomes its top.
    pub fn turned_left(&self) -> Painted {
        let (width_px, height_px) = (self.height_px, self.width_px);
        let mut rgb16 = Vec::with_capacity(self.rgb16.len());
        for y in 0..height_px {
            for x in 0..width_px {
                let from = (x * self.width_px + self.width_px - 1 - y) * 3;
                rgb16.extend_from_slice(&self.rgb16[from..from + 3]);
            }
        }
        Painted { width_px, height_px, gamut: self.gamut, rgb16 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::dishes::{beetroot, plum_tart};

    fn with_threads(count: usize, frame: Frame) -> Painted {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(count).build().expect("threads");
        let scene = plum_tart::scene();
        let painted = pool.install(|| paint(&scene, &frame, &AtomicBool::new(false)));
        painted.expect("not cancelled")
    }

    #[test]
    fn the_bytes_do_not_depend_on_the_number_of_threads() {
        // An odd size, so that blocks at the right and lower edge are cut.
        let one = with_threads(1, Frame::new(75, 93));
        assert!(one == with_threads(2, Frame::new(75, 93)));
        assert!(one != with_threads(2, Frame { shift_px: (1.0, 0.0), ..Frame::new(75, 93) }));
    }

    #[test]
    fn a_raised_flag_gives_nothing() {
        let frame = Frame::new(40, 40);
        assert_eq!(paint(&plum_tart::scene(), &frame, &AtomicBool::new(true)), None);
    }

    #[test]
    fn a_part_is_the_same_pixels_and_a_quarter_turn_comes_round() {
        let whole = with_threads(1, Frame::new(20, 30));
        let part = whole.part(Part { left: 5, top: 7, width_px: 4, height_px: 3 });
        assert_eq!(part.rgb16()[..12], whole.rgb16()[(7 * 20 + 5) * 3..(7 * 20 + 9) * 3]);
        let turned = whole.turned_left();
        assert_eq!((turned.width_px, turned.height_px), (30, 20));
        assert_eq!(turned.rgb16()[..3], whole.rgb16()[19 * 3..20 * 3]);
        assert_eq!(turned.turned_left().turned_left().turned_left(), whole);
    }

    #[test]
    fn eight_bits_are_the_rounded_sixteen_and_white_takes_no_ink() {
        let mut painted = with_threads(1, Frame::new(2, 1));
        painted.rgb16 = vec![65535, 65535, 65535, 0, 128, 129];
        assert_eq!(painted.rgb8(), [255, 255, 255, 0, 0, 1]);
        assert_eq!(painted.cmyk8()[..4], [0, 0, 0, 0]);
        assert_eq!(painted.cmyk8()[7], 254);
    }

    /// Adobe RGB (1998) to sRGB, both linear with white D65 (they share red, blue and white).
    fn in_srgb(rgb: [f64; 3]) -> [f64; 3] {
        let [r, g, b] = rgb;
        [1.398_28 * r - 0.398_28 * g, g, -0.042_94 * g + 1.042_94 * b]
    }

    #[test]
    fn wide_greens_honestly_leave_srgb() {
        let frame = Frame { gamut: Gamut::AdobeRgb, ..Frame::new(160, 100) };
        let painted = paint(&beetroot::scene(), &frame, &AtomicBool::new(false));
        let painted = painted.expect("not cancelled");
        let outside = |pixel: &&[u16]| {
            let linear = [pixel[0], pixel[1], pixel[2]].map(|level| (f64::from(level) / 65535.0).powf(563.0 / 256.0));
            in_srgb(linear).iter().any(|&c| !(-0.002..=1.002).contains(&c))
        };
        let count = painted.rgb16().chunks_exact(3).filter(outside).count();
        let share = count as f64 / 16_000.0;
        assert!(share > 0.02, "{share} of the picture lies outside sRGB");
    }
}
