//! A plane of numbers, and how it is blurred and resized.

use crate::units::vectors::widest;

/// Numbers, row by row.
#[derive(Clone, Debug, PartialEq)]
pub struct ValuePlane {
    /// Numbers in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// The numbers.
    pub values: Vec<f32>,
}

/// L*, a* and b* of a small picture.
pub struct Lab {
    /// Lightness, a*, b*.
    pub planes: [ValuePlane; 3],
}

/// Standard deviations at which a Gaussian is cut off.
const TRUNCATE: f64 = 4.0;
/// Blurs wider than this many pixels are computed on a reduced picture.
const WIDE: f64 = 8.0;
/// Factor by which it is reduced.
const COARSE: usize = 4;

impl ValuePlane {
    /// Creates a plane with the same number everywhere.
    pub fn filled(width: usize, height: usize, value: f32) -> ValuePlane {
        ValuePlane { width, height, values: vec![value; width * height] }
    }

    /// Combines it with another plane, number by number.
    pub fn combine(&self, other: &ValuePlane, join: impl Fn(f32, f32) -> f32) -> ValuePlane {
        let values = self.values.iter().zip(&other.values).map(|(one, other)| join(*one, *other)).collect();
        ValuePlane { width: self.width, height: self.height, values }
    }

    /// Applies a function to each number.
    pub fn map(&self, change: impl Fn(f32) -> f32) -> ValuePlane {
        ValuePlane { width: self.width, height: self.height, values: self.values.iter().map(|v| change(*v)).collect() }
    }

    /// Returns their mean.
    pub fn mean(&self) -> f32 {
        (self.values.iter().map(|v| f64::from(*v)).sum::<f64>() / self.values.len().max(1) as f64) as f32
    }

    /// Transposes rows and columns.
    pub fn transpose(&self) -> ValuePlane {
        let values =
            (0..self.width).flat_map(|x| (0..self.height).map(move |y| self.values[y * self.width + x])).collect();
        ValuePlane { width: self.height, height: self.width, values }
    }

    /// Returns it blurred by a Gaussian of this standard deviation in pixels; edges are mirrored.
    pub fn blur(&self, deviation: f64) -> ValuePlane {
        if deviation > WIDE && self.width >= 2 * COARSE && self.height >= 2 * COARSE {
            let coarse = self.resized(self.width / COARSE, self.height / COARSE);
            let shrunk = self.width as f64 / coarse.width as f64;
            return coarse.blur(deviation / shrunk).enlarge(self.width, self.height);
        }
        let kernel = gaussian(deviation);
        self.along_rows(&kernel).along_columns(&kernel)
    }

    /// Returns the length of the gradient of the plane blurred by a Gaussian of this standard deviation.
    pub fn gradient(&self, deviation: f64) -> ValuePlane {
        let (smooth, slope) = (gaussian(deviation), derivative(deviation));
        let across = self.along_rows(&slope).along_columns(&smooth);
        let down = self.along_rows(&smooth).along_columns(&slope);
        // What the standard library's `hypot` comes to, without its care for numbers that no picture has.
        across.combine(&down, |across, down| (f64::from(across).powi(2) + f64::from(down).powi(2)).sqrt() as f32)
    }

    /// Convolves each row with a kernel of odd length.
    fn along_rows(&self, kernel: &[f32]) -> ValuePlane {
        let reach = kernel.len() / 2;
        let mut values = vec![0.0; self.values.len()];
        let mut padded = vec![0.0; self.width + 2 * reach];
        for (row, sums) in self.values.chunks_exact(self.width).zip(values.chunks_exact_mut(self.width)) {
            padded[reach..reach + self.width].copy_from_slice(row);
            for beyond in (0..reach).chain(reach + self.width..padded.len()) {
                padded[beyond] = row[mirrored(beyond as isize - reach as isize, self.width)];
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
        ValuePlane { width: self.width, height: self.height, values }
    }

    /// Convolves each column with such a kernel, row upon row.
    fn along_columns(&self, kernel: &[f32]) -> ValuePlane {
        let reach = kernel.len() as isize / 2;
        let mut values = vec![0.0; self.values.len()];
        widest(
            #[inline(always)]
            || {
                for (y, sums) in values.chunks_exact_mut(self.width).enumerate() {
                    for (weight, from) in kernel.iter().zip(y as isize - reach..) {
                        let from = mirrored(from, self.height) * self.width;
                        let row = &self.values[from..from + self.width];
                        sums.iter_mut().zip(row).for_each(|(sum, value)| *sum += weight * value);
                    }
                }
            },
        );
        ValuePlane { width: self.width, height: self.height, values }
    }

    /// Reduces it by means over exact areas.
    pub fn resized(&self, width: usize, height: usize) -> ValuePlane {
        self.rows_resized(width).columns_resized(height)
    }

    fn rows_resized(&self, width: usize) -> ValuePlane {
        let mut values = Vec::with_capacity(width * self.height);
        let mut sums = vec![0.0f64; self.width + 1];
        for row in self.values.chunks_exact(self.width) {
            row.iter().enumerate().for_each(|(at, v)| sums[at + 1] = sums[at] + f64::from(*v));
            values.extend(means(&sums, width));
        }
        ValuePlane { width, height: self.height, values }
    }

    fn columns_resized(&self, height: usize) -> ValuePlane {
        let mut sums = vec![0.0f64; (self.height + 1) * self.width];
        for (y, row) in self.values.chunks_exact(self.width).enumerate() {
            let (above, below) = sums[y * self.width..].split_at_mut(self.width);
            for ((below, above), value) in below.iter_mut().zip(above).zip(row) {
                *below = *above + f64::from(*value);
            }
        }
        let lines: Vec<&[f64]> = sums.chunks_exact(self.width).collect();
        let step = self.height as f64 / height as f64;
        let mut values = Vec::with_capacity(self.width * height);
        for at in 0..height {
            let (from, to) =
                (Between::of(at as f64 * step, self.height), Between::of((at + 1) as f64 * step, self.height));
            let (first, second) = ((lines[from.at], lines[from.at + 1]), (lines[to.at], lines[to.at + 1]));
            values.extend((0..self.width).map(|x| {
                let sum = to.of_sums(second.0[x], second.1[x]) - from.of_sums(first.0[x], first.1[x]);
                (sum / step) as f32
            }));
        }
        ValuePlane { width: self.width, height, values }
    }

    /// Enlarges it by straight lines between the centres.
    fn enlarge(&self, width: usize, height: usize) -> ValuePlane {
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
        ValuePlane { width, height, values }
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
    /// Reduces it by means over exact areas, the same as those of a plane of these numbers; whole numbers add up
    /// quicker.
    pub fn resized(&self, width: usize, height: usize) -> ValuePlane {
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
        ValuePlane { width, height: self.height, values }.columns_resized(height)
    }
}

/// Returns the means of a number of equal parts of a row, from the sums of what lies before each place.
fn means<S: Copy + Into<f64>>(sums: &[S], parts: usize) -> impl Iterator<Item = f32> {
    let len = sums.len() - 1;
    let below = move |place: f64| {
        let between = Between::of(place, len);
        between.of_sums(sums[between.at].into(), sums[between.at + 1].into())
    };
    let step = len as f64 / parts as f64;
    (0..parts).map(move |at| ((below((at + 1) as f64 * step) - below(at as f64 * step)) / step) as f32)
}

/// A place between two numbers of a row.
struct Between {
    at: usize,
    part: f64,
}

impl Between {
    fn of(place: f64, len: usize) -> Between {
        let at = (place as usize).min(len - 1);
        Between { at, part: place - at as f64 }
    }

    /// Returns the sum up to the place, from the sums up to the two.
    fn of_sums(&self, before: f64, after: f64) -> f64 {
        before + (after - before) * self.part
    }
}

/// Returns a place beyond the ends, mirrored back: d c b a | a b c d | d c b a.
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
            let mut point = ValuePlane::filled(161, 161, 0.0);
            point.values[80 * 161 + 80] = 1_000.0;
            let blurred = point.blur(deviation);
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
        let ramp = ValuePlane { width: 60, height: 40, values: (0..2400).map(|at| (at % 60) as f32 * 2.0).collect() };
        assert!((ramp.gradient(1.0).values[20 * 60 + 30] - 2.0).abs() < 1e-3);
    }

    #[test]
    fn areas_are_exact() {
        let three = ValuePlane { width: 3, height: 1, values: vec![0.0, 30.0, 90.0] };
        assert_eq!(three.resized(2, 1).values, [10.0, 70.0]);
        let codes = Codes { width: 7, height: 5, codes: (0..35).map(|at| at * 7).collect() };
        let plane = ValuePlane { width: 7, height: 5, values: (0..35).map(|at| (at * 7) as f32).collect() };
        assert_eq!(codes.resized(3, 2), plane.resized(3, 2));
        assert_eq!(mirrored(-1, 3), 0);
        assert_eq!(mirrored(3, 3), 2);
    }
}
