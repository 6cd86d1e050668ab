//! What is measured on a picture once its pixels were read to the last row. Everything is of the upright picture.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::colour::NumberMeaning;
use crate::picture::facts::ColourModel;

use super::Grid;

mod detail;

pub use detail::{BlockSigns, Blocks, Crossed, Detail, Focus, Grain, Halo, MAX_SCALE, Overshoot, Resampled, Swing};

/// Raised whenever the same pixels give other evidence, so that evidence cached by an older program is measured again.
pub const EVIDENCE_VERSION: u32 = 8;

/// What is measured once per file content. Shares are 0 to 1, of the whole picture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Evidence {
    /// SHA-256 of the file's bytes, lower-case hexadecimal.
    pub sha256: String,
    /// SHA-256 of the small picture and of what was counted, whatever the file that held the pixels. Two pictures with
    /// the same digest differ in nothing that is measured.
    pub pixel_digest: String,
    /// Share of pixels that the alpha channel hides or thins (alpha below full); `None` without alpha.
    pub alpha_hides: Option<f64>,
    /// The small upright picture, in the picture's own encoding. Not cached: it is large, and only for the screen.
    #[serde(skip)]
    pub thumbnail: Arc<Thumbnail>,
    /// Lightness, cell by cell; `None` for a picture smaller than a cell.
    pub tone: Option<Tone>,
    /// Featureless white.
    pub clipped: Clipped,
    /// Lightness, contrast and blown areas, field by field.
    pub field_tones: Grid<FieldTone>,
    /// The colours that occur, in the numbers of `counted_in`; empty for inks without a profile.
    pub colours: Vec<Colour>,
    /// The most saturated colour of each field, in the same numbers, at most 64 fields a side; empty if `colours` is.
    pub most_saturated: Grid<[u16; 3]>,
    /// How these numbers are read; `None` where they are the picture's own codes, in steps of 1 / [`MEAN_STEPS`].
    pub counted_in: Option<NumberMeaning>,
    /// How its colours change when its codes are read as sRGB; only of RGB pictures whose profile is no known encoding.
    pub as_srgb: Option<Misread>,
    /// Total ink; `None` unless it is CMYK.
    pub ink: Option<Ink>,
    /// Edges, noise and traces of processing, in pixels.
    pub detail: Detail,
    /// Rows at the end of the stored picture that are one flat colour, as a decoder leaves it in place of blocks that
    /// never came; 0 where there are none.
    pub lost_rows: u32,
    /// Its appearance as a whole, from the small picture.
    pub appearance: Appearance,
}

/// A small upright picture in the picture's own encoding; 8 bits, alpha left out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Thumbnail {
    /// Width in pixels, at most 1024.
    pub width_px: u32,
    /// Height in pixels, at most 1024.
    pub height_px: u32,
    /// RGB, grey or CMYK.
    pub model: ColourModel,
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
    pub cells: Vec<CellBin>,
    /// Cells counted.
    pub cell_count: u32,
    /// The same of larger cells, 32, 128 and 512 pixels a side, as far as there are any. Their contrast is the
    /// deviation of the means of their 16 parts; finer detail counts in the smaller cells only.
    pub wider: Vec<LightnessScale>,
}

/// Lightness in cells of one size.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct LightnessScale {
    /// Pixels a side of a cell.
    pub cell_px: u32,
    /// Cells by mean luma code and by contrast; only pairs that occur, in order.
    pub cells: Vec<CellBin>,
    /// Cells counted.
    pub cell_count: u32,
}

/// The number of cells with one mean and one contrast.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CellBin {
    /// Mean luma code, rounded to the nearest.
    pub mean: u8,
    /// Standard deviation of luma inside the cell, in steps of [`DEVIATION_STEP`] codes, rounded down; the last step,
    /// [`MAX_DEVIATION`], holds everything above it.
    pub deviation_steps: u8,
    /// Number of cells.
    pub count: u32,
}

/// Pixels a side of the smallest cells.
pub const CELL_PX: u8 = 8;
/// A step of a cell's standard deviation, in codes.
pub const DEVIATION_STEP: f64 = 0.25;
/// The last step: 8 codes and more.
pub const MAX_DEVIATION: u8 = 32;

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
    pub hard: BlownShare,
    /// Of `blown_at_edge`: regions that end within the picture, with an edge or with texture round them.
    pub hard_at_edge: BlownShare,
    /// Of `blown`: the soft-edged glow of lights, wherever it lies.
    pub soft: BlownShare,
    /// Number of regions.
    pub regions: u32,
    /// Share of clipped pixels outside such regions: speculars.
    pub sparkle: f64,
    /// Share in regions of one flat near-white tone below the top of the scale: white that was pulled down afterwards,
    /// or a smooth light ground. Not in `blown`.
    pub pulled_down: f64,
    /// Of `pulled_down`, the share in regions that touch the frame's edge.
    pub pulled_down_at_edge: f64,
    /// Share of pixels where only one or two channels are at the top: red, green, blue (grey: zeros).
    pub single_channel: [f64; 3],
}

/// Blown regions of one kind, as shares of the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct BlownShare {
    /// All of them.
    pub share: f64,
    /// The largest.
    pub largest: f64,
}

/// How a picture's colours change when its codes are read as another space's.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Misread {
    /// Mean chroma that is left, as a share of the true one.
    pub chroma_left: f64,
    /// Mean Delta E 2000.
    pub mean_delta_e: f64,
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
    /// Pixels by their ink in whole per cent, 0 to 400.
    pub percent: Vec<u32>,
    /// Mean of each field, in steps of 1 / [`INK_STEPS`] per cent; at most 256 fields a side.
    pub fields: Grid<u16>,
    /// Pixels a side of a field.
    pub field_px: u32,
}

/// Steps of a field's mean in one per cent.
pub const INK_STEPS: u64 = 10;

/// Lightness and blown areas of one field of the picture, at most 64 fields a side.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct FieldTone {
    /// Mean luma code.
    pub mean: u8,
    /// Mean standard deviation of its cells, in steps of [`DEVIATION_STEP`] codes.
    pub deviation_steps: u8,
    /// Share of it in blown regions, of 255.
    pub blown: u8,
    /// Of that, in regions that touch the frame's edge.
    pub blown_at_edge: u8,
    /// Of that, in soft-edged regions.
    pub blown_softly: u8,
}

/// The appearance of a picture as a whole.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Appearance {
    /// Saliency of each field, sum 1; at most 128 fields a side.
    pub importance: Grid<f32>,
    /// Share of each side (top, right, bottom, left) along which a strong contour runs close by.
    pub contour_at_side: [f32; 4],
    /// A border painted into the picture at each side (top, right, bottom, left).
    pub border: [Option<Border>; 4],
    /// Median L*.
    pub lightness: f32,
    /// Fields by what stays the same at another exposure, at most 16 a side; `None` where one is clipped or too dark.
    pub shades: Vec<Option<Shade>>,
    /// Mean a* and b* of nearly neutral mid-tones; `None` with too few of them.
    pub neutral: Option<(f32, f32)>,
    /// Difference hash: 64 bits.
    pub difference_hash: u64,
    /// Hash of the lowest frequencies of its cosine transform: 64 bits.
    pub frequency_hash: u64,
    /// Grey picture, sRGB codes, at most 48 px a side: enough to recognise a re-crop.
    pub small: Grid<u8>,
    /// The left and the right end of the picture in sRGB codes, so that it can be told whether another picture goes on
    /// there.
    pub ends: [PictureEnd; 2],
}

/// A strip along the left or right side of a picture: its means in cells, sRGB codes. A column is 1 /
/// [`END_COLUMNS`] of the picture's width; there are at most 256 rows.
pub type PictureEnd = Grid<[u8; 3]>;

/// Columns into which the width of a picture is divided for its ends.
pub const END_COLUMNS: usize = 200;

/// How light a field is, and which colour, whatever its lightness.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shade {
    /// Steps of light, [`STEPS_A_STOP`] to a stop, up to white at [`SHADE_STEPS`].
    pub step: u8,
    /// 16 r + b: the shares of red and of blue in its light, in sixteenths.
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
    /// Creates evidence in which nothing was found.
    pub fn nothing(sha256: &str) -> Evidence {
        let thumbnail = Thumbnail { width_px: 1, height_px: 1, model: ColourModel::Rgb, samples: vec![0; 3] };
        Evidence {
            sha256: sha256.to_owned(),
            pixel_digest: format!("pixels of {sha256}"),
            alpha_hides: None,
            thumbnail: Arc::new(thumbnail),
            tone: None,
            clipped: Clipped::default(),
            field_tones: Grid::default(),
            colours: Vec::new(),
            most_saturated: Grid::default(),
            counted_in: None,
            as_srgb: None,
            ink: None,
            detail: Detail::default(),
            lost_rows: 0,
            appearance: Appearance::default(),
        }
    }
}
