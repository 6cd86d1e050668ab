//! Shrinks a whole picture for a sheet. Only this is resampled, never a strip.

use image::imageops::{FilterType, resize};
use image::{ImageBuffer, Luma, Pixel, Rgb, Rgba};

use crate::judge::metrics::cut_lines::Rectangle;
use crate::picture::cutout::{Cutout, Region};

/// Shrinks a picture of `channels` samples per pixel to fit `room`, in pixels; never enlarges.
pub fn shrink_to_fit(picture: Cutout, channels: usize, room: (u32, u32)) -> Cutout {
    let (across, down) = (f64::from(room.0) / f64::from(picture.width), f64::from(room.1) / f64::from(picture.height));
    let factor = across.min(down);
    if factor >= 1.0 {
        return picture;
    }
    let side = |px: u32| ((f64::from(px) * factor).round() as u32).max(1);
    let size = (side(picture.width), side(picture.height));
    match channels {
        1 => shrink::<Luma<u8>>(picture, size),
        3 => shrink::<Rgb<u8>>(picture, size),
        // Inks: the library takes any four samples.
        _ => shrink::<Rgba<u8>>(picture, size),
    }
}

fn shrink<P: Pixel<Subpixel = u8> + 'static>(picture: Cutout, (width, height): (u32, u32)) -> Cutout {
    let nothing = || Cutout { width: 0, height: 0, samples: Vec::new() };
    let Some(buffer) = ImageBuffer::<P, Vec<u8>>::from_raw(picture.width, picture.height, picture.samples) else {
        return nothing();
    };
    let small = resize(&buffer, width, height, FilterType::CatmullRom);
    Cutout { width, height, samples: small.into_raw() }
}

/// Returns the region of a picture at these shares, within the picture and never empty.
pub fn part_at(area: Rectangle, (width, height): (u32, u32)) -> Region {
    let side = |from: f64, to: f64, px: u32| {
        let low = (from.clamp(0.0, 1.0) * f64::from(px)).round().min(f64::from(px.max(1) - 1)) as u32;
        let high = (to.clamp(0.0, 1.0) * f64::from(px)).round() as u32;
        (low, high.clamp(low + 1, px.max(1)))
    };
    let ((left, right), (top, bottom)) = (side(area[0], area[2], width), side(area[1], area[3], height));
    Region { left, top, width: right - left, height: bottom - top }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_is_made_small_in_its_shape_and_never_large() {
        let picture = Cutout { width: 40, height: 20, samples: vec![77; 40 * 20 * 4] };
        let small = shrink_to_fit(picture.clone(), 4, (10, 10));
        assert_eq!((small.width, small.height, small.samples.len()), (10, 5, 200));
        assert!(small.samples.iter().all(|code| *code == 77));
        assert_eq!(shrink_to_fit(picture.clone(), 4, (400, 400)), picture);
    }

    #[test]
    fn a_part_lies_within_its_picture() {
        assert_eq!(part_at([0.25, 0.5, 0.5, 1.0], (400, 200)), Region { left: 100, top: 100, width: 100, height: 100 });
        assert_eq!(part_at([-0.1, 0.0, 1.2, 1.0], (7, 9)), Region { left: 0, top: 0, width: 7, height: 9 });
        assert_eq!(part_at([1.0, 1.0, 1.0, 1.0], (7, 9)), Region { left: 6, top: 8, width: 1, height: 1 });
    }
}
