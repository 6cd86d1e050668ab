//! density.minimum: enough pixels for the print to be accepted.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::density::target;
use crate::judge::rules::density::{DensityStatus, breach, standing};

pub static RULE: Rule = Rule {
    id: "density.minimum",
    group: RuleGroup::Density,
    title: "",
    question: "Has it at least the pixels per inch that the brief calls the minimum, at the printed size?",
    level: Level::Must,
    why: "below it fine lines turn soft and edges show steps when the print is held in the hand",
    page: "Pixels of the picture after the crop to the print's shape, over the inches it covers with its bleed; the \
           axis with fewer decides. One pixel an axis and one per cent are forgiven, and it is said. Without a number \
           in the brief the minimum is the paper's share of what is wanted: three fifths on photographic papers, four \
           on coated (see the key density.minimum). Where this rule fails, density.target is silent.",
    fix: "",
    misses: "",
    keys: &["density.minimum", "density.target", "density.ruling", "density.distance", "paper.stock", "paper.process"],
    source: "labs' and printers' guides give 180 to 240 ppi in the hand, 150 for large wall prints; on a press the \
             halftone rule, 1.3 to 2 pixels for each line",
    samples: RuleExamples {
        holds: "8 x 10 in from 1440 x 1800 px where 180 ppi are the least",
        fails: "8 x 10 in from 1200 x 1500 px (150 ppi)",
    },
    unit: "ppi",
    depends_on: Dependence::Print,
    silences: &[&target::RULE],
    uses: RuleUses { column: Some(TableColumn::Density), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let least = case.print.requirements.density.minimum;
    match standing(case, least) {
        None => RuleOutcome::NotChecked("the picture has no pixels".to_owned()),
        Some(DensityStatus::Reached) => RuleOutcome::Passed,
        Some(DensityStatus::Nearly(forgiven)) => RuleOutcome::WithinTolerance(forgiven),
        Some(DensityStatus::Under) => {
            RuleOutcome::failed(breach(case, least, |limit| format!("at least {limit} asked")))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;

    #[test]
    fn the_limit_itself_holds_one_per_cent_is_forgiven_and_below_fails() {
        let bench = Bench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.px(1440, 1800).ask(check), RuleOutcome::Passed);
        assert!(matches!(bench.px(1439, 1799).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.px(1426, 1783).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.px(1425, 1781).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn a_photographic_print_of_240_ppi_is_a_warning_and_no_refusal() {
        use crate::judge::testing::{brief, delivered, ids};
        use crate::judge::{RowState, judge};
        let starter = crate::brief::starter::find("photo-lab").unwrap();
        for text in ["[[print]]\nsize = \"8 x 10 in\"", starter.text] {
            let row = |w, h| judge(&brief(text), &[delivered("a.jpg", w, h)]).rows.swap_remove(0);
            let (soft, coarse) = (row(1920, 2400), row(1400, 1750));
            assert_eq!((soft.state, ids(&soft)), (RowState::Warn, vec!["density.target"]));
            assert_eq!((coarse.state, ids(&coarse)), (RowState::Fix, vec!["density.minimum"]));
        }
    }

    #[test]
    fn the_words_carry_the_numbers_to_type() {
        let bench = Bench::new(
            "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\n[[print]]\nsize = \"210 x \
             260 mm\"",
        );
        let RuleOutcome::Failed(breaches) = bench.px(1820, 2241).ask(check) else { panic!("214 ppi must fail") };
        assert_eq!(breaches[0].found, "214 ppi at 210 x 260 mm with 3 mm bleed; at least 240 ppi asked");
        assert_eq!(
            breaches[0].fix,
            "export at 2551 x 3142 px (for 300 ppi) if your original has them after the crop, or at the least \
             2041 x 2513 px (for 240 ppi); do not enlarge to get there; as it is, it prints at most 186 x 231 mm at \
             240 ppi"
        );
    }
}
