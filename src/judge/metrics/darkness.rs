//! How dark a picture prints: its median against the paper's black, and its lightest parts.

use crate::colour::lab::{light, lightness};
use crate::judge::metrics::tones::PaperBlack;
use crate::judge::subject::Area;
use crate::measure::Evidence;
use crate::measure::evidence::Tone;

/// Tones that print no lighter than this above the paper's black look black, L*. Source: ours.
const NEAR_BLACK_L: f64 = 4.0;
/// A picture whose median prints no lighter than this above the paper's black is dark on it, L*. Source: ours: on
/// uncoated paper (D 1.31) that is a median of L* 27 in the file, on lustre (D 2.1) of 14.
pub const DARK_L: f64 = 10.0;
/// A black below this L* is deep: it holds a night frame's dark ground, as glossy and lustre papers do; matte and
/// uncoated ones do not. Source: ours; L* 16 is D 1.75.
const DEEP_BLACK_L: f64 = 16.0;
/// L* in the file that the lightest fiftieth of a picture reaches if something in it is lit. Source: ours: two stops
/// under, white itself is L* 57 (arithmetic) and the lightest fiftieth of three photographs in four is below 55; of 32
/// exposed as meant, one is.
pub const LIT_L: f64 = 55.0;
/// Share at which the lightest fiftieth begins.
const LIT_FROM: f64 = 0.98;
/// A picture with nothing lit is dark only where its median is also below this, L* in the file: fog and pale walls have
/// no highlights either. Source: ours.
const DIM_L: f64 = 36.0;
/// L* that the lightest parts should reach where nothing is lit. Source: ours; most photographs reach 85 to 95.
const LIT_AIM_L: f64 = 75.0;
/// Steps per stop in which lifting the midtones is advised.
const STOP_PARTS: f64 = 2.0;

/// The darkness of a picture, or of its subject.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Darkness {
    /// Median L* in the file.
    pub median_l: f64,
    /// L* in the file reached by the lightest fiftieth.
    pub lightest_l: f64,
    /// Printed L* of the median above the paper's black.
    pub above_black: f64,
    /// Share that prints close to the paper's black.
    pub near_black: f64,
    /// True if the paper's black is too weak to hold a dark ground.
    pub has_weak_black: bool,
}

/// The reason why a picture is dark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DarkCause {
    /// Half of it prints close to the paper's black.
    NearBlack,
    /// Nothing in it is lit.
    Unlit,
}

impl Darkness {
    /// Measures a picture on a paper, or its subject; `None` where nothing was counted.
    pub fn of(evidence: &Evidence, subject: Option<Area>, black: PaperBlack) -> Option<Darkness> {
        let tone = evidence.tone.as_ref()?;
        let counts = match subject {
            Some(area) => counts_within(evidence, area),
            None => tone.luma.iter().map(|count| f64::from(*count)).collect(),
        };
        let median_l = percentile(tone, &counts, 0.5)?;
        Some(Darkness {
            median_l,
            lightest_l: percentile(tone, &counts, LIT_FROM)?,
            above_black: black.printed(median_l) - black.lightness(),
            near_black: share_near_black(tone, &counts, black),
            has_weak_black: black.lightness() > DEEP_BLACK_L,
        })
    }

    /// Returns why it is too dark; `None` where it is not.
    pub fn cause(self) -> Option<DarkCause> {
        let unlit = self.lightest_l < LIT_L;
        if self.above_black < DARK_L && (self.has_weak_black || unlit) {
            Some(DarkCause::NearBlack)
        } else if unlit && self.median_l < DIM_L {
            Some(DarkCause::Unlit)
        } else {
            None
        }
    }

    /// Returns the stops, in half stops and at least one half, by which to lift the midtones so that it is no longer
    /// dark.
    pub fn stops(self, black: PaperBlack) -> f64 {
        // Least light of the median: the limit above the paper's black.
        let least = black.light() + (light(black.lightness() + DARK_L) - black.light()).max(0.0);
        let wanted = (least - black.light()) / (1.0 - black.light()).max(f64::EPSILON);
        let by_median = (wanted / light(self.median_l).max(DARKEST)).log2();
        let by_lightest = (light(LIT_AIM_L) / light(self.lightest_l).max(DARKEST)).log2();
        let stops = if self.lightest_l < LIT_L { by_median.max(by_lightest) } else { by_median };
        // A median on the limit itself is no longer below it.
        ((stops * STOP_PARTS).floor() + 1.0).max(1.0) / STOP_PARTS
    }

    /// Returns the median L* in the file after lifting the midtones by these stops.
    pub fn lifted_l(self, stops: f64) -> f64 {
        lightness((light(self.median_l) * stops.exp2()).min(1.0))
    }
}

/// Light below which a median gives no useful number of stops: a code of 1 in sRGB (IEC 61966-2-1).
const DARKEST: f64 = 1.0 / 255.0 / 12.92;

/// Returns the median L* of a picture; `None` where nothing was counted.
pub fn median_l(tone: &Tone) -> Option<f64> {
    let counts: Vec<f64> = tone.luma.iter().map(|count| f64::from(*count)).collect();
    percentile(tone, &counts, 0.5)
}

/// Returns the share of a picture that prints close to the paper's black.
pub fn near_black(tone: &Tone, black: PaperBlack) -> f64 {
    let counts: Vec<f64> = tone.luma.iter().map(|count| f64::from(*count)).collect();
    share_near_black(tone, &counts, black)
}

/// Counts the luma codes in a box, by the means of its fields.
fn counts_within(evidence: &Evidence, area: Area) -> Vec<f64> {
    let mut counts = vec![0.0; 256];
    for (field, place) in evidence.field_tones.placed() {
        counts[usize::from(place.mean)] += area.share_within(field);
    }
    counts
}

fn share_near_black(tone: &Tone, counts: &[f64], black: PaperBlack) -> f64 {
    let all: f64 = counts.iter().sum();
    let is_near = |l: f32| black.printed(f64::from(l)) - black.lightness() <= NEAR_BLACK_L;
    let near: f64 = counts.iter().zip(&tone.lightness).filter(|(_, l)| is_near(**l)).map(|(count, _)| count).sum();
    if all > 0.0 { near / all } else { 0.0 }
}

/// Returns the L* below which this share of the counted pixels is.
fn percentile(tone: &Tone, counts: &[f64], share: f64) -> Option<f64> {
    let all: f64 = counts.iter().sum();
    if all <= 0.0 {
        return None;
    }
    let mut below = 0.0;
    let code = counts.iter().position(|count| {
        below += count;
        below >= share * all
    });
    tone.lightness.get(code?).map(|l| f64::from(*l))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::tone;
    use crate::measure::Grid;
    use crate::measure::evidence::FieldTone;

    /// A picture of two tones: codes and their amounts.
    fn of(tones: &[(u8, u32)], dmax: f64) -> Darkness {
        let mut evidence = Evidence::nothing("sha");
        let mut found = tone(&[]);
        found.luma.fill(0);
        tones.iter().for_each(|(code, count)| found.luma[usize::from(*code)] += count);
        evidence.tone = Some(found);
        Darkness::of(&evidence, None, PaperBlack::of_density(dmax, 95.0)).unwrap()
    }

    #[test]
    fn a_dark_median_is_dark_on_a_weak_black_and_a_night_frame_is_none_on_a_deep_one() {
        // sRGB code 50 is L* 20.8 (IEC 61966-2-1, CIE 15).
        let night = [(50, 90), (200, 10)];
        assert!((of(&night, 2.1).median_l - 20.8).abs() < 0.1);
        assert_eq!(of(&night, 1.31).cause(), Some(DarkCause::NearBlack));
        assert_eq!(of(&night, 2.1).cause(), None);
        // Black with a lit tenth is a low key on lustre, and too much for uncoated paper.
        assert_eq!(of(&[(8, 90), (180, 10)], 2.1).cause(), None);
        assert_eq!(of(&[(8, 90), (180, 10)], 1.31).cause(), Some(DarkCause::NearBlack));
    }

    #[test]
    fn where_nothing_is_lit_it_is_dark_on_any_paper() {
        // Two stops under: a light tone of L* 93 becomes code 127, L* 53.2; the midtone of L* 50 is code 60.
        let under = [(60, 60), (127, 40)];
        assert_eq!(of(&under, 2.1).cause(), Some(DarkCause::Unlit));
        assert_eq!(of(&[(60, 60), (134, 40)], 2.1).cause(), None);
        // Fog has no highlights, and is not dark.
        assert_eq!(of(&[(110, 60), (127, 40)], 2.1).cause(), None);
    }

    #[test]
    fn the_lift_that_is_advised_cures() {
        for dmax in [1.31, 1.65, 1.9, 2.1] {
            let black = PaperBlack::of_density(dmax, 95.0);
            for tones in [[(8, 90), (40, 10)], [(30, 90), (200, 10)], [(60, 60), (127, 40)], [(2, 50), (90, 50)]] {
                let dark = of(&tones, dmax);
                if dark.cause().is_none() {
                    continue;
                }
                let stops = dark.stops(black);
                let lifted = |l: f64| lightness((light(l) * stops.exp2()).min(1.0));
                let median_l = lifted(dark.median_l);
                let after = Darkness {
                    median_l,
                    lightest_l: lifted(dark.lightest_l),
                    above_black: black.printed(median_l) - black.lightness(),
                    ..dark
                };
                assert_eq!(after.cause(), None, "D {dmax}, {tones:?}, {stops} stops: {after:?}");
            }
        }
    }

    #[test]
    fn a_box_is_asked_for_itself() {
        let mut evidence = Evidence::nothing("sha");
        evidence.tone = Some(tone(&[]));
        evidence.field_tones = Grid::filled(10, 10, FieldTone { mean: 10, ..FieldTone::default() });
        evidence.field_tones.fields[44].mean = 150;
        let black = PaperBlack::of_density(1.31, 95.0);
        let of = |area: [f64; 4]| {
            let area = Area::new(area[0], area[1], area[2], area[3]).unwrap();
            Darkness::of(&evidence, Some(area), black).unwrap().cause()
        };
        assert_eq!(of([0.4, 0.4, 0.5, 0.5]), None);
        assert_eq!(of([0.0, 0.0, 0.5, 0.5]), Some(DarkCause::NearBlack));
    }
}
