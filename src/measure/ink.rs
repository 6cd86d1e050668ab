//! Total ink of a CMYK picture: its distribution and its amount by field, in per cent of one full ink.

use crate::picture::pixels::SampleLayout;

use super::box_downscaler::PixelSample;
use super::evidence::{INK_STEPS, Ink};
use super::grid::Grid;

/// Fields along the longer side: 10 mm of a print of 1 m are still two of them.
const MAX_FIELDS: u32 = 256;
/// Ink of a pixel with all four in full, in per cent.
const MAX_PERCENT: u64 = 400;

/// Adds up ink row by row.
pub struct InkCounter {
    channels: usize,
    row_len: usize,
    side_px: usize,
    across: usize,
    sums: Vec<u64>,
    rows: usize,
    rows_left: usize,
    percent: Vec<u32>,
    fields: Vec<u16>,
}

impl InkCounter {
    /// Creates a counter for CMYK pictures of this layout.
    pub fn new(layout: SampleLayout) -> InkCounter {
        let side_px = layout.width_px.max(layout.height_px).div_ceil(MAX_FIELDS).max(1) as usize;
        let across = (layout.width_px as usize).div_ceil(side_px);
        InkCounter {
            channels: layout.channels(),
            row_len: layout.row_len(),
            side_px,
            across,
            sums: vec![0; across],
            rows: 0,
            rows_left: layout.height_px as usize,
            percent: vec![0; MAX_PERCENT as usize + 1],
            fields: Vec::new(),
        }
    }

    /// Takes some whole rows.
    pub fn add<S: PixelSample>(&mut self, samples: &[S]) {
        let full = 4 * S::MAX;
        for row in samples.chunks_exact(self.row_len) {
            let fields = row.chunks(self.side_px * self.channels);
            for (sum, field) in self.sums.iter_mut().zip(fields) {
                for pixel in field.chunks_exact(self.channels) {
                    let ink = u64::from(S::four([pixel[0], pixel[1], pixel[2], pixel[3]]));
                    self.percent[((ink * MAX_PERCENT + full / 2) / full) as usize] += 1;
                    *sum += ink;
                }
            }
            self.rows += 1;
            self.rows_left -= 1;
            if self.rows == self.side_px || self.rows_left == 0 {
                self.finish_field_row(full);
            }
        }
    }

    fn finish_field_row(&mut self, full: u64) {
        let width = self.row_len / self.channels;
        for (at, sum) in self.sums.iter_mut().enumerate() {
            let across = self.side_px.min(width - at * self.side_px);
            let whole = (across * self.rows) as u64 * full;
            self.fields.push((*sum * MAX_PERCENT * INK_STEPS / whole) as u16);
            *sum = 0;
        }
        self.rows = 0;
    }

    /// Returns the ink by field, as stored.
    pub fn finish(self) -> Ink {
        let down = self.fields.len() / self.across.max(1);
        let fields = Grid { across: self.across, down, fields: self.fields };
        Ink { percent: self.percent, fields, field_px: self.side_px as u32 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::facts::ColourModel;

    #[test]
    fn inks_add_up_per_pixel_and_per_field() {
        let layout = SampleLayout { width_px: 512, height_px: 3, model: ColourModel::Cmyk, has_alpha: false };
        let mut laying = InkCounter::new(layout);
        // Left half 300 %, right half 100 %; fields are 2 x 2 px, the last row of fields one pixel high.
        let row: Vec<u8> = (0..512).flat_map(|x| if x < 256 { [255, 255, 255, 0] } else { [0, 0, 0, 255] }).collect();
        (0..3).for_each(|_| laying.add(&row));
        let ink = laying.finish();
        assert_eq!((ink.percent[300], ink.percent[100], ink.percent.iter().sum::<u32>()), (768, 768, 1_536));
        assert_eq!((ink.fields.across, ink.fields.down, ink.field_px), (256, 2, 2));
        assert_eq!((ink.fields.fields[127], ink.fields.fields[128], ink.fields.fields[511]), (3_000, 1_000, 1_000));
    }

    #[test]
    fn sixteen_bits_say_the_same() {
        let layout = SampleLayout { width_px: 2, height_px: 1, model: ColourModel::Cmyk, has_alpha: true };
        let mut laying = InkCounter::new(layout);
        laying.add(&[65_535u16, 65_535, 0, 32_768, 9, 0, 0, 0, 0, 9]);
        let ink = laying.finish();
        assert_eq!((ink.percent[250], ink.percent[0]), (1, 1));
    }
}
