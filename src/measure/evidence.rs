//! What is known of a picture once its pixels were read to the last row. Everything is of the upright picture.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::colour::Numbers;
use crate::picture::facts::Model;

use super::Grid;

/// Rises whenever the same pixels would give other evidence, so that stored evidence of an older program is counted
/// anew.
pub const EVIDENCE_VERSION: u32 = 7;

/// Counted once per file content. Shares are 0 to 1, of the whole picture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Evidence {
    /// SHA-256 of the file's bytes, lower-case hexadecimal.
    pub sha256: String,
    /// What tells its pixels from others': SHA-256 of the small picture and of what was counted, whatever the file that
    /// held them. Two pictures with the same differ in nothing that is measured.
    pub pixels: String,
    /// Share of pixels that the alpha channel hides or thins (alpha below full); `None` without alpha.
    pub alpha_hides: Option<f64>,
    /// The small upright picture, in the picture's own encoding. Not kept: it is large, and only looked at.
    #[serde(skip)]
    pub thumbnail: Arc<Thumbnail>,
    /// How light it is, cell by cell; `None` where it is smaller than a cell.
    pub tone: Option<Tone>,
    /// What is featureless white.
    pub clipped: Clipped,
    /// Where light, dark and blown places are.
    pub places: Grid<Place>,
    /// The colours that occur, in numbers that `counted_in` explains; none of inks without a profile.
    pub colours: Vec<Colour>,
    /// The strongest colour of each field, in the same numbers, at most 64 fields a side; empty as the colours are.
    pub strongest: Grid<[u16; 3]>,
    /// How these numbers are read; `None` where they are the picture's own codes, in steps of 1 / [`MEAN_STEPS`].
    pub counted_in: Option<Numbers>,
    /// How its codes look when they are read as sRGB's; of RGB pictures whose profile is no known encoding.
    pub as_srgb: Option<Misread>,
    /// Total ink; `None` unless it is CMYK.
    pub ink: Option<Ink>,
    /// Edges, noise and traces of processing, in pixels.
    pub detail: Detail,
    /// Rows at the end of the stored picture that are one flat colour, as a decoder leaves it in place of blocks that
    /// never came; 0 where there are none.
    pub lost_rows: u32,
    /// What it looks like as a whole, from the small picture.
    pub look: Look,
}

/// A small upright picture in the picture's own encoding; 8 bits, alpha left out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Thumbnail {
    /// Width in pixels, at most 1024.
    pub width_px: u32,
    /// Height in pixels, at most 1024.
    pub height_px: u32,
    /// RGB, grey or CMYK.
    pub model: Model,
    /// Interleaved samples; inks count from no ink (0) upwards.
    pub samples: Vec<u8>,
}

/// Lightness in cells of 8 x 8 pixels.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tone {
    /// L* (CIE 15) of a neutral pixel of each luma code, through the picture's own encoding or profile.
    pub lightness: Vec<f32>,
    /// Pixels of each luma code, on sampled rows.
    pub luma: Vec<u32>,
    /// Cells by mean luma code and by contrast; only pairs that occur, in order.
    pub cells: Vec<Cells>,
    /// Cells counted.
    pub counted: u32,
    /// The same of larger cells, 32, 128 and 512 pixels a side, as far as there are some. What differs inside one is
    /// the means of its sixteen parts, so that noise and fine texture are left to the smaller cells.
    pub wider: Vec<Scale>,
}

/// Lightness in cells of a size.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Scale {
    /// Pixels a side of a cell.
    pub cell_px: u32,
    /// Cells by mean luma code and by contrast; only pairs that occur, in order.
    pub cells: Vec<Cells>,
    /// Cells counted.
    pub counted: u32,
}

/// How many cells have a mean and a contrast.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cells {
    /// Mean luma code, rounded to the nearest.
    pub mean: u8,
    /// Standard deviation of luma inside the cell, in steps of [`SPREAD_STEP`] codes, rounded down; the last step,
    /// [`SPREAD_MOST`], holds everything above it.
    pub spread: u8,
    /// How many.
    pub count: u32,
}

/// Pixels a side of the smallest cells.
pub const CELL_PX: u8 = 8;
/// A step of a cell's standard deviation, in codes.
pub const SPREAD_STEP: f64 = 0.25;
/// The last step: 8 codes and more.
pub const SPREAD_MOST: u8 = 32;

/// Featureless white, in cells of 4 x 4 pixels.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Clipped {
    /// Share of pixels with every channel at the top of the scale.
    pub white: f64,
    /// Share in connected regions larger than a sparkle.
    pub blown: f64,
    /// Of `blown`: in regions that touch the frame's edge.
    pub blown_at_edge: f64,
    /// Share of the largest region.
    pub largest: f64,
    /// Of `blown`: regions that end within the picture, with an edge or with texture round them.
    pub hard: White,
    /// The same that touch the frame's edge.
    pub hard_at_edge: White,
    /// Of `blown`: the soft-edged glow of lights, wherever it lies.
    pub soft: White,
    /// How many regions.
    pub regions: u32,
    /// Share of clipped pixels outside such regions: speculars.
    pub sparkle: f64,
    /// Share in regions of one flat near-white tone below the top of the scale: white that was pulled down afterwards,
    /// or a smooth light ground. Not in `blown`.
    pub pulled_down: f64,
    /// Of `pulled_down`, the share in regions that touch the frame's edge.
    pub pulled_down_at_edge: f64,
    /// Share of pixels where only one or two channels are at the top: red, green, blue (grey: zeros).
    pub single: [f64; 3],
}

/// Blown regions of one kind, as shares of the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct White {
    /// All of them.
    pub share: f64,
    /// The largest.
    pub largest: f64,
}

/// How a picture looks when its codes are read as another space's.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Misread {
    /// Mean chroma that is left, as a share of the true one.
    pub chroma_left: f64,
    /// Mean Delta E 2000.
    pub mean: f64,
}

/// A colour that occurs: the mean of a bin of the colour cube.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Colour {
    /// Its numbers: codes, 0 to 255 in steps of 1 / [`MEAN_STEPS`], or what `Evidence::counted_in` says.
    pub mean: [u16; 3],
    /// Pixels, on the rows that count.
    pub count: u32,
}

/// Steps of a mean in one code.
pub const MEAN_STEPS: u64 = 256;

/// Total ink of a CMYK picture, in per cent of one full ink: 0 to 400.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Ink {
    /// Pixels that hold so many per cent, 401 of them.
    pub percent: Vec<u32>,
    /// Mean of each field, in steps of 1 / [`INK_STEPS`] per cent; at most 256 fields a side.
    pub fields: Grid<u16>,
    /// Pixels a side of a field.
    pub field_px: u32,
}

/// Steps of a field's mean in one per cent.
pub const INK_STEPS: u64 = 10;

/// One field of the picture, at most 64 a side.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Place {
    /// Mean luma code.
    pub mean: u8,
    /// Mean standard deviation of its cells, in steps of [`SPREAD_STEP`] codes.
    pub spread: u8,
    /// Share of it in blown regions, of 255.
    pub blown: u8,
    /// Of that, in regions that touch the frame's edge.
    pub blown_at_edge: u8,
    /// Of that, in soft-edged regions.
    pub blown_softly: u8,
}

/// Edges, noise and traces of processing, measured at full resolution on sampled rows and columns.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Detail {
    /// Overshoot beside edges; `None` with too few strong ones.
    pub halo: Option<Halo>,
    /// Edge widths; `None` with too few edges.
    pub focus: Option<Focus>,
    /// Traces of resampling; `None` for pictures too small to tell.
    pub resampled: Option<Resampled>,
    /// Where the picture's own detail ends, as a share of what its pixels could hold (95 % of the energy of detail
    /// lies below); `None` with too few busy places.
    pub detail_ends: Option<f64>,
    /// Noise between neighbouring pixels in calm places, standard deviation in codes of 255; `None` with too few of
    /// them.
    pub noise: Option<f64>,
    /// The same over distances that a print shows, where neighbours may be alike.
    pub grain: Option<Grain>,
    /// Block edges of lossy compression; `None` with too few calm places.
    pub blocks: Option<Blocks>,
}

/// Noise over distances in calm places, standard deviation in codes of 255.
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

/// Where so much of the swing is still found further out it is a texture, which goes on, or no more than the step
/// itself. Source: ours; of 61 pictures sharpened by a mask of 3 pixels and 250 % one reaches it.
const GOES_ON: f64 = 0.95;

impl Halo {
    /// How far edges overshoot on each side, as a share of their step: the larger of what both signs say.
    pub fn share(&self) -> f64 {
        let isolated = self.isolated.map_or(0.0, |isolated| isolated.share);
        self.swing.map_or(isolated, |swing| swing.share().max(isolated))
    }

    /// How wide it is, in pixels, by the sign that says more.
    pub fn width_px(&self) -> f64 {
        match (self.larger_swing(), self.isolated) {
            (Some(swing), _) => swing.reach_px,
            (None, isolated) => isolated.map_or(0.0, |isolated| isolated.width_px),
        }
    }

    /// The swing of tones, where it says more than the isolated edges.
    pub fn larger_swing(&self) -> Option<Swing> {
        self.swing.filter(|swing| self.isolated.is_none_or(|isolated| swing.share() > isolated.share))
    }
}

impl Swing {
    /// The overshoot on each side that makes tones swing so far, as a share of the step: what is beyond the usual, by
    /// halves; none where they swing as far further out.
    pub fn share(&self) -> f64 {
        if self.beyond >= GOES_ON { 0.0 } else { ((self.times - 1.0) / 2.0).max(0.0) }
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
    /// The same, with the directions changed about.
    #[must_use]
    pub fn changed_about(self) -> Crossed {
        Crossed { one_px: self.other_px, other_px: self.one_px, ratio: 1.0 / self.ratio }
    }
}

/// The most that an enlargement is looked for.
pub const SCALE_MOST: f64 = 3.7;

/// Traces that interpolation leaves.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Resampled {
    /// Height of the best spectral line over its surroundings.
    pub line: f64,
    /// Where it is, in cycles a pixel, 0 to 1/2.
    pub at: f64,
    /// How far differences swing with it, as a share of their mean.
    pub depth: f64,
    /// Contrast of every other pixel: 2 x enlargement.
    pub doubling: f64,
    /// What the signs of frequencies within 8-px blocks tell.
    pub signs: Signs,
}

/// How much oftener than by chance the signs of two frequencies within 8-px blocks agree, -1 to 1. Frequency k is k
/// half-waves to 8 px; 8 would be every other pixel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Signs {
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

/// What a picture looks like as a whole.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Look {
    /// How much each field matters, sum 1; at most 128 fields a side.
    pub importance: Grid<f32>,
    /// Share of each side (top, right, bottom, left) along which a strong contour runs close by.
    pub flush: [f32; 4],
    /// A border painted into the picture at each side (top, right, bottom, left).
    pub border: [Option<Border>; 4],
    /// Median L*.
    pub lightness: f32,
    /// Fields by what stays the same at another exposure, at most 16 a side; `None` where one is clipped or too dark.
    pub shades: Vec<Option<Shade>>,
    /// Mean a* and b* of nearly neutral mid-tones; `None` with too few of them.
    pub neutral: Option<(f32, f32)>,
    /// Fingerprint by brightness steps: 64 bits.
    pub steps: u64,
    /// Fingerprint by the lowest frequencies: 64 bits.
    pub waves: u64,
    /// Grey picture, sRGB codes, at most 48 px a side: enough to recognise a re-crop.
    pub small: Grid<u8>,
}

/// How light a field is, and which colour, whatever its lightness.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shade {
    /// Steps of light, [`STEPS_A_STOP`] to a stop, up to white at [`SHADE_STEPS`].
    pub step: u8,
    /// Sixteenths of its light that are red, times 16, and blue.
    pub colour: u8,
}

/// Steps of a [`Shade`] in a stop, the doubling of light.
pub const STEPS_A_STOP: usize = 8;
/// Steps of a [`Shade`] from the darkest to white: 6.5 stops.
pub const SHADE_STEPS: usize = 52;

/// A border painted into a picture, as shares of the picture's extent across that side.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Border {
    /// Where it begins, counted from the edge.
    pub from: f32,
    /// Where it ends.
    pub to: f32,
}

#[cfg(test)]
impl Evidence {
    /// Evidence of a picture that tells nothing.
    pub fn nothing(sha256: &str) -> Evidence {
        let thumbnail = Thumbnail { width_px: 1, height_px: 1, model: Model::Rgb, samples: vec![0; 3] };
        Evidence {
            sha256: sha256.to_owned(),
            pixels: format!("pixels of {sha256}"),
            alpha_hides: None,
            thumbnail: Arc::new(thumbnail),
            tone: None,
            clipped: Clipped::default(),
            places: Grid::default(),
            colours: Vec::new(),
            strongest: Grid::default(),
            counted_in: None,
            as_srgb: None,
            ink: None,
            detail: Detail::default(),
            lost_rows: 0,
            look: Look::default(),
        }
    }
}
