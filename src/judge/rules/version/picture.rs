//! version.picture: the versions of a print show different pictures, or one has no counterpart.

use std::collections::HashMap;

use crate::brief::PrintId;
use crate::brief::requirements::Level;
use crate::judge::matching::siblings::{LookCompared, SiblingPicture, Siblings, compared, siblings};
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::join_with_and;
use crate::units::words::visible;

pub static RULE: Rule = Rule {
    id: "version.picture",
    group: RuleGroup::Version,
    title: "Versions differ",
    question: "Is each print the same picture in every version?",
    level: Level::Should,
    why: "a wrong picture in one version is printed there, since nobody compares the two",
    page: "The picture of each version is compared with that of the first version that has one. They are aligned by \
           their light and dark, so that another colour space, tone or crop does not matter. Where that fails, and \
           both fingerprints of 64 bits differ by 18 bits or more, they are different pictures. Where a print takes \
           several pictures, those of one name belong together, whatever their extensions, and one without its \
           counterpart in a version fails, too, unless most have none: then names differ by habit.",
    fix: "Export the picture that is meant for both versions.",
    misses: "The next frame of one set-up, a picture that was mirrored or rotated, and patterns that repeat themselves \
             may go undetected. Nothing is reported while one of the two is not read.",
    keys: &["version.folder", "print.picture", "print.pictures"],
    source: "ours, as for look-alikes: unrelated pictures differ in some 32 of 64 bits",
    samples: RuleExamples {
        passes: "rgb/p012.tif and cmyk/p012.tif show one plum tart",
        fails: "cmyk/p012.tif shows the broth of page 14",
    },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

fn check(order: &JudgedOrder, report: BreachSink) {
    for ((first, other), _) in compared(order).into_iter().filter(|(_, look)| *look == LookCompared::Another) {
        report(another(&first, &other));
    }
    let groups = siblings(order);
    // For each print, its pictures with all their counterparts, and those without.
    let mut counts: HashMap<&PrintId, (usize, usize)> = HashMap::new();
    for group in &groups {
        let (complete, alone) = counts.entry(group.base_id).or_default();
        *(if group.absent_in.is_empty() { complete } else { alone }) += 1;
    }
    let is_missed = |group: &&Siblings| counts[group.base_id].0 >= counts[group.base_id].1;
    for group in groups.iter().filter(|group| !group.absent_in.is_empty()).filter(is_missed) {
        report(alone(order, group));
    }
}

fn another(first: &SiblingPicture, other: &SiblingPicture) -> OrderBreach {
    let rows = [first, other].map(|one| one.row);
    let names: Vec<String> = rows.iter().filter_map(|row| row.key.picture.as_ref()).map(ToString::to_string).collect();
    OrderBreach {
        rows: rows.map(|row| row.key.clone()).to_vec(),
        pictures: rows.iter().filter_map(|row| row.key.picture.clone()).collect(),
        breach: Breach {
            about: "look".to_owned(),
            short: "versions differ".to_owned(),
            found: format!("{} do not show the same picture; the same print in two versions", join_with_and(&names)),
            fix: "export the picture that is meant, and replace the other".to_owned(),
            ..Breach::default()
        },
    }
}

fn alone(order: &JudgedOrder, group: &Siblings) -> OrderBreach {
    let version = |at: &usize| &order.brief.order_versions[*at];
    let absent: Vec<String> = group.absent_in.iter().map(|at| visible(&version(at).name).into_owned()).collect();
    let folders: Vec<String> = group.absent_in.iter().map(|at| visible(&version(at).folder).into_owned()).collect();
    let rows = || group.pictures.iter().map(|picture| picture.row);
    OrderBreach {
        rows: rows().map(|row| row.key.clone()).collect(),
        pictures: rows().filter_map(|row| row.key.picture.clone()).collect(),
        breach: Breach {
            about: "counterpart".to_owned(),
            short: format!("not in {}", absent.join(", ")),
            found: format!("no picture of this name in the version {}", join_with_and(&absent)),
            fix: format!(
                "export it into {}, too, under the same name\nor take it out of this version",
                join_with_and(&folders)
            ),
            ..Breach::default()
        },
    }
}

#[cfg(test)]
mod tests {
    use crate::judge::matching::siblings::testing::{TWO, WHOLE, look};
    use crate::judge::testing::{brief, sound_submission};
    use crate::judge::{Submission, judge};

    fn found(print: &str, files: &[Submission]) -> Vec<(String, String)> {
        let rows = judge(&brief(&format!("{TWO}{print}")), files).rows;
        let of_row = |row: &crate::judge::Row| {
            let one = row.findings.iter().find(|one| one.rule.id == "version.picture")?;
            Some((row.key.picture.as_ref()?.to_string(), one.found.clone()))
        };
        rows.iter().filter_map(of_row).collect()
    }

    #[test]
    fn another_picture_in_one_version_is_said_on_both_rows() {
        let print = "[[print]]\nsize = \"8 x 10 in\"\npicture = \"p012*\"\n";
        let both = [look("cmyk/p012.jpg", 1, WHOLE), look("rgb/p012.jpg", 2, WHOLE)];
        let said = "rgb/p012.jpg and cmyk/p012.jpg do not show the same picture; the same print in two versions";
        let wanted = ["rgb/p012.jpg", "cmyk/p012.jpg"].map(|name| (name.to_owned(), said.to_owned()));
        assert_eq!(found(print, &both), wanted);
        let same = [look("cmyk/p012.jpg", 1, WHOLE), look("rgb/p012.jpg", 1, WHOLE)];
        assert_eq!(found(print, &same), []);
    }

    #[test]
    fn a_picture_without_its_counterpart_is_said_where_the_print_takes_several() {
        let names = ["cmyk/a.jpg", "rgb/A.tif", "rgb/b.tif"];
        let files = names.map(|name| sound_submission(name, 2400, 3000));
        let said = ("rgb/b.tif".to_owned(), "no picture of this name in the version press".to_owned());
        assert_eq!(found("[[print]]\nsize = \"8 x 10 in\"\n", &files), [said]);
        let names = ["cmyk/a-cmyk.jpg", "cmyk/b-cmyk.jpg", "rgb/a.tif", "rgb/b.tif"];
        let files = names.map(|name| sound_submission(name, 2400, 3000));
        assert_eq!(found("[[print]]\nsize = \"8 x 10 in\"\n", &files), [], "named differently by habit");
    }
}
