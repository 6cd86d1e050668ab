//! margins.fold: the subject across a fold or in the gutter.

use crate::brief::requirements::Level;
use crate::judge::metrics::cut_lines::CutLines;
use crate::judge::metrics::strips::{area, within};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::margins::subject_intrusion::{AT_HAND, length_of};
use crate::judge::subject::{BoxOrigin, Subject};
use crate::units::{Share, show};

/// Ratio of importance to area in a fold's strip above which the map gives a note. Source: ours.
const DENSER: f64 = 2.0;

pub static RULE: Rule = Rule {
    id: "margins.fold",
    group: RuleGroup::Margins,
    title: "",
    question: "Does no fold run through the subject?",
    level: Level::Should,
    why: "a fold swallows millimetres and never meets exactly: a rim or a face across it comes out broken",
    page: "Folds are measured from the left of the finished size, the gutter is lost on each side of a fold. A drawn \
           box that enters this strip is a should (less than 0.4 % of the width, or an uncertain box, a note); \
           without a box the map of what draws the eye only notes. A plain table or cloth may run across.",
    fix: "",
    misses: "",
    keys: &["margins.folds", "margins.gutter"],
    source: "common practice, no source",
    samples: RuleExamples {
        holds: "a spread with the dish on the right page",
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
    if let (Some(subject), Ok(_)) = (case.subject, case.evidence()) {
        let across = lines.folds.iter().enumerate();
        return RuleOutcome::of(across.filter_map(|(at, strip)| by_box(case, &lines, subject, at, *strip)).collect());
    }
    match case.evidence() {
        Err(outcome) => outcome,
        Ok(evidence) => {
            let map = &evidence.look.importance;
            let strips = lines.folds.iter().enumerate().map(|(at, fold)| (at, widened(*fold)));
            let dense = strips.filter_map(|(at, (left, right))| {
                let strip = [left, lines.window[1], right, lines.window[3]];
                let (weight, size) = (within(map, strip), area(strip));
                (weight > DENSER * size).then(|| by_map(at, weight, size))
            });
            RuleOutcome::of(dense.collect())
        }
    }
}

/// Widens a fold without a gutter by half a per cent each side, as it still has some width.
fn widened((left, right): (f64, f64)) -> (f64, f64) {
    const LEAST: f64 = 0.005;
    let middle = (left + right) / 2.0;
    (left.min(middle - LEAST), right.max(middle + LEAST))
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
    let shown = show::length_no_less(length_of(case, shift, true), unit);
    let from_left = show::length(case.print.requirements.margins.folds.get(at).copied().unwrap_or_default(), unit);
    let room = if side == "left" { area.left - lines.safe[0] } else { lines.safe[2] - area.right };
    let room = if room >= shift { "there is room for it in this print" } else { "this print has no room for it" };
    Some(Breach {
        about: format!("fold {}", at + 1),
        at_most: only_note.then_some(Level::Note),
        short: "in the fold".to_owned(),
        found: format!("the fold at {from_left} runs through the subject"),
        fix: format!(
            "shift the picture so that the subject moves {shown} to the {side}; {room}; otherwise leave a whole page \
             to it and extend the background across the fold"
        ),
        ..Breach::default()
    })
}

fn by_map(at: usize, weight: f64, size: f64) -> Breach {
    let [weight_shown, size_shown] = [weight, size].map(|share| show::share(Share::measured(share)));
    Breach {
        about: format!("fold {}", at + 1),
        at_most: Some(Level::Note),
        numbers: Some((weight, size)),
        short: "in the fold?".to_owned(),
        found: format!(
            "{weight_shown} of what draws the eye lies in the fold's strip, which is {size_shown} of the picture"
        ),
        fix: "look at the fold in the view of the cut lines; draw the subject's box, and it is judged exactly"
            .to_owned(),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;

    const SPREAD: &str = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\nfolds = [\"210 \
                          mm\"]\ngutter = \"10 mm\"\n[[print]]\nsize = \"420 x 260 mm\"";

    fn boxed(left: f64, right: f64) -> RuleOutcome {
        Bench::new(SPREAD).px(4260, 2660).subject(left, 0.2, right, 0.8).ask(check)
    }

    #[test]
    fn a_box_beside_the_gutter_holds_and_one_in_it_does_not() {
        // The strip is 203 to 223 mm of 426: 0.4765 to 0.5235.
        assert_eq!(boxed(0.53, 0.9), RuleOutcome::Passed);
        assert_eq!(boxed(0.1, 0.476), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = boxed(0.5, 0.8) else { panic!("it lies in the gutter") };
        assert_eq!(breaches[0].found, "the fold at 210 mm runs through the subject");
        assert!(
            breaches[0]
                .fix
                .starts_with("shift the picture so that the subject moves 10 mm to the right; there is room")
        );
        assert_eq!(breaches[0].at_most, None);
    }

    #[test]
    fn without_folds_nothing_is_asked() {
        assert_eq!(Bench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotRequired);
    }

    #[test]
    fn the_map_notes_a_dense_fold() {
        let mapped = |weight: f32| {
            Bench::new(SPREAD)
                .px(4260, 2660)
                .evidence(|e| {
                    let mut map = crate::measure::Grid::filled(101, 1, (1.0 - weight) / 100.0);
                    map.fields[50] = weight;
                    e.look.importance = map;
                })
                .ask(check)
        };
        assert_eq!(mapped(0.02), RuleOutcome::Passed);
        assert!(matches!(mapped(0.3), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
    }
}
