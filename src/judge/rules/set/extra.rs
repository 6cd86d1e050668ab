//! set.extra: a picture that no print wants. Reported as a row's state.

use crate::brief::requirements::Level;
use crate::brief::{Brief, Print};
use crate::judge::matching::pairing::UnpairedReason;
use crate::judge::model::check::RuleCheck;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::model::submission::Submission;
use crate::units::words::visible;

/// The rule's words; the state comes from pairing pictures with prints.
pub static RULE: Rule = Rule {
    id: "set.extra",
    group: RuleGroup::Set,
    title: "",
    question: "Is every picture of the folder asked for?",
    level: Level::Note,
    why: "a picture that nobody asked for is printed, paid for, or taken for another",
    page: "A picture whose name no print of the brief fits is a row of its own with the state EXTRA. It is never \
           delivered. Files that are not of this order can be named in `ignore`.",
    fix: "",
    misses: "",
    keys: &["print.picture", "print.pictures", "ignore"],
    source: "the brief's own list",
    samples: RuleExamples { holds: "every file fits a print", fails: "p012-copy-2.jpg where nobody asks for it" },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Pairing;

/// Returns the remark of an EXTRA row; `near` is a print without a picture whose pattern its name nearly matches.
pub fn remark(brief: &Brief, folder: &[Submission], leftover: &UnpairedReason, near: Option<&Print>) -> String {
    match leftover {
        UnpairedReason::Unasked => {
            let others = "rename it, add a print, or list it under ignore";
            match near {
                Some(print) => format!(
                    "no print of the brief asks for this name; it is nearly that of {}: {others}",
                    visible(&print.name)
                ),
                None => format!("no print of the brief asks for this name; {others}"),
            }
        }
        UnpairedReason::Older { print, newest } => {
            let print = visible(&brief.prints[*print].name).into_owned();
            format!("an older version: {} is newer and is taken for {print}", folder[*newest].key)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, delivered};

    #[test]
    fn an_older_version_names_the_one_that_was_taken() {
        let brief = brief("[[print]]\nname = \"p012 tart\"\nsize = \"8 x 10 in\"\npicture = \"p012*\"");
        let folder = [delivered("p012-a.jpg", 1, 1), delivered("p012-b.jpg", 1, 1)];
        let said = remark(&brief, &folder, &UnpairedReason::Older { print: 0, newest: 1 }, None);
        assert_eq!(said, "an older version: p012-b.jpg is newer and is taken for p012 tart");
    }
}
