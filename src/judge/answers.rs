//! Evidence put on paper: what a row measures, without another look at the pixels.

use crate::judge::placement::Placement;
use crate::measure::Grid;

/// A row's answers; `None` where there is no answer yet. Shares are 0 to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Answers {
    /// Effective density at the printed size, pixels per inch.
    pub effective_ppi: Option<f64>,
    /// Share of the picture that the print's shape cuts off.
    pub crop_lost: Option<f64>,
    /// Share of the picture that is featureless white, speculars apart.
    pub highlights_lost: Option<f64>,
    /// Share of the picture in speculars.
    pub specular: Option<f64>,
    /// Share of the picture whose detail merges in the paper's black.
    pub shadows_lost: Option<f64>,
    /// Overshoot beside edges, as a share of their step.
    pub halo: Option<f64>,
    /// Width of the overshoot on paper, in mm.
    pub halo_mm: Option<f64>,
    /// Width of the sharpest edges on paper, in mm.
    pub edge_mm: Option<f64>,
    /// How many times the picture was enlarged before; 1 where nothing says so.
    pub enlarged: Option<f64>,
    /// Noise as the print shows it, standard deviation in codes of 255.
    pub noise: Option<f64>,
    /// Share of what matters in the strip that cutting may take.
    pub importance_in_trim: Option<f64>,
    /// Share of what matters outside the safe area.
    pub importance_in_safe: Option<f64>,
}

impl Answers {
    /// Answers that need the geometry alone.
    pub fn of(placement: &Placement) -> Answers {
        let fit = placement.fit.as_ref();
        Answers {
            effective_ppi: fit.map(|fit| fit.density.as_f64()),
            crop_lost: fit.map(|fit| fit.lost.as_f64()),
            ..Answers::default()
        }
    }
}

/// The lightness of a picture against what its paper can hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Tones {
    /// Share of the picture in each step of 2 L*, from black to white; 50 steps.
    pub histogram: Vec<f32>,
    /// The paper's black, L* relative to its white.
    pub black_l: f64,
    /// What is lost where, at most 64 fields a side, upright.
    pub lost: Grid<Lost>,
}

/// What a field of the picture loses.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Lost {
    /// Nothing.
    #[default]
    Nothing,
    /// Its detail merges in the paper's black.
    Shadows,
    /// It is featureless white.
    Highlights,
}
