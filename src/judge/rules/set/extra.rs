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
    title: "Picture without print",
    question: "Does every picture in the folder belong to a print?",
    level: Level::Note,
    why: "a picture that nobody ordered is printed, paid for, or mistaken for another",
    page: "A picture whose name fits no print of the brief is a row of its own with the state EXTRA. It is never \
           delivered. A file that is no print picture, such as a text, is named as what it is. Files that the brief \
           lists under `ignore` are left out. Where the order has versions, a picture outside the folders of all of \
           them is EXTRA, too, whatever it is called.",
    fix: "Rename the picture to fit its print, add a print for it to the brief, or list it under `ignore`.",
    misses: "It compares names only: a wrong picture under a right name is not detected.",
    keys: &["print.picture", "print.pictures", "ignore"],
    source: "the brief's own list",
    samples: RuleExamples {
        passes: "every file fits a print",
        fails: "p120-crepes.jpg where no print takes that name",
    },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Pairing;

/// Returns the remark of an EXTRA row for a file of the folder, by its index; `near` is a print without a picture whose
/// pattern its name nearly matches.
pub fn remark(
    brief: &Brief,
    folder: &[Submission],
    (at, leftover): &(usize, UnpairedReason),
    near: Option<&Print>,
) -> String {
    match leftover {
        UnpairedReason::Unasked => {
            if let Some(what) = folder[*at].no_picture_words() {
                return format!("{}: it is not sent; take it out of the folder or list it under ignore", visible(what));
            }
            let others = "rename it, add a print or list it under ignore";
            match near {
                Some(print) => {
                    let print = print.name_with_version();
                    format!("no print takes this name, which is close to that of {}: {others}", visible(&print))
                }
                None => format!("no print takes this name: {others}"),
            }
        }
        UnpairedReason::OutsideVersions(print) => {
            let print = print.map(|at| &brief.prints[at]);
            match print.and_then(|print| Some((print, print.version.as_ref()?))) {
                Some((print, version)) => format!(
                    "not in the folder of a version; its name fits {}: move it into {}",
                    visible(&print.name_with_version()),
                    visible(&version.folder)
                ),
                None => format!("not in the folder of a version: move it into {}", version_folders(brief)),
            }
        }
        UnpairedReason::Older { print, newest } => {
            let print = visible(&brief.prints[*print].name_with_version()).into_owned();
            format!("an older version: {} is newer and is used for {print}", folder[*newest].key)
        }
    }
}

/// Lists the folders of the versions: `rgb (masters) or cmyk (press)`.
fn version_folders(brief: &Brief) -> String {
    let folders = brief.order_versions.iter().map(|one| format!("{} ({})", visible(&one.folder), visible(&one.name)));
    folders.collect::<Vec<String>>().join(" or ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::model::submission::HeaderState;
    use crate::judge::testing::{brief, sound_submission};
    use crate::picture::{Fault, FaultKind};

    #[test]
    fn an_older_version_names_the_one_that_was_taken() {
        let brief = brief("[[print]]\nname = \"p012 tart\"\nsize = \"8 x 10 in\"\npicture = \"p012*\"");
        let folder = [sound_submission("p012-a.jpg", 1, 1), sound_submission("p012-b.jpg", 1, 1)];
        let said = remark(&brief, &folder, &(0, UnpairedReason::Older { print: 0, newest: 1 }), None);
        assert_eq!(said, "an older version: p012-b.jpg is newer and is used for p012 tart");
    }

    #[test]
    fn a_file_that_is_no_picture_is_named_as_what_it_is_and_not_to_be_renamed() {
        let brief = brief("[[print]]\nname = \"p012 tart\"\nsize = \"8 x 10 in\"\npicture = \"p012*\"");
        let text = Fault::new(FaultKind::Other { is: "a text file" }, "a text file, not a print picture");
        let folder = [Submission { header: HeaderState::Fault(text), ..sound_submission("p12-tart", 1, 1) }];
        let said = remark(&brief, &folder, &(0, UnpairedReason::Unasked), None);
        assert_eq!(
            said,
            "a text file, not a print picture: it is not sent; take it out of the folder or list it under ignore"
        );
        let paired = crate::judge::matching::pairing::pair(&brief, &folder);
        let near = crate::judge::matching::name_suggestions::NameSuggestions::of(&brief, &folder, &paired);
        assert!(near.picture_of.is_empty(), "nor is it offered for a print");
    }
}
