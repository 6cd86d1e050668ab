//! Pixels to evidence: what is measured on the pixels alone, once per file content, whatever the brief.
//!
//! Knows no brief, no file, no clock; gives the same numbers for every band height and thread count.

use crate::picture::Fault;
use crate::picture::facts::{ColourModel, Orientation};
use crate::picture::join::join;
use crate::picture::pixels::{Bands, Samples};

pub mod evidence;

pub mod alignment;

mod alpha;
mod appearance;
mod block_signs;
mod blocks;
mod box_downscaler;
mod clipping;
pub mod cube;
mod edge_contrast;
mod edges;
mod focus;
mod grid;
mod halo;
mod ink;
mod line_sampler;
mod lost_rows;
mod luma;
mod most_saturated;
mod noise;
mod pixel_digest;
mod pixel_pass;
#[cfg(test)]
mod reference;
mod regions;
mod resampled;
mod row_converter;
mod sample_meaning;
pub mod seam;
mod spectrum;
mod statistics;
mod tone;

pub use clipping::WHITE_CODE;
pub use evidence::{EVIDENCE_VERSION, Evidence, Thumbnail};
pub use grid::Grid;
pub use line_sampler::LineBuffers;
pub use sample_meaning::SampleMeaning;
pub use statistics::median;

use evidence::{Crossed, Detail, Ink};

/// Reads all bands once and measures the picture of the file with this SHA-256; `orientation` turns it upright.
/// `helpers`: a second thread may be used; the numbers are the same. `buffers` are reused from picture to picture.
///
/// # Errors
/// The picture cannot be decoded to its last row.
pub fn measure(
    sha256: String,
    bands: &mut dyn Bands,
    orientation: Orientation,
    meaning: SampleMeaning<'_>,
    may_use_second_thread: bool,
    buffers: &mut LineBuffers,
) -> Result<Evidence, Fault> {
    let layout = bands.layout();
    let mut small = box_downscaler::BoxDownscaler::new(layout);
    let mut alpha = alpha::TransparentPixels::new(layout);
    let mut ink = (layout.model == ColourModel::Cmyk).then(|| ink::InkCounter::new(layout));
    let mut plain = row_converter::RowConverter::new(layout, meaning.to_screen);
    let (width_px, height_px) = (layout.width_px as usize, layout.height_px as usize);
    let mut pass = pixel_pass::PixelPass::new(width_px, height_px, layout.model, std::mem::take(buffers));
    while let Some(band) = bands.next_band()? {
        match band.samples {
            Samples::Eight(samples) => {
                alpha.add(samples, u8::MAX);
                small.add(samples);
                ink.iter_mut().for_each(|ink| ink.add(samples));
                samples.chunks_exact(layout.row_len()).for_each(|row| pass.add(&plain.of_eight(row)));
            }
            Samples::Sixteen(samples) => {
                alpha.add(samples, u16::MAX);
                small.add(samples);
                ink.iter_mut().for_each(|ink| ink.add(samples));
                samples.chunks_exact(layout.row_len()).for_each(|row| pass.add(&plain.of_sixteen(row)));
            }
        }
    }
    let thumbnail = small.upright(orientation);
    let screen = meaning.to_screen.apply(&thumbnail.samples);
    let (passed, appearance) =
        join(may_use_second_thread, || pass.finish(meaning), || appearance::measure(&thumbnail, &screen));
    let pixel_pass::PassResult { tone, clipped, field_tones, colours, as_srgb, detail, lost_rows, buffers: used } =
        passed;
    *buffers = used;
    Ok(Evidence {
        sha256,
        pixel_digest: pixel_digest::digest((layout.width_px, layout.height_px), &thumbnail, tone.as_ref(), &colours),
        alpha_hides: alpha.share(),
        tone,
        clipped,
        field_tones: field_tones.upright(orientation),
        most_saturated: most_saturated::find(&thumbnail, &screen, meaning.to_numbers),
        colours,
        as_srgb,
        counted_in: meaning.to_numbers.meaning(),
        ink: ink.map(|ink| upright_ink(ink.finish(), orientation)),
        detail: upright(detail, orientation),
        lost_rows,
        appearance,
        thumbnail: thumbnail.into(),
    })
}

fn upright_ink(mut ink: Ink, orientation: Orientation) -> Ink {
    ink.fields = ink.fields.upright(orientation);
    ink
}

fn upright(mut detail: Detail, orientation: Orientation) -> Detail {
    detail.focus = detail.focus.map(|mut focus| {
        focus.fields = focus.fields.upright(orientation);
        if orientation.swaps_sides() {
            focus.straight = focus.straight.map(Crossed::swapped);
        }
        if swaps_diagonals(orientation) {
            focus.diagonal = focus.diagonal.map(Crossed::swapped);
        }
        focus
    });
    if orientation.swaps_sides() {
        detail.blocks = detail.blocks.map(|mut blocks| {
            blocks.phase = (blocks.phase.1, blocks.phase.0);
            blocks
        });
    }
    detail
}

/// True if a falling diagonal of the upright picture is a rising one as stored.
fn swaps_diagonals(orientation: Orientation) -> bool {
    let (one, other) = (orientation.stored_at(0, 0, 2, 2), orientation.stored_at(1, 1, 2, 2));
    (one.0 < other.0) != (one.1 < other.1)
}

#[cfg(test)]
mod tests;
