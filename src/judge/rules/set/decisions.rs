//! set.decisions: what was decided for a print that the brief no longer has.

use std::collections::{BTreeMap, HashSet};

use crate::brief::PrintId;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::{first_named, name_pictures};
use crate::picture::PictureKey;
use crate::units::words::visible;

/// The rule's words.
pub static RULE: Rule = Rule {
    id: "set.decisions",
    group: RuleGroup::Set,
    title: "Decision without a print",
    question: "Does every decision belong to a print of the brief?",
    level: Level::Must,
    why: "a test print that was not good enough, or a subject's box, no longer counts",
    page: "It reports boxes of the subject, accepted findings and remarks on test prints that were kept for one print \
           whose id no print of the brief has now. A print without `id` takes its id from its name and size, so \
           renaming the print breaks the link. Where a test print was not good enough it is a must, else a should.",
    fix: "Give the print its old id, or take the decision out of NAME.decisions.toml.",
    misses: "Decisions about pictures that are not in the folder are not reported.",
    keys: &["print.id", "print.name"],
    source: "ours",
    samples: RuleExamples {
        passes: "a box for the print wall, and a print with id = \"wall\"",
        fails: "a box for the print wall, and no print with that id",
    },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

/// What was decided for one absent print.
#[derive(Default)]
struct Absent {
    pictures: Vec<PictureKey>,
    was_not_good: bool,
}

fn check(order: &JudgedOrder, report: BreachSink) {
    let prints: HashSet<&PrintId> = order.brief.prints.iter().map(|print| &print.id).collect();
    let mut absent: BTreeMap<&PrintId, Absent> = BTreeMap::new();
    for file in order.files {
        let not_good = file.seen.iter().filter(|seen| !seen.good).filter_map(|seen| seen.print.as_ref());
        let not_good: HashSet<&PrintId> = not_good.collect();
        let decided: HashSet<&PrintId> = file.decided_prints().filter(|print| !prints.contains(print)).collect();
        for print in decided {
            let of = absent.entry(print).or_default();
            of.pictures.push(file.key.clone());
            of.was_not_good |= not_good.contains(print);
        }
    }
    for (print, of) in absent {
        let id = visible(&print.0).into_owned();
        let of_pictures = name_pictures(&of.pictures, |picture| visible(picture.as_str()).into_owned());
        let what =
            if of.was_not_good { "a test print that was not good enough counts" } else { "what was decided counts" };
        report(OrderBreach {
            rows: Vec::new(),
            pictures: first_named(of.pictures),
            breach: Breach {
                about: id.clone(),
                at_most: (!of.was_not_good).then_some(Level::Should),
                short: "print is gone".to_owned(),
                found: format!("{of_pictures}: {what} for no print; no print has the id \"{id}\""),
                fix: format!(
                    "write id = \"{id}\" below the [[print]] that it is for\nor delete what names \"{id}\" from the \
                     decisions"
                ),
                ..Breach::default()
            },
        });
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::judge::model::test_print::TestPrintRemark;
    use crate::judge::testing::{brief, sound_submission};
    use crate::judge::{Submission, judge};

    fn seen(print: &str, good: bool) -> Submission {
        let remark = TestPrintRemark {
            print: Some(PrintId(print.into())),
            saw: "blocked up".to_owned(),
            good,
            by: "Maren".to_owned(),
            when: "2026-11-30T10:00:00Z".to_owned(),
            sha256: "aa".to_owned(),
            pixel_digest: String::new(),
        };
        Submission { seen: Arc::new([Arc::new(remark)]), ..sound_submission("a.jpg", 2400, 3000) }
    }

    fn found(name: &str, file: Submission) -> Vec<(Level, String)> {
        let brief = brief(&format!("[[print]]\nname = \"{name}\"\nsize = \"8 x 10 in\""));
        let findings = judge(&brief, &[file]).order_findings;
        findings.iter().filter(|one| *one.rule == RULE).map(|one| (one.level, one.found.clone())).collect()
    }

    #[test]
    fn a_renamed_print_does_not_lose_what_was_decided_for_it_without_a_word() {
        assert_eq!(found("wall", seen("wall", false)), []);
        let words = "a.jpg: a test print that was not good enough counts for no print; no print has the id \"wall\"";
        assert_eq!(found("large wall", seen("wall", false)), [(Level::Must, words.to_owned())]);
        assert_eq!(found("large wall", seen("wall", true)).first().map(|(level, _)| *level), Some(Level::Should));
    }
}
