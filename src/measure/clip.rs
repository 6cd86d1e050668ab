//! Featureless white, in cells of 4 x 4 pixels; and single channels at the top of the scale.
//!
//! Speculars apart from blown areas: a cell counts when 12 of its 16 pixels are white, cells that touch (corners too)
//! are one region, and a region larger than 0.05 % of the picture is blown; what is smaller is sparkle. Source: ours;
//! compared with regions at full resolution, cells lose 0 at the median and 0.5 % of the picture at worst.

use super::evidence::{Clipped, Place};
use super::grid::Grid;
use super::regions::{Region, Run, regions};

/// A channel counts as white from this code: JPEG moves 255 by one. Source: ours.
const HOT: u8 = 254;
/// Pixels a side of a cell.
const CELL_PX: usize = 4;
/// White pixels that make a cell white, of 16.
const FULL: u8 = 12;
/// Share of the picture above which a region is no sparkle.
const SPARKLE_MOST: f64 = 0.000_5;
/// White that was pulled down: cells of mean luma from here up with no more than [`FLAT`] codes in them. Source: ours.
const NEARLY_WHITE: u8 = 245;
/// See [`NEARLY_WHITE`].
const FLAT: u8 = 1;
/// Bytes that hold whole pixels of three samples in whole registers.
const BLOCK: usize = 48;

/// Counts while rows stream by.
pub struct Clipping {
    colours: usize,
    across: usize,
    width_px: usize,
    pixels: u64,
    white: u64,
    channels: [u64; 3],
    hot: Vec<u8>,
    least: Vec<u8>,
    most: Vec<u8>,
    rows: usize,
    /// A byte a cell: 0, or one of the two kinds.
    cells: Vec<u8>,
}

/// A cell at the top of the scale.
const WHITE: u8 = 1;
/// A flat cell just below it.
const PULLED_DOWN: u8 = 2;

impl Clipping {
    /// For plain pictures of a size; `colours` is 1 or 3.
    pub fn new(width_px: usize, height_px: usize, colours: usize) -> Clipping {
        let across = width_px / CELL_PX;
        Clipping {
            colours,
            across,
            width_px,
            pixels: 0,
            white: 0,
            channels: [0; 3],
            hot: vec![0; across],
            least: vec![u8::MAX; across],
            most: vec![0; across],
            rows: 0,
            cells: Vec::with_capacity(across * (height_px / CELL_PX)),
        }
    }

    /// Takes the next row, with its luma.
    pub fn add(&mut self, plain: &[u8], luma: &[u8]) {
        self.pixels += self.width_px as u64;
        if self.colours == 3 {
            self.count_channels(plain);
        }
        // White pixels have white luma, so most rows need no closer look.
        let lightest = luma.iter().fold(0, |most: u8, code| most.max(*code));
        if lightest >= NEARLY_WHITE {
            self.look(plain, luma);
        } else {
            self.least.fill(0);
        }
        self.rows += 1;
        if self.rows == CELL_PX {
            self.close();
        }
    }

    fn count_channels(&mut self, plain: &[u8]) {
        let (blocks, rest) = plain.as_chunks::<BLOCK>();
        // At most 255 blocks fit a byte's count.
        for run in blocks.chunks(usize::from(u8::MAX)) {
            let mut counts = [0u8; BLOCK];
            for block in run {
                for (count, code) in counts.iter_mut().zip(block) {
                    *count += u8::from(*code >= HOT);
                }
            }
            for (at, count) in counts.iter().enumerate() {
                self.channels[at % 3] += u64::from(*count);
            }
        }
        for (at, code) in rest.iter().enumerate() {
            self.channels[at % 3] += u64::from(*code >= HOT);
        }
    }

    fn look(&mut self, plain: &[u8], luma: &[u8]) {
        let (fours, rest) = luma.as_chunks::<CELL_PX>();
        for (at, four) in fours.iter().enumerate() {
            let [a, b, c, d] = *four;
            self.least[at] = self.least[at].min(a.min(b).min(c.min(d)));
            let most = a.max(b).max(c.max(d));
            self.most[at] = self.most[at].max(most);
            if most >= HOT {
                let white = white_pixels(&plain[at * CELL_PX * self.colours..][..CELL_PX * self.colours], self.colours);
                self.hot[at] += white;
                self.white += u64::from(white);
            }
        }
        let tail = &plain[(luma.len() - rest.len()) * self.colours..];
        self.white += u64::from(white_pixels(tail, self.colours));
    }

    fn close(&mut self) {
        for ((hot, least), most) in self.hot.iter_mut().zip(&mut self.least).zip(&mut self.most) {
            let kind = if *hot >= FULL {
                WHITE
            } else if *least >= NEARLY_WHITE && *most - *least <= FLAT {
                PULLED_DOWN
            } else {
                0
            };
            self.cells.push(kind);
            (*hot, *least, *most) = (0, u8::MAX, 0);
        }
        self.rows = 0;
    }

    /// What is clipped; marks blown places.
    pub fn end(self, places: &mut Grid<Place>) -> Clipped {
        let share = |pixels: u64| pixels as f64 / self.pixels.max(1) as f64;
        let white = share(self.white);
        let mut clipped = Clipped { white, sparkle: white, ..Clipped::default() };
        if self.colours == 3 {
            clipped.single = self.channels.map(|hot| share(hot - self.white));
        }
        if self.cells.iter().all(|kind| *kind == 0) {
            return clipped;
        }
        let (found, runs) = regions(&self.cells, self.across);
        let cell = 1.0 / self.cells.len() as f64;
        let is_blown = |region: &Region| f64::from(region.white) * cell > SPARKLE_MOST;
        let largest = |inside_only: bool| {
            let of_kind = found.iter().filter(|region| !inside_only || !region.at_edge);
            of_kind.map(|region| region.white).max().map_or(0.0, |cells| f64::from(cells) * cell)
        };
        (clipped.largest, clipped.largest_inside) = (largest(false), largest(true));
        for region in &found {
            let pulled_down = f64::from(region.cells - region.white) * cell;
            if pulled_down > SPARKLE_MOST {
                clipped.pulled_down += pulled_down;
                clipped.pulled_down_at_edge += if region.at_edge { pulled_down } else { 0.0 };
            }
            if is_blown(region) {
                let share = f64::from(region.white) * cell;
                clipped.regions += 1;
                clipped.blown += share;
                clipped.blown_at_edge += if region.at_edge { share } else { 0.0 };
            }
        }
        clipped.sparkle = (white - clipped.blown).max(0.0);
        self.mark(places, &runs, |run| Some(&found[run.region]).filter(|region| is_blown(region)));
        clipped
    }

    /// Marks how much of each place lies in blown regions.
    fn mark<'a>(&self, places: &mut Grid<Place>, runs: &[Run], blown: impl Fn(&Run) -> Option<&'a Region>) {
        let (across, down) = (self.across, self.cells.len() / self.across);
        let mut counts = vec![(0u32, 0u32); places.fields.len()];
        for run in runs {
            let Some(region) = blown(run) else { continue };
            let row = run.row * places.down / down * places.across;
            for at in (run.from..run.to).filter(|at| self.cells[run.row * across + at] == WHITE) {
                let count = &mut counts[row + at * places.across / across];
                count.0 += 1;
                count.1 += u32::from(region.at_edge);
            }
        }
        let cells_of = |at: usize, of: usize, cells: usize| ((at + 1) * cells).div_ceil(of) - (at * cells).div_ceil(of);
        let places_across = places.across;
        let places_down = places.down;
        for (at, (place, (blown, at_edge))) in places.fields.iter_mut().zip(counts).enumerate() {
            let cells =
                cells_of(at % places_across, places_across, across) * cells_of(at / places_across, places_down, down);
            let of_byte = |count: u32| (count * 255 / (cells as u32).max(1)) as u8;
            (place.blown, place.blown_at_edge) = (of_byte(blown), of_byte(at_edge));
        }
    }
}

/// White pixels among some plain ones.
fn white_pixels(plain: &[u8], colours: usize) -> u8 {
    plain.chunks_exact(colours).filter(|pixel| pixel.iter().all(|code| *code >= HOT)).count() as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clipped(width: usize, height: usize, pixel: impl Fn(usize, usize) -> [u8; 3]) -> (Clipped, Grid<Place>) {
        let mut counting = Clipping::new(width, height, 3);
        let mut places = Grid::filled(width.min(10), height.min(10), Place::default());
        for y in 0..height {
            let row: Vec<u8> = (0..width).flat_map(|x| pixel(x, y)).collect();
            let mut luma = vec![0; width];
            crate::measure::luma::of_row(&row, 3, &mut luma);
            counting.add(&row, &luma);
        }
        let clipped = counting.end(&mut places);
        (clipped, places)
    }

    #[test]
    fn sparkle_blown_areas_and_single_channels_are_told_apart() {
        // 400 x 400 grey: a white square of 40, a hundred white dots of 2 x 2, red alone at the top in a square of 20.
        let (found, places) = clipped(400, 400, |x, y| {
            let dot = (10..90).contains(&y) && (210..290).contains(&x) && (y - 10) % 8 < 2 && (x - 210) % 8 < 2;
            if dot || ((100..140).contains(&x) && (100..140).contains(&y)) {
                [255; 3]
            } else if (300..320).contains(&x) && (300..320).contains(&y) {
                [255, 128, 128]
            } else {
                [128; 3]
            }
        });
        // Arithmetic: 1600 + 400 of 160 000 pixels.
        assert_eq!((found.white, found.blown, found.regions), (0.0125, 0.01, 1));
        assert!((found.sparkle - 0.0025).abs() < 1e-12);
        assert_eq!(found.single, [0.0025, 0.0, 0.0]);
        assert_eq!((found.blown_at_edge, found.largest, found.largest_inside), (0.0, 0.01, 0.01));
        // The square lies across four of the hundred fields.
        assert_eq!(places.fields.iter().filter(|place| place.blown > 0).count(), 4);
    }

    #[test]
    fn white_that_reaches_the_edge_is_told_apart() {
        let (found, _) = clipped(400, 400, |x, y| {
            if y < 100 || (200..240).contains(&x) && (200..240).contains(&y) { [255; 3] } else { [90; 3] }
        });
        assert!((found.blown - 0.26).abs() < 1e-9 && (found.blown_at_edge - 0.25).abs() < 1e-9);
        assert_eq!((found.largest, found.largest_inside), (0.25, 0.01));
    }

    #[test]
    fn flat_white_that_was_pulled_down_is_told_apart() {
        let (found, _) = clipped(200, 200, |x, y| if x < 40 && y < 40 { [250; 3] } else { [(x % 200) as u8; 3] });
        assert_eq!((found.white, found.pulled_down, found.blown), (0.0, 0.04, 0.0));
        assert_eq!(found.pulled_down_at_edge, 0.04);
        let (found, _) = clipped(200, 200, |x, y| if (x + y) % 3 == 0 { [252; 3] } else { [248; 3] });
        assert_eq!((found.blown, found.pulled_down), (0.0, 0.0));
    }

    #[test]
    fn a_picture_smaller_than_a_cell_has_its_white_counted() {
        assert_eq!(clipped(3, 3, |_, _| [255; 3]).0.white, 1.0);
    }
}
