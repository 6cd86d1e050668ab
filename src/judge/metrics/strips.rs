//! Importance of the strips along a print's edges.

use crate::judge::metrics::cut_lines::{CutLines, Rectangle};
use crate::measure::Grid;

/// Shares of a picture's importance in each strip: top, right, bottom, left. Corners count once, for top or bottom.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Strips {
    /// In the strip that trimming may take.
    pub trim: [f64; 4],
    /// In the strip outside the safe area.
    pub safe: [f64; 4],
}

impl Strips {
    /// Measures the strips on a map of importance with sum 1.
    pub fn of(importance: &Grid<f32>, lines: &CutLines) -> Strips {
        let sides = |inner: Rectangle| strips(lines.window, inner).map(|strip| within(importance, strip));
        Strips { trim: sides(lines.trim), safe: sides(lines.safe) }
    }
}

/// Returns the four strips between a window and a rectangle inside it: top, right, bottom, left.
pub fn strips(window: Rectangle, inner: Rectangle) -> [Rectangle; 4] {
    let [left, top, right, bottom] = window;
    let [l, t, r, b] = inner;
    [[left, top, right, t], [r, t, right, b], [left, b, right, bottom], [left, t, l, b]]
}

/// Returns the area of a rectangle within the picture, as a share of it.
pub fn area(rectangle: Rectangle) -> f64 {
    let [left, top, right, bottom] = rectangle.map(|share| share.clamp(0.0, 1.0));
    (right - left).max(0.0) * (bottom - top).max(0.0)
}

/// Returns the share of importance within a rectangle; fields count by the part inside.
pub fn within(importance: &Grid<f32>, rectangle: Rectangle) -> f64 {
    let Grid { across, down, fields } = importance;
    let field_area = 1.0 / (across * down).max(1) as f64;
    // Only the fields on each axis that the rectangle reaches: strips are narrow, and every row measures many of them.
    let reached = |from: f64, to: f64, of: usize| {
        let place = |share: f64| (share * of as f64).clamp(0.0, of as f64);
        place(from) as usize..place(to).ceil() as usize
    };
    let part = |at: usize, of: usize, from: f64, to: f64| {
        (((at + 1) as f64 / of as f64).min(to) - (at as f64 / of as f64).max(from)).max(0.0)
    };
    let [left, top, right, bottom] = rectangle;
    let columns = reached(left, right, *across);
    // Fields between the first and the last column are wholly inside.
    let inner = columns.start + 1..columns.end.saturating_sub(1).max(columns.start + 1);
    let rows = reached(top, bottom, *down).map(|y| {
        let row = &fields[y * across..(y + 1) * across];
        let whole: f64 = row.get(inner.clone()).into_iter().flatten().map(|field| f64::from(*field)).sum();
        let ends = [columns.start, inner.end].into_iter().filter(|x| columns.contains(x));
        let in_part: f64 = ends.map(|x| f64::from(row[x]) * part(x, *across, left, right)).sum();
        (whole / *across as f64 + in_part) * part(y, *down, top, bottom)
    });
    rows.sum::<f64>() / field_area
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_even_map_has_in_each_strip_its_share_of_the_area() {
        let even = Grid::filled(20, 20, 1.0 / 400.0f32);
        let lines = CutLines {
            window: [0.0, 0.0, 1.0, 1.0],
            finished: [0.05, 0.05, 0.95, 0.95],
            trim: [0.05, 0.05, 0.95, 0.95],
            safe: [0.12, 0.12, 0.88, 0.88],
            folds: Vec::new(),
        };
        let found = Strips::of(&even, &lines);
        // Arithmetic: 5 % all round are 19 % of the area.
        assert!((found.trim[0] - 0.05).abs() < 1e-6 && (found.trim[1] - 0.045).abs() < 1e-6);
        assert!((found.trim.iter().sum::<f64>() - 0.19).abs() < 1e-6);
        // A strip that ends within fields counts them in part.
        assert!((found.safe[0] - 0.12).abs() < 1e-6);
        assert!((area([0.0, 0.0, 1.0, 0.12]) - 0.12).abs() < 1e-12);
    }

    #[test]
    fn fields_count_by_the_part_that_lies_inside_however_few_a_rectangle_reaches() {
        let map = Grid { across: 5, down: 1, fields: vec![1.0, 2.0, 4.0, 8.0, 16.0] };
        // Arithmetic: fields are a fifth wide, and so count in fifths.
        for (left, right, fifths) in
            [(0.0, 1.0, 31.0), (0.1, 0.3, 1.5), (0.25, 0.3, 0.5), (0.2, 0.4, 2.0), (0.3, 0.9, 1.0 + 4.0 + 8.0 + 8.0)]
        {
            let found = within(&map, [left, 0.0, right, 1.0]);
            assert!((found - fifths).abs() < 1e-9, "{left} to {right}: {found}");
        }
    }

    #[test]
    fn no_map_matters_nowhere() {
        assert_eq!(within(&Grid::default(), [0.0, 0.0, 1.0, 1.0]), 0.0);
    }
}
