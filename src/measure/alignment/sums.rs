//! Means of any area of a small picture.

/// Values in rows, with the sums of all above and to the left, so that the mean of any area is found at once.
pub(super) struct Sums {
    pub(super) across: usize,
    pub(super) down: usize,
    sums: Vec<f64>,
}

impl Sums {
    pub(super) fn of(values: &[f64], across: usize, down: usize) -> Sums {
        let row = across + 1;
        let mut sums = vec![0.0; row * (down + 1)];
        for y in 0..down {
            let mut sum = 0.0;
            for x in 0..across {
                sum += values[y * across + x];
                sums[(y + 1) * row + x + 1] = sums[y * row + x + 1] + sum;
            }
        }
        Sums { across, down, sums }
    }

    /// Returns the sum above and to the left of a corner between cells.
    pub(super) fn at(&self, x: usize, y: usize) -> f64 {
        self.sums[y * (self.across + 1) + x]
    }

    /// Returns the sum above and to the left of any point.
    pub(super) fn to(&self, x: f64, y: f64) -> f64 {
        let (x, y) = (x.clamp(0.0, self.across as f64), y.clamp(0.0, self.down as f64));
        let (column, line) = ((x as usize).min(self.across - 1), (y as usize).min(self.down - 1));
        let (right, low) = (x - column as f64, y - line as f64);
        let above = self.at(column, line) * (1.0 - right) + self.at(column + 1, line) * right;
        let below = self.at(column, line + 1) * (1.0 - right) + self.at(column + 1, line + 1) * right;
        above * (1.0 - low) + below * low
    }

    /// Returns the mean of an area.
    pub(super) fn mean(&self, [left, top, right, bottom]: [f64; 4]) -> f64 {
        let sum = self.to(right, bottom) - self.to(left, bottom) - self.to(right, top) + self.to(left, top);
        sum / ((right - left) * (bottom - top))
    }

    /// Returns the whole in another number of fields.
    pub(super) fn resampled(&self, across: usize, down: usize) -> Vec<f64> {
        let (wide, high) = (self.across as f64 / across as f64, self.down as f64 / down as f64);
        let field = |at: usize| {
            let (x, y) = ((at % across) as f64, (at / across) as f64);
            self.mean([x * wide, y * high, (x + 1.0) * wide, (y + 1.0) * high])
        };
        (0..across * down).map(field).collect()
    }

    pub(super) fn longer(&self) -> f64 {
        self.across.max(self.down) as f64
    }
}
