//! Local contrast, and how alike two pictures are by it.

use super::sums::Sums;

/// Local contrast is against the mean of an eighth of the longer side, either way.
const LOCAL_PARTS: usize = 8;
/// Codes added to the local spread, so that noise in smooth places does not count like detail.
const CALM: f64 = 6.0;
/// Variance of local contrast below which there is nothing to compare.
const FLAT: f64 = 0.02;

/// Returns each value against the mean of its surroundings, over how much they vary.
pub(super) fn local_contrast(values: &[f64], across: usize, down: usize) -> Vec<f64> {
    let squares: Vec<f64> = values.iter().map(|value| value * value).collect();
    let (sums, squares) = (Sums::of(values, across, down), Sums::of(&squares, across, down));
    let reach = (across.max(down) / LOCAL_PARTS).max(2);
    let contrast = |(at, value): (usize, &f64)| {
        let (x, y) = (at % across, at / across);
        let (left, right) = (x.saturating_sub(reach), (x + reach + 1).min(across));
        let (top, bottom) = (y.saturating_sub(reach), (y + reach + 1).min(down));
        let area = ((right - left) * (bottom - top)) as f64;
        let mean =
            |of: &Sums| (of.at(right, bottom) - of.at(left, bottom) - of.at(right, top) + of.at(left, top)) / area;
        let local = mean(&sums);
        let spread = (mean(&squares) - local * local).max(0.0).sqrt();
        (value - local) / (spread + CALM)
    };
    values.iter().enumerate().map(contrast).collect()
}

/// Sums for a correlation.
#[derive(Default)]
pub(super) struct Tally {
    count: f64,
    one: f64,
    other: f64,
    one_squared: f64,
    other_squared: f64,
    product: f64,
}

impl Tally {
    pub(super) fn add(&mut self, one: &[f64], other: &[f64]) {
        self.count += one.len() as f64;
        for (one, other) in one.iter().zip(other) {
            self.one += one;
            self.other += other;
            self.one_squared += one * one;
            self.other_squared += other * other;
            self.product += one * other;
        }
    }

    /// Returns the normalised cross-correlation, -1 to 1; 0 where one of both is flat.
    pub(super) fn correlation(&self) -> f64 {
        let (one, other) = (self.one / self.count, self.other / self.count);
        let variances = (self.one_squared / self.count - one * one, self.other_squared / self.count - other * other);
        if !(variances.0 >= FLAT && variances.1 >= FLAT) {
            return 0.0;
        }
        (self.product / self.count - one * other) / (variances.0 * variances.1).sqrt()
    }
}

pub(super) fn correlation(one: &[f64], other: &[f64]) -> f64 {
    let mut tally = Tally::default();
    tally.add(one, other);
    tally.correlation()
}
