//! detail.focus: sharpness of the sharpest part at the printed size.

use crate::brief::requirements::Level;
use crate::judge::metrics::detail::{distance_factor, mm};
use crate::judge::metrics::whereabouts;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::risk::Risk;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::seen_from;
use crate::judge::subject::{Area, BoxOrigin};
use crate::measure::evidence::{Crossed, Focus, Tone};
use crate::units::show;

/// Blur disc on paper above which even the sharpest part looks soft in the hand, mm. Source: nearly twice the classic
/// tolerance of 0.2 mm for a print in the hand (the circle of confusion of depth-of-field tables; from memory).
const SOFT_DISC_MM: f64 = 0.38;
/// Blur disc that deserves a note, mm. Source: ours.
const NOTE_DISC_MM: f64 = 0.33;
/// Width from 10 to 90 % of an edge blurred by a disc, in diameters of the disc. Source: arithmetic: the share below x
/// radii is 1/2 + (x sqrt(1 - x^2) + asin x) / pi, 0.9 at x = 0.687.
const WIDTH_OF_DISC: f64 = 0.687;
/// Edge width in pixels also required: density rules deal with a sharp file that the print enlarges. Source: ours.
const SOFT_PX: f64 = 3.0;
/// The same for a note. Source: ours.
const NOTE_PX: f64 = 2.6;
/// Motion on paper above which edges look smeared, mm. Source: ours: a quarter more than the same tolerance, since the
/// eye has sharp edges beside the smeared ones.
const MOTION_MM: f64 = 0.25;
/// Width of smeared edges also required, in pixels. Source: ours.
const MOTION_PX: f64 = 2.6;
/// Width from 10 to 90 % of an evenly smeared edge, as a share of the movement. Source: arithmetic.
const WIDTH_OF_MOTION: f64 = 0.8;
/// Ratio of edge widths in crossed directions from which motion smeared them. Source: ours, from photographs still and
/// moved by 5, 9 and 15 px.
const MOTION_RATIO: f64 = 1.5;
/// The ratio within the sharpest fields: forms soft in one direction and sharp in the other may be in different places.
const MOTION_RATIO_THERE: f64 = 1.4;
/// Ratio of the subject's edge width to the sharpest part's from which the focus is elsewhere. Source: ours.
const BESIDE: f64 = 1.5;
/// Range of codes below which only wide edges rise far enough to be measured. Source: ours: twice the least rise.
const MIN_RANGE: usize = 64;
/// Ratio to the sharpest field's edge width within which fields are in focus.
const SHARP: f32 = 1.25;

pub static RULE: Rule = Rule {
    id: "detail.focus",
    group: RuleGroup::Detail,
    title: "Too soft in print",
    question: "Is the sharpest part sharp at the printed size, and is it the subject?",
    level: Level::Should,
    why: "focus that looks slightly off on screen is obvious in print",
    page: "The width of edges, from 10 to 90 % of their rise, is measured in sixteen fields along the longer side. The \
           sharpest twentieth of the fields counts, since a shallow depth of field is normal. Edges wider than 0.26 mm \
           on paper and 3 pixels, as a blur disc of 0.38 mm makes them, are a should; those of a disc of 0.33 mm are a \
           note. Both limits grow with the viewing distance beyond 30 cm. The same is measured in four directions: \
           edges at least 1.5 times as wide one way as across it, in the sharpest fields too, are blurred by motion, \
           and more than 0.25 mm of it on paper is a should. In a subject's box the sharpest field counts: edges over \
           1.5 times as wide as the sharpest of the picture, and over the same limits, mean that the focus lies beside \
           the subject.",
    fix: "Choose a sharper frame, or a smaller print. Do not rely on sharpening: it cannot bring back missed focus.",
    misses: "It cannot tell missed focus from softness that is meant. With too few edges, edges in one direction only, \
             or too little contrast, such as fog, there is no answer.",
    keys: &["density.distance", "print.size"],
    source: "nearly twice the classic 0.2 mm circle of confusion of a print at arm's length, and a quarter more for \
             motion (not checked against the text); a step blurred by s has a width of 2.563 s",
    samples: RuleExamples {
        passes: "edges of 1.8 px, 0.15 mm on paper",
        fails: "edges of 6.8 px, 0.58 mm on paper, at their sharpest",
    },
    unit: "mm",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { wants_test_print: true, risk: Some(Risk::Edges), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

/// How soft edges print.
#[derive(Clone, Copy, PartialEq)]
enum Softness {
    /// A little soft, or doubtful: a note.
    Slight,
    /// Too soft.
    Full,
}

impl Softness {
    /// Returns the cap on the finding's level.
    fn at_most(self) -> Option<Level> {
        (self == Softness::Slight).then_some(Level::Note)
    }

    /// Returns the largest edge width in the hand, in mm.
    fn limit_mm(self) -> f64 {
        WIDTH_OF_DISC * if self == Softness::Slight { NOTE_DISC_MM } else { SOFT_DISC_MM }
    }
}

fn check(case: &Case) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let (Some(focus), Some(ppi)) = (&evidence.detail.focus, case.metrics.effective_ppi) else {
        return RuleOutcome::NotChecked("too few edges to measure its sharpness".to_owned());
    };
    if evidence.tone.as_ref().is_some_and(|tone| tone_range(tone) < MIN_RANGE) {
        return RuleOutcome::NotChecked("too little contrast to measure its sharpness".to_owned());
    }
    // Motion softens edges too: one cause, one finding.
    let moved = motion_breach(case, focus, ppi);
    let mut breaches: Vec<Breach> = match moved {
        Some(moved) => vec![moved],
        None => {
            let softness = softness(case, focus.sharp_px, ppi);
            softness.map(|softness| soft_breach(case, focus, ppi, softness)).into_iter().collect()
        }
    };
    if let Some(subject) = case.subject {
        match sharpest_in(focus, subject.area) {
            None if breaches.is_empty() => {
                return RuleOutcome::NotChecked("too few edges on the subject to measure its sharpness".to_owned());
            }
            Some(there) if there > BESIDE * focus.sharp_px => {
                breaches.extend(softness(case, there, ppi).map(|softness| {
                    let is_doubtful = subject.origin == BoxOrigin::Doubtful;
                    let softness = if is_doubtful { Softness::Slight } else { softness };
                    focus_beside_breach(focus, there, ppi, softness)
                }));
            }
            _ => {}
        }
    }
    RuleOutcome::of(breaches)
}

/// Returns the codes between the darkest and the lightest hundredth of the picture.
fn tone_range(tone: &Tone) -> usize {
    let all: u64 = tone.luma.iter().map(|count| u64::from(*count)).sum();
    let below = |hundredths: u64| {
        let mut sum = 0;
        tone.luma.iter().position(|count| {
            sum += u64::from(*count);
            sum * 100 > all * hundredths
        })
    };
    below(99).zip(below(1)).map_or(0, |(high, low)| high - low)
}

/// Returns how soft edges of this width print; `None` if they are sharp.
fn softness(case: &Case, edge_px: f64, ppi: f64) -> Option<Softness> {
    let is_wider = |limit: f64| thousandths(mm(edge_px, ppi)) > thousandths(limit_mm(case, limit));
    if is_wider(Softness::Full.limit_mm()) && edge_px > SOFT_PX {
        Some(Softness::Full)
    } else if is_wider(Softness::Slight.limit_mm()) && edge_px > NOTE_PX {
        Some(Softness::Slight)
    } else {
        None
    }
}

/// Returns a width in whole thousandths of a millimetre: nothing finer can be measured.
fn thousandths(mm: f64) -> f64 {
    (mm * 1000.0).round()
}

/// Adapts a limit in the hand to the print's viewing distance.
fn limit_mm(case: &Case, in_the_hand_mm: f64) -> f64 {
    in_the_hand_mm * distance_factor(case.print.requirements.density.distance)
}

/// Returns the motion along one direction, where edges are smeared along it and sharp across it.
fn motion_breach(case: &Case, focus: &Focus, ppi: f64) -> Option<Breach> {
    let ways = [
        (focus.straight, "horizontal"),
        (focus.straight.map(Crossed::swapped), "vertical"),
        (focus.diagonal, "falling diagonal"),
        (focus.diagonal.map(Crossed::swapped), "rising diagonal"),
    ];
    let smeared = ways.into_iter().filter_map(|(crossed, way)| Some((crossed?, way))).filter(|(crossed, _)| {
        crossed.one_px >= MOTION_RATIO * crossed.other_px && crossed.ratio >= MOTION_RATIO_THERE
    });
    let (crossed, way) = smeared.max_by(|one, other| one.0.one_px.total_cmp(&other.0.one_px))?;
    // The blur of lens and pixels without motion adds by squares.
    let moved_px = (crossed.one_px.powi(2) - crossed.other_px.powi(2)).sqrt() / WIDTH_OF_MOTION;
    let limit = limit_mm(case, MOTION_MM);
    if mm(moved_px, ppi) <= limit || crossed.one_px <= MOTION_PX {
        return None;
    }
    let (moved, limit_shown) = show::hundredths_mm_apart(mm(moved_px, ppi), limit);
    Some(Breach {
        about: "motion".to_owned(),
        numbers: Some((mm(moved_px, ppi), limit)),
        short: "motion blur".to_owned(),
        found: format!(
            "motion blur of {moved} on paper ({moved_px:.1} px) along the {way}; usual: at most {limit_shown}, seen {}",
            seen_from(case.print)
        ),
        fix: "choose a frame without motion blur\nor order a smaller print\nor accept it if the movement is meant"
            .to_owned(),
        ..Breach::default()
    })
}

fn soft_breach(case: &Case, focus: &Focus, ppi: f64, softness: Softness) -> Breach {
    let place = whereabouts::words(sharp_fields(focus), case.subject.map(|subject| subject.area));
    let place = if place.is_empty() { String::new() } else { format!(" ({place})") };
    let limit = limit_mm(case, softness.limit_mm());
    let (edge, limit_shown) = show::hundredths_mm_apart(mm(focus.sharp_px, ppi), limit);
    Breach {
        at_most: softness.at_most(),
        numbers: Some((mm(focus.sharp_px, ppi), limit)),
        short: if softness == Softness::Slight { "a little soft".to_owned() } else { "too soft".to_owned() },
        found: format!(
            "even the sharpest part{place} has edges of {edge} on paper ({:.1} px); usual: at most {limit_shown}, \
             seen {}",
            focus.sharp_px,
            seen_from(case.print)
        ),
        fix: "choose a frame that is sharper at 100 %\nor order a smaller print".to_owned(),
        ..Breach::default()
    }
}

fn focus_beside_breach(focus: &Focus, there: f64, ppi: f64, softness: Softness) -> Breach {
    Breach {
        about: "subject".to_owned(),
        at_most: softness.at_most(),
        numbers: Some((mm(there, ppi), mm(focus.sharp_px, ppi))),
        short: "subject soft".to_owned(),
        found: format!(
            "the subject's edges are {} wide on paper, those in focus {}, {}; usual: at most {BESIDE} times as wide",
            width_words(there, ppi),
            width_words(focus.sharp_px, ppi),
            whereabouts::words(sharp_fields(focus), None)
        ),
        fix: "choose a frame that is sharp on the subject at 100 %\nor order a smaller print".to_owned(),
        ..Breach::default()
    }
}

/// Returns the fields, each with 1 if it is as sharp as the sharpest, else 0.
fn sharp_fields(focus: &Focus) -> impl Iterator<Item = ([f64; 4], f64)> {
    let most = focus.sharp_px as f32 * SHARP;
    let is_sharp = move |width: &Option<f32>| f64::from(u8::from(width.is_some_and(|width| width <= most)));
    focus.fields.placed().map(move |(place, width)| (place, is_sharp(width)))
}

/// Returns the edge width of the sharpest field of a box. Fields count that overlap the box by a quarter of the field,
/// or of the box.
fn sharpest_in(focus: &Focus, area: Area) -> Option<f64> {
    const QUARTER: f64 = 0.25;
    let inside = focus.fields.placed().filter(|([left, top, right, bottom], _)| {
        let of_box = area.share_within([*left, *top, *right, *bottom]);
        let field = Area { left: *left, top: *top, right: *right, bottom: *bottom };
        of_box >= QUARTER || field.share_within(area.sides()) >= QUARTER
    });
    inside.filter_map(|(_, width)| width.map(f64::from)).min_by(f64::total_cmp)
}

/// Returns a width in pixels as a length on paper: `0.15 mm`.
fn width_words(px: f64, ppi: f64) -> String {
    show::hundredths_mm(mm(px, ppi))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, abouts, tone};
    use crate::measure::Grid;

    fn edges(brief: &str, sharp_px: f64, fields: Grid<Option<f32>>) -> RuleBench {
        let focus = Focus { sharp_px, overall_px: sharp_px + 3.0, fields, straight: None, diagonal: None };
        RuleBench::new(brief).evidence(|e| e.detail.focus = Some(focus))
    }

    /// 300 ppi: a disc of 0.38 mm makes edges of 0.2611 mm, 3.083 px; of 0.33 mm 2.678 px (arithmetic).
    fn at(sharp_px: f64) -> RuleOutcome {
        edges("[[print]]\nsize = \"8 x 10 in\"", sharp_px, Grid::default()).ask(check)
    }

    #[test]
    fn both_the_paper_and_the_pixels_must_say_soft() {
        assert_eq!(at(2.67), RuleOutcome::Passed);
        // 0.227 mm on paper, as the limit of 0.2267 mm is.
        assert_eq!(at(2.681), RuleOutcome::Passed);
        assert!(matches!(at(2.69), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
        assert!(matches!(at(3.08), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
        assert!(matches!(at(3.09), RuleOutcome::Failed(b) if b[0].at_most.is_none()));
        // A sharp file that the print enlarges: 100 ppi.
        let large = edges("[[print]]\nsize = \"24 x 30 in\"", 2.6, Grid::default());
        assert_eq!(large.ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn a_print_seen_from_afar_may_be_softer() {
        let afar = "[density]\ndistance = \"90 cm\"\n[[print]]\nsize = \"8 x 10 in\"";
        assert_eq!(edges(afar, 8.0, Grid::default()).ask(check), RuleOutcome::Passed);
        // Arithmetic: three times as far, three times 0.261 mm; 10 px at 300 ppi are 0.85 mm.
        let RuleOutcome::Failed(breaches) = edges(afar, 10.0, Grid::default()).ask(check) else {
            panic!("too soft even so")
        };
        assert!(
            breaches[0]
                .found
                .ends_with("has edges of 0.85 mm on paper (10.0 px); usual: at most 0.78 mm, seen from 90 cm"),
            "{breaches:?}"
        );
    }

    #[test]
    fn focus_beside_the_subject_is_said_with_its_place() {
        let mut fields = Grid::filled(16, 20, Some(6.0));
        fields.fields[0] = Some(1.8);
        let bench = edges("[[print]]\nsize = \"8 x 10 in\"", 1.8, fields);
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = bench.subject(0.3, 0.3, 0.7, 0.7).ask(check) else {
            panic!("it lies beside")
        };
        assert_eq!(breaches[0].about, "subject");
        assert_eq!(
            breaches[0].found,
            "the subject's edges are 0.51 mm wide on paper, those in focus 0.15 mm, in the upper left corner; usual: \
             at most 1.5 times as wide"
        );
    }

    #[test]
    fn a_box_smaller_than_a_field_counts_too_and_softness_does_not_hide_it() {
        let mut fields = Grid::filled(16, 20, Some(9.0));
        fields.fields[0] = Some(4.6);
        // The box covers parts of four fields, but the middle of none.
        let bench = edges("[[print]]\nsize = \"8 x 10 in\"", 4.6, fields).subject(0.49, 0.49, 0.51, 0.51);
        assert_eq!(abouts(&bench.ask(check)), ["", "subject"]);
    }

    fn directed(straight: Option<Crossed>, diagonal: Option<Crossed>) -> RuleOutcome {
        let focus = Focus { sharp_px: 2.5, overall_px: 6.0, fields: Grid::default(), straight, diagonal };
        RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").evidence(|e| e.detail.focus = Some(focus)).ask(check)
    }

    #[test]
    fn motion_is_said_with_its_direction_and_its_way() {
        let smeared = Crossed { one_px: 7.4, other_px: 1.7, ratio: 4.0 };
        let RuleOutcome::Failed(breaches) = directed(Some(smeared), None) else { panic!("it is smeared") };
        assert_eq!((breaches.len(), breaches[0].about.as_str(), breaches[0].at_most), (1, "motion", None));
        // Arithmetic: the root of 7.4^2 - 1.7^2, over 0.8, is 9.0 px, 0.76 mm at 300 ppi.
        assert_eq!(
            breaches[0].found,
            "motion blur of 0.76 mm on paper (9.0 px) along the horizontal; usual: at most 0.25 mm, seen at arm's \
             length"
        );
        let words = |outcome: RuleOutcome| match outcome {
            RuleOutcome::Failed(breaches) => breaches[0].found.clone(),
            other => panic!("{other:?}"),
        };
        assert!(words(directed(Some(smeared.swapped()), None)).contains("along the vertical"));
        assert!(words(directed(None, Some(smeared))).contains("along the falling diagonal"));
        assert!(words(directed(None, Some(smeared.swapped()))).contains("along the rising diagonal"));
    }

    #[test]
    fn edges_that_are_soft_one_way_elsewhere_are_no_motion() {
        assert_eq!(directed(Some(Crossed { one_px: 4.5, other_px: 2.4, ratio: 1.0 }), None), RuleOutcome::Passed);
        assert_eq!(directed(Some(Crossed { one_px: 3.0, other_px: 2.4, ratio: 2.0 }), None), RuleOutcome::Passed);
        assert_eq!(directed(Some(Crossed { one_px: 2.5, other_px: 0.8, ratio: 3.0 }), None), RuleOutcome::Passed);
    }

    #[test]
    fn a_picture_of_little_contrast_has_no_answer() {
        let with_range = |range: usize| {
            let mut found = tone(&[]);
            found.luma.fill(0);
            (found.luma[20], found.luma[20 + range]) = (50, 50);
            let soft = edges("[[print]]\nsize = \"8 x 10 in\"", 9.0, Grid::default());
            soft.evidence(|e| e.tone = Some(found)).ask(check)
        };
        assert!(matches!(with_range(64), RuleOutcome::Failed(_)));
        assert!(matches!(with_range(63), RuleOutcome::NotChecked(_)));
    }

    #[test]
    fn without_edges_there_is_no_answer() {
        assert!(matches!(RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotChecked(_)));
    }
}
