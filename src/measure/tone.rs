//! Lightness and contrast in cells of 8 x 8 pixels.

use crate::units::vectors::widest;

use super::evidence::{CellBin, DEVIATION_STEP, FieldTone, LightnessScale, MAX_DEVIATION, Tone};
use super::grid::Grid;

/// Pixels a side of a cell.
const CELL_PX: usize = super::evidence::CELL_PX as usize;
/// Fields of the picture along its longer side.
pub const FIELDS_A_SIDE: usize = 64;
/// Pixels of a cell.
const CELL_PIXELS: u32 = (CELL_PX * CELL_PX) as u32;
/// Steps of contrast.
const DEVIATIONS: usize = MAX_DEVIATION as usize + 1;
/// Cells of the next smaller size along each side of a larger one.
const PARTS_A_SIDE: usize = 4;
/// Largest cells, in pixels a side.
const WIDEST_PX: usize = 512;

/// Counts cells row by row.
pub struct CellCounter {
    cells_across: usize,
    cells_down: usize,
    sums: Vec<u32>,
    squares: Vec<u32>,
    rows: usize,
    row_of_cells: usize,
    table: Vec<u32>,
    fields: Grid<FieldSums>,
    code_counts: Vec<u32>,
    wider: Vec<WiderCells>,
}

/// Sums over the cells of a field.
#[derive(Clone, Copy, Default)]
struct FieldSums {
    cells: u32,
    /// Of the codes of their pixels.
    luma: u32,
    /// Of their contrasts, in steps.
    spread: u32,
}

/// Counts larger cells out of the sums of smaller ones.
struct WiderCells {
    cell_px: usize,
    rows: usize,
    /// Of each cell: the sum of its parts' sums, and of their squares.
    sums: Vec<(u64, u64)>,
    table: Vec<u32>,
}

impl WiderCells {
    /// Takes a row of smaller cells' sums. Returns the sums of its own cells once they are complete.
    fn add(&mut self, parts: &[u64]) -> Option<Vec<u64>> {
        for ((sum, squares), parts) in self.sums.iter_mut().zip(parts.chunks_exact(PARTS_A_SIDE)) {
            *sum += parts.iter().sum::<u64>();
            *squares += parts.iter().map(|part| part * part).sum::<u64>();
        }
        self.rows += 1;
        if self.rows < PARTS_A_SIDE {
            return None;
        }
        self.rows = 0;
        let parts = (PARTS_A_SIDE * PARTS_A_SIDE) as u64;
        let pixels = (self.cell_px * self.cell_px) as u64;
        let of_cell = |(sum, squares): &mut (u64, u64)| {
            // The variance of the parts' sums times their number squared, exactly.
            let variance = (parts * *squares).saturating_sub(*sum * *sum);
            let spread = (variance as f64).sqrt() / pixels as f64;
            let spread = ((spread / DEVIATION_STEP) as usize).min(DEVIATIONS - 1);
            self.table[(*sum + pixels / 2) as usize / pixels as usize * DEVIATIONS + spread] += 1;
            *sum
        };
        let sums = self.sums.iter_mut().map(of_cell).collect();
        self.sums.fill((0, 0));
        Some(sums)
    }

    fn finish(self) -> LightnessScale {
        let counted = self.table.iter().sum();
        LightnessScale { cell_px: self.cell_px as u32, cells: occurring_bins(&self.table), cell_count: counted }
    }
}

/// Pairs of mean and contrast that occur.
fn occurring_bins(table: &[u32]) -> Vec<CellBin> {
    let occurring = table.iter().enumerate().filter(|(_, count)| **count > 0);
    occurring
        .map(|(at, count)| CellBin {
            mean: (at / DEVIATIONS) as u8,
            deviation_steps: (at % DEVIATIONS) as u8,
            count: *count,
        })
        .collect()
}

impl CellCounter {
    /// Creates a counter for pictures of this size.
    pub fn new(width_px: usize, height_px: usize) -> CellCounter {
        let (cells_across, cells_down) = (width_px / CELL_PX, height_px / CELL_PX);
        let (across, down) = fields(cells_across, cells_down, FIELDS_A_SIDE.min(cells_across.max(cells_down)));
        CellCounter {
            cells_across,
            cells_down,
            sums: vec![0; cells_across],
            squares: vec![0; cells_across],
            rows: 0,
            row_of_cells: 0,
            table: vec![0; 256 * DEVIATIONS],
            fields: Grid::filled(across, down, FieldSums::default()),
            code_counts: vec![0; 256],
            wider: std::iter::successors(Some(CELL_PX * PARTS_A_SIDE), |cell_px| Some(cell_px * PARTS_A_SIDE))
                .take_while(|cell_px| *cell_px <= WIDEST_PX && *cell_px <= width_px.min(height_px))
                .map(|cell_px| WiderCells {
                    cell_px,
                    rows: 0,
                    sums: vec![(0, 0); width_px / cell_px],
                    table: vec![0; 256 * DEVIATIONS],
                })
                .collect(),
        }
    }

    /// Takes the next row.
    pub fn add(&mut self, luma: &[u8]) {
        if self.row_of_cells == self.cells_down {
            return;
        }
        let eights = luma.as_chunks::<CELL_PX>().0;
        let (sums, squares) = (&mut self.sums, &mut self.squares);
        widest(
            #[inline(always)]
            || {
                for ((sum, square), eight) in sums.iter_mut().zip(squares).zip(eights) {
                    let (mut s, mut q) = (0u32, 0u32);
                    for code in eight {
                        let code = u32::from(*code);
                        s += code;
                        q += code * code;
                    }
                    *sum += s;
                    *square += q;
                }
            },
        );
        self.rows += 1;
        if self.rows == CELL_PX {
            self.finish_cell_row();
        }
    }

    /// Counts the codes of a row.
    pub fn count_codes(&mut self, luma: &[u8]) {
        luma.iter().for_each(|code| self.code_counts[usize::from(*code)] += 1);
    }

    fn finish_cell_row(&mut self) {
        let down = self.row_of_cells * self.fields.down / self.cells_down;
        if !self.wider.is_empty() {
            let mut parts = Some(self.sums.iter().map(|sum| u64::from(*sum)).collect::<Vec<u64>>());
            for wider in &mut self.wider {
                let Some(sums) = parts else { break };
                parts = wider.add(&sums);
            }
        }
        for (at, (sum, square)) in self.sums.iter_mut().zip(&mut self.squares).enumerate() {
            // The variance times the square of the cell's pixels, exactly.
            let variance = (u64::from(CELL_PIXELS) * u64::from(*square)).saturating_sub(u64::from(*sum).pow(2));
            let spread = (variance as f32).sqrt() / CELL_PIXELS as f32;
            let spread = ((spread / DEVIATION_STEP as f32) as usize).min(DEVIATIONS - 1);
            self.table[((*sum + CELL_PIXELS / 2) / CELL_PIXELS) as usize * DEVIATIONS + spread] += 1;
            let across = at * self.fields.across / self.cells_across;
            let field = &mut self.fields.fields[down * self.fields.across + across];
            field.cells += 1;
            field.luma += *sum;
            field.spread += spread as u32;
            (*sum, *square) = (0, 0);
        }
        self.rows = 0;
        self.row_of_cells += 1;
    }

    /// Returns the cells, with the lightness of each code, and the fields, with nothing blown yet.
    pub fn finish(self, lightness: &[f32; 256]) -> (Option<Tone>, Grid<FieldTone>) {
        let counted = (self.cells_across * self.cells_down) as u32;
        let tone = (counted > 0).then(|| Tone {
            lightness: lightness.to_vec(),
            luma: self.code_counts,
            cells: occurring_bins(&self.table),
            cell_count: counted,
            wider: self.wider.into_iter().map(WiderCells::finish).collect(),
        });
        let tone_of = |field: &FieldSums| FieldTone {
            mean: (field.luma / CELL_PIXELS / field.cells.max(1)) as u8,
            deviation_steps: (field.spread / field.cells.max(1)) as u8,
            ..FieldTone::default()
        };
        let fields = self.fields.fields.iter().map(tone_of).collect();
        (tone, Grid { fields, across: self.fields.across, down: self.fields.down })
    }
}

/// Returns how many fields across and down: `longer` along the longer side, as square as can be, at least one.
pub fn fields(width_px: usize, height_px: usize, longer: usize) -> (usize, usize) {
    let longest = width_px.max(height_px).max(1);
    let along = |px: usize| ((px * longer) as f64 / longest as f64).round().max(1.0) as usize;
    (along(width_px), along(height_px))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_hold_their_mean_and_contrast() {
        // 256 x 256: left half 20, right 200; the top left quarter has 6 more on every other pixel, like a chessboard.
        let mut counting = CellCounter::new(256, 256);
        for y in 0..256 {
            let row: Vec<u8> = (0..256)
                .map(|x| if x >= 128 { 200 } else { 20 + if y < 128 && (x + y) % 2 == 1 { 6 } else { 0 } })
                .collect();
            counting.add(&row);
        }
        let (tone, places) = counting.finish(&[0.0; 256]);
        let tone = tone.unwrap();
        // Arithmetic: mean 23 and deviation 3 in the chessboard.
        let wanted = [(20, 0, 256), (23, 12, 256), (200, 0, 512)];
        assert_eq!(tone.cell_count, 1024);
        assert_eq!(tone.cells.iter().map(|c| (c.mean, c.deviation_steps, c.count)).collect::<Vec<_>>(), wanted);
        assert_eq!((places.across, places.down), (32, 32));
        assert_eq!((places.fields[0].mean, places.fields[0].deviation_steps), (23, 12));
        assert_eq!(places.fields[31].mean, 200);
    }

    #[test]
    fn larger_cells_measure_differences_between_their_parts() {
        // 256 x 128: steps of 8 px, 20 and 24 in turn along the left half, with a chessboard of 2 codes in them; the
        // right half rises by 1 code every 8 px.
        let mut counting = CellCounter::new(256, 128);
        for y in 0..128 {
            let row: Vec<u8> = (0..256)
                .map(|x| if x < 128 { 20 + 4 * (x / 8 % 2) + 2 * ((x + y) % 2) } else { 100 + (x - 128) / 8 })
                .map(|code| code as u8)
                .collect();
            counting.add(&row);
        }
        let tone = counting.finish(&[0.0; 256]).0.unwrap();
        let sizes: Vec<(u32, u32)> = tone.wider.iter().map(|scale| (scale.cell_px, scale.cell_count)).collect();
        assert_eq!(sizes, [(32, 32), (128, 2)]);
        // Arithmetic: means 21 and 25 in turn deviate by 2 codes, four steps of 1 by the root of 1.25.
        let of =
            |at: usize| tone.wider[at].cells.iter().map(|c| (c.mean, c.deviation_steps, c.count)).collect::<Vec<_>>();
        assert_eq!(of(0), [(23, 8, 16), (102, 4, 4), (106, 4, 4), (110, 4, 4), (114, 4, 4)]);
        // The wide cell on the left has four like parts a row; on the right their means are 101.5 to 113.5.
        assert_eq!(of(1), [(23, 0, 1), (108, 17, 1)]);
    }
}
