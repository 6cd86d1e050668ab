//! Featureless white, in cells of 4 x 4 pixels; and single channels at the top of the scale.
//!
//! Speculars apart from blown areas: a cell counts when all of its 16 pixels are white, cells that touch (corners too)
//! are one region, and a region larger than 0.05 % of the picture is blown; what is smaller is sparkle. A region whose
//! surroundings are still nearly white and smooth three cells further out is the soft glow of a light: the sun, a lamp,
//! a hazy sky. Source: ours, from photographs; the sun and its haze are white and smooth there, petals, clouds and
//! crockery have texture or have ended.

use crate::units::vectors::widest;

use super::evidence::{Clipped, FieldTone};
use super::grid::Grid;
use super::regions::{CellRun, ConnectedRegion, regions};

/// A channel counts as white from this code: JPEG moves 255 by one. Source: ours.
pub const WHITE_CODE: u8 = 254;
/// Pixels a side of a cell.
const CELL_PX: usize = 4;
/// White pixels that make a cell white: all of its 16.
const FULL: u8 = 16;
/// Share of the picture above which a region is no sparkle.
const MAX_SPARKLE: f64 = 0.000_5;
/// Least luma of a cell just below white: pulled-down white or the glow of a light. Source: ours.
const NEARLY_WHITE: u8 = 245;
/// Most codes between the darkest and the lightest pixel of a cell of pulled-down white. Source: ours.
const FLAT: u8 = 1;
/// Most codes between the darkest and the lightest pixel of a smooth cell, as in a glow. Source: ours.
const SMOOTH: u8 = 4;
/// Distance in cells from a region at which its surroundings are measured.
const AROUND: usize = 3;
/// An edge is soft if one part in this many of its surroundings is nearly white and smooth.
const SOFT_PARTS: u32 = 2;
/// Bytes in a block of whole pixels of three samples that fills whole registers.
const BLOCK: usize = 96;
/// Pixels that are tested together for whether any of them is white.
const TESTED_TOGETHER: usize = 32;

/// Counts clipped cells row by row.
pub struct ClippingCounter {
    channels: usize,
    across: usize,
    width_px: usize,
    pixels: u64,
    white: u64,
    channel_counts: [u64; 3],
    /// White pixels of each cell of the current rows.
    white_in_cell: Vec<u8>,
    /// The darkest and the lightest code of each column in the current rows.
    least: Vec<u8>,
    most: Vec<u8>,
    rows: usize,
    /// True if one of the current rows holds nothing nearly white.
    has_dull_row: bool,
    /// A byte a cell: 0, [`WHITE`], [`PULLED_DOWN`] or [`GLOWING`].
    cells: Vec<u8>,
}

/// A cell at the top of the scale.
const WHITE: u8 = 1;
/// A flat cell just below it.
const PULLED_DOWN: u8 = 2;
/// A smooth cell just below it, part of no region.
const GLOWING: u8 = 3;

impl ClippingCounter {
    /// Creates a counter for plain pictures of this size; `channels` is 1 or 3.
    pub fn new(width_px: usize, height_px: usize, channels: usize) -> ClippingCounter {
        let across = width_px / CELL_PX;
        ClippingCounter {
            channels,
            across,
            width_px,
            pixels: 0,
            white: 0,
            channel_counts: [0; 3],
            white_in_cell: vec![0; across],
            least: vec![u8::MAX; width_px],
            most: vec![0; width_px],
            rows: 0,
            has_dull_row: false,
            cells: Vec::with_capacity(across * (height_px / CELL_PX)),
        }
    }

    /// Takes the next row, with its luma.
    pub fn add(&mut self, plain: &[u8], luma: &[u8]) {
        self.pixels += self.width_px as u64;
        if self.channels == 3 {
            self.count_channels(plain);
        }
        // White pixels have white luma, so most rows need no closer look.
        let lightest = lightest(luma);
        if lightest >= NEARLY_WHITE {
            let (least, most) = (&mut self.least, &mut self.most);
            widest(
                #[inline(always)]
                || {
                    for ((least, most), code) in least.iter_mut().zip(most).zip(luma) {
                        (*least, *most) = ((*least).min(*code), (*most).max(*code));
                    }
                },
            );
        } else {
            self.has_dull_row = true;
        }
        if lightest >= WHITE_CODE {
            self.count_white(plain, luma);
        }
        self.rows += 1;
        if self.rows == CELL_PX {
            self.finish_cell_row();
        }
    }

    fn count_channels(&mut self, plain: &[u8]) {
        let (blocks, rest) = plain.as_chunks::<BLOCK>();
        // At most 255 blocks fit a byte's count.
        for run in blocks.chunks(usize::from(u8::MAX)) {
            let mut counts = [0u8; BLOCK];
            widest(
                #[inline(always)]
                || {
                    for block in run {
                        for (count, code) in counts.iter_mut().zip(block) {
                            *count += u8::from(*code >= WHITE_CODE);
                        }
                    }
                },
            );
            for (at, count) in counts.iter().enumerate() {
                self.channel_counts[at % 3] += u64::from(*count);
            }
        }
        for (at, code) in rest.iter().enumerate() {
            self.channel_counts[at % 3] += u64::from(*code >= WHITE_CODE);
        }
    }

    fn count_white(&mut self, plain: &[u8], luma: &[u8]) {
        for (block, codes) in luma.chunks(TESTED_TOGETHER).enumerate() {
            if lightest(codes) < WHITE_CODE {
                continue;
            }
            for (four, codes) in codes.chunks(CELL_PX).enumerate().filter(|(_, codes)| lightest(codes) >= WHITE_CODE) {
                let at = block * TESTED_TOGETHER + four * CELL_PX;
                let white = white_pixels(&plain[at * self.channels..][..codes.len() * self.channels], self.channels);
                self.white += u64::from(white);
                // What is left over at the row's end belongs to no cell.
                if let Some(hot) = self.white_in_cell.get_mut(at / CELL_PX) {
                    *hot += white;
                }
            }
        }
    }

    fn finish_cell_row(&mut self) {
        let from = self.cells.len();
        self.cells.resize(from + self.across, 0);
        // In a dull row every cell is dull.
        if self.has_dull_row {
            self.has_dull_row = false;
        } else {
            let (leasts, mosts) = (self.least.as_chunks::<CELL_PX>().0, self.most.as_chunks::<CELL_PX>().0);
            let (kinds, hots) = (&mut self.cells[from..], &self.white_in_cell);
            widest(
                #[inline(always)]
                || {
                    for ((kind, hot), (least, most)) in kinds.iter_mut().zip(hots).zip(leasts.iter().zip(mosts)) {
                        *kind = kind_of(*hot, *least, *most);
                    }
                },
            );
        }
        self.white_in_cell.fill(0);
        self.least.fill(u8::MAX);
        self.most.fill(0);
        self.rows = 0;
    }

    /// Returns what is clipped, and marks the fields' blown shares.
    pub fn finish(self, places: &mut Grid<FieldTone>) -> Clipped {
        let share = |pixels: u64| pixels as f64 / self.pixels.max(1) as f64;
        let white = share(self.white);
        let mut clipped = Clipped { white, sparkle: white, ..Clipped::default() };
        if self.channels == 3 {
            clipped.single_channel = self.channel_counts.map(|hot| share(hot - self.white));
        }
        if self.cells.iter().all(|kind| *kind == 0) {
            return clipped;
        }
        let (found, runs) = regions(&self.cells, self.across, |kind| kind == WHITE || kind == PULLED_DOWN);
        let cell = 1.0 / self.cells.len() as f64;
        let share = |cells: u32| f64::from(cells) * cell;
        let is_blown = |region: &ConnectedRegion| share(region.white) > MAX_SPARKLE;
        let soft = self.find_soft_edged(&found, &runs);
        for (region, soft) in found.iter().zip(&soft) {
            let pulled_down = share(region.cells - region.white);
            if pulled_down > MAX_SPARKLE {
                clipped.pulled_down += pulled_down;
                clipped.pulled_down_at_edge += if region.is_at_edge { pulled_down } else { 0.0 };
            }
            let white = share(region.white);
            clipped.largest = clipped.largest.max(white);
            if !is_blown(region) {
                continue;
            }
            clipped.regions += 1;
            clipped.blown += white;
            clipped.blown_at_edge += if region.is_at_edge { white } else { 0.0 };
            let of_its_kind = match (soft, region.is_at_edge) {
                (true, _) => &mut clipped.soft,
                (false, true) => &mut clipped.hard_at_edge,
                (false, false) => &mut clipped.hard,
            };
            of_its_kind.share += white;
            of_its_kind.largest = of_its_kind.largest.max(white);
        }
        clipped.sparkle = (white - clipped.blown).max(0.0);
        self.mark_blown(places, &runs, |run| {
            Some((&found[run.region], soft[run.region])).filter(|(region, _)| is_blown(region))
        });
        clipped
    }

    /// Tells of each region whether its surroundings are still nearly white and smooth some cells further out.
    fn find_soft_edged(&self, found: &[ConnectedRegion], runs: &[CellRun]) -> Vec<bool> {
        let (across, down) = (self.across, self.cells.len() / self.across);
        // Cells round each region that are not white, and how many of these glow.
        let mut around = vec![(0u32, 0u32); found.len()];
        for run in runs {
            let (seen, glowing) = &mut around[run.region];
            let mut count = |row: usize, at: usize| {
                let kind = self.cells[row * across + at];
                *seen += u32::from(kind != WHITE);
                *glowing += u32::from(kind == PULLED_DOWN || kind == GLOWING);
            };
            let rows = [run.row.checked_sub(AROUND), Some(run.row + AROUND).filter(|row| *row < down)];
            rows.into_iter().flatten().for_each(|row| (run.from..run.to).for_each(|at| count(row, at)));
            let ends = [run.from.checked_sub(AROUND), Some(run.to - 1 + AROUND).filter(|at| *at < across)];
            ends.into_iter().flatten().for_each(|at| count(run.row, at));
        }
        around.into_iter().map(|(seen, glowing)| seen > 0 && glowing * SOFT_PARTS >= seen).collect()
    }

    /// Marks how much of each place lies in blown regions.
    fn mark_blown<'a>(
        &self,
        places: &mut Grid<FieldTone>,
        runs: &[CellRun],
        blown: impl Fn(&CellRun) -> Option<(&'a ConnectedRegion, bool)>,
    ) {
        let (across, down) = (self.across, self.cells.len() / self.across);
        let mut counts = vec![[0u32; 3]; places.fields.len()];
        for run in runs {
            let Some((region, soft)) = blown(run) else { continue };
            let row = run.row * places.down / down * places.across;
            for at in (run.from..run.to).filter(|at| self.cells[run.row * across + at] == WHITE) {
                let count = &mut counts[row + at * places.across / across];
                count[0] += 1;
                count[1] += u32::from(region.is_at_edge);
                count[2] += u32::from(soft);
            }
        }
        let cells_of = |at: usize, of: usize, cells: usize| ((at + 1) * cells).div_ceil(of) - (at * cells).div_ceil(of);
        let places_across = places.across;
        let places_down = places.down;
        for (at, (place, [blown, at_edge, soft])) in places.fields.iter_mut().zip(counts).enumerate() {
            let cells =
                cells_of(at % places_across, places_across, across) * cells_of(at / places_across, places_down, down);
            let of_byte = |count: u32| (count * 255 / (cells as u32).max(1)) as u8;
            (place.blown, place.blown_at_edge, place.blown_softly) = (of_byte(blown), of_byte(at_edge), of_byte(soft));
        }
    }
}

/// Returns the kind of a cell by its white pixels and by the darkest and lightest codes of its columns; without a
/// branch.
#[inline(always)]
fn kind_of(hot: u8, least: [u8; CELL_PX], most: [u8; CELL_PX]) -> u8 {
    let least = least[0].min(least[1]).min(least[2].min(least[3]));
    let range = most[0].max(most[1]).max(most[2].max(most[3])).saturating_sub(least);
    let is_white = u8::from(hot >= FULL);
    let is_smooth = u8::from(least >= NEARLY_WHITE) & u8::from(range <= SMOOTH);
    let of_smooth = if range <= FLAT { PULLED_DOWN } else { GLOWING };
    is_white * WHITE + (1 - is_white) * is_smooth * of_smooth
}

/// Returns the lightest of some codes; 0 of none.
fn lightest(codes: &[u8]) -> u8 {
    codes.iter().fold(0, |most, code| most.max(*code))
}

/// Returns the white pixels among some plain ones.
fn white_pixels(plain: &[u8], colours: usize) -> u8 {
    plain.chunks_exact(colours).filter(|pixel| pixel.iter().all(|code| *code >= WHITE_CODE)).count() as u8
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::evidence::BlownShare;

    fn clipped(width: usize, height: usize, pixel: impl Fn(usize, usize) -> [u8; 3]) -> (Clipped, Grid<FieldTone>) {
        let mut counting = ClippingCounter::new(width, height, 3);
        let mut places = Grid::filled(width.min(10), height.min(10), FieldTone::default());
        for y in 0..height {
            let row: Vec<u8> = (0..width).flat_map(|x| pixel(x, y)).collect();
            let mut luma = vec![0; width];
            crate::measure::luma::of_row(&row, 3, &mut luma);
            counting.add(&row, &luma);
        }
        let clipped = counting.finish(&mut places);
        (clipped, places)
    }

    #[test]
    fn sparkle_blown_areas_and_single_channels_are_counted_apart() {
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
        assert_eq!(found.single_channel, [0.0025, 0.0, 0.0]);
        assert_eq!((found.blown_at_edge, found.largest), (0.0, 0.01));
        assert_eq!((found.hard, found.soft.share), (BlownShare { share: 0.01, largest: 0.01 }, 0.0));
        // The square lies across four of the hundred fields.
        assert_eq!(places.fields.iter().filter(|place| place.blown > 0).count(), 4);
    }

    #[test]
    fn white_that_reaches_the_edge_is_counted_apart() {
        let (found, _) = clipped(400, 400, |x, y| {
            if y < 100 || (200..240).contains(&x) && (200..240).contains(&y) { [255; 3] } else { [90; 3] }
        });
        assert!((found.blown - 0.26).abs() < 1e-9 && (found.blown_at_edge - 0.25).abs() < 1e-9);
        assert_eq!((found.hard_at_edge.largest, found.hard.largest), (0.25, 0.01));
    }

    #[test]
    fn flat_white_that_was_pulled_down_is_counted_apart() {
        let (found, _) = clipped(200, 200, |x, y| if x < 40 && y < 40 { [250; 3] } else { [(x % 200) as u8; 3] });
        assert_eq!((found.white, found.pulled_down, found.blown), (0.0, 0.04, 0.0));
        assert_eq!(found.pulled_down_at_edge, 0.04);
        let (found, _) = clipped(200, 200, |x, y| if (x + y) % 3 == 0 { [252; 3] } else { [248; 3] });
        assert_eq!((found.blown, found.pulled_down), (0.0, 0.0));
    }

    #[test]
    fn the_glow_of_a_light_is_counted_apart_from_white_with_an_edge() {
        // A sun whose light falls off slowly, two codes every five pixels, and a white plate of the same size.
        let sun = |x: usize, y: usize| {
            let off = (x as f64 - 100.0).hypot(y as f64 - 100.0) - 30.0;
            [(255.0 - 0.4 * off.max(0.0)) as u8; 3]
        };
        let plate = |x: usize, y: usize| if sun(x, y)[0] == 255 { [255; 3] } else { [150; 3] };
        let ((sun, places), (plate, _)) = (clipped(200, 200, sun), clipped(200, 200, plate));
        assert!(sun.blown > 0.06 && sun.soft.share == sun.blown && sun.hard.share == 0.0, "{sun:?}");
        assert!(plate.blown > 0.06 && plate.hard.share == plate.blown && plate.soft.share == 0.0, "{plate:?}");
        assert!(places.fields.iter().any(|place| place.blown > 200 && place.blown_softly == place.blown));
    }

    #[test]
    fn a_cell_with_a_pixel_that_is_not_white_is_not_featureless() {
        let (found, _) = clipped(40, 40, |x, y| if (x % 4, y % 4) == (1, 2) { [250; 3] } else { [255; 3] });
        assert!((found.white - 15.0 / 16.0).abs() < 1e-9 && found.blown == 0.0, "{found:?}");
    }

    #[test]
    fn a_picture_smaller_than_a_cell_has_its_white_counted() {
        assert_eq!(clipped(3, 3, |_, _| [255; 3]).0.white, 1.0);
    }
}
