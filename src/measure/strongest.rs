//! The strongest colour of each field of the small picture: where a space that is too small will show.

use crate::picture::facts::Model;

use super::evidence::Thumbnail;
use super::grid::Grid;

/// Fields along the longer side, as for places.
const FIELDS_MOST: u32 = 64;

/// Of an RGB picture; empty for any other.
pub fn of(small: &Thumbnail) -> Grid<[u8; 3]> {
    if small.model != Model::Rgb || small.width_px == 0 {
        return Grid::default();
    }
    let side_px = small.width_px.max(small.height_px).div_ceil(FIELDS_MOST).max(1) as usize;
    let (width, height) = (small.width_px as usize, small.height_px as usize);
    let (across, down) = (width.div_ceil(side_px), height.div_ceil(side_px));
    let mut grid = Grid::filled(across, down, [0u8; 3]);
    let mut most = vec![0u8; across * down];
    for (y, row) in small.samples.chunks_exact(width * 3).enumerate() {
        let first = y / side_px * across;
        for (x, pixel) in row.as_chunks::<3>().0.iter().enumerate() {
            let [r, g, b] = *pixel;
            let strength = r.max(g).max(b) - r.min(g).min(b);
            let at = first + x / side_px;
            if strength >= most[at] {
                (most[at], grid.fields[at]) = (strength, *pixel);
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
        let found = of(&Thumbnail { width_px: 128, height_px: 64, model: Model::Rgb, samples });
        assert_eq!((found.across, found.down), (64, 32));
        // The pixel at 5, 3 lies in the third field of the second row.
        assert_eq!(found.fields[64 + 2], [200, 10, 90]);
        assert_eq!(found.fields.iter().filter(|colour| **colour != [128; 3]).count(), 1);
        let grey = Thumbnail { width_px: 1, height_px: 1, model: Model::Grey, samples: vec![9] };
        assert_eq!(of(&grey), Grid::default());
    }
}
