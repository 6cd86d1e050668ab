//! margins.safe: the subject in the margin kept free of important things.

use crate::brief::requirements::Level;
use crate::judge::metrics::strips;
use crate::judge::model::check::{Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::margins::subject_intrusion::{EdgeStrip, ask_box, ask_map};

pub static RULE: Rule = Rule {
    id: "margins.safe",
    group: RuleGroup::Margins,
    title: "Too close to the cut",
    question: "Does the subject keep out of the safe margin?",
    level: Level::Should,
    why: "close to the cut a subject looks squeezed, differently on every copy",
    page: "The safe margin is measured inward from the finished size; the strip that the cut may take belongs to it. A \
           subject's box is compared exactly: a should, or a note where it reaches in by less than 0.4 % of the side, \
           or was drawn on an earlier export. Without a box the map of what draws the eye is compared with the strip: \
           over 1.5 times its share of the area is a note. A side that margins.trim reports is not reported here as \
           well.",
    fix: "Crop again so that the subject keeps out of the margin, or order the print with a white border. Draw the \
          subject's box where there is none.",
    misses: "The map knows no faces, hands or words, so without a subject's box it only notes. Only the printer knows \
             how wide the margin has to be.",
    keys: &["margins.safe", "margins.bleed", "margins.edge"],
    source: "only the printer can know the margin; its usual value: printers' guides",
    samples: RuleExamples {
        passes: "the plate ends 9 mm inside the trimmed edge; 5 mm required",
        fails: "the rim is 2 mm inside the trimmed edge; 5 mm required",
    },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    if case.placement.safe == case.placement.cut_away {
        return RuleOutcome::NotRequired;
    }
    let keys: &[&str] =
        if case.placement.bleed().is_zero() { &["margins.safe"] } else { &["margins.safe", "margins.bleed"] };
    let name = "the safe margin";
    let strip = EdgeStrip { name, inner: |lines| lines.safe, short: "near cut", keys, is_from_trim: true };
    match case.subject {
        Some(subject) => ask_box(case, subject, &strip),
        None => ask_map(case, &strip, strips::strips),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::subject::{Area, BoxOrigin, Subject, Subjects};
    use crate::judge::testing::{RuleBench, brief, sound_submission};
    use crate::judge::{RowState, judge};

    const PAGE: &str = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\nsafe = \"5 mm\"\n\
                        [[print]]\nsize = \"194 x 244 mm\"";

    #[test]
    fn the_safe_margin_begins_at_the_finished_edge() {
        // 8 mm of 200 mm: 4 %.
        let boxed = |left: f64| RuleBench::new(PAGE).with_px(2000, 2500).subject(left, 0.3, 0.8, 0.7).ask(check);
        assert_eq!(boxed(0.04), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = boxed(0.03) else { panic!("2 mm in the margin") };
        assert_eq!(
            breaches[0].found,
            "at the left, the subject reaches 2 mm into the safe margin; at least 5 mm inside the trim (8 mm from \
             the edge of the bleed) required"
        );
    }

    #[test]
    fn a_doubtful_box_only_notes_and_trim_says_it_once() {
        let area = Area::new(0.001, 0.3, 0.8, 0.7).unwrap();
        let row = |origin: BoxOrigin| {
            let mut file = sound_submission("a.jpg", 2409, 2953);
            let subjects = Subjects { of_picture: Some(Subject { area, origin }), ..Subjects::default() };
            file.subjects = std::sync::Arc::new(subjects);
            judge(&brief(&PAGE.replace("194 x 244", "198 x 244")), &[file]).rows.swap_remove(0)
        };
        let drawn = row(BoxOrigin::Drawn);
        let margins = |row: &crate::judge::Row| {
            row.findings.iter().filter(|f| f.rule.group == RuleGroup::Margins && f.rule.id != "margins.bleed").count()
        };
        assert_eq!((drawn.state, margins(&drawn)), (RowState::Warn, 1), "{:#?}", drawn.findings);
        let doubtful = row(BoxOrigin::Doubtful);
        assert_eq!((doubtful.state, margins(&doubtful)), (RowState::Pass, 1));
    }

    #[test]
    fn another_side_than_the_cut_takes_is_still_said() {
        let mut file = sound_submission("a.jpg", 2409, 2953);
        let area = Area::new(0.001, 0.3, 0.97, 0.7).unwrap();
        let drawn = Some(Subject { area, origin: BoxOrigin::Drawn });
        file.subjects = std::sync::Arc::new(Subjects { of_picture: drawn, ..Subjects::default() });
        let row = judge(&brief(&PAGE.replace("194 x 244", "198 x 244")), &[file]).rows.swap_remove(0);
        let said = |rule: &str| -> Vec<&str> {
            row.findings.iter().filter(|f| f.rule.id == rule).map(|f| f.about.as_str()).collect()
        };
        assert_eq!((said("margins.trim"), said("margins.safe")), (vec!["left"], vec!["right"]));
    }
}
