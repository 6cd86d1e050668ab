//! set.rows: more rows than an order can have. Pairing finds it.

use crate::brief::requirements::Level;
use crate::judge::matching::pairing::{CutRows, MAX_ROWS};
use crate::judge::model::check::{Breach, RuleCheck};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::units::show;

/// The rule's words; the rows are counted in pairing pictures with prints.
pub static RULE: Rule = Rule {
    id: "set.rows",
    group: RuleGroup::Set,
    title: "Too many rows",
    question: "Is every picture checked for every print that takes it?",
    level: Level::Must,
    why: "a picture that was never checked must not go out",
    page: "Each picture that a print takes is a row, and an order has at most 100,000 rows: two prints of every file \
           that a folder may hold. Where there would be more, the prints that take the most pictures are checked with \
           their first pictures by name only, as many for each as there is room for, and nothing is delivered.",
    fix: "Give each print a pattern of its own in the brief.",
    misses: "Nothing that we know of.",
    keys: &["print.picture", "print.pictures"],
    source: "ours: twice the files that are listed of a folder",
    samples: RuleExamples {
        passes: "2 prints that each take 1,000 pictures",
        fails: "picture = \"*\" for each of 2,000 prints, and 1,000 pictures",
    },
    unit: "rows",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Pairing;

/// Returns the breach of an order that was cut.
pub fn breach(cut: CutRows) -> Breach {
    let pictures = show::count(cut.each, "picture", "pictures");
    Breach {
        numbers: Some((cut.wanted_rows as f64, MAX_ROWS as f64)),
        short: "too many rows".to_owned(),
        found: format!(
            "{} the order to {} rows; at most {MAX_ROWS} are possible, so only the first {pictures} of each are \
             checked, by name",
            show::count(cut.prints, "print that takes many pictures brings", "prints that take many pictures bring"),
            cut.wanted_rows
        ),
        fix: "give each of these prints a pattern of its own in the brief, such as picture = \"p012*\"".to_owned(),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::judge;
    use crate::judge::testing::{brief, sound_submission};

    #[test]
    fn a_pattern_that_fits_everything_for_thousands_of_prints_is_cut_and_reported() {
        let prints = |count: usize| "[[print]]\nsize = \"8 x 10 in\"\npictures = \"*\"\n".repeat(count);
        let unread = |at: usize| crate::judge::Submission {
            header: crate::judge::HeaderState::Waiting { is_arriving: true },
            ..sound_submission(&format!("{at:04}.jpg"), 2400, 3000)
        };
        let files: Vec<_> = (0..400).map(unread).collect();
        let cut = judge(&brief(&prints(500)), &files);
        assert_eq!(cut.rows.len(), MAX_ROWS);
        let found = &cut.order_findings[0];
        assert_eq!((found.rule, found.level), (&RULE, Level::Must));
        assert_eq!(
            found.found,
            "500 prints that take many pictures bring the order to 200000 rows; at most 100000 are possible, so only \
             the first 200 pictures of each are checked, by name"
        );
        assert!(judge(&brief(&prints(2)), &files).order_findings.is_empty());
    }
}
