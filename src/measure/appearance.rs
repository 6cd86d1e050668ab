//! The appearance of a picture as a whole, from its thumbnail in sRGB: saliency, borders, cast, exposure, hashes.

use crate::colour::lab;
use crate::picture::facts::ColourModel;

use super::evidence::{Appearance, Thumbnail};
use super::grid::Grid;
use super::statistics::median;

mod contours;
mod ends;
mod painted_border;
mod perceptual_hash;
mod plane;
mod saliency;
mod shades;

use plane::{Codes, Lab, ValuePlane};

/// Longer side of the picture that saliency is measured on, in pixels.
const SIDE_PX: usize = 256;
/// Longer side of the grey picture that a re-crop is recognised by.
const SMALL_PX: usize = 48;
/// Middle tones, L*, in which a cast shows.
const MIDDLE: std::ops::Range<f32> = 25.0..85.0;
/// Chroma below which a colour counts as nearly neutral.
const NEARLY_NEUTRAL: f32 = 12.0;
/// Share of the picture that must be nearly neutral.
const MIN_NEUTRAL: f32 = 0.02;

/// Looks at an upright small picture; `rgb` is the same in sRGB.
pub fn measure(thumbnail: &Thumbnail, rgb: &[u8]) -> Appearance {
    let (width, height) = (thumbnail.width_px as usize, thumbnail.height_px as usize);
    if rgb.len() < width * height * 3 || width == 0 || height == 0 {
        return Appearance::default();
    }
    let luma = grey(rgb, width, height);
    let lab = reduce(rgb, width, height);
    let mut lightness = lab.planes[0].values.clone();
    let small = fields_of(&luma, SMALL_PX);
    Appearance {
        importance: saliency::map(&lab),
        contour_at_side: contours::contours_at_sides(&lab),
        border: painted_border::find(rgb, width, height),
        lightness: median(&mut lightness).unwrap_or(0.0) as f32,
        shades: shades::shades(rgb, width, height),
        // A greyscale picture has no cast to compare.
        neutral: neutral(&lab).filter(|_| thumbnail.model != ColourModel::Grey),
        difference_hash: perceptual_hash::difference_hash(&luma),
        frequency_hash: perceptual_hash::frequency_hash(&luma),
        small,
        ends: ends::of(rgb, width, height),
    }
}

/// Returns the luma of sRGB codes.
fn grey(rgb: &[u8], width: usize, height: usize) -> Codes {
    let mut codes = vec![0; width * height];
    super::luma::of_row(&rgb[..width * height * 3], 3, &mut codes);
    Codes { width, height, codes }
}

/// Reduces a picture by boxes of whole pixels to about 256 along the longer side, and converts it to Lab.
fn reduce(rgb: &[u8], width: usize, height: usize) -> Lab {
    let side = ((width.max(height) as f64 / SIDE_PX as f64).round_ties_even() as usize).max(1);
    let (across, down) = ((width / side).max(1), (height / side).max(1));
    let side = (side.min(width), side.min(height));
    let mut planes: [Vec<f32>; 3] = Default::default();
    for y in 0..down {
        for x in 0..across {
            let mut sums = [0u32; 3];
            for row in y * side.1..(y + 1) * side.1 {
                let from = (row * width + x * side.0) * 3;
                for pixel in rgb[from..from + side.0 * 3].as_chunks::<3>().0 {
                    sums.iter_mut().zip(pixel).for_each(|(sum, code)| *sum += u32::from(*code));
                }
            }
            let pixels = (side.0 * side.1) as u32;
            let found = lab::of_srgb(sums.map(|sum| ((sum + pixels / 2) / pixels) as u8));
            planes.iter_mut().zip(found).for_each(|(plane, value)| plane.push(value));
        }
    }
    Lab { planes: planes.map(|values| ValuePlane { width: across, height: down, values }) }
}

/// Returns a grey picture of at most this many pixels a side, by exact areas.
fn fields_of(luma: &Codes, longer: usize) -> Grid<u8> {
    let (across, down) = super::tone::fields(luma.width, luma.height, longer.min(luma.width.max(luma.height)));
    let fields = luma.resized(across, down).values.into_iter().map(|code| code.round() as u8).collect();
    Grid { across, down, fields }
}

/// Returns the mean a* and b* of nearly neutral mid-tones.
fn neutral(lab: &Lab) -> Option<(f32, f32)> {
    let [lightness, a, b] = &lab.planes;
    let mut sums = (0.0, 0.0, 0u32);
    for ((l, a), b) in lightness.values.iter().zip(&a.values).zip(&b.values) {
        if MIDDLE.contains(l) && a.hypot(*b) < NEARLY_NEUTRAL {
            sums = (sums.0 + a, sums.1 + b, sums.2 + 1);
        }
    }
    let count = sums.2 as f32;
    (count > MIN_NEUTRAL * lightness.values.len() as f32).then(|| (sums.0 / count, sums.1 / count))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn looked(width: u32, height: u32, pixel: impl Fn(u32, u32) -> [u8; 3]) -> Appearance {
        let rgb: Vec<u8> =
            (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).flat_map(|(x, y)| pixel(x, y)).collect();
        measure(&Thumbnail { width_px: width, height_px: height, model: ColourModel::Rgb, samples: rgb.clone() }, &rgb)
    }

    #[test]
    fn lightness_and_cast_are_those_of_the_codes() {
        // Source: IEC 61966-2-1 and CIE 15: code 128 is L* 53.585.
        let found = looked(300, 200, |_, _| [128; 3]);
        assert!((found.lightness - 53.585).abs() < 0.01);
        let (a, b) = found.neutral.unwrap();
        assert!(a.abs() < 0.02 && b.abs() < 0.02);
        let (_, b) = looked(300, 200, |_, _| [134, 128, 122]).neutral.unwrap();
        assert!(b > 3.0);
        assert_eq!(looked(300, 200, |_, _| [200, 30, 30]).neutral, None);
    }

    #[test]
    fn a_stamp_and_a_single_pixel_can_be_looked_at() {
        for (width, height) in [(1, 1), (3, 1), (1, 40), (17, 5)] {
            let found = looked(width, height, |x, y| [(x * 40) as u8, (y * 6) as u8, 90]);
            let sum: f32 = found.importance.fields.iter().sum();
            assert!(sum == 0.0 || (sum - 1.0).abs() < 1e-3, "{width} x {height}: {sum}");
            assert!(found.small.across >= 1 && found.small.down >= 1);
        }
    }
}
