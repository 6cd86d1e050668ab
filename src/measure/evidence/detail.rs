//! What is measured on edges, noise and traces of processing.

use serde::{Deserialize, Serialize};

use crate::measure::Grid;

/// Edges, noise and traces of processing, measured at full resolution on sampled rows and columns.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Detail {
    /// Overshoot beside edges; `None` with too few strong ones.
    pub halo: Option<Halo>,
    /// Edge widths; `None` with too few edges.
    pub focus: Option<Focus>,
    /// Traces of resampling; `None` for pictures too small to measure.
    pub resampled: Option<Resampled>,
    /// Where the picture's own detail ends, as a share of what its pixels could hold (95 % of the energy of detail
    /// lies below); `None` with too few busy places.
    pub detail_ends: Option<f64>,
    /// Noise between neighbouring pixels in smooth places, standard deviation in codes of 255; `None` with too few of
    /// them.
    pub noise: Option<f64>,
    /// The same over distances that a print shows, where neighbours may be alike.
    pub grain: Option<Grain>,
    /// Block edges of lossy compression; `None` with too few smooth places.
    pub blocks: Option<Blocks>,
}

/// Noise over distances in smooth places, standard deviation in codes of 255.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Grain {
    /// Of single pixels, over 3.
    pub fine: f64,
    /// Of means of 2 x 2 pixels, over 4: what is left at half the density.
    pub coarse: f64,
}

/// Overshoot and undershoot beside edges: what sharpening leaves. At least one of both signs is there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Halo {
    /// Isolated edges; `None` with too few of them.
    pub isolated: Option<Overshoot>,
    /// Tones beside the steepest edges; `None` with too few edges.
    pub swing: Option<Swing>,
}

/// Overshoot of strong isolated edges.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Overshoot {
    /// Median over the edges, as a share of the edge's step.
    pub share: f64,
    /// Its 90th percentile.
    pub p90: f64,
    /// Median width in pixels, where there is a halo.
    pub width_px: f64,
    /// Edges measured.
    pub edges: u32,
}

/// How far tones swing within 8 pixels of the steepest edges.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Swing {
    /// From the darkest to the lightest, mean, in codes of 255.
    pub codes: f64,
    /// The same as a multiple of what unsharpened photographs have whose edges are as steep and as far apart in tone.
    pub times: f64,
    /// How far they still swing 8 to 24 pixels away, as a share of `codes`.
    pub beyond: f64,
    /// How far from the edge the darkest and the lightest lie, mean, in pixels.
    pub reach_px: f64,
}

/// From this `beyond` on the swing is texture, which goes on, or the step itself, and no halo. Source: ours; of 61
/// pictures sharpened by a mask of 3 pixels and 250 % one reaches it.
const TEXTURE_FROM: f64 = 0.95;

impl Halo {
    /// Returns how far edges overshoot on each side, as a share of their step: the larger of what both signs say.
    pub fn share(&self) -> f64 {
        let isolated = self.isolated.map_or(0.0, |isolated| isolated.share);
        self.swing.map_or(isolated, |swing| swing.share().max(isolated))
    }

    /// Returns how wide it is, in pixels, by the sign that says more.
    pub fn width_px(&self) -> f64 {
        match (self.larger_swing(), self.isolated) {
            (Some(swing), _) => swing.reach_px,
            (None, isolated) => isolated.map_or(0.0, |isolated| isolated.width_px),
        }
    }

    /// Returns the swing of tones, where it says more than the isolated edges.
    pub fn larger_swing(&self) -> Option<Swing> {
        self.swing.filter(|swing| self.isolated.is_none_or(|isolated| swing.share() > isolated.share))
    }
}

impl Swing {
    /// Returns the overshoot on each side that makes tones swing so far, as a share of the step: what is beyond the
    /// usual, by halves; none where they swing as far further out.
    pub fn share(&self) -> f64 {
        if self.beyond >= TEXTURE_FROM { 0.0 } else { ((self.times - 1.0) / 2.0).max(0.0) }
    }
}

/// How wide edges are from 10 to 90 % of their rise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Focus {
    /// Median of the sharpest fields, in pixels.
    pub sharp_px: f64,
    /// Median of all edges, in pixels.
    pub overall_px: f64,
    /// The 25th percentile of each field's edges, in pixels; 16 fields along the longer side; `None` with too few
    /// edges.
    pub fields: Grid<Option<f32>>,
    /// Horizontally, and across that vertically; `None` with too few edges in either direction.
    pub straight: Option<Crossed>,
    /// Along the falling diagonal (from the upper left to the lower right), and across that along the rising one.
    pub diagonal: Option<Crossed>,
}

/// Edge widths measured in two directions across each other.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Crossed {
    /// Median of the sharpest fields in the one direction, in pixels.
    pub one_px: f64,
    /// In the direction across it.
    pub other_px: f64,
    /// The one to the other in the fields that are sharpest either way.
    pub ratio: f64,
}

impl Crossed {
    /// Returns the same, with the two directions exchanged.
    #[must_use]
    pub fn swapped(self) -> Crossed {
        Crossed { one_px: self.other_px, other_px: self.one_px, ratio: 1.0 / self.ratio }
    }
}

/// The largest factor of enlargement that can be detected.
pub const MAX_SCALE: f64 = 3.7;

/// Traces of interpolation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Resampled {
    /// Height of the best spectral line over its surroundings.
    pub line: f64,
    /// Its frequency, in cycles a pixel, 0 to 1/2.
    pub at: f64,
    /// How far differences swing with it, as a share of their mean.
    pub depth: f64,
    /// Contrast of every other pixel: 2 x enlargement.
    pub doubling: f64,
    /// How the signs of frequencies within 8-px blocks agree.
    pub signs: BlockSigns,
}

/// How much oftener than by chance the signs of two frequencies within 8-px blocks agree, -1 to 1. Frequency k is k
/// half-waves to 8 px; 8 would be every other pixel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct BlockSigns {
    /// How much oftener fine frequencies are turned mirror images of coarse ones: 2 x enlargement.
    pub mirrored: f64,
    /// The same of all that can be mirrored: pixels repeated in pairs.
    pub pairs: f64,
    /// How much oftener neighbours agree (2 and 4, 3 and 5, 4 and 6, 5 and 7): towards 1 where there is no detail of
    /// that size.
    pub agreement: [f64; 4],
}

/// Block edges.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Blocks {
    /// Excess step across the grid, in codes.
    pub excess: f64,
    /// That step against the steps elsewhere.
    pub ratio: f64,
    /// Where the grid lies, 0 to 7, across and down; 7 and 7 is the file's own.
    pub phase: (u8, u8),
}
