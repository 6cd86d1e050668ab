//! Measurements of a picture on a print's paper, from its evidence and the print's geometry.

use crate::brief::Print;
use crate::judge::metrics::cut_lines::CutLines;
use crate::judge::metrics::lost_colours::LostColours;
use crate::judge::placement::Placement;
use crate::measure::Evidence;
use crate::measure::evidence::Misread;
use crate::picture::Facts;

pub mod changes;
pub mod colours;
pub mod crop;
pub mod cut_lines;
pub mod darkness;
pub mod detail;
pub mod exposure;
pub mod impression;
pub mod ink;
pub mod last_measured;
pub mod lost_colours;
pub mod part_edges;
pub mod strips;
pub mod tones;
pub mod whereabouts;

pub use crate::measure::Grid;
pub use tones::{ToneLoss, ToneMetrics};

/// Measurements of a picture on a print's paper; `None` where not known yet. Shares are 0 to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PrintMetrics {
    /// Effective density at the printed size, pixels per inch.
    pub effective_ppi: Option<f64>,
    /// Share of the picture that the print's shape cuts off.
    pub crop_lost: Option<f64>,
    /// Share of the picture that is featureless white, without speculars.
    pub highlights_lost: Option<f64>,
    /// Share of the picture in speculars.
    pub specular: Option<f64>,
    /// Share of the places with detail whose detail blocks up in the paper's black.
    pub shadows_lost: Option<f64>,
    /// Median L* of the picture, as stored in the file.
    pub median_l: Option<f64>,
    /// Share of the picture that prints close to the paper's black.
    pub near_black: Option<f64>,
    /// Overshoot beside edges, as a share of the edge's step.
    pub halo: Option<f64>,
    /// Width of the overshoot on paper, in mm.
    pub halo_mm: Option<f64>,
    /// Width of the sharpest edges on paper, in mm.
    pub edge_mm: Option<f64>,
    /// Factor by which the picture was enlarged before; 1 where there is no sign of it.
    pub enlarged: Option<f64>,
    /// Noise as visible in the print, standard deviation in codes of 255.
    pub noise: Option<f64>,
    /// Colours outside the required space.
    pub outside: Option<colours::OutOfGamut>,
    /// Colours outside the gamut of the printer's own profile.
    pub outside_paper: Option<colours::OutOfGamut>,
    /// The picture's appearance when its codes are read as those of the required space.
    pub misread: Option<Misread>,
    /// The largest total ink over 10 mm of paper, as a share of one full ink; CMYK pictures only.
    pub ink_most: Option<f64>,
    /// Share of the picture's importance in the strip that cutting may take.
    pub importance_in_trim: Option<f64>,
    /// Share of the picture's importance outside the safe area.
    pub importance_in_safe: Option<f64>,
}

impl PrintMetrics {
    /// Returns the metrics that follow from the geometry alone.
    pub fn of(placement: &Placement) -> PrintMetrics {
        let fit = placement.fit.as_ref();
        PrintMetrics {
            effective_ppi: fit.map(|fit| fit.density.as_f64()),
            crop_lost: fit.map(|fit| fit.lost.as_f64()),
            ..PrintMetrics::default()
        }
    }

    /// Returns the metrics with those of the pixels on this print's paper added.
    #[must_use]
    pub fn measured(
        self,
        print: &Print,
        placement: &Placement,
        (facts, evidence): (&Facts, &Evidence),
        lost: Option<&LostColours>,
    ) -> PrintMetrics {
        let black = tones::PaperBlack::of(&print.requirements.paper);
        let ppi = self.effective_ppi;
        let on_paper = |px: f64| ppi.map(|ppi| detail::mm(px, ppi));
        let found = &evidence.detail;
        let seen_from = print.requirements.density.distance;
        let strips =
            CutLines::centred(placement).map(|lines| strips::Strips::of(&evidence.appearance.importance, &lines));
        let required = &print.requirements.colour.spaces;
        let in_space = lost.and_then(|lost| lost.space.as_ref());
        PrintMetrics {
            highlights_lost: Some(tones::highlights_lost(evidence, print.background)),
            specular: Some(evidence.clipped.sparkle),
            shadows_lost: evidence
                .tone
                .as_ref()
                .zip(ppi)
                .map(|(tone, ppi)| black.blocked_share(tone, found.noise, ppi)),
            median_l: evidence.tone.as_ref().and_then(darkness::median_l),
            near_black: evidence.tone.as_ref().map(|tone| darkness::near_black(tone, black)),
            halo: found.halo.map(|halo| halo.share()),
            halo_mm: found.halo.and_then(|halo| on_paper(halo.width_px())),
            edge_mm: found.focus.as_ref().and_then(|focus| on_paper(focus.sharp_px)),
            enlarged: detail::enlargement(found).map(|found| found.factor),
            noise: found.grain.zip(ppi).map(|(grain, ppi)| detail::printed_noise(grain, seen_from, ppi)),
            outside: match colours::target(facts, evidence, required) {
                Some(_) => in_space.map(|changes| changes.outside),
                None => colours::is_in_required(facts, required).then(colours::OutOfGamut::default),
            },
            outside_paper: lost.and_then(|lost| lost.paper.as_ref()).map(|changes| changes.outside),
            ink_most: evidence.ink.as_ref().zip(ppi).map(|(ink, ppi)| ink::largest_mean(ink, ppi)),
            misread: colours::target_misread(facts, evidence, required)
                .and_then(|_| evidence.as_srgb.or_else(|| in_space.and_then(|changes| changes.misread))),
            importance_in_trim: strips.as_ref().map(|strips| strips.trim.iter().sum()),
            importance_in_safe: strips.as_ref().map(|strips| strips.safe.iter().sum()),
            ..self
        }
    }
}
