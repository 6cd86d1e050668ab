//! The most saturated colour of each field of the small picture: where a space that is too small will show.

use crate::colour::NumberConversion;
use crate::picture::facts::ColourModel;

use super::evidence::{MEAN_STEPS, Thumbnail};
use super::grid::Grid;

/// Fields along the longer side, as for places.
const MAX_FIELDS: usize = 64;

/// Returns the most saturated colour of each field of a small picture, through `to_numbers`: chosen by its RGB codes,
/// or by those of the screen (sRGB) where the picture has others. Empty where `to_numbers` knows no colours.
pub fn find(small: &Thumbnail, screen: &[u8], to_numbers: &NumberConversion) -> Grid<[u16; 3]> {
    if matches!(to_numbers, NumberConversion::Unknown) || small.width_px == 0 {
        return Grid::default();
    }
    let rgb = if small.model == ColourModel::Rgb { &small.samples } else { screen };
    let places = most_saturated_pixels(rgb, (small.width_px as usize, small.height_px as usize));
    let channels = small.model.channels();
    let samples = places.fields.iter().flat_map(|at| &small.samples[at * channels..][..channels]);
    let codes: Vec<u16> = samples.map(|sample| u16::from(*sample) * MEAN_STEPS as u16).collect();
    Grid { across: places.across, down: places.down, fields: to_numbers.apply(&codes) }
}

/// Returns the index of the most saturated pixel of each field.
fn most_saturated_pixels(rgb: &[u8], (width, height): (usize, usize)) -> Grid<usize> {
    let side_px = width.max(height).div_ceil(MAX_FIELDS).max(1);
    let (across, down) = (width.div_ceil(side_px), height.div_ceil(side_px));
    let mut grid = Grid::filled(across, down, 0);
    let mut most = vec![0u8; across * down];
    for (y, row) in rgb.as_chunks::<3>().0.chunks_exact(width).take(height).enumerate() {
        for (across_at, part) in row.chunks(side_px).enumerate() {
            let (field, first) = (y / side_px * across + across_at, y * width + across_at * side_px);
            for (at, [r, g, b]) in (first..).zip(part) {
                let strength = r.max(g).max(b) - r.min(g).min(b);
                if strength >= most[field] {
                    (most[field], grid.fields[field]) = (strength, at);
                }
            }
        }
    }
    grid
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_field_keeps_its_strongest_colour() {
        let mut samples = vec![128; 128 * 64 * 3];
        samples[(3 * 128 + 5) * 3..][..3].copy_from_slice(&[200, 10, 90]);
        let small = Thumbnail { width_px: 128, height_px: 64, model: ColourModel::Rgb, samples };
        let found = find(&small, &[], &NumberConversion::Unchanged);
        assert_eq!((found.across, found.down), (64, 32));
        // The pixel at 5, 3 lies in the third field of the second row.
        assert_eq!(found.fields[64 + 2], [200, 10, 90].map(|code| code * 256));
        assert_eq!(found.fields.iter().filter(|colour| **colour != [128 * 256; 3]).count(), 1);
        // Fields of three pixels a side; the last ones are narrower, and the last of two that are alike counts.
        let mut samples = vec![9; 130 * 65 * 3];
        for at in [64 * 130 + 129, 63 * 130 + 129, 0, 2] {
            samples[at * 3] = 200;
        }
        let found = most_saturated_pixels(&samples, (130, 65));
        assert_eq!((found.across, found.down), (44, 22));
        assert_eq!((found.fields[0], found.fields[44 * 22 - 1]), (2, 64 * 130 + 129));
        let grey = Thumbnail { width_px: 1, height_px: 1, model: ColourModel::Grey, samples: vec![9] };
        assert_eq!(find(&grey, &[9; 3], &NumberConversion::GreyToRgb).fields, [[9 * 256; 3]]);
        let inks = Thumbnail { width_px: 1, height_px: 1, model: ColourModel::Cmyk, samples: vec![9; 4] };
        assert_eq!(find(&inks, &[200; 3], &NumberConversion::Unknown), Grid::default());
    }
}
