//! A saliency map, how much each part of a picture draws attention: contrast with its surroundings, fine structure, and
//! difference from the frame's edges, with the centre preferred.
//!
//! Families: Itti, Koch and Niebur, IEEE PAMI 20 (1998), for the first; Zhang et al., Minimum barrier salient object
//! detection, ICCV 2015, for the third. Weights are ours. It finds no faces, hands or words, so rules only
//! ever note on it.

use crate::measure::grid::Grid;
use crate::measure::statistics::median;
use crate::units::vectors::widest;

use super::plane::{Lab, ValuePlane};

/// Deviations of centre and surround, as parts of the short side.
const SCALES: [(f64, f64); 2] = [(64.0, 8.0), (32.0, 4.0)];
/// A gradient counts up to this, L* a pixel.
const MAX_GRADIENT: f32 = 12.0;
/// The short side divided by this is the deviation by which gradients are smoothed.
const GRADIENT_SMOOTH: f64 = 48.0;
/// Each side's strip is this part of the short side.
const STRIP: usize = 10;
/// Added to the strips' variances, in Lab units squared: no strip is of one colour only.
const MIN_VARIANCE: f64 = 4.0;
/// Weight of the difference from the edges.
const EDGES_WEIGHT: f32 = 2.0;
/// A cue weaker than this everywhere is rounding and says nothing.
const MIN_CUE: f32 = 1e-3;
/// Shape of the preference for the centre: (0.35 + exp(-8 r squared)) squared, r in shares of the sides.
const CENTRE: (f32, f32) = (0.35, 8.0);
/// Fields of the map along the longer side.
const FIELDS: usize = 128;

/// Returns the saliency map, sum 1; all zero in a picture without contrast.
pub fn map(lab: &Lab) -> Grid<f32> {
    let [lightness, _, _] = &lab.planes;
    let (width, height) = (lightness.width, lightness.height);
    let short = width.min(height) as f64;
    let mut sum = ValuePlane::filled(width, height, 0.0);
    let mut add = |cue: &ValuePlane, weight: f32| {
        if cue.mean() > MIN_CUE {
            let scale = weight / cue.mean();
            sum = sum.combine(cue, |sum, cue| sum + cue * scale);
        }
    };
    let mut soft: Option<[ValuePlane; 3]> = None;
    for (centre, surround) in SCALES {
        let centres = lab.planes.each_ref().map(|plane| plane.blur(short / centre));
        let surrounds = lab.planes.each_ref().map(|plane| plane.blur(short / surround));
        add(&distance(&centres, &surrounds), 1.0);
        soft.get_or_insert(centres);
    }
    add(&lightness.gradient(1.0).map(|g| g.min(MAX_GRADIENT)).blur(short / GRADIENT_SMOOTH), 1.0);
    if let Some(soft) = &soft {
        add(&unlike_edges(soft), EDGES_WEIGHT);
    }
    let half = median(&mut sum.values.clone()).unwrap_or(0.0) as f32 / 2.0;
    let prefer = |at: usize| {
        let (x, y) = ((at % width) as f32, (at / width) as f32);
        let r = ((y + 0.5) / height as f32 - 0.5).powi(2) + ((x + 0.5) / width as f32 - 0.5).powi(2);
        (CENTRE.0 + (-CENTRE.1 * r).exp()).powi(2)
    };
    let values = sum.values.iter().enumerate().map(|(at, v)| (v - half).max(0.0) * prefer(at)).collect();
    let preferred = ValuePlane { width, height, values };
    let (across, down) = crate::measure::tone::fields(width, height, FIELDS.min(width.max(height)));
    let fields = preferred.resized(across, down).values;
    let total: f32 = fields.iter().sum();
    if total <= 1e-6 {
        return Grid::filled(across, down, 0.0);
    }
    Grid { across, down, fields: fields.into_iter().map(|v| v / total).collect() }
}

/// Returns the distance in Lab, pixel by pixel.
fn distance(one: &[ValuePlane; 3], other: &[ValuePlane; 3]) -> ValuePlane {
    let squares = one.iter().zip(other).map(|(one, other)| one.combine(other, |a, b| (a - b).powi(2)));
    let sum = squares.reduce(|sum, next| sum.combine(&next, |a, b| a + b));
    sum.map_or_else(|| one[0].clone(), |sum| sum.map(f32::sqrt))
}

/// Returns the difference from the colours of the four sides' strips: the sum over sides, less the largest, so that a
/// subject that touches one side still counts.
fn unlike_edges(soft: &[ValuePlane; 3]) -> ValuePlane {
    let (width, height) = (soft[0].width, soft[0].height);
    let deep = (width.min(height) / STRIP).max(2);
    // Rows and columns of the strip along the top, the bottom, the left and the right.
    let strips = [
        (0..deep.min(height), 0..width),
        (height.saturating_sub(deep)..height, 0..width),
        (0..height, 0..deep.min(width)),
        (0..height, width.saturating_sub(deep)..width),
    ];
    let (mut sum, mut most) = (ValuePlane::filled(width, height, 0.0), ValuePlane::filled(width, height, 0.0));
    for (rows, columns) in strips {
        let places = rows.flat_map(|y| columns.clone().map(move |x| y * width + x));
        let strip: Vec<[f64; 3]> = places.map(|at| pixel(soft, at)).collect();
        let (mean, inverse) = spread_of(&strip);
        let mut distances = ValuePlane::filled(width, height, 0.0);
        let [lightness, a, b] = soft.each_ref().map(|plane| plane.values.as_slice());
        widest(
            #[inline(always)]
            || {
                for (((distance, l), a), b) in distances.values.iter_mut().zip(lightness).zip(a).zip(b) {
                    let d = [f64::from(*l) - mean[0], f64::from(*a) - mean[1], f64::from(*b) - mean[2]];
                    let row = |i: usize| inverse[i][0] * d[0] + inverse[i][1] * d[1] + inverse[i][2] * d[2];
                    let square = d[0] * row(0) + d[1] * row(1) + d[2] * row(2);
                    *distance = square.max(0.0).sqrt() as f32;
                }
            },
        );
        let scale = 1.0 / (distances.values.iter().copied().fold(0.0, f32::max) + 1e-9);
        let distances = distances.map(|d| d * scale);
        sum = sum.combine(&distances, |a, b| a + b);
        most = most.combine(&distances, f32::max);
    }
    sum.combine(&most, |sum, most| sum - most)
}

fn pixel(planes: &[ValuePlane; 3], at: usize) -> [f64; 3] {
    planes.each_ref().map(|plane| f64::from(plane.values[at]))
}

/// Returns the mean, and the inverse of the covariance.
fn spread_of(colours: &[[f64; 3]]) -> ([f64; 3], [[f64; 3]; 3]) {
    let count = colours.len().max(2) as f64;
    let mean: [f64; 3] = std::array::from_fn(|c| colours.iter().map(|colour| colour[c]).sum::<f64>() / count);
    let m: [[f64; 3]; 3] = std::array::from_fn(|i| {
        std::array::from_fn(|j| {
            let products = colours.iter().map(|colour| (colour[i] - mean[i]) * (colour[j] - mean[j]));
            products.sum::<f64>() / (count - 1.0) + if i == j { MIN_VARIANCE } else { 0.0 }
        })
    });
    let minor = |i: usize, j: usize| {
        let (a, b) = ((i + 1) % 3, (i + 2) % 3);
        let (c, d) = ((j + 1) % 3, (j + 2) % 3);
        m[a][c] * m[b][d] - m[a][d] * m[b][c]
    };
    let determinant: f64 = (0..3).map(|j| m[0][j] * minor(0, j)).sum();
    (mean, std::array::from_fn(|i| std::array::from_fn(|j| minor(j, i) / determinant)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::appearance::reduce;

    fn of(pixel: impl Fn(usize, usize) -> [u8; 3]) -> Grid<f32> {
        let rgb: Vec<u8> = (0..170 * 256).flat_map(|at| pixel(at % 256, at / 256)).collect();
        map(&reduce(&rgb, 256, 170))
    }

    #[test]
    fn areas_unlike_their_surroundings_are_salient() {
        let disc = |x: usize, y: usize| (x as f64 - 150.0).hypot(y as f64 - 90.0) < 30.0;
        let found = of(|x, y| if disc(x, y) { [180, 60, 40] } else { [150, 150, 140] });
        assert_eq!((found.across, found.down), (128, 85));
        let inside: f32 = found
            .placed()
            .filter(|(place, _)| disc((place[0] * 256.0) as usize, (place[1] * 170.0) as usize))
            .map(|(_, weight)| weight)
            .sum();
        // The disc covers 6.5 % of the picture.
        assert!(inside > 0.4, "{inside}");
        assert!((found.fields.iter().sum::<f32>() - 1.0).abs() < 1e-3);
    }

    #[test]
    fn a_flat_picture_has_no_important_part() {
        assert!(of(|_, _| [120; 3]).fields.iter().all(|weight| *weight == 0.0));
    }
}
