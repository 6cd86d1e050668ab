//! Positions of a print's cuts, margins and folds in its picture.

use num_rational::Ratio;

use crate::brief::requirements::Sides;
use crate::judge::placement::{Fit, Placement};
use crate::units::Length;

/// A rectangle in the upright picture: left, top, right, bottom, as shares of its sides. May exceed 0 and 1 where the
/// print requires more than the picture has.
pub type Rectangle = [f64; 4];

/// The lines of a print on its picture.
#[derive(Clone, Debug, PartialEq)]
pub struct CutLines {
    /// The printed area, cut edges included.
    pub window: Rectangle,
    /// The finished edge: where a page with bleed is cut if the cut is true. Equal to the window without a bleed.
    pub finished: Rectangle,
    /// The area left if cutting takes the most it may.
    pub trim: Rectangle,
    /// The area for important things.
    pub safe: Rectangle,
    /// Folds from top to bottom: left and right edge of the strip lost to each.
    pub folds: Vec<(f64, f64)>,
}

impl CutLines {
    /// Returns the lines of a print that shows the picture's centre; `None` while there is no picture.
    pub fn centred(placement: &Placement) -> Option<CutLines> {
        let fit = placement.fit.as_ref()?;
        let [top, _, _, left] = fit.lost_sides.map(|share| share.as_f64());
        Some(CutLines::at(placement, fit, left, top))
    }

    /// Returns the lines of a print whose window begins at these shares of the picture's width and height.
    pub fn at(placement: &Placement, fit: &Fit, left: f64, top: f64) -> CutLines {
        let across = |length: Length| share_of(length, fit, fit.picture_px.0);
        let down = |length: Length| share_of(length, fit, fit.picture_px.1);
        let float = |ratio: Ratio<i128>| *ratio.numer() as f64 / *ratio.denom() as f64;
        let right = left + float(fit.window_px.0) / f64::from(fit.picture_px.0);
        let bottom = top + float(fit.window_px.1) / f64::from(fit.picture_px.1);
        let inset = |by: Sides| {
            [left + across(by.left), top + down(by.top), right - across(by.right), bottom - down(by.bottom)]
        };
        let strip = |fold: &Length| (left + across(*fold - placement.gutter), left + across(*fold + placement.gutter));
        CutLines {
            window: [left, top, right, bottom],
            finished: inset(placement.bleed()),
            trim: inset(placement.cut_away),
            safe: inset(placement.safe),
            folds: placement.folds.iter().map(strip).collect(),
        }
    }
}

/// Returns a length on paper as a share of a side of `px` pixels.
fn share_of(length: Length, fit: &Fit, px: u32) -> f64 {
    let inches = length.nm() as f64 / crate::units::length::NM_PER_INCH as f64;
    inches * fit.density.as_f64() / f64::from(px)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::print;

    fn near(found: Rectangle, wanted: Rectangle) {
        let close = found.iter().zip(wanted).all(|(one, other)| (one - other).abs() < 1e-9);
        assert!(close, "{found:?} is not {wanted:?}");
    }

    #[test]
    fn lines_are_shares_of_the_picture() {
        // Arithmetic: 200 x 100 mm with 10 mm bleed and 20 mm safe margin, on a picture of its own shape, 220 x 120 mm.
        let spread = print(
            "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"10 mm\"\nsafe = \"20 mm\"\n\
             cut_tolerance = \"1 mm\"\nfolds = [\"100 mm\"]\ngutter = \"11 mm\"\n[[print]]\nsize = \"200 x 100 mm\"",
        );
        let lines = CutLines::centred(&Placement::of(&spread, (2200, 1200))).unwrap();
        near(lines.window, [0.0, 0.0, 1.0, 1.0]);
        near(lines.finished, [10.0 / 220.0, 10.0 / 120.0, 210.0 / 220.0, 110.0 / 120.0]);
        near(lines.trim, [11.0 / 220.0, 11.0 / 120.0, 209.0 / 220.0, 109.0 / 120.0]);
        near(lines.safe, [30.0 / 220.0, 30.0 / 120.0, 190.0 / 220.0, 90.0 / 120.0]);
        assert!((lines.folds[0].0 - 0.45).abs() < 1e-9 && (lines.folds[0].1 - 0.55).abs() < 1e-9);
    }

    #[test]
    fn a_crop_is_taken_from_the_centre() {
        let square = print("[[print]]\nsize = \"10 x 10 in\"");
        let lines = CutLines::centred(&Placement::of(&square, (3000, 2000))).unwrap();
        near(lines.window, [1.0 / 6.0, 0.0, 5.0 / 6.0, 1.0]);
    }
}
