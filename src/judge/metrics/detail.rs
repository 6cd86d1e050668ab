//! Edges, noise and traces of enlargement, on paper.

use crate::measure::evidence::{Detail, Grain, MAX_SCALE, Resampled};
use crate::units::Length;
use crate::units::length::MM_PER_INCH;

/// Density up to which a hand-held print shows single pixels. Source: ours, the usual density of prints.
const SHOWN_PPI: f64 = 300.0;
/// Density at which it shows means of 2 x 2 pixels, as finer noise is averaged away. Source: ours, twice the usual.
const SQUARES_PPI: f64 = 2.0 * SHOWN_PPI;
/// Ratio of grain at half the size to grain: white noise keeps 0.5, noise smoothed over 0.65 px 0.75; from this limit
/// on it is texture, which is coarse as well as fine. Source: ours, from 32 photographs, grass, gravel and brick.
const TEXTURE_FROM: f64 = 0.82;
/// Reading distance, mm: limits on paper grow with the distance beyond it.
const READING_MM: f64 = 300.0;
/// Width below which nothing is seen in the hand, mm. Source: just above normal acuity at 30 cm; ours.
pub const HIDDEN_MM: f64 = 0.12;
/// Least height of a spectral line left by resampling. Source: ours; a quarter of untouched files reach it, and the two
/// limits below clear them.
pub const MIN_LINE: f64 = 7.0;
/// Least swing of differences left by interpolation, as a share of their mean; 1.5 % of reduced camera files, whose
/// demosaicing and JPEG blocks leave lines too, reach it. Source: ours.
const MIN_DEPTH: f64 = 0.03;
/// Depth that none of 416 reduced camera files' lines has. Source: ours.
const DEPTH_SURE: f64 = 0.05;
/// Factor below which enlargements have a line where reduced camera files mostly have none: any depth is sure.
const SLIGHT: f64 = 4.0 / 3.0;
/// Factor beyond which the finest detail, of 2 to 3 pixels, is missing too.
const MIDDLING: f64 = 1.6;
/// Agreement of neighbouring frequencies of the finest detail where an enlargement left it empty, up to [`MIDDLING`].
/// Source: ours, as for all limits of agreement.
const EMPTY_FINEST: f64 = 0.10;
/// The same beyond [`MIDDLING`].
const EMPTY_FINE: f64 = 0.30;
/// Agreement from which detail of 4 to 8 pixels is missing as well: of the two factors that a line may stand for, the
/// larger is right.
pub const EMPTY_COARSE: f64 = 0.50;
/// Agreement below which the smaller of them is right; in between the factor is uncertain.
const FULL_COARSE: f64 = 0.20;
/// Least ratio of two factors of one line that missing detail can tell apart.
const APART: f64 = 1.5;
/// Agreement below which a pattern in the picture, such as a wall of lamps, makes neighbouring frequencies disagree.
const PATTERN: f64 = -0.20;
/// Share of mirrored signs above chance that shows doubling. Source: ours; none of 106 untouched files reaches it
/// together with [`DOUBLED_EMPTY`].
const MIN_MIRRORED: f64 = 0.20;
/// Least contrast of every other pixel left by doubling. Source: ours.
const MIN_DOUBLED: f64 = 0.10;
/// Agreement from which detail of 2 to 4 pixels is as empty as doubling leaves it.
const DOUBLED_EMPTY: f64 = 0.40;
/// Least share of signs mirrored by pixels repeated in pairs: nearly all, also through JPEG.
const MIN_PAIRED: f64 = 0.80;
/// Where the detail of an untouched camera file ends, as a share of what its pixels could hold.
pub const NATIVE_ENDS: f64 = 0.6;

/// Returns a length in pixels on paper, in mm.
pub fn mm(px: f64, ppi: f64) -> f64 {
    px * MM_PER_INCH / ppi
}

/// Returns the noise of the print as seen from its viewing distance.
pub fn printed_noise(grain: Grain, seen_from: Option<Length>, ppi: f64) -> f64 {
    let ppi = ppi * distance_factor(seen_from);
    let denser = (ppi / SHOWN_PPI).log2() / (SQUARES_PPI / SHOWN_PPI).log2();
    let share = denser.clamp(0.0, 1.0);
    grain.fine.powf(1.0 - share) * grain.coarse.powf(share) * (SQUARES_PPI / ppi).min(1.0)
}

/// True if the calmest places hold texture that cannot be told from noise.
pub fn is_texture(grain: Grain) -> bool {
    grain.coarse > TEXTURE_FROM * grain.fine
}

/// Returns the ratio of a print's viewing distance to reading distance, at least 1.
pub fn distance_factor(distance: Option<Length>) -> f64 {
    distance.map_or(1.0, |distance| (distance.mm() / READING_MM).max(1.0))
}

/// The ratio of a picture's size to the detail it holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Enlargement {
    /// Factor; 1 where there are no traces.
    pub factor: f64,
    /// True if the factor is known; otherwise it is the least.
    pub is_known: bool,
    /// True if the traces leave next to no doubt.
    pub is_sure: bool,
}

impl Enlargement {
    /// Returns the word for how sure it is.
    pub fn how_sure(&self) -> &'static str {
        if self.is_sure { "almost certainly" } else { "probably" }
    }
}

/// Returns the factor by which a picture was enlarged before, by its traces; `None` for pictures too small to tell.
pub fn enlargement(detail: &Detail) -> Option<Enlargement> {
    let resampled = detail.resampled.as_ref()?;
    let twice = Enlargement { factor: 2.0, is_known: true, is_sure: true };
    if resampled.signs.pairs >= MIN_PAIRED {
        return Some(twice);
    }
    let none = Enlargement { factor: 1.0, is_known: true, is_sure: true };
    Some(by_line(resampled).or(is_doubled(resampled).then_some(twice)).unwrap_or(none))
}

fn is_doubled(resampled: &Resampled) -> bool {
    let [_, _, fine, finest] = resampled.signs.agreement;
    let is_every_other = resampled.signs.mirrored >= MIN_MIRRORED || resampled.doubling >= MIN_DOUBLED;
    is_every_other && fine >= DOUBLED_EMPTY && finest >= 0.0
}

/// Returns the enlargement that left the line: a line at f fits 1 / f and 1 / (1 - f), and the missing detail decides
/// which.
fn by_line(resampled: &Resampled) -> Option<Enlargement> {
    let [coarse, _, fine, finest] = resampled.signs.agreement;
    if resampled.line < MIN_LINE || resampled.depth < MIN_DEPTH || coarse.min(fine) < PATTERN {
        return None;
    }
    let (more, less) = (1.0 / resampled.at, 1.0 / (1.0 - resampled.at));
    let is_sure = resampled.depth >= DEPTH_SURE || less < SLIGHT;
    let (shared, apart) = (more <= MAX_SCALE, more >= APART * less);
    if shared && apart && coarse >= EMPTY_COARSE {
        return Some(Enlargement { factor: more, is_known: true, is_sure });
    }
    let is_empty = less < SLIGHT
        || fine >= EMPTY_FINE
        || coarse >= EMPTY_COARSE
        || less < MIDDLING && fine.max(finest) >= EMPTY_FINEST;
    is_empty.then_some(Enlargement { factor: less, is_known: !shared || apart && coarse <= FULL_COARSE, is_sure })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::evidence::BlockSigns;

    fn traced(change: impl Fn(&mut Resampled)) -> Enlargement {
        let signs = BlockSigns { mirrored: 0.0, pairs: 0.0, agreement: [0.0, 0.0, 0.35, 0.1] };
        let mut resampled = Resampled { line: 20.0, at: 1.0 / 3.0, depth: 0.08, doubling: 0.0, signs };
        change(&mut resampled);
        enlargement(&Detail { resampled: Some(resampled), ..Detail::default() }).unwrap()
    }

    #[test]
    fn a_line_is_of_the_scale_whose_detail_is_missing() {
        // A line at one third is 1.5 times where coarse detail is there, 3 times where it is missing; between, at least
        // 1.5.
        let third = |coarse: f64| traced(|r| r.signs.agreement[0] = coarse);
        assert!((third(0.2).factor - 1.5).abs() < 1e-9 && third(0.2).is_known);
        assert!((third(0.21).factor - 1.5).abs() < 1e-9 && !third(0.21).is_known);
        assert!((third(0.5).factor - 3.0).abs() < 1e-9 && third(0.5).is_known);
        // The factors of a line at 0.444 are 1.8 and 2.25: at least 1.8.
        let near = traced(|r| (r.at, r.signs.agreement) = (1.0 - 1.0 / 1.8, [0.6, 0.6, 0.2, 0.0]));
        assert!((near.factor - 1.8).abs() < 1e-9 && !near.is_known);
        // The larger factor of a line at 0.231 is beyond the range searched.
        let slight = traced(|r| (r.at, r.signs.agreement) = (1.0 - 1.0 / 1.3, [0.6, 0.6, 0.6, 0.0]));
        assert!((slight.factor - 1.3).abs() < 1e-9 && slight.is_known);
    }

    #[test]
    fn a_low_or_shallow_line_is_no_enlargement_s() {
        assert_eq!(traced(|r| r.line = 6.9).factor, 1.0);
        assert_eq!(traced(|r| r.depth = 0.029).factor, 1.0);
        assert!(!traced(|r| r.depth = 0.049).is_sure && traced(|r| r.depth = 0.05).is_sure);
        assert!(traced(|r| (r.at, r.depth) = (0.24, 0.03)).is_sure);
    }

    #[test]
    fn a_line_over_fine_detail_of_its_own_is_no_enlargement_s() {
        // Demosaicing after a reduction to 85 %: a line at 0.412, and detail to the last pixel.
        assert_eq!(traced(|r| (r.at, r.signs.agreement) = (0.412, [0.0, 0.0, 0.29, 0.3])).factor, 1.0);
        assert!((traced(|r| (r.at, r.signs.agreement) = (0.412, [0.0, 0.0, 0.3, 0.3])).factor - 1.7).abs() < 0.01);
        assert_eq!(traced(|r| r.signs.agreement = [0.0, 0.0, 0.09, 0.09]).factor, 1.0);
        // A pattern of 4.5 pixels: every second frequency is missing.
        assert_eq!(traced(|r| r.signs.agreement = [-0.21, 0.0, 0.4, 0.1]).factor, 1.0);
    }

    #[test]
    fn doubling_is_detected_by_mirrored_signs() {
        let twice = |doubling: f64, fine: f64, finest: f64| {
            traced(|r| (r.line, r.signs.mirrored, r.signs.agreement) = (3.0, doubling, [0.3, 0.0, fine, finest])).factor
        };
        assert_eq!([twice(0.2, 0.4, 0.0), twice(0.19, 0.4, 0.0), twice(0.2, 0.39, 0.0)], [2.0, 1.0, 1.0]);
        // Blocks of an earlier grid after a crop.
        assert_eq!(twice(0.4, 0.6, -0.01), 1.0);
        assert_eq!(traced(|r| (r.line, r.signs.pairs) = (3.0, 0.8)).factor, 2.0);
        let by_contrast =
            |contrast: f64| traced(|r| (r.line, r.doubling, r.signs.agreement[2]) = (3.0, contrast, 0.4)).factor;
        assert_eq!([by_contrast(0.1), by_contrast(0.099)], [2.0, 1.0]);
    }

    #[test]
    fn a_picture_too_small_has_no_answer() {
        assert_eq!(enlargement(&Detail::default()), None);
    }

    #[test]
    fn widths_and_noise_are_put_on_paper() {
        // Arithmetic: 3 px at 300 ppi; twice the density shows half of white noise, four times a quarter.
        assert!((mm(3.0, 300.0) - 0.254).abs() < 1e-9);
        let cm = |cm: i64| Some(Length::from_nm(cm * 10_000_000));
        let white = Grain { fine: 6.0, coarse: 3.0 };
        let printed = |ppi: f64| printed_noise(white, None, ppi);
        for (ppi, wanted) in [(150.0, 6.0), (300.0, 6.0), (400.0, 4.5), (600.0, 3.0), (1200.0, 1.5)] {
            assert!((printed(ppi) - wanted).abs() < 1e-9, "{ppi} ppi: {}", printed(ppi));
        }
        // Noise whose neighbours are alike is averaged less; from twice the distance it looks half as large.
        assert_eq!(printed_noise(Grain { coarse: 4.5, ..white }, None, 600.0), 4.5);
        assert_eq!(printed_noise(white, cm(60), 150.0), 6.0);
        assert_eq!(printed_noise(white, cm(60), 300.0), 3.0);
        assert!(!is_texture(white) && is_texture(Grain { coarse: 5.0, ..white }));
        assert_eq!([None, cm(20), cm(90)].map(distance_factor), [1.0, 1.0, 3.0]);
    }
}
