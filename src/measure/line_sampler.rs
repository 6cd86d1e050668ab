//! Samples lines of luma for measuring edges afterwards: rows in groups of five, and columns likewise, chosen by their
//! absolute number, at most 8 MB each. A picture that fits is kept whole.

/// Bytes kept each way.
pub const MAX_BYTES: usize = 8_000_000;
/// Rows in a group: an edge is measured with two neighbours on each side.
pub const GROUP: usize = 5;
/// The first group's middle row.
const FIRST_MIDDLE: usize = 3;
/// Rows gathered before their columns are transposed.
const BATCH: usize = 64;
/// Codes a side of a square that is transposed at once: a register's bytes.
const SQUARE: usize = 8;

/// Rows of luma, some or all of a picture's; or its columns, each as a row.
#[derive(Clone, Debug, Default)]
pub struct SampledLines {
    /// Codes in each line.
    pub len: usize,
    /// Number of lines of the picture.
    pub line_count: usize,
    /// True if every line is kept.
    pub has_every_line: bool,
    /// Numbers of the kept lines.
    numbers: Vec<u32>,
    /// The kept lines, one after the other.
    codes: Vec<u8>,
}

impl SampledLines {
    /// Returns a kept line by its index among them.
    pub fn line(&self, place: usize) -> &[u8] {
        &self.codes[place * self.len..][..self.len]
    }

    /// Returns the lines to measure along: every `step`-th of a picture that is kept whole, else every `thin`-th kept
    /// one.
    pub fn each(&self, step: usize, thin: usize) -> impl Iterator<Item = &[u8]> {
        let step = if self.has_every_line { step } else { thin };
        (0..self.numbers.len()).step_by(step).map(|place| self.line(place))
    }

    /// Returns the groups of five lines, each with the number in the picture of its middle line.
    pub fn groups(&self, step: usize) -> impl Iterator<Item = (usize, [&[u8]; GROUP])> {
        let middles: Vec<usize> = if self.has_every_line {
            (FIRST_MIDDLE..self.line_count.saturating_sub(FIRST_MIDDLE)).step_by(step).collect()
        } else {
            (GROUP / 2..self.numbers.len()).step_by(GROUP).collect()
        };
        middles.into_iter().map(|place| {
            let group = std::array::from_fn(|at| self.line(place + at - GROUP / 2));
            (self.numbers[place] as usize, group)
        })
    }

    /// Returns four neighbouring kept lines, the first as near as possible to this line of the picture.
    pub fn four_near(&self, number: usize) -> [&[u8]; 4] {
        let place = if self.has_every_line {
            number.min(self.line_count.saturating_sub(4))
        } else {
            let after = self.numbers.partition_point(|kept| (*kept as usize) < number);
            (after / GROUP * GROUP).min(self.numbers.len().saturating_sub(GROUP))
        };
        std::array::from_fn(|at| self.line(place + at))
    }
}

/// Chooses which of `of` lines of `len` codes are kept; true if all are.
fn choose_lines(of: usize, len: usize) -> (Vec<u32>, bool) {
    if of * len <= MAX_BYTES {
        return ((0..of as u32).collect(), true);
    }
    let step = (GROUP * of * len).div_ceil(MAX_BYTES).max(GROUP);
    let middles = (FIRST_MIDDLE..of.saturating_sub(FIRST_MIDDLE)).step_by(step);
    (middles.flat_map(|middle| middle as u32 - 2..=middle as u32 + 2).collect(), false)
}

/// Buffers of kept lines, for the next picture: no larger than the largest one needed.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct LineBuffers {
    rows: Vec<u8>,
    columns: Vec<u8>,
}

impl LineBuffers {
    /// Returns the buffers of lines that are no longer needed.
    pub fn of(rows: SampledLines, columns: SampledLines) -> LineBuffers {
        LineBuffers { rows: rows.codes, columns: columns.codes }
    }
}

/// Samples lines row by row.
pub struct LineSampler {
    rows: SampledLines,
    columns: SampledLines,
    next_row: usize,
    /// Kept columns of the last few rows, row by row.
    batch: Vec<u8>,
    batch_rows: usize,
    seen: usize,
}

impl LineSampler {
    /// Creates a sampler for pictures of this size, which reuses an earlier picture's buffers.
    pub fn new(width_px: usize, height_px: usize, buffers: LineBuffers) -> LineSampler {
        let lines = |of: usize, len: usize, codes: Vec<u8>| {
            let (numbers, has_every_line) = choose_lines(of, len);
            SampledLines { len, line_count: of, has_every_line, numbers, codes }
        };
        let (mut rows, mut columns) =
            (lines(height_px, width_px, buffers.rows), lines(width_px, height_px, buffers.columns));
        rows.codes.clear();
        rows.codes.reserve_exact(rows.numbers.len() * width_px);
        // What an earlier picture left there is written over, place by place.
        let len = columns.numbers.len() * height_px;
        columns.codes.reserve_exact(len.saturating_sub(columns.codes.len()));
        columns.codes.resize(len, 0);
        let batch = vec![0; columns.numbers.len() * BATCH];
        LineSampler { rows, columns, next_row: 0, batch, batch_rows: 0, seen: 0 }
    }

    /// Takes the next row. Returns true if luma is to be counted on it: on every row of a picture that is kept whole,
    /// else on the middle row of each group.
    pub fn add(&mut self, luma: &[u8]) -> bool {
        let mut represents = false;
        if self.rows.numbers.get(self.next_row) == Some(&(self.seen as u32)) {
            self.rows.codes.extend_from_slice(luma);
            represents = self.rows.has_every_line || self.next_row % GROUP == GROUP / 2;
            self.next_row += 1;
        }
        let kept = self.columns.numbers.len();
        let batch = &mut self.batch[self.batch_rows * kept..][..kept];
        if self.columns.has_every_line {
            batch.copy_from_slice(luma);
        } else {
            for (group, five) in batch.as_chunks_mut::<GROUP>().0.iter_mut().zip(self.columns.numbers.chunks(GROUP)) {
                group.copy_from_slice(&luma[five[0] as usize..][..GROUP]);
            }
        }
        self.batch_rows += 1;
        self.seen += 1;
        if self.batch_rows == BATCH {
            self.transpose_batch();
        }
        represents
    }

    /// Writes the gathered columns where they belong.
    fn transpose_batch(&mut self) {
        let (kept, height) = (self.columns.numbers.len(), self.columns.len);
        let first = self.seen - self.batch_rows;
        let in_squares = kept / SQUARE * SQUARE;
        let mut columns = self.columns.codes.chunks_exact_mut(height.max(1));
        // Squares of codes are turned in registers; what is left over at the ends, code by code.
        for place in (0..in_squares).step_by(SQUARE) {
            let mut eight: Vec<&mut [u8]> =
                columns.by_ref().take(SQUARE).map(|column| &mut column[first..first + self.batch_rows]).collect();
            let whole = self.batch_rows / SQUARE * SQUARE;
            for row in (0..whole).step_by(SQUARE) {
                let square = std::array::from_fn(|at| {
                    let codes = self.batch[(row + at) * kept + place..].first_chunk().copied();
                    u64::from_le_bytes(codes.unwrap_or_default())
                });
                for (column, codes) in eight.iter_mut().zip(transpose_square(square)) {
                    column[row..row + SQUARE].copy_from_slice(&codes.to_le_bytes());
                }
            }
            for row in whole..self.batch_rows {
                for (at, column) in eight.iter_mut().enumerate() {
                    column[row] = self.batch[row * kept + place + at];
                }
            }
        }
        for (place, column) in (in_squares..kept).zip(columns) {
            let column = &mut column[first..first + self.batch_rows];
            for (code, row) in column.iter_mut().zip(self.batch.chunks_exact(kept)) {
                *code = row[place];
            }
        }
        self.batch_rows = 0;
    }

    /// Returns the sampled rows and columns.
    pub fn finish(mut self) -> (SampledLines, SampledLines) {
        self.transpose_batch();
        (self.rows, self.columns)
    }
}

/// Transposes eight rows of eight codes: pairs, fours and halves change places.
fn transpose_square(mut rows: [u64; SQUARE]) -> [u64; SQUARE] {
    for (apart, mask) in [(1, 0x00FF_00FF_00FF_00FF), (2, 0x0000_FFFF_0000_FFFF), (4, 0x0000_0000_FFFF_FFFF)] {
        for at in (0..SQUARE).filter(|at| at & apart == 0) {
            let (upper, lower) = (rows[at], rows[at + apart]);
            let by = 8 * apart as u32;
            rows[at] = upper & mask | (lower & mask) << by;
            rows[at + apart] = upper >> by & mask | lower & !mask;
        }
    }
    rows
}

#[cfg(test)]
pub fn whole(codes: &[u8], width_px: usize) -> (SampledLines, SampledLines) {
    let mut keeping = LineSampler::new(width_px, codes.len() / width_px, LineBuffers::default());
    codes.chunks_exact(width_px).for_each(|row| {
        keeping.add(row);
    });
    keeping.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(x: usize, y: usize) -> u8 {
        (x * 7 + y * 13 + x * y % 11) as u8
    }

    fn kept(width: usize, height: usize) -> (SampledLines, SampledLines) {
        let codes: Vec<u8> = (0..height).flat_map(|y| (0..width).map(move |x| code(x, y))).collect();
        whole(&codes, width)
    }

    #[test]
    fn a_small_picture_is_kept_whole_both_ways() {
        let (rows, columns) = kept(70, 130);
        assert!(rows.has_every_line && columns.has_every_line);
        assert_eq!((rows.each(1, 1).count(), columns.each(1, 1).count()), (130, 70));
        assert!((0..70).all(|x| (0..130).all(|y| columns.line(x)[y] == code(x, y) && rows.line(y)[x] == code(x, y))));
        assert_eq!(rows.groups(2).next().unwrap().0, 3);
    }

    #[test]
    fn a_long_line_of_pixels_has_no_groups_and_no_trouble() {
        for narrow in 1..6 {
            let of = MAX_BYTES + 1;
            assert!(choose_lines(narrow, of).0.is_empty() && !choose_lines(of, narrow).0.is_empty(), "{narrow}");
        }
    }

    #[test]
    fn a_large_picture_is_kept_in_groups_within_the_bound() {
        let (rows, columns) = kept(6_000, 4_001);
        for (lines, is_row) in [(&rows, true), (&columns, false)] {
            assert!(!lines.has_every_line && lines.codes.len() <= MAX_BYTES && lines.codes.len() > MAX_BYTES / 2);
            let mut groups = 0;
            for (middle, five) in lines.groups(1) {
                groups += 1;
                for (line, number) in five.iter().zip(middle - 2..) {
                    let at = |along: usize| if is_row { code(along, number) } else { code(number, along) };
                    assert!(line.iter().enumerate().step_by(97).all(|(along, found)| *found == at(along)));
                }
            }
            assert!(groups > 200);
        }
        let four = rows.four_near(2_000);
        assert!(four.iter().all(|line| line.len() == 6_000));
    }

    #[test]
    fn a_square_s_rows_become_its_columns() {
        let rows: [[u8; 8]; 8] = std::array::from_fn(|y| std::array::from_fn(|x| (y * 8 + x) as u8));
        let turned = transpose_square(rows.map(u64::from_le_bytes)).map(u64::to_le_bytes);
        assert!((0..64).all(|at| turned[at % 8][at / 8] == rows[at / 8][at % 8]), "{turned:?}");
    }
}
