//! JPEG quality, estimated from the quantisation tables.
//!
//! Quality is no property of the format: it is the scale on which the Independent JPEG Group's library stretches the
//! example tables of ITU-T T.81 Annex K. Tables that are no such stretch get the nearest one.

use super::markers::{FrameHeader, Markers};

/// The nearest quality.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Estimate {
    /// 1 to 100.
    pub quality: u8,
    /// The tables are those of this quality, entry by entry.
    pub is_exact: bool,
}

/// Luminance in row order. Source: ITU-T T.81 (09/92) table K.1.
const LUMINANCE: [u16; 64] = [
    16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51,
    87, 80, 62, 18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78, 87, 103, 121, 120, 101,
    72, 92, 95, 98, 112, 100, 103, 99,
];
/// Chrominance in row order. Source: ITU-T T.81 (09/92) table K.2.
const CHROMINANCE: [u16; 64] = [
    17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99, 24, 26, 56, 99, 99, 99, 99, 99, 47, 66, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99,
];
/// Row index of the k-th stored entry. Source: ITU-T T.81 figure A.6.
const ZIGZAG: [usize; 64] = [
    0, 1, 8, 16, 9, 2, 3, 10, 17, 24, 32, 25, 18, 11, 4, 5, 12, 19, 26, 33, 40, 48, 41, 34, 27, 20, 13, 6, 7, 14, 21,
    28, 35, 42, 49, 56, 57, 50, 43, 36, 29, 22, 15, 23, 30, 37, 44, 51, 58, 59, 52, 45, 38, 31, 39, 46, 53, 60, 61, 54,
    47, 55, 62, 63,
];

/// The tables of every quality from 1 to 100, as stored (zigzag): luminance, chrominance.
static SCALED: [[[u16; 64]; 2]; 100] = scale_all();

const fn scale_all() -> [[[u16; 64]; 2]; 100] {
    let mut all = [[[0; 64]; 2]; 100];
    let mut quality = 1;
    while quality <= 100 {
        all[quality - 1] = [scaled(&LUMINANCE, quality as u32), scaled(&CHROMINANCE, quality as u32)];
        quality += 1;
    }
    all
}

/// Returns a table scaled to a quality in the customary way, in whole numbers. Source: Independent JPEG Group's
/// library, `jpeg_quality_scaling`.
const fn scaled(base: &[u16; 64], quality: u32) -> [u16; 64] {
    let stretch = if quality < 50 { 5000 / quality } else { 200 - 2 * quality };
    let mut table = [0; 64];
    let mut k = 0;
    while k < 64 {
        let entry = (base[ZIGZAG[k]] as u32 * stretch + 50) / 100;
        table[k] = if entry < 1 {
            1
        } else if entry > 255 {
            255
        } else {
            entry as u16
        };
        k += 1;
    }
    table
}

/// Returns the nearest quality: the smallest sum of absolute differences over the brightness table and, where a second
/// table is used, the colour table. Zero where the tables are missing.
pub fn of(markers: &Markers, frame: &FrameHeader) -> Estimate {
    let table =
        |index: usize| frame.components.get(index).and_then(|component| markers.tables[component.table].as_ref());
    let second_used = frame.components.get(1).is_some_and(|second| second.table != frame.components[0].table);
    let Some(brightness) = table(0) else { return Estimate { quality: 0, is_exact: false } };
    let colour = if second_used { table(1) } else { None };
    let distance = |wanted: &[[u16; 64]; 2]| {
        difference(brightness, &wanted[0]) + colour.map_or(0, |colour| difference(colour, &wanted[1]))
    };
    let nearest = (1..=100_u8).zip(&SCALED).map(|(quality, wanted)| (distance(wanted), quality)).min();
    nearest.map_or(Estimate { quality: 0, is_exact: false }, |(off, quality)| Estimate { quality, is_exact: off == 0 })
}

fn difference(a: &[u16; 64], b: &[u16; 64]) -> u32 {
    a.iter().zip(b).map(|(a, b)| u32::from(a.abs_diff(*b))).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::format::jpeg::markers::Component;

    fn estimate(luminance: [u16; 64], chrominance: [u16; 64]) -> Estimate {
        let tables = [Some(luminance), Some(chrominance), None, None];
        let component = |table| Component { id: 0, sampling: (1, 1), table };
        let frame = FrameHeader {
            marker: 0xC0,
            bits: 8,
            width_px: 8,
            height_px: 8,
            components: vec![component(0), component(1), component(1)],
        };
        of(&Markers { tables, ..Markers::default() }, &frame)
    }

    #[test]
    fn the_example_tables_are_quality_50_exactly() {
        // Source: ITU-T T.81 Annex K, tables K.1 and K.2.
        let stored = |base: [u16; 64]| std::array::from_fn(|k| base[ZIGZAG[k]]);
        assert_eq!(estimate(stored(LUMINANCE), stored(CHROMINANCE)), Estimate { quality: 50, is_exact: true });
    }

    #[test]
    fn every_quality_finds_itself() {
        for (quality, tables) in (1..=100).zip(&SCALED) {
            assert_eq!(estimate(tables[0], tables[1]), Estimate { quality, is_exact: true });
        }
    }

    #[test]
    fn the_sums_of_the_scaled_tables_are_the_known_ones() {
        // Source: sums of the tables a common encoder writes (all 100 qualities were compared entry by entry).
        for (quality, luminance, chrominance) in [(75, 1858, 2780), (90, 736, 1110), (95, 369, 558), (100, 64, 64)] {
            let sums = SCALED[quality - 1].map(|table| table.iter().map(|entry| u32::from(*entry)).sum::<u32>());
            assert_eq!(sums, [luminance, chrominance]);
        }
    }

    #[test]
    fn other_tables_get_the_nearest_quality_and_say_so() {
        let mut tables = SCALED[91];
        tables[0][40] += 1;
        assert_eq!(estimate(tables[0], tables[1]), Estimate { quality: 92, is_exact: false });
    }
}
