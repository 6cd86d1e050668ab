//! file.orientation: stored upright, without a tag.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::picture::facts::Orientation;

pub static RULE: Rule = Rule {
    id: "file.orientation",
    group: RuleGroup::File,
    title: "Not stored upright",
    question: "Is the picture stored upright?",
    level: Level::Should,
    why: "devices that ignore the orientation tag print it on its side",
    page: "The orientation tag must be 1, or there must be none. All other rules check the picture upright, as the tag \
           shows it.",
    fix: "Make the pixels themselves upright in your editor, and export again.",
    misses: "It reads the tag, not the picture: a picture that lies on its side without a tag passes.",
    keys: &[],
    source: "Exif tag 0x0112; that devices ignore it: common practice, nothing published",
    samples: RuleExamples {
        passes: "a portrait stored as 2400 x 3000 px",
        fails: "a portrait stored as 3000 x 2400 px, with a tag to rotate it",
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
        short: match orientation.tag() {
            2 => "mirrored",
            3 | 4 => "stored upside down",
            _ => "stored on its side",
        }
        .to_owned(),
        found: format!(
            "stored {} (orientation tag {}); usual: upright, tag 1 or none",
            orientation.words(),
            orientation.tag()
        ),
        fix: "export again with the pixels upright (orientation tag 1)".to_owned(),
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;

    #[test]
    fn only_the_neutral_tag_passes() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        for tag in 2..=8 {
            let tagged = bench.with(|f| f.orientation = Orientation::from_tag(tag).unwrap());
            assert!(matches!(tagged.ask(check), RuleOutcome::Failed(_)), "tag {tag}");
        }
    }
}
