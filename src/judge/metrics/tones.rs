//! Lightness of a picture between a paper's black and white.
//!
//! The paper is simulated as a soft proof does it: relative colorimetric with black point compensation, which maps
//! light onto what the paper holds, `black + (1 - black) x light` (ISO 18619). Nothing is cut off; contrast shrinks
//! near the black, and detail is lost where it shrinks below what an eye sees.

use crate::brief::Background;
use crate::brief::requirements::Paper;
use crate::colour::lab::{light, lightness};
use crate::judge::metrics::detail::mm;
use crate::measure::Grid;
use crate::measure::evidence::{Appearance, CELL_PX, CellBin, DEVIATION_STEP, Evidence, Tone};

/// Smallest difference of lightness seen side by side, L*. Common practice, no source.
const SEEN_L: f64 = 1.0;
/// Contrast from which a cell holds detail, in codes. Source: ours.
const DETAIL_CODES: f64 = 1.5;
/// Multiple of the noise that contrast must exceed to be detail. Source: ours.
const NOISE_TIMES: f64 = 2.0;
/// Side on paper of the cells examined, mm: fine texture, and forms as large as a thumb. Source: ours.
const CELL_MM: std::ops::Range<f64> = 0.5..16.0;
/// Least share of detailed places that a loss is divided by, for each size of cell, so that little detail does not
/// dominate. Source: ours.
const MIN_DETAILED: f64 = 0.25;
/// Fewest cells of a size for a share of them to mean anything. Source: ours.
const MIN_CELLS: u32 = 48;
/// Contrast below which a cell is flat, in codes: eight bits cannot show less.
const FLAT_CODES: f64 = 0.5;
/// Steps of the histogram.
const STEPS: usize = 50;
/// Blown share of a field, of 255, from which it is marked.
const MARKED_FROM: u8 = 26;

/// The lightness of a picture against the range of its paper.
#[derive(Clone, Debug, PartialEq)]
pub struct ToneMetrics {
    /// Share of the picture in each step of 2 L*, from black to white; 50 steps.
    pub histogram: Vec<f32>,
    /// The paper's black, L* relative to its white.
    pub black_l: f64,
    /// Loss of each field, at most 64 fields a side, upright; no fields where nothing is lost.
    pub lost: Grid<ToneLoss>,
}

/// The loss of a field of the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ToneLoss {
    /// No loss.
    #[default]
    Nothing,
    /// Its detail merges in the paper's black.
    Shadows,
    /// It is featureless white.
    Highlights,
}

/// A paper's black, as light relative to the paper's white.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PaperBlack(f64);

impl PaperBlack {
    /// Returns the black of a paper of the brief.
    pub fn of(paper: &Paper) -> PaperBlack {
        PaperBlack::of_density(paper.dmax, paper.white_l)
    }

    /// Returns the black of an absolute density D on a paper of this lightness.
    pub fn of_density(dmax: f64, white_l: f64) -> PaperBlack {
        PaperBlack((10f64.powf(-dmax) / light(white_l)).min(1.0))
    }

    /// Returns its light, 0 to 1.
    pub fn light(self) -> f64 {
        self.0
    }

    /// Returns its L* relative to the paper's white.
    pub fn lightness(self) -> f64 {
        lightness(self.0)
    }

    /// Returns the L* on paper of an L* in the file.
    pub fn printed(self, l: f64) -> f64 {
        lightness(self.0 + (1.0 - self.0) * light(l))
    }

    /// True if this contrast, in codes round a code, is seen in the file but no longer on this paper.
    fn merges(self, tone: &Tone, mean: u8, spread: f64, noise: f64) -> bool {
        is_seen(tone, mean, spread, noise) && {
            let (dark, bright) = ends(tone, mean, spread);
            self.printed(bright) - self.printed(dark) < SEEN_L
        }
    }

    /// Returns the share of the places with detail whose detail this paper blocks up, at the size that loses most.
    pub fn blocked_share(self, tone: &Tone, noise: Option<f64>, ppi: f64) -> f64 {
        let small = (f64::from(CELL_PX), &tone.cells, tone.cell_count, noise.unwrap_or(0.0));
        // The means inside larger cells have no noise.
        let wider = tone.wider.iter().map(|scale| (f64::from(scale.cell_px), &scale.cells, scale.cell_count, 0.0));
        let on_paper = |px: f64| CELL_MM.contains(&mm(px, ppi));
        let sizes = std::iter::once(small).chain(wider);
        let counted_sizes =
            sizes.filter(|(px, _, counted, _)| on_paper(*px) && *counted >= MIN_CELLS.min(tone.cell_count));
        counted_sizes
            .map(|(_, cells, counted, noise)| {
                let share_of = |is: &dyn Fn(&CellBin) -> bool| {
                    let cells = cells.iter().filter(|cells| is(cells)).map(|cells| u64::from(cells.count));
                    cells.sum::<u64>() as f64 / f64::from(counted.max(1))
                };
                let detailed = share_of(&|cells| is_seen(tone, cells.mean, codes(cells.deviation_steps), noise));
                let blocked = share_of(&|cells| self.merges(tone, cells.mean, codes(cells.deviation_steps), noise));
                blocked / detailed.max(MIN_DETAILED)
            })
            .fold(0.0, f64::max)
    }

    /// Returns the share of the picture that is already one flat dark: as dark as this paper's black, and without any
    /// detail.
    pub fn flat_share(self, tone: &Tone) -> f64 {
        let black = self.lightness();
        let flat = tone.cells.iter().filter(|cells| {
            f64::from(cells.deviation_steps) * DEVIATION_STEP < FLAT_CODES
                && at_code(tone, f64::from(cells.mean)) < black
        });
        share(flat.map(|cells| cells.count).sum(), tone)
    }

    /// Returns the picture's lightness on this paper.
    pub fn tones(self, evidence: &Evidence, tone: &Tone, background: Option<Background>) -> ToneMetrics {
        let total = tone.luma.iter().map(|count| f64::from(*count)).sum::<f64>().max(1.0);
        let mut histogram = vec![0.0; STEPS];
        for (code, count) in tone.luma.iter().enumerate() {
            let step = (at_code(tone, code as f64) / 100.0 * STEPS as f64) as usize;
            histogram[step.min(STEPS - 1)] += (f64::from(*count) / total) as f32;
        }
        let noise = evidence.detail.noise.unwrap_or(0.0);
        let meant = white_at_edge_is_meant(background, &evidence.appearance);
        let fields = evidence.field_tones.fields.iter().map(|place| {
            let blown = if meant { place.blown.saturating_sub(place.blown_at_edge) } else { place.blown };
            if blown >= MARKED_FROM {
                ToneLoss::Highlights
            } else if self.merges(tone, place.mean, codes(place.deviation_steps), noise) {
                ToneLoss::Shadows
            } else {
                ToneLoss::Nothing
            }
        });
        let lost =
            Grid { fields: fields.collect(), across: evidence.field_tones.across, down: evidence.field_tones.down };
        ToneMetrics { histogram, black_l: self.lightness(), lost: lost.or_nothing() }
    }
}

/// True if this contrast, in codes round a code, is detail: more than noise, and seen in the file.
fn is_seen(tone: &Tone, mean: u8, spread: f64, noise: f64) -> bool {
    let (dark, bright) = ends(tone, mean, spread);
    spread >= DETAIL_CODES.max(NOISE_TIMES * noise) && bright - dark >= SEEN_L
}

/// Returns the L* of the ends of a contrast, in codes below and above a code.
fn ends(tone: &Tone, mean: u8, spread: f64) -> (f64, f64) {
    (at_code(tone, f64::from(mean) - spread), at_code(tone, f64::from(mean) + spread))
}

/// True if white that reaches the frame's edge is intended: the print's ground, or a border painted into the picture.
pub fn white_at_edge_is_meant(background: Option<Background>, appearance: &Appearance) -> bool {
    matches!(background, Some(Background::White)) || appearance.border.iter().any(Option::is_some)
}

/// Returns the share of the picture that is featureless white, without intended white.
pub fn highlights_lost(evidence: &Evidence, background: Option<Background>) -> f64 {
    let clipped = &evidence.clipped;
    let meant = if white_at_edge_is_meant(background, &evidence.appearance) { clipped.blown_at_edge } else { 0.0 };
    (clipped.blown - meant).max(0.0)
}

/// Returns the middle of a step of contrast, in codes.
fn codes(spread: u8) -> f64 {
    (f64::from(spread) + 0.5) * DEVIATION_STEP
}

/// Returns the L* of a fractional code.
fn at_code(tone: &Tone, code: f64) -> f64 {
    let last = tone.lightness.len().saturating_sub(1);
    let code = code.clamp(0.0, last as f64);
    let below = code as usize;
    let of = |code: usize| f64::from(tone.lightness.get(code).copied().unwrap_or(0.0));
    of(below) + (of((below + 1).min(last)) - of(below)) * (code - below as f64)
}

fn share(cells: u32, tone: &Tone) -> f64 {
    f64::from(cells) / f64::from(tone.cell_count.max(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::tone;
    use crate::measure::evidence::{Border, Clipped};

    #[test]
    fn compensation_lifts_light_as_the_standard_says() {
        // Source: ISO 18619, worked: light 0.01 on D 1.6 becomes 0.034 868, on D 2.1 0.017 864.
        for (density, wanted) in [(1.6, 0.034_868), (2.1, 0.017_864)] {
            let black = PaperBlack::of_density(density, 100.0);
            assert!((light(black.printed(lightness(0.01))) - wanted).abs() < 1e-6, "D {density}");
        }
        assert!((PaperBlack::of_density(2.0, 100.0).lightness() - 8.99).abs() < 0.01);
        // The black of a paper is seen against its own white.
        assert!(PaperBlack::of_density(1.12, 80.1).lightness() > PaperBlack::of_density(1.12, 100.0).lightness());
    }

    #[test]
    fn faint_shadow_detail_merges_on_a_weak_black_and_not_on_a_deep_one() {
        // Half of the picture is dark (code 16) with a weave of 2 codes, half is light.
        let dark = tone(&[(16, 2.0, 50), (180, 4.0, 50)]);
        assert_eq!(PaperBlack::of_density(1.3, 95.0).blocked_share(&dark, None, 300.0), 0.5);
        assert_eq!(PaperBlack::of_density(2.3, 95.0).blocked_share(&dark, None, 300.0), 0.0);
        // Strong detail survives anywhere; noise is not detail; contrast invisible in the file cannot be lost.
        assert_eq!(PaperBlack::of_density(1.3, 95.0).blocked_share(&tone(&[(16, 8.0, 50)]), None, 300.0), 0.0);
        assert_eq!(PaperBlack::of_density(1.3, 95.0).blocked_share(&dark, Some(1.5), 300.0), 0.0);
        assert_eq!(PaperBlack::of_density(1.3, 95.0).blocked_share(&tone(&[(16, 1.0, 50)]), None, 300.0), 0.0);
    }

    #[test]
    fn a_paper_with_a_weaker_black_never_keeps_more() {
        let busy = tone(&[(8, 2.0, 10), (16, 3.0, 10), (30, 2.0, 10), (50, 1.75, 10), (90, 2.0, 10)]);
        let lost = |density: f64| PaperBlack::of_density(density, 95.0).blocked_share(&busy, None, 300.0);
        let densities: Vec<f64> = (11..24).map(|tenths| f64::from(tenths) / 10.0).collect();
        assert!(densities.windows(2).all(|two| lost(two[0]) >= lost(two[1])));
    }

    #[test]
    fn blocked_shadows_are_dark_and_flat() {
        let blocked = tone(&[(2, 0.0, 30), (2, 1.0, 30), (200, 0.0, 40)]);
        assert_eq!(PaperBlack::of_density(1.6, 95.0).flat_share(&blocked), 0.3);
    }

    #[test]
    fn an_intended_white_background_is_not_lost() {
        let mut evidence = Evidence::nothing("sha");
        evidence.clipped = Clipped { blown: 0.5, blown_at_edge: 0.4, ..Clipped::default() };
        assert_eq!(highlights_lost(&evidence, None), 0.5);
        assert!((highlights_lost(&evidence, Some(Background::White)) - 0.1).abs() < 1e-12);
        evidence.appearance.border[0] = Some(Border { from: 0.0, to: 0.1 });
        assert!((highlights_lost(&evidence, None) - 0.1).abs() < 1e-12);
    }

    #[test]
    fn the_histogram_holds_the_whole_picture() {
        let evidence = Evidence::nothing("sha");
        let found = PaperBlack::of_density(1.6, 95.0).tones(&evidence, &tone(&[(9, 0.0, 1)]), None);
        assert!((found.histogram.iter().sum::<f32>() - 1.0).abs() < 1e-4);
        assert_eq!(found.histogram.len(), 50);
    }
}
