//! Evidence put on paper: what a row measures, without another look at the pixels.

use crate::judge::placement::Placement;

/// A row's answers; `None` where there is no answer yet. Shares are 0 to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Answers {
    /// Effective density at the printed size, pixels per inch.
    pub effective_ppi: Option<f64>,
    /// Share of the picture that the print's shape cuts off.
    pub crop_lost: Option<f64>,
}

impl Answers {
    /// Answers that need the geometry alone.
    pub fn of(placement: &Placement) -> Answers {
        let fit = placement.fit.as_ref();
        Answers { effective_ppi: fit.map(|fit| fit.density.as_f64()), crop_lost: fit.map(|fit| fit.lost.as_f64()) }
    }
}
