//! Soft proofs: small pictures as a paper would show them, in sRGB for a screen. Never for measuring.
//!
//! With the printer's profile the engine goes to the paper and back; without one only the paper's black and white are
//! known, and nothing else of the picture changes.

use std::sync::Arc;

use lcms2::{DisallowCache, Flags, Intent, Profile, ThreadContext, Transform};
use rayon::prelude::*;

use super::encoding::SRGB_CURVE;
use super::paper_profile::PaperProfile;
use super::to_screen::{SampleSource, ToScreen, format_of, profile_of, samples_per_pixel};
use super::{Encoding, ProfileFault, ProfileSpace};

/// Pixels that one thread takes at a time.
const PART_PIXELS: usize = 1 << 15;

/// How a picture is brought onto the paper for a proof.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum ProofRendering {
    /// Relative colorimetric with black point compensation, the paper's white shown as the screen's.
    #[default]
    Relative,
    /// The profile's perceptual rendering, the paper's white shown as the screen's.
    Perceptual,
    /// As [`ProofRendering::Relative`], the paper's white and black as dark and tinted as they are.
    PaperWhite,
}

/// What a proof knows of the paper.
#[derive(Clone, Debug, PartialEq)]
pub enum ProofPaper {
    /// The printer's profile.
    Printer(Arc<PaperProfile>),
    /// Its black and its white alone.
    Levels {
        /// Light of the black relative to the white, 0 to 1.
        black: f64,
        /// Light of the white, 0 to 1.
        white: f64,
    },
}

/// Turns 8-bit samples into what a paper shows of them, in sRGB. May move between threads.
pub struct PaperTransform {
    /// Converts to sRGB first, where the engine does not know the meaning of the samples.
    to_screen: Option<ToScreen>,
    transform: ProofTransform,
}

enum ProofTransform {
    /// One code to another, the same for each channel.
    Levels(Box<[u8; 256]>),
    /// The transform, the samples of a pixel, and the engine's context, which is dropped last.
    Engine { transform: Transform<u8, u8, ThreadContext, DisallowCache>, per_pixel: usize, _context: ThreadContext },
}

impl PaperTransform {
    /// Creates the transform of samples of a space: RGB, grey or CMYK, inks counted from no ink (0) upwards.
    ///
    /// # Errors
    /// The picture's profile cannot be used, or the engine cannot go this way through the paper's.
    pub fn new(
        space: ProfileSpace,
        source: SampleSource<'_>,
        paper: &ProofPaper,
        rendering: ProofRendering,
    ) -> Result<PaperTransform, ProfileFault> {
        let printer = match paper {
            ProofPaper::Levels { black, white } => {
                let white = if rendering == ProofRendering::PaperWhite { *white } else { 1.0 };
                let first = Some(ToScreen::new(space, source)?);
                return Ok(PaperTransform {
                    to_screen: first,
                    transform: ProofTransform::Levels(levels(*black, white).into()),
                });
            }
            ProofPaper::Printer(printer) => printer,
        };
        match profile_of(space, source)? {
            Some(bytes) => {
                Ok(PaperTransform { to_screen: None, transform: engine(space, &bytes, printer, rendering)? })
            }
            None => {
                let transform = engine(ProfileSpace::Rgb, &Encoding::Srgb.icc_bytes(), printer, rendering)?;
                Ok(PaperTransform { to_screen: Some(ToScreen::new(space, source)?), transform })
            }
        }
    }

    /// Converts interleaved samples to interleaved sRGB; samples beyond the last whole pixel are left out.
    pub fn apply(&self, samples: &[u8]) -> Vec<u8> {
        let plain = self.to_screen.as_ref().map(|first| first.apply(samples));
        let samples = plain.as_deref().unwrap_or(samples);
        match &self.transform {
            ProofTransform::Levels(levels) => samples.iter().map(|code| levels[usize::from(*code)]).collect(),
            ProofTransform::Engine { transform, per_pixel, .. } => {
                let mut rgb = vec![0; samples.len() / per_pixel * 3];
                let parts = samples.par_chunks(PART_PIXELS * per_pixel).zip(rgb.par_chunks_mut(PART_PIXELS * 3));
                parts.for_each(|(part, rgb)| transform.transform_pixels(&part[..rgb.len() / 3 * per_pixel], rgb));
                rgb
            }
        }
    }
}

/// Returns the codes of sRGB with their light scaled between the paper's black and white. Source: the scaling of ISO
/// 18619.
fn levels(black: f64, white: f64) -> [u8; 256] {
    std::array::from_fn(|code| {
        let light = SRGB_CURVE.linear(code as f64 / 255.0);
        let printed = (black + (1.0 - black) * light) * white;
        (SRGB_CURVE.code(printed) * 255.0).round().clamp(0.0, 255.0) as u8
    })
}

fn engine(
    space: ProfileSpace,
    bytes: &[u8],
    printer: &PaperProfile,
    rendering: ProofRendering,
) -> Result<ProofTransform, ProfileFault> {
    let fault =
        |_: lcms2::Error| ProfileFault::new("no proof can be made through it: the colour engine does not take it");
    let context = ThreadContext::new();
    let from = Profile::new_icc_context(&context, bytes).map_err(fault)?;
    let to = Profile::new_icc_context(&context, &Encoding::Srgb.icc_bytes()).map_err(fault)?;
    let paper = Profile::new_icc_context(&context, printer.bytes()).map_err(fault)?;
    let (onto, back) = match rendering {
        ProofRendering::Relative => (Intent::RelativeColorimetric, Intent::RelativeColorimetric),
        ProofRendering::Perceptual => (Intent::Perceptual, Intent::RelativeColorimetric),
        ProofRendering::PaperWhite => (Intent::RelativeColorimetric, Intent::AbsoluteColorimetric),
    };
    let transform = Transform::new_proofing_context(
        &context,
        &from,
        format_of(space),
        &to,
        format_of(ProfileSpace::Rgb),
        &paper,
        onto,
        back,
        // Without the engine's own cache of one pixel several threads may ask at once.
        Flags::SOFT_PROOFING | Flags::BLACKPOINT_COMPENSATION | Flags::NO_CACHE,
    )
    .map_err(fault)?;
    let per_pixel = samples_per_pixel(space).unwrap_or(3);
    Ok(ProofTransform::Engine { transform, per_pixel, _context: context })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::paper_profile::printer_of;

    fn is_send<T: Send>() {}

    fn proof(paper: &ProofPaper, rendering: ProofRendering, source: SampleSource<'_>, rgb: &[u8]) -> Vec<u8> {
        PaperTransform::new(ProfileSpace::Rgb, source, paper, rendering).unwrap().apply(rgb)
    }

    #[test]
    fn a_proof_may_move_to_a_worker() {
        is_send::<PaperTransform>();
    }

    #[test]
    fn a_weak_black_lifts_the_shadows_and_leaves_white_alone() {
        // By hand: light of 10 % is code 89 of sRGB, 50 % code 188 (IEC 61966-2-1).
        let paper = ProofPaper::Levels { black: 0.1, white: 0.5 };
        let codes = [0, 0, 0, 255, 255, 255];
        assert_eq!(proof(&paper, ProofRendering::Relative, SampleSource::Nothing, &codes), [89, 89, 89, 255, 255, 255]);
        assert_eq!(proof(&paper, ProofRendering::PaperWhite, SampleSource::Nothing, &codes)[3..], [188, 188, 188]);
        let grey =
            PaperTransform::new(ProfileSpace::Grey, SampleSource::Nothing, &paper, ProofRendering::Relative).unwrap();
        assert_eq!(grey.apply(&[0]), [89, 89, 89]);
    }

    #[test]
    fn a_paper_with_the_gamut_of_srgb_keeps_srgb_and_dulls_wider_colours() {
        let paper = ProofPaper::Printer(Arc::new(PaperProfile::new(&printer_of(Encoding::Srgb)).unwrap()));
        let ramp: Vec<u8> = (0..=254).collect();
        for rendering in [ProofRendering::Relative, ProofRendering::Perceptual] {
            for (found, wanted) in proof(&paper, rendering, SampleSource::Nothing, &ramp).iter().zip(&ramp) {
                assert!(found.abs_diff(*wanted) <= 1, "{found} against {wanted}");
            }
        }
        // A green of Adobe RGB (1998) that is in sRGB, as the published matrices say (see `shown`).
        let wide = proof(&paper, ProofRendering::Relative, SampleSource::Encoding(Encoding::AdobeRgb), &[200, 60, 40]);
        for (found, wanted) in wide.iter().zip([231.5, 57.4, 34.0]) {
            assert!((f64::from(*found) - wanted).abs() <= 2.0, "{found} against {wanted}");
        }
    }
}
