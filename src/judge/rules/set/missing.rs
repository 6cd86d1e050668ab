//! set.missing: a print without a picture. Reported as a row's state.

use crate::brief::Print;
use crate::brief::picture_patterns::PictureSelector;
use crate::brief::requirements::Level;
use crate::judge::model::check::RuleCheck;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::picture::PictureKey;
use crate::units::words::visible;

/// The rule's words; the state comes from pairing pictures with prints.
pub static RULE: Rule = Rule {
    id: "set.missing",
    group: RuleGroup::Set,
    title: "Print without picture",
    question: "Does every print have its picture?",
    level: Level::Must,
    why: "a page without its picture holds up the whole book",
    page: "A print of the brief that no picture in the folder fits is a row of its own with the state MISSING. It is \
           not a fault while the shoot goes on; with `check --complete` it is.",
    fix: "Export the picture under a name that fits its print, or correct the name in the brief.",
    misses: "It compares names only: a wrong picture under the right name is not detected.",
    keys: &["print.picture", "print.pictures", "prints"],
    source: "the brief's own list",
    samples: RuleExamples {
        passes: "p012-plum-tart.jpg for picture = \"p012*\"",
        fails: "only p120-crepes.jpg in the folder",
    },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Pairing;

/// Returns the remark of a MISSING row: `near`, an unclaimed picture whose name nearly matches.
pub fn remark(print: &Print, near: Option<&PictureKey>) -> String {
    let (PictureSelector::One(pattern) | PictureSelector::Many(pattern)) = &print.pictures else {
        return String::new();
    };
    let Some(picture) = near else { return String::new() };
    let goes_on = picture.stem().to_lowercase().starts_with(&pattern.beginning());
    let why = if goes_on { " (numbers must match in full)" } else { "" };
    format!("{picture} comes close to \"{}\"{why}", visible(pattern.as_str()))
}

/// Returns which names its pictures may have: `a name that fits "p012*"`.
pub fn fit_words(print: &Print) -> String {
    let names = match &print.pictures {
        PictureSelector::One(pattern) => format!("a name that fits \"{}\"", visible(pattern.as_str())),
        PictureSelector::Many(pattern) => format!("names that fit \"{}\"", visible(pattern.as_str())),
        PictureSelector::Rest => "any name that no other print takes".to_owned(),
    };
    match &print.version {
        Some(version) => format!("{names}, in {}", visible(&version.folder)),
        None => names,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::print;

    #[test]
    fn a_missing_row_names_the_pattern_that_waits() {
        let print = print("[[print]]\nsize = \"8 x 10 in\"\npicture = \"p012*\"");
        assert_eq!(remark(&print, None), "");
        let near = PictureKey::from_text("p12-tart.jpg");
        assert_eq!(remark(&print, Some(&near)), "p12-tart.jpg comes close to \"p012*\"");
        assert_eq!(fit_words(&print), "a name that fits \"p012*\"");
    }
}
