//! The small picture: box means by a whole factor, taken while the rows stream by.
//!
//! Means are of squared codes, a mean in light of gamma 2: within a code or two of true linear light, and fine bright
//! lines keep their brightness.

use crate::measure::Thumbnail;
use crate::picture::facts::Orientation;
use crate::picture::pixels::Layout;

/// Longest side of a thumbnail, px.
const LONGEST_PX: u32 = 1_024;

/// Gathers rows into boxes.
pub struct Reduction {
    layout: Layout,
    factor: usize,
    /// Sums of squares down the box, one for each sample of a row; 255 x 255 x 257 rows fit 32 bits.
    squares: Vec<u32>,
    rows_in_box: u32,
    samples: Vec<u8>,
    rows_out: u32,
}

impl Reduction {
    /// For a picture of this layout.
    pub fn new(layout: Layout) -> Reduction {
        let factor = layout.width_px.max(layout.height_px).div_ceil(LONGEST_PX).max(1) as usize;
        Reduction {
            layout,
            factor,
            squares: vec![0; layout.row_len()],
            rows_in_box: 0,
            samples: Vec::new(),
            rows_out: 0,
        }
    }

    /// Adds the next row of the picture.
    pub fn add_row(&mut self, row: &[u8]) {
        for (sum, &sample) in self.squares.iter_mut().zip(row) {
            let sample = u32::from(sample);
            *sum += sample * sample;
        }
        self.rows_in_box += 1;
        if self.rows_in_box as usize == self.factor {
            self.close_boxes();
        }
    }

    /// The small picture, as stored.
    pub fn finish(mut self) -> Thumbnail {
        if self.rows_in_box > 0 {
            self.close_boxes();
        }
        Thumbnail {
            width_px: self.layout.width_px.div_ceil(self.factor as u32),
            height_px: self.rows_out,
            model: self.layout.model,
            samples: self.samples,
        }
    }

    /// Turns the sums of the rows so far into one row of the small picture.
    fn close_boxes(&mut self) {
        let (channels, colours) = (self.layout.channels(), self.layout.colours());
        for across in self.squares.chunks(self.factor * channels) {
            let count = u64::from(self.rows_in_box) * (across.len() / channels) as u64;
            for colour in 0..colours {
                let sum: u64 = across.iter().skip(colour).step_by(channels).map(|&square| u64::from(square)).sum();
                self.samples.push((sum as f64 / count as f64).sqrt().round() as u8);
            }
        }
        self.squares.fill(0);
        self.rows_in_box = 0;
        self.rows_out += 1;
    }
}

impl Thumbnail {
    /// The picture turned as its orientation tag asks.
    pub fn upright(self, orientation: Orientation) -> Thumbnail {
        if orientation == Orientation::UPRIGHT {
            return self;
        }
        let (w, h) =
            if orientation.swaps_sides() { (self.height_px, self.width_px) } else { (self.width_px, self.height_px) };
        let colours = self.samples.len() / (self.width_px as usize * self.height_px as usize).max(1);
        let mut samples = Vec::with_capacity(self.samples.len());
        for y in 0..h {
            for x in 0..w {
                let (from_x, from_y) = orientation.stored_at(x, y, w, h);
                let at = (from_y as usize * self.width_px as usize + from_x as usize) * colours;
                samples.extend_from_slice(&self.samples[at..at + colours]);
            }
        }
        Thumbnail { width_px: w, height_px: h, model: self.model, samples }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::facts::Model;

    #[test]
    fn a_quarter_turn_moves_the_corner() {
        // Stored 2 x 1: left 1, right 2. Tag 6 (row 0 is the right side): shown 1 wide, 2 high, left on top.
        let stored = Thumbnail { width_px: 2, height_px: 1, model: Model::Grey, samples: vec![1, 2] };
        let upright = stored.upright(Orientation::from_tag(6).unwrap());
        assert_eq!((upright.width_px, upright.height_px, upright.samples), (1, 2, vec![1, 2]));
    }

    #[test]
    fn a_box_at_the_edge_counts_only_the_pixels_it_has() {
        let layout = Layout { width_px: 1_025, height_px: 3, model: Model::Grey, alpha: false };
        let mut reduction = Reduction::new(layout);
        (0..3).for_each(|_| reduction.add_row(&[77; 1_025]));
        let small = reduction.finish();
        assert_eq!((small.width_px, small.height_px), (513, 2));
        assert!(small.samples.iter().all(|&v| v == 77));
    }

    #[test]
    fn the_mean_is_taken_in_squared_codes() {
        let layout = Layout { width_px: 2_048, height_px: 2, model: Model::Grey, alpha: false };
        let mut reduction = Reduction::new(layout);
        let row: Vec<u8> = (0..2_048).map(|x| if x % 2 == 0 { 0 } else { 200 }).collect();
        reduction.add_row(&row);
        reduction.add_row(&row);
        // sqrt((0 + 200 x 200) / 2) = 141.4.
        assert!(reduction.finish().samples.iter().all(|&v| v == 141));
    }
}
