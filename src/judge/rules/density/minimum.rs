//! density.minimum: enough pixels for the print to be accepted.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::density::target;
use crate::judge::rules::density::{DensityStatus, breach, status_at};
use crate::judge::rules::phrases::limit_words;

pub static RULE: Rule = Rule {
    id: "density.minimum",
    group: RuleGroup::Density,
    title: "Too few pixels",
    question: "Does the picture have the minimum pixels per inch at the printed size?",
    level: Level::Must,
    why: "fine lines turn soft and edges show steps at arm's length",
    page: "The picture's pixels after the crop are divided by the inches that they cover, bleed included. The axis \
           with fewer pixels per inch counts. One pixel on each axis and 1 % are within tolerance. Without a number in \
           the brief the minimum is a share of the target: three fifths on photographic papers, four fifths on coated \
           paper (see the key density.minimum). Where this rule fails, density.target is not reported as well.",
    fix: "Export again from the original at the pixels that the finding names, without enlarging. If the original has \
          too few, print smaller.",
    misses: "It counts pixels, not detail: an enlarged or a soft picture passes. detail.enlarged and detail.focus look \
             for those.",
    keys: &["density.minimum", "density.target", "density.ruling", "density.distance", "paper.stock", "paper.process"],
    source: "labs' and printers' guides give 180 to 240 ppi at arm's length, 150 for large wall prints; on a press \
             the halftone rule, 1.3 to 2 pixels for each line",
    samples: RuleExamples {
        passes: "1440 x 1800 px at 8 x 10 in (180 ppi); at least 180 ppi required",
        fails: "1200 x 1500 px at 8 x 10 in (150 ppi); at least 180 ppi required",
    },
    unit: "ppi",
    depends_on: Dependence::Print,
    silences: &[&target::RULE],
    uses: RuleUses { column: Some(TableColumn::Density), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let minimum = case.print.requirements.density.minimum;
    match status_at(case, minimum) {
        None => RuleOutcome::NotChecked("the picture has no pixels".to_owned()),
        Some(DensityStatus::Reached) => RuleOutcome::Passed,
        Some(DensityStatus::Nearly(words)) => RuleOutcome::WithinTolerance(words),
        Some(DensityStatus::Under) => RuleOutcome::failed(breach(case, minimum, |shown| {
            limit_words(case.print, "density.minimum", &format!("at least {shown}"))
        })),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;

    #[test]
    fn the_limit_itself_and_one_per_cent_less_pass_and_below_fails() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.with_px(1440, 1800).ask(check), RuleOutcome::Passed);
        assert!(matches!(bench.with_px(1439, 1799).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.with_px(1426, 1783).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.with_px(1425, 1781).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn a_photographic_print_of_240_ppi_is_a_warning_and_no_refusal() {
        use crate::judge::testing::{brief, ids, sound_submission};
        use crate::judge::{RowState, judge};
        let starter = crate::brief::starter::find("photo-lab").unwrap();
        for text in ["[[print]]\nsize = \"8 x 10 in\"", starter.text] {
            let row = |w, h| judge(&brief(text), &[sound_submission("a.jpg", w, h)]).rows.swap_remove(0);
            let (soft, coarse) = (row(1920, 2400), row(1400, 1750));
            assert_eq!((soft.state, ids(&soft)), (RowState::Warn, vec!["density.target"]));
            assert_eq!((coarse.state, ids(&coarse)), (RowState::Fix, vec!["density.minimum"]));
        }
    }

    #[test]
    fn the_words_carry_the_numbers_to_type() {
        let page = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\n[[print]]\nsize = \
                    \"210 x 260 mm\"";
        let breach = |brief: &str| match RuleBench::new(brief).with_px(1820, 2241).ask(check) {
            RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0),
            other => panic!("214 ppi must fail: {other:?}"),
        };
        assert_eq!(breach(page).found, "214 ppi at 210 x 260 mm with 3 mm bleed; usual: at least 240 ppi");
        let required = breach(&format!("[density]\nminimum = \"240 ppi\"\n{page}")).found;
        assert_eq!(required, "214 ppi at 210 x 260 mm with 3 mm bleed; at least 240 ppi required");
        assert_eq!(
            breach(page).fix,
            "export from the original at 2551 x 3142 px (300 ppi), without enlarging\n\
             if it has fewer pixels, export at 2041 x 2513 px or more (240 ppi)\n\
             or print this file no larger than 186 x 231 mm (240 ppi)"
        );
    }
}
