//! margins.trim: the subject in the strip that cutting may take.

use crate::brief::requirements::{Edge, Level};
use crate::judge::metrics::strips;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::margins::safe;
use crate::judge::rules::margins::subject_intrusion::{EdgeStrip, SIDES, ask_box, ask_map};
use crate::judge::rules::phrases::join_with_and;
use crate::measure::Evidence;
use crate::units::{Length, Share, show};

/// Share of a side with a contour along it that deserves a note. Source: ours: one photograph of ten has such a side.
const ALONG: f64 = 0.5;
/// Depth at which contours are sought, as a share of a side: a crop this deep takes the contour with it. Source: as
/// `measure/appearance/contours.rs`.
const EDGE_DEPTH: f64 = 0.02;

pub static RULE: Rule = Rule {
    id: "margins.trim",
    group: RuleGroup::Margins,
    title: "Subject may be cut",
    question: "Is the subject clear of the strip that the cut may take?",
    level: Level::Should,
    why: "cutting is never exact: this strip is lost on some copies",
    page: "What the cut may take is the bleed and the cut's tolerance; on a lab's borderless print, 1/8 in or 1 % of \
           the side, whichever is more; under a frame's lip or round a bar, what is covered. A subject's box is \
           compared exactly: a should, or a note where it reaches in by less than 0.4 % of the side, or was drawn on \
           an earlier export. Without a box the map of what draws the eye is compared with the strip: over 1.5 times \
           its share of the area is a note. So is a strong line along more than half of an edge.",
    fix: "Crop again so that the subject keeps clear of the edge, or order the print with a white border. Draw the \
          subject's box where there is none.",
    misses: "The map knows no faces, hands or words, so without a subject's box it only notes. How exactly this \
             printer cuts is known only as far as the brief says it.",
    keys: &["margins.edge", "margins.bleed", "margins.cut_tolerance", "margins.rebate", "margins.wrap"],
    source: "up to 1/8 in on full bleed: printers' guides agree; the map: ours",
    samples: RuleExamples {
        passes: "the dish ends 12 mm inside the page",
        fails: "the rim of the bowl reaches 2 mm into the strip at the right",
    },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[&safe::RULE],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    if case.placement.cut_away.is_zero() {
        return RuleOutcome::NotRequired;
    }
    let strip = strip(case);
    let outcome = match case.subject {
        Some(subject) => ask_box(case, subject, &strip),
        None => ask_map(case, &strip, strips::strips),
    };
    let Some(evidence) = case.evidence else { return outcome };
    let along = along_edges(case, evidence);
    match outcome {
        RuleOutcome::Failed(breaches) => RuleOutcome::Failed(breaches.into_iter().chain(along).collect()),
        RuleOutcome::Passed => RuleOutcome::of(along),
        other => other,
    }
}

/// Returns the strip with its name, which depends on what takes it.
fn strip(case: &Case) -> EdgeStrip {
    let margins = &case.print.requirements.margins;
    let (name, short, keys): (_, _, &[&str]) = match margins.edge {
        _ if margins.rebate > Length::ZERO => ("the strip under the frame's lip", "under lip", &["margins.rebate"]),
        Edge::Wrap if margins.goes_round() => ("the part that goes round the bar", "round bar", &["margins.wrap"]),
        Edge::Wrap => ("the strip at the edge of the bar", "at the bar", &[]),
        Edge::Borderless => ("the strip that a borderless print may lose", "may be cut", &[]),
        Edge::Bleed | Edge::Border if case.placement.bleed().is_zero() => {
            ("the strip that the cut may take", "may be cut", &["margins.cut_tolerance"])
        }
        Edge::Bleed | Edge::Border => {
            ("the strip that the cut may take", "may be cut", &["margins.bleed", "margins.cut_tolerance"])
        }
    };
    EdgeStrip { name, inner: |lines| lines.trim, short, keys, is_from_trim: false }
}

/// Returns contours along an edge that no crop takes away; a painted border has a rule of its own.
fn along_edges(case: &Case, evidence: &Evidence) -> Vec<Breach> {
    let Some(fit) = &case.placement.fit else { return Vec::new() };
    let appearance = &evidence.appearance;
    let sides = (0..SIDES.len()).filter(|side| {
        let stays = fit.lost_sides[*side].as_f64() < EDGE_DEPTH;
        stays && appearance.border[*side].is_none() && f64::from(appearance.contour_at_side[*side]) > ALONG
    });
    let along: Vec<(&str, f64)> =
        sides.map(|side| (SIDES[side], f64::from(appearance.contour_at_side[side]))).collect();
    if along.is_empty() { Vec::new() } else { vec![lines(&along)] }
}

fn lines(along: &[(&str, f64)]) -> Breach {
    let names: Vec<&str> = along.iter().map(|(side, _)| *side).collect();
    let limit = Share::measured(ALONG);
    let shown = |share: f64| show::shares_apart(Share::measured(share), limit).0;
    let shares: Vec<String> = along.iter().map(|(side, share)| format!("{} of the {side}", shown(*share))).collect();
    let run = if along.len() == 1 { "a strong line runs" } else { "strong lines run" };
    Breach {
        about: format!("line {}", names.join(" ")),
        at_most: Some(Level::Note),
        numbers: Some((along.iter().map(|(_, share)| *share).fold(0.0, f64::max), ALONG)),
        short: match names[..] {
            [one] => format!("line at {one}"),
            _ => format!("lines at {} edges", names.len()),
        },
        found: format!(
            "{run} along {} edge, close to it; usual: at most {}",
            join_with_and(&shares),
            show::share(limit)
        ),
        fix: "crop again so that the line lies well inside the picture, or outside it\nor accept it if a stripe along \
              the edge does not matter"
            .to_owned(),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, abouts};

    /// 200 x 250 mm with 3 mm bleed and 1.6 mm tolerance: 4.6 mm of 206 are 2.233 %.
    const PAGE: &str = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\nsafe = \"5 mm\"\n\
                        cut_tolerance = \"1.6 mm\"\n[[print]]\nsize = \"200 x 250 mm\"";

    fn boxed(left: f64, right: f64) -> RuleOutcome {
        RuleBench::new(PAGE).with_px(2060, 2560).subject(left, 0.3, right, 0.7).ask(check)
    }

    #[test]
    fn the_box_is_compared_exactly_and_the_side_named() {
        assert_eq!(boxed(0.0224, 0.9), RuleOutcome::Passed);
        // Within the accuracy of a hand-drawn box it is only a note.
        assert!(matches!(boxed(0.0200, 0.9), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
        let RuleOutcome::Failed(breaches) = boxed(0.3, 0.99) else { panic!("it reaches in at the right") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("right", None));
        assert_eq!(
            breaches[0].found,
            "at the right, the subject reaches 2.5 mm into the strip that the cut may take; at least 4.6 mm from the \
             edge of the bleed required"
        );
        // Arithmetic: 8 mm must stay clear, 2.06 mm are: 5.94 mm of 206, 59.4 of 2060 px.
        assert!(
            breaches[0].fix.starts_with(
                "crop the original again so that the subject sits 6 mm further left, clear of the safe margin\n"
            ),
            "{}",
            breaches[0].fix
        );
        let extended = "or extend the background by 60 px at the right and crop 60 px off the left";
        assert!(breaches[0].fix.contains(extended), "{}", breaches[0].fix);
        assert_eq!(abouts(&boxed(0.001, 0.999)), ["right", "left"]);
    }

    #[test]
    fn a_line_along_an_edge_is_a_note_unless_it_is_a_border() {
        let along = |share: f32| {
            RuleBench::new(PAGE).with_px(2060, 2560).evidence(|e| e.appearance.contour_at_side = [0.0, 0.0, share, 0.0])
        };
        assert_eq!(along(0.5).ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&along(0.51).ask(check)), ["line bottom"]);
        let RuleOutcome::Failed(all) = along(0.9).evidence(|e| e.appearance.contour_at_side[1] = 0.6).ask(check) else {
            panic!("two lines")
        };
        assert_eq!(
            (all.len(), all[0].about.as_str(), all[0].short.as_str()),
            (1, "line right bottom", "lines at 2 edges")
        );
        let both =
            "strong lines run along 60 % of the right and 90 % of the bottom edge, close to it; usual: at most 50 %";
        assert!(all[0].found.starts_with(both), "{}", all[0].found);
        let border = Some(crate::measure::evidence::Border { from: 0.0, to: 0.02 });
        assert_eq!(along(0.9).evidence(|e| e.appearance.border[2] = border).ask(check), RuleOutcome::Passed);
        // A 2:3 picture for this page loses more than two hundredths at top and bottom.
        assert_eq!(along(0.9).with_px(2060, 3090).ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&along(0.9).subject(0.3, 0.3, 0.99, 0.7).ask(check)), ["right", "line bottom"]);
    }

    #[test]
    fn without_a_cut_nothing_is_required() {
        let border = "[margins]\nedge = \"border\"\nborder = \"1 in\"\n[[print]]\nsize = \"8 x 10 in\"";
        assert_eq!(RuleBench::new(border).subject(0.0, 0.0, 1.0, 1.0).ask(check), RuleOutcome::NotRequired);
    }

    #[test]
    fn the_map_only_notes_and_only_where_the_strip_is_denser_than_its_area() {
        let mapped = |weight: f32| {
            RuleBench::new(PAGE).with_px(2060, 2560).evidence(|e| {
                let mut map = crate::measure::Grid::filled(100, 100, (1.0 - weight) / 9_800.0);
                for y in 0..100 {
                    map.fields[y * 100 + 98..y * 100 + 100].fill(weight / 200.0);
                }
                e.appearance.importance = map;
            })
        };
        assert_eq!(mapped(0.015).ask(check), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = mapped(0.06).ask(check) else { panic!("worth a look") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("right", Some(Level::Note)));
    }
}
