//! Strong contours that run along a side of the frame.

use super::plane::{Lab, ValuePlane};

/// How close to the side, as a share of the short side.
const DEPTH: f64 = 0.02;
/// A contour this strong counts, in Lab units across two pixels.
const STRONG: f32 = 12.0;

/// Returns the share of each side, top, right, bottom, left, along which a strong contour runs close by.
pub fn contours_at_sides(lab: &Lab) -> [f32; 4] {
    let planes = lab.planes.each_ref().map(|plane| plane.blur(1.0));
    let turned = planes.each_ref().map(ValuePlane::transpose);
    let short = planes[0].width.min(planes[0].height);
    let deep = ((DEPTH * short as f64).round_ties_even() as usize).max(2);
    [(&planes, false), (&turned, true), (&planes, true), (&turned, false)].map(|(planes, from_end)| {
        let (width, height) = (planes[0].width, planes[0].height);
        if height < deep + 3 {
            return 0.0;
        }
        let at = |x: usize, depth: usize| if from_end { (height - 1 - depth) * width + x } else { depth * width + x };
        let step = |x: usize, depth: usize| {
            let squares =
                planes.iter().map(|plane| (plane.values[at(x, depth + 2)] - plane.values[at(x, depth)]).powi(2));
            squares.sum::<f32>().sqrt()
        };
        let strong = (0..width).filter(|x| (0..=deep).any(|depth| step(*x, depth) > STRONG)).count();
        strong as f32 / width as f32
    })
}

#[cfg(test)]
mod tests {
    use crate::measure::appearance::reduce;

    #[test]
    fn a_line_along_one_side_is_found_there_alone() {
        let rgb: Vec<u8> = (0..256 * 256).flat_map(|at| if at / 256 >= 252 { [20; 3] } else { [200; 3] }).collect();
        let found = super::contours_at_sides(&reduce(&rgb, 256, 256));
        assert!(found[2] > 0.95 && found[0] == 0.0, "{found:?}");
        assert!(found[1] < 0.1 && found[3] < 0.1, "{found:?}");
    }
}
