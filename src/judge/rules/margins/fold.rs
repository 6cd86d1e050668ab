//! margins.fold: the subject across a fold or in the gutter.

use crate::brief::requirements::Level;
use crate::judge::metrics::cut_lines::CutLines;
use crate::judge::metrics::strips::{area, within};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::margins::subject_intrusion::{AT_HAND, CONFIRM, SAME};
use crate::judge::rules::phrases;
use crate::judge::subject::{BoxOrigin, Subject};
use crate::units::{Length, Share, show};

/// Ratio of importance to area in a fold's strip above which the map gives a note. Source: ours.
const DENSER: f64 = 2.0;

pub static RULE: Rule = Rule {
    id: "margins.fold",
    group: RuleGroup::Margins,
    title: "Subject across the fold",
    question: "Is the subject clear of every fold?",
    level: Level::Should,
    why: "a fold swallows millimetres, and its two sides never meet exactly: rims and faces break",
    page: "Folds are measured from the left of the finished size, and the gutter is lost on each side of a fold. A \
           subject's box that enters this strip is a should; by less than 0.4 % of the width, or with a box drawn on \
           an earlier export, a note. Without a box the map of what draws the eye is compared with the strip (at least \
           1 % of the width): over twice the strip's share of the area is a note.",
    fix: "Crop again so that the subject lies beside the fold, or extend the background so that it has one page \
          or panel to itself.",
    misses: "The map knows no faces, hands or words, so without a subject's box it only notes, and a plain table or \
             cloth across the fold may be reported too.",
    keys: &["margins.folds", "margins.gutter"],
    source: "common practice; nothing published",
    samples: RuleExamples {
        passes: "a spread with the dish on the right page",
        fails: "a spread whose bowl sits on the spine",
    },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    if case.placement.folds.is_empty() {
        return RuleOutcome::NotRequired;
    }
    let Some(lines) = CutLines::centred(case.placement) else {
        return RuleOutcome::NotChecked("the picture has no pixels".to_owned());
    };
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    if let Some(subject) = case.subject {
        let across = lines.folds.iter().enumerate();
        return RuleOutcome::of(across.filter_map(|(at, strip)| by_box(case, &lines, subject, at, *strip)).collect());
    }
    let map = &evidence.appearance.importance;
    let strips = lines.folds.iter().enumerate().map(|(at, fold)| (at, widen(*fold)));
    let dense = strips.filter_map(|(at, (left, right))| {
        let strip = [left, lines.window[1], right, lines.window[3]];
        let (weight, size) = (within(map, strip), area(strip));
        (weight > DENSER * size).then(|| by_map(at, weight, size))
    });
    RuleOutcome::of(dense.collect())
}

/// Widens a fold without a gutter by half a per cent each side, as it still has some width.
fn widen((left, right): (f64, f64)) -> (f64, f64) {
    const MIN_SHARE: f64 = 0.005;
    let middle = (left + right) / 2.0;
    (left.min(middle - MIN_SHARE), right.max(middle + MIN_SHARE))
}

fn by_box(case: &Case, lines: &CutLines, subject: Subject, at: usize, (left, right): (f64, f64)) -> Option<Breach> {
    let area = subject.area;
    // The shorter way out: to the left or to the right of the strip.
    let (to_left, to_right) = (area.right - left, right - area.left);
    if to_left <= 0.0 || to_right <= 0.0 {
        return None;
    }
    let (shift, side) = if to_left < to_right { (to_left, "left") } else { (to_right, "right") };
    let only_note = subject.origin == BoxOrigin::Doubtful || shift < AT_HAND;
    let unit = case.print.requirements.margins.unit;
    let shown = show::length_no_less(case.placement.length_on_paper(shift, true), unit);
    let from_left = show::length(case.print.requirements.margins.folds.get(at).copied().unwrap_or_default(), unit);
    let room = if side == "left" { area.left - lines.safe[0] } else { lines.safe[2] - area.right };
    let gutter = case.placement.gutter;
    let limit = if gutter > Length::ZERO {
        let clear = format!("at least {} clear of the fold", show::length(gutter, unit));
        format!("; {}", phrases::limit_words(case.print, "margins.gutter", &clear))
    } else {
        String::new()
    };
    let middle = (left + right) / 2.0;
    let crosses = area.left < middle - SAME && area.right > middle + SAME;
    let found = if crosses {
        format!("the fold at {from_left} runs through the subject{limit}")
    } else {
        format!("the subject reaches {shown} into the gutter at {from_left}{limit}")
    };
    let confirm = if subject.origin == BoxOrigin::Doubtful { format!("{CONFIRM}\n") } else { String::new() };
    let crop = if room >= shift {
        format!("crop the original again so that the subject sits {shown} further {side}")
    } else {
        "crop the original wider so that the subject fits beside the fold".to_owned()
    };
    let part = if case.print.page.is_some() { "page" } else { "panel" };
    Some(Breach {
        // What may lie in the gutter was not accepted for the fold itself.
        about: format!("{} {}", if crosses { "fold" } else { "gutter" }, at + 1),
        at_most: only_note.then_some(Level::Note),
        numbers: Some((shift, 0.0)),
        short: "across the fold".to_owned(),
        found,
        fix: format!(
            "{confirm}{crop}\nor extend the background across the fold so that the subject has one {part} to itself"
        ),
        ..Breach::default()
    })
}

fn by_map(at: usize, weight: f64, size: f64) -> Breach {
    let (shown, limit_shown) = show::shares_apart(Share::measured(weight), Share::measured(DENSER * size));
    Breach {
        about: format!("fold {}", at + 1),
        at_most: Some(Level::Note),
        numbers: Some((weight, size)),
        short: "busy at fold".to_owned(),
        found: format!("{shown} of what draws the eye lies in the fold; usual: at most {limit_shown}"),
        fix: "look at the fold in the view of the cut lines, and draw the subject's box\nor accept it if nothing that \
              matters lies there"
            .to_owned(),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;

    const SPREAD: &str = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\nfolds = [\"210 \
                          mm\"]\ngutter = \"10 mm\"\n[[print]]\nsize = \"420 x 260 mm\"";

    fn boxed(left: f64, right: f64) -> RuleOutcome {
        RuleBench::new(SPREAD).with_px(4260, 2660).subject(left, 0.2, right, 0.8).ask(check)
    }

    #[test]
    fn a_box_beside_the_gutter_passes_and_one_in_it_does_not() {
        // The strip is 203 to 223 mm of 426: 0.4765 to 0.5235.
        assert_eq!(boxed(0.53, 0.9), RuleOutcome::Passed);
        assert_eq!(boxed(0.1, 0.476), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = boxed(0.5, 0.8) else { panic!("it lies in the gutter") };
        assert_eq!(
            breaches[0].found,
            "the subject reaches 10 mm into the gutter at 210 mm; at least 10 mm clear of the fold required"
        );
        assert!(breaches[0].fix.starts_with("crop the original again so that the subject sits 10 mm further right\n"));
        assert!(breaches[0].fix.ends_with("so that the subject has one panel to itself"), "{}", breaches[0].fix);
        assert_eq!((breaches[0].at_most, breaches[0].about.as_str()), (None, "gutter 1"));
        assert!(
            breaches[0].numbers.is_some_and(|(reach, _)| (reach - 0.0235).abs() < 1e-3),
            "{:?}",
            breaches[0].numbers
        );
        let RuleOutcome::Failed(breaches) = boxed(0.4, 0.8) else { panic!("it lies across the fold") };
        assert_eq!(
            breaches[0].found,
            "the fold at 210 mm runs through the subject; at least 10 mm clear of the fold required"
        );
        assert_eq!(breaches[0].about, "fold 1", "what was accepted of the gutter is not accepted of the fold");
    }

    #[test]
    fn without_folds_nothing_is_required() {
        assert_eq!(RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotRequired);
    }

    #[test]
    fn the_map_notes_a_dense_fold() {
        let mapped = |weight: f32| {
            RuleBench::new(SPREAD)
                .with_px(4260, 2660)
                .evidence(|e| {
                    let mut map = crate::measure::Grid::filled(101, 1, (1.0 - weight) / 100.0);
                    map.fields[50] = weight;
                    e.appearance.importance = map;
                })
                .ask(check)
        };
        assert_eq!(mapped(0.02), RuleOutcome::Passed);
        assert!(matches!(mapped(0.3), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
    }
}
