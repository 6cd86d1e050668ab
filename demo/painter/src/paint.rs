//! The passes that make an image of a scene, in their order.
use std::sync::atomic::{AtomicBool, Ordering};

use crate::camera::View;
use crate::develop::develop;
use crate::frame::Frame;
use crate::image::Image;
use crate::lightmap::LightMap;
use crate::scene::Scene;
use crate::shading::shade;

/// Paints the scene with the threads of the current rayon pool; the pixels do not depend on their number. Returns
/// `None` if `cancel` was raised on the way; it is checked between rows.
pub fn paint(scene: &Scene, frame: &Frame, cancel: &AtomicBool) -> Option<Image> {
    let view = View::new(&scene.camera, frame);
    let light = LightMap::gather(scene, &view, cancel);
    let samples = shade(scene, &view, &light, cancel);
    drop(light);
    let rgb16 = develop(&samples, &view, scene.camera.exposure, frame.colour_space, cancel);
    let image = Image::new(frame.width_px, frame.height_px, frame.colour_space, rgb16);
    (!cancel.load(Ordering::Relaxed)).then_some(image)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour_space::ColourSpace;
    use crate::dishes::{beetroot, plum_tart};

    fn with_threads(count: usize, frame: Frame) -> Image {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(count).build().expect("threads");
        let image = pool.install(|| paint(&plum_tart(), &frame, &AtomicBool::new(false)));
        image.expect("not cancelled")
    }

    #[test]
    fn the_pixels_do_not_depend_on_the_number_of_threads() {
        // An odd size, so that blocks at the right and lower edge are cut.
        let one = with_threads(1, Frame::new(75, 93));
        assert!(one == with_threads(2, Frame::new(75, 93)));
        assert!(one != with_threads(2, Frame { shift_px: (1.0, 0.0), ..Frame::new(75, 93) }));
    }

    #[test]
    fn a_raised_flag_gives_nothing() {
        let frame = Frame::new(40, 40);
        assert_eq!(paint(&plum_tart(), &frame, &AtomicBool::new(true)), None);
    }

    /// Converts Adobe RGB (1998) to sRGB, both linear with white D65 (they share red, blue and white).
    fn in_srgb(rgb: [f64; 3]) -> [f64; 3] {
        let [r, g, b] = rgb;
        [1.398_28 * r - 0.398_28 * g, g, -0.042_94 * g + 1.042_94 * b]
    }

    #[test]
    fn wide_greens_honestly_leave_srgb() {
        let frame = Frame { colour_space: ColourSpace::AdobeRgb, ..Frame::new(160, 100) };
        let image = paint(&beetroot(), &frame, &AtomicBool::new(false)).expect("not cancelled");
        let outside = |pixel: &&[u16]| {
            let linear = [pixel[0], pixel[1], pixel[2]].map(|level| (f64::from(level) / 65535.0).powf(563.0 / 256.0));
            in_srgb(linear).iter().any(|&c| !(-0.002..=1.002).contains(&c))
        };
        let count = image.rgb16().chunks_exact(3).filter(outside).count();
        let share = count as f64 / 16_000.0;
        assert!(share > 0.02, "{share} of the picture lies outside sRGB");
    }
}
