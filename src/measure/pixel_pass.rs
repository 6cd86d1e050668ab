//! The one pass over a picture's rows, and what is measured on the lines that it samples.

use crate::colour::NumberConversion;
use crate::picture::facts::ColourModel;

use super::blocks;
use super::clipping::ClippingCounter;
use super::cube::{GreyCube, InkCube, RgbCube};
use super::edge_contrast::EdgeContrastCounter;
use super::edges::{self, LineDirection};
use super::evidence::{Clipped, Colour, Detail, FieldTone, Grain, Halo, Misread, Tone};
use super::focus::{Direction, EdgeWidthCounter};
use super::grid::Grid;
use super::halo::HaloCounter;
use super::line_sampler::{LineBuffers, LineSampler, SampledLines};
use super::lost_rows::LostRowsCounter;
use super::luma;
use super::noise::NoiseCounter;
use super::resampled;
use super::row_converter::EightBitRow;
use super::sample_meaning::SampleMeaning;
use super::spectrum;
use super::tone::CellCounter;

/// Pixels on which edges are searched. Of a larger picture every n-th line is used, n = sqrt(pixels / `EDGE_PIXELS`),
/// rounded. Source: ours; more pixels give no better answer.
const EDGE_PIXELS: f64 = 1.5e6;
/// The same for traces of processing.
const TRACE_PIXELS: f64 = 3e6;

/// The results of one pass, still as stored.
pub struct PassResult {
    /// Lightness, cell by cell; `None` for a picture smaller than a cell.
    pub tone: Option<Tone>,
    /// Featureless white.
    pub clipped: Clipped,
    /// Lightness, contrast and blown areas by field.
    pub field_tones: Grid<FieldTone>,
    /// The colours that occur.
    pub colours: Vec<Colour>,
    /// How its colours change when its codes are read as sRGB.
    pub as_srgb: Option<Misread>,
    /// Edges, noise and traces.
    pub detail: Detail,
    /// Rows at the end that a decoder put in place of lost ones.
    pub lost_rows: u32,
    /// Buffers to reuse for the next picture.
    pub buffers: LineBuffers,
}

/// Every counter of the pass.
pub struct PixelPass {
    size_px: (usize, usize),
    channels: usize,
    luma: Vec<u8>,
    tones: CellCounter,
    clipping: ClippingCounter,
    line_sampler: LineSampler,
    noise: NoiseCounter,
    lost_rows: LostRowsCounter,
    cube: ColourCounts,
}

/// The colours that occur, by the model of the picture's own codes.
enum ColourCounts {
    Grey(GreyCube),
    Rgb(RgbCube),
    Inks(InkCube),
}

impl ColourCounts {
    fn new(width_px: usize, height_px: usize, model: ColourModel) -> ColourCounts {
        match model {
            ColourModel::Grey => ColourCounts::Grey(GreyCube::new(width_px, height_px)),
            ColourModel::Cmyk => ColourCounts::Inks(InkCube::new(width_px, height_px)),
            _ => ColourCounts::Rgb(RgbCube::new(width_px, height_px)),
        }
    }

    fn add(&mut self, codes: &[u8]) {
        match self {
            ColourCounts::Grey(scale) => scale.add(codes),
            ColourCounts::Rgb(cube) => cube.add(codes),
            ColourCounts::Inks(inks) => inks.add(codes),
        }
    }

    fn finish(self, to_numbers: &NumberConversion) -> (Vec<Colour>, Option<Misread>) {
        match self {
            ColourCounts::Grey(scale) => (scale.finish(to_numbers), None),
            ColourCounts::Rgb(cube) => cube.finish_with_misread(to_numbers),
            ColourCounts::Inks(inks) => (inks.finish(to_numbers), None),
        }
    }
}

impl PixelPass {
    /// Creates the counters for pictures of this size and model; reuses an earlier picture's buffers.
    pub fn new(width_px: usize, height_px: usize, model: ColourModel, buffers: LineBuffers) -> PixelPass {
        let colours = if model == ColourModel::Grey { 1 } else { 3 };
        PixelPass {
            size_px: (width_px, height_px),
            channels: colours,
            luma: vec![0; width_px],
            tones: CellCounter::new(width_px, height_px),
            clipping: ClippingCounter::new(width_px, height_px, colours),
            line_sampler: LineSampler::new(width_px, height_px, buffers),
            noise: NoiseCounter::new(width_px, height_px),
            lost_rows: LostRowsCounter::new(width_px),
            cube: ColourCounts::new(width_px, height_px, model),
        }
    }

    /// Takes the next row.
    pub fn add(&mut self, row: &EightBitRow<'_>) {
        luma::of_row(row.plain, self.channels, &mut self.luma);
        self.tones.add(&self.luma);
        self.clipping.add(row.plain, &self.luma);
        self.noise.add(&self.luma);
        self.lost_rows.add(row.plain, &self.luma);
        self.cube.add(row.codes);
        if self.line_sampler.add(&self.luma) {
            self.tones.count_codes(&self.luma);
        }
    }

    /// Returns what is measured on all rows.
    pub fn finish(self, meaning: SampleMeaning<'_>) -> PassResult {
        let (tone, mut field_tones) = self.tones.finish(meaning.lightness);
        let clipped = self.clipping.finish(&mut field_tones);
        let (rows, columns) = self.line_sampler.finish();
        let detail = detail(self.size_px, self.noise.finish(), &rows, &columns);
        let (colours, as_srgb) = self.cube.finish(meaning.to_numbers);
        let lost_rows = self.lost_rows.finish();
        PassResult {
            tone,
            clipped,
            field_tones,
            colours,
            as_srgb,
            detail,
            lost_rows,
            buffers: LineBuffers::of(rows, columns),
        }
    }
}

fn detail(
    (width_px, height_px): (usize, usize),
    noise_and_grain: Option<(f64, Grain)>,
    rows: &SampledLines,
    columns: &SampledLines,
) -> Detail {
    let (noise, grain) = noise_and_grain.unzip();
    let step = |pixels: f64| ((width_px * height_px) as f64 / pixels).sqrt().round().max(1.0) as usize;
    let (edge_step, trace_step) = (step(EDGE_PIXELS), step(TRACE_PIXELS));
    let (mut halo_counter, mut contrast_counter) = (HaloCounter::default(), EdgeContrastCounter::default());
    let mut width_counter = EdgeWidthCounter::new(width_px, height_px, noise.unwrap_or(0.0));
    for (lines, direction) in [(rows, Direction::Horizontal), (columns, Direction::Vertical)] {
        edges::find(lines, edge_step, LineDirection::Upright, |line| {
            halo_counter.add(line);
            contrast_counter.add(line);
            width_counter.add(line, direction);
        });
    }
    // An edge along one diagonal is as wide as the blur along the other.
    for (slant, direction) in [(LineDirection::Falling, Direction::Rising), (LineDirection::Rising, Direction::Falling)]
    {
        edges::find(rows, edge_step, slant, |line| width_counter.add(line, direction));
    }
    let halo = Halo { isolated: halo_counter.finish(), swing: contrast_counter.finish() };
    Detail {
        halo: (halo != Halo::default()).then_some(halo),
        focus: width_counter.finish(),
        resampled: resampled::detect(rows, columns, trace_step),
        detail_ends: spectrum::find_detail_end(rows, columns),
        noise,
        grain,
        blocks: blocks::measure(rows, columns, trace_step),
    }
}
