//! Edges, noise and traces of enlarging, on paper.

use crate::measure::evidence::{Detail, Grain};
use crate::units::Length;

/// Millimetres in an inch.
const MM_PER_INCH: f64 = 25.4;
/// What a print in the hand shows of single pixels, and of means of 2 x 2: finer noise is averaged away. Source: ours,
/// the usual density of prints, and twice that.
const SHOWN_PPI: f64 = 300.0;
/// See [`SHOWN_PPI`].
const SQUARES_PPI: f64 = 2.0 * SHOWN_PPI;
/// Grain at half the size against grain: white noise keeps 0.5, noise that was smoothed over 0.65 px 0.75; from here on
/// it is texture, which is coarse as well as fine. Source: ours, from 32 photographs, grass, gravel and brick.
const TEXTURE_FROM: f64 = 0.82;
/// Reading distance, mm: limits on paper grow with the distance beyond it.
const READING_MM: f64 = 300.0;
/// Narrower than this nothing is seen in the hand, mm. Source: just above normal acuity at 30 cm; ours.
pub const HIDDEN_MM: f64 = 0.12;
/// A spectral line this high was left by resampling. Source: ours; 2 of 66 camera files reach it, both from phones.
pub const LINE_LEAST: f64 = 8.0;
/// An enlargement's detail ends here or below, as a share of what the pixels could hold.
const ENDS_MOST: f64 = 0.60;
/// Contrast of every other pixel that doubling leaves. Source: ours: of untouched files 3 % reach it, and the end of
/// their detail clears them.
pub const DOUBLED_LEAST: f64 = 0.10;
/// Detail of a doubled picture ends here or below.
const DOUBLED_ENDS_MOST: f64 = 0.65;
/// Where the detail of an untouched camera file ends.
pub const NATIVE_ENDS: f64 = 0.6;

/// A length in pixels on paper, mm.
pub fn mm(px: f64, ppi: f64) -> f64 {
    px * MM_PER_INCH / ppi
}

/// Noise as the print shows it from where it is seen.
pub fn printed_noise(grain: Grain, seen_from: Option<Length>, ppi: f64) -> f64 {
    let ppi = ppi * distance_factor(seen_from);
    let denser = (ppi / SHOWN_PPI).log2() / (SQUARES_PPI / SHOWN_PPI).log2();
    let share = denser.clamp(0.0, 1.0);
    grain.fine.powf(1.0 - share) * grain.coarse.powf(share) * (SQUARES_PPI / ppi).min(1.0)
}

/// Whether the calmest places hold texture that noise cannot be told from.
pub fn is_texture(grain: Grain) -> bool {
    grain.coarse > TEXTURE_FROM * grain.fine
}

/// How much further than in the hand a print is seen from; 1 in the hand.
pub fn distance_factor(distance: Option<Length>) -> f64 {
    distance.map_or(1.0, |distance| (distance.mm() / READING_MM).max(1.0))
}

/// How much a picture was enlarged before, and by which trace.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Enlargement {
    /// Times; 1 where nothing says so.
    pub factor: f64,
    /// Whether it was told by every other pixel alone, a trace that lossy compression can make.
    pub by_doubling: bool,
}

/// How much a picture was enlarged; `None` where that cannot be told.
pub fn enlargement(detail: &Detail) -> Option<Enlargement> {
    let resampled = detail.resampled.as_ref()?;
    let none = Enlargement { factor: 1.0, by_doubling: false };
    let Some(ends) = detail.detail_ends else {
        return (resampled.line < LINE_LEAST).then_some(none);
    };
    if resampled.line >= LINE_LEAST && ends <= ENDS_MOST {
        return Some(Enlargement { factor: scale(resampled.at, ends), by_doubling: false });
    }
    if resampled.doubling >= DOUBLED_LEAST && ends <= DOUBLED_ENDS_MOST {
        return Some(Enlargement { factor: 2.0, by_doubling: true });
    }
    Some(none)
}

/// The scale whose line lies at a frequency: of 1 / f and 1 / (1 - f) the one nearer to where detail ends.
fn scale(at: f64, ends: f64) -> f64 {
    let told = NATIVE_ENDS / ends;
    let (more, less) = (1.0 / at, 1.0 / (1.0 - at));
    if (more - told).abs() < (less - told).abs() { more } else { less }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::evidence::Resampled;

    fn detail(line: f64, at: f64, doubling: f64, ends: Option<f64>) -> Detail {
        Detail { resampled: Some(Resampled { line, at, doubling }), detail_ends: ends, ..Detail::default() }
    }

    fn factor(line: f64, at: f64, doubling: f64, ends: f64) -> f64 {
        enlargement(&detail(line, at, doubling, Some(ends))).unwrap().factor
    }

    #[test]
    fn a_line_and_an_early_end_tell_the_scale() {
        // One third is 1.5 times where detail ends late, 3 times where it ends early.
        assert!((factor(20.0, 1.0 / 3.0, 0.0, 0.47) - 1.5).abs() < 1e-9);
        assert!((factor(20.0, 1.0 / 3.0, 0.0, 0.25) - 3.0).abs() < 1e-9);
        assert!((factor(20.0, 0.444, 0.0, 0.45) - 1.8).abs() < 0.01);
        assert_eq!(factor(7.9, 1.0 / 3.0, 0.0, 0.47), 1.0);
        assert_eq!(factor(20.0, 1.0 / 3.0, 0.0, 0.61), 1.0);
    }

    #[test]
    fn doubling_is_told_by_every_other_pixel() {
        assert_eq!(factor(2.0, 0.2, 0.10, 0.65), 2.0);
        assert_eq!(factor(2.0, 0.2, 0.099, 0.65), 1.0);
    }

    #[test]
    fn a_line_without_an_end_has_no_answer() {
        assert_eq!(enlargement(&detail(9.0, 0.3, 0.0, None)), None);
        assert_eq!(enlargement(&detail(3.0, 0.3, 0.0, None)).unwrap().factor, 1.0);
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
        // Noise whose neighbours are alike is averaged less; from twice as far it looks half as large.
        assert_eq!(printed_noise(Grain { coarse: 4.5, ..white }, None, 600.0), 4.5);
        assert_eq!(printed_noise(white, cm(60), 150.0), 6.0);
        assert_eq!(printed_noise(white, cm(60), 300.0), 3.0);
        assert!(!is_texture(white) && is_texture(Grain { coarse: 5.0, ..white }));
        assert_eq!([None, cm(20), cm(90)].map(distance_factor), [1.0, 1.0, 3.0]);
    }
}
