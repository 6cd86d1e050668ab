//! file.orientation: stored upright, without a tag.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::picture::facts::Orientation;

pub static RULE: Rule = Rule {
    id: "file.orientation",
    group: RuleGroup::File,
    title: "",
    question: "Is the picture stored upright, so that a device that ignores the orientation tag prints it right?",
    level: Level::Should,
    why: "some print devices ignore the orientation tag: the picture comes out on its side, cut to the wrong shape",
    page: "The orientation tag must be absent or 1. Everything else about the picture is judged upright, as the tag \
           says it is to be seen.",
    fix: "",
    misses: "",
    keys: &[],
    source: "Exif tag 0x0112; that devices ignore it: common practice, no source",
    samples: RuleExamples {
        holds: "a portrait stored as 2400 x 3000 px",
        fails: "the same stored as 3000 x 2400 px with tag 6",
    },
    unit: "tag",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let orientation = case.facts.orientation;
    if orientation == Orientation::UPRIGHT {
        return RuleOutcome::Passed;
    }
    RuleOutcome::failed(Breach {
        numbers: Some((f64::from(orientation.tag()), 1.0)),
        short: format!("tag {}", orientation.tag()),
        found: format!("stored {}, with orientation tag {} to turn it", orientation.words(), orientation.tag()),
        fix: "turn the pixels upright in your editor and export again (the tag must be 1)".to_owned(),
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;

    #[test]
    fn only_the_neutral_tag_holds() {
        let bench = Bench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        for tag in 2..=8 {
            let turned = bench.with(|f| f.orientation = Orientation::from_tag(tag).unwrap());
            assert!(matches!(turned.ask(check), RuleOutcome::Failed(_)), "tag {tag}");
        }
    }
}
