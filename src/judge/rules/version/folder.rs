//! version.folder: a version whose folder is not there.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::picture::PictureKey;
use crate::picture::unlisted::NotListed;
use crate::units::show;
use crate::units::words::visible;

pub static RULE: Rule = Rule {
    id: "version.folder",
    group: RuleGroup::Version,
    title: "Version without folder",
    question: "Is the folder of each version there?",
    level: Level::Should,
    why: "a misspelt folder hides a whole version, and nobody notices before the delivery",
    page: "Each `[[version]]` of the brief names a folder inside the folder of exports. Where it is not there, every \
           print of that version is MISSING, and this finding says why, once.",
    fix: "Export the version into that folder, or correct `folder` in the brief.",
    misses: "A folder that is there and empty is not reported: its prints are MISSING.",
    keys: &["version.folder"],
    source: "the brief's own list",
    samples: RuleExamples { passes: "exports/cmyk for folder = \"cmyk\"", fails: "only exports/CMYK-final" },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

fn check(order: &JudgedOrder, report: BreachSink) {
    for version in &order.brief.order_versions {
        let key = PictureKey::from_text(&version.folder);
        if order.unlisted.get(&key) != Some(&NotListed::NoVersionFolder) {
            continue;
        }
        let (name, folder) = (visible(&version.name), visible(&version.folder));
        let prints = order.brief.prints.iter().filter(|print| print.version.as_ref() == Some(version)).count();
        report(OrderBreach {
            rows: Vec::new(),
            pictures: Vec::new(),
            breach: Breach {
                about: version.name.to_string(),
                short: "no folder".to_owned(),
                found: format!(
                    "the version {name} has no folder {folder}; {} missing",
                    show::count(prints, "print is", "prints are")
                ),
                fix: format!(
                    "export the version {name} into {folder}, inside the folder of exports\nor correct its \
                              folder in the brief"
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
    use crate::judge::testing::{brief, sound_submission};
    use crate::judge::{FolderContents, RowState, judge_folder};

    #[test]
    fn a_folder_that_is_not_there_is_one_finding_and_its_prints_are_missing() {
        let versions =
            "[[version]]\nname = \"masters\"\nfolder = \"rgb\"\n[[version]]\nname = \"press\"\nfolder = \"cmyk\"\n";
        let print = |at| format!("[[print]]\nname = \"p{at}\"\nsize = \"8 x 10 in\"\npicture = \"p{at}\"\n");
        let brief = brief(&(versions.to_owned() + &print(1) + &print(2)));
        let folder = FolderContents {
            files: ["rgb/p1.jpg", "rgb/p2.jpg"].map(|name| sound_submission(name, 2400, 3000)).to_vec(),
            unlisted: Arc::new([(PictureKey::from_text("cmyk"), NotListed::NoVersionFolder)].into_iter().collect()),
        };
        let judged = judge_folder(&brief, &folder);
        let states: Vec<RowState> = judged.rows.iter().map(|row| row.state).collect();
        assert_eq!(states, [RowState::Pass, RowState::Missing, RowState::Pass, RowState::Missing]);
        let found: Vec<(&str, Level, &str)> =
            judged.order_findings.iter().map(|one| (one.rule.id, one.level, one.found.as_str())).collect();
        let words = "the version press has no folder cmyk; 2 prints are missing";
        assert_eq!(found, [("version.folder", Level::Should, words)]);
        assert!(judged.rows[1].export.ends_with("under a name that fits \"p1\", in cmyk"), "{}", judged.rows[1].export);
    }
}
