//! A plane of numbers, and how it is blurred and resized.

use crate::units::vectors::widest;

/// Numbers, row by row.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    /// Numbers in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// The numbers.
    pub values: Vec<f32>,
}

/// A Gaussian is cut off at so many standard deviations.
const TRUNCATE: f64 = 4.0;
/// Blurs wider than so many pixels are made on a picture reduced by [`COARSE`].
const WIDE: f64 = 8.0;
/// See [`WIDE`].
const COARSE: usize = 4;

impl Plane {
    /// The same number everywhere.
    pub fn filled(width: usize, height: usize, value: f32) -> Plane {
        Plane { width, height, values: vec![value; width * height] }
    }

    /// Number by number with another plane.
    pub fn with(&self, other: &Plane, join: impl Fn(f32, f32) -> f32) -> Plane {
        let values = self.values.iter().zip(&other.values).map(|(one, other)| join(*one, *other)).collect();
        Plane { width: self.width, height: self.height, values }
    }

    /// Each number by itself.
    pub fn map(&self, change: impl Fn(f32) -> f32) -> Plane {
        Plane { width: self.width, height: self.height, values: self.values.iter().map(|v| change(*v)).collect() }
    }

    /// Their mean.
    pub fn mean(&self) -> f32 {
        (self.values.iter().map(|v| f64::from(*v)).sum::<f64>() / self.values.len().max(1) as f64) as f32
    }

    /// Rows for columns.
    pub fn turned(&self) -> Plane {
        let values =
            (0..self.width).flat_map(|x| (0..self.height).map(move |y| self.values[y * self.width + x])).collect();
        Plane { width: self.height, height: self.width, values }
    }

    /// Blurred by a Gaussian of this standard deviation in pixels; edges are mirrored.
    pub fn blurred(&self, deviation: f64) -> Plane {
        if deviation > WIDE && self.width >= 2 * COARSE && self.height >= 2 * COARSE {
            let coarse = self.resized(self.width / COARSE, self.height / COARSE);
            let shrunk = self.width as f64 / coarse.width as f64;
            return coarse.blurred(deviation / shrunk).stretched(self.width, self.height);
        }
        let kernel = gaussian(deviation);
        self.along_rows(&kernel).turned().along_rows(&kernel).turned()
    }

    /// Length of the gradient of the plane blurred by a Gaussian of this standard deviation.
    pub fn gradient(&self, deviation: f64) -> Plane {
        let (smooth, slope) = (gaussian(deviation), derivative(deviation));
        let across = self.along_rows(&slope).turned().along_rows(&smooth).turned();
        let down = self.along_rows(&smooth).turned().along_rows(&slope).turned();
        across.with(&down, f32::hypot)
    }

    /// Each row weighed by a kernel of odd length round each place.
    fn along_rows(&self, kernel: &[f32]) -> Plane {
        let reach = kernel.len() / 2;
        let mut values = vec![0.0; self.values.len()];
        let mut padded = vec![0.0; self.width + 2 * reach];
        for (row, sums) in self.values.chunks_exact(self.width).zip(values.chunks_exact_mut(self.width)) {
            for (at, value) in padded.iter_mut().enumerate() {
                *value = row[mirrored(at as isize - reach as isize, self.width)];
            }
            widest(
                #[inline(always)]
                || {
                    for (weight, from) in kernel.iter().zip(0..) {
                        sums.iter_mut().zip(&padded[from..]).for_each(|(sum, value)| *sum += weight * value);
                    }
                },
            );
        }
        Plane { width: self.width, height: self.height, values }
    }

    /// Means over exact areas.
    pub fn resized(&self, width: usize, height: usize) -> Plane {
        let narrow = self.rows_resized(width);
        narrow.turned().rows_resized(height).turned()
    }

    fn rows_resized(&self, width: usize) -> Plane {
        let mut values = Vec::with_capacity(width * self.height);
        let mut sums = vec![0.0f64; self.width + 1];
        for row in self.values.chunks_exact(self.width) {
            row.iter().enumerate().for_each(|(at, v)| sums[at + 1] = sums[at] + f64::from(*v));
            values.extend(means(&sums, width));
        }
        Plane { width, height: self.height, values }
    }

    /// Larger, by straight lines between the centres.
    fn stretched(&self, width: usize, height: usize) -> Plane {
        let places = |to: usize, from: usize| -> Vec<(usize, usize, f32)> {
            let place = |at: usize| ((at as f64 + 0.5) * from as f64 / to as f64 - 0.5).clamp(0.0, (from - 1) as f64);
            (0..to)
                .map(|at| {
                    let low = place(at) as usize;
                    (low, (low + 1).min(from - 1), (place(at) - low as f64) as f32)
                })
                .collect()
        };
        let (across, down) = (places(width, self.width), places(height, self.height));
        let mut values = Vec::with_capacity(width * height);
        for (upper, lower, part) in down {
            let (upper, lower) = (&self.values[upper * self.width..], &self.values[lower * self.width..]);
            values.extend(across.iter().map(|(left, right, share)| {
                let line = |row: &[f32]| row[*left] + (row[*right] - row[*left]) * share;
                line(upper) + (line(lower) - line(upper)) * part
            }));
        }
        Plane { width, height, values }
    }
}

/// Grey codes, row by row.
pub struct Codes {
    /// Codes in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// The codes.
    pub codes: Vec<u8>,
}

impl Codes {
    /// Means over exact areas, the same as those of a plane of these numbers; whole numbers add up quicker.
    pub fn resized(&self, width: usize, height: usize) -> Plane {
        let mut values = Vec::with_capacity(width * self.height);
        let mut sums = vec![0u32; self.width + 1];
        for row in self.codes.chunks_exact(self.width) {
            let mut sum = 0;
            for (below, code) in sums[1..].iter_mut().zip(row) {
                sum += u32::from(*code);
                *below = sum;
            }
            values.extend(means(&sums, width));
        }
        Plane { width, height: self.height, values }.turned().rows_resized(height).turned()
    }
}

/// Means of so many equal parts of a row, from the sums of what lies before each place.
fn means<S: Copy + Into<f64>>(sums: &[S], parts: usize) -> impl Iterator<Item = f32> {
    let len = sums.len() - 1;
    let below = move |place: f64| {
        let at = (place as usize).min(len - 1);
        let (before, after): (f64, f64) = (sums[at].into(), sums[at + 1].into());
        before + (after - before) * (place - at as f64)
    };
    let step = len as f64 / parts as f64;
    (0..parts).map(move |at| ((below((at + 1) as f64 * step) - below(at as f64 * step)) / step) as f32)
}

/// A place beyond the ends, mirrored back: d c b a | a b c d | d c b a.
fn mirrored(at: isize, len: usize) -> usize {
    let period = 2 * len as isize;
    let at = at.rem_euclid(period);
    (if at < len as isize { at } else { period - 1 - at }) as usize
}

fn gaussian(deviation: f64) -> Vec<f32> {
    let weights = weights(deviation);
    let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
    weights.into_iter().map(|(_, weight)| (weight / sum) as f32).collect()
}

fn derivative(deviation: f64) -> Vec<f32> {
    let weights = weights(deviation);
    let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
    weights.into_iter().map(|(x, weight)| (x / deviation.powi(2) * weight / sum) as f32).collect()
}

fn weights(deviation: f64) -> Vec<(f64, f64)> {
    let deviation = deviation.max(1e-3);
    let reach = (TRUNCATE * deviation + 0.5) as i32;
    (-reach..=reach).map(f64::from).map(|x| (x, (-x * x / (2.0 * deviation * deviation)).exp())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_blur_keeps_the_mean_and_spreads_by_its_deviation() {
        for deviation in [1.0, 3.0, 12.0] {
            let mut point = Plane::filled(161, 161, 0.0);
            point.values[80 * 161 + 80] = 1_000.0;
            let blurred = point.blurred(deviation);
            assert!((blurred.mean() - point.mean()).abs() < 1e-4);
            // The variance of a blurred point is that of the blur.
            let moment: f32 = (0..161).map(|x| blurred.values[80 * 161 + x] * (x as f32 - 80.0).powi(2)).sum();
            let line: f32 = blurred.values[80 * 161..81 * 161].iter().sum();
            let found = f64::from(moment / line).sqrt();
            assert!((found / deviation - 1.0).abs() < 0.03, "{found} for {deviation}");
        }
    }

    #[test]
    fn the_gradient_of_a_ramp_is_its_slope() {
        let ramp = Plane { width: 60, height: 40, values: (0..2400).map(|at| (at % 60) as f32 * 2.0).collect() };
        assert!((ramp.gradient(1.0).values[20 * 60 + 30] - 2.0).abs() < 1e-3);
    }

    #[test]
    fn areas_are_exact() {
        let three = Plane { width: 3, height: 1, values: vec![0.0, 30.0, 90.0] };
        assert_eq!(three.resized(2, 1).values, [10.0, 70.0]);
        let codes = Codes { width: 7, height: 5, codes: (0..35).map(|at| at * 7).collect() };
        let plane = Plane { width: 7, height: 5, values: (0..35).map(|at| (at * 7) as f32).collect() };
        assert_eq!(codes.resized(3, 2), plane.resized(3, 2));
        assert_eq!(mirrored(-1, 3), 0);
        assert_eq!(mirrored(3, 3), 2);
    }
}
