//! set.versions: two pictures for one print.

use std::collections::HashMap;

use crate::brief::picture_patterns::PictureSelector;
use crate::brief::requirements::Level;
use crate::brief::{PrintId, VersionPolicy};
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::row::Row;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::{NAMED, first_named, name_pictures};
use crate::units::{show, words::visible};

pub static RULE: Rule = Rule {
    id: "set.versions",
    group: RuleGroup::Set,
    title: "More than one version",
    question: "Does exactly one picture fit each print that takes one?",
    level: Level::Must,
    why: "given two pictures for a page, somebody else picks, often the wrong one",
    page: "A print with `picture` takes exactly one picture. Where several names fit its pattern, each of those \
           pictures fails, and the newest is marked. With `versions = \"newest\"` the newest is used and the others \
           are EXTRA; where several were last written at the same moment, each of those fails.",
    fix: "Move the other versions out of the folder, or write `versions = \"newest\"` at the top of the brief.",
    misses: "Which one is newest rests on the time when each file was last written, which copying can change.",
    keys: &["print.picture", "versions"],
    source: "common practice; nothing published",
    samples: RuleExamples { passes: "one file fits p012*", fails: "p012-tart.jpg and p012-tart-2.jpg both fit p012*" },
    unit: "pictures",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

fn check(order: &JudgedOrder, report: BreachSink) {
    let mut by_print: HashMap<&PrintId, Vec<&Row>> = HashMap::new();
    for row in order.rows {
        if let (Some(print), Some(_)) = (&row.key.print, &row.key.picture) {
            by_print.entry(print).or_default().push(row);
        }
    }
    let singles = order.brief.prints.iter().filter(|print| matches!(print.pictures, PictureSelector::One(_)));
    singles
        .filter_map(|print| {
            let rows = by_print.get(&print.id)?;
            (rows.len() > 1).then(|| breach(&visible(&print.name_with_version()), rows, order.brief.versions))
        })
        .for_each(report);
}

fn breach(print: &str, rows: &[&Row], versions: VersionPolicy) -> OrderBreach {
    let mut pictures: Vec<_> = rows.iter().filter_map(|row| row.key.picture.clone()).collect();
    let newest = newest(rows).and_then(|row| row.key.picture.as_ref());
    // The newest is marked, so if not all are named it is put first.
    if let Some(at) = pictures.iter().position(|key| Some(key) == newest).filter(|at| *at >= NAMED) {
        pictures[..=at].rotate_right(1);
    }
    let names =
        name_pictures(
            &pictures,
            |key| if Some(key) == newest { format!("{key} (the newest)") } else { key.to_string() },
        );
    let keep = match rows.len() {
        2 => "keep one and move the other out of the folder",
        _ => "keep one and move the others out of the folder",
    };
    let (why, fix) = match versions {
        VersionPolicy::Ask => ("", format!("{keep}\nor write versions = \"newest\" at the top of the brief")),
        VersionPolicy::Newest => (", all last written at the same moment", keep.to_owned()),
    };
    OrderBreach {
        rows: rows.iter().map(|row| row.key.clone()).collect(),
        breach: Breach {
            numbers: Some((rows.len() as f64, 1.0)),
            short: show::count(rows.len(), "version", "versions"),
            found: format!(
                "{} fit {print}: {names}{why}; one required",
                show::count(rows.len(), "picture", "pictures")
            ),
            fix,
            ..Breach::default()
        },
        pictures: first_named(pictures),
    }
}

/// Returns the row whose picture was written last; `None` where several were at the same moment.
fn newest<'r>(rows: &[&'r Row]) -> Option<&'r Row> {
    let latest = rows.iter().map(|row| row.modified_ns).max();
    let mut newest = rows.iter().filter(|row| Some(row.modified_ns) == latest);
    newest.next().filter(|_| newest.next().is_none()).copied()
}

#[cfg(test)]
mod tests {
    use crate::judge::testing::{brief, ids, sound_submission};
    use crate::judge::{RowState, Submission, judge};

    #[test]
    fn both_versions_are_named_and_the_newest_is_marked() {
        let text = "[[print]]\nname = \"p012\"\nsize = \"8 x 10 in\"\npicture = \"p012*\"";
        let older = sound_submission("p012-a.jpg", 2400, 3000);
        let newer = Submission { modified_ns: 9, ..sound_submission("p012-b.jpg", 2400, 3000) };
        let rows = judge(&brief(text), &[older.clone(), newer]).rows;
        assert_eq!(rows.len(), 2);
        for row in &rows {
            assert_eq!((row.state, ids(row)), (RowState::Fix, vec!["set.versions"]));
            let found = "2 pictures fit p012: p012-a.jpg and p012-b.jpg (the newest); one required";
            assert_eq!(row.findings[0].found, found);
        }
        assert_eq!(judge(&brief(text), &[older]).rows[0].state, RowState::Pass);
    }

    #[test]
    fn of_versions_written_at_the_same_moment_none_is_marked_and_none_is_chosen() {
        let text = "versions = \"newest\"\n[[print]]\nname = \"p012\"\nsize = \"8 x 10 in\"\npicture = \"p012*\"";
        let files = [sound_submission("p012-v10.jpg", 2400, 3000), sound_submission("p012-v9.jpg", 2400, 3000)];
        let rows = judge(&brief(text), &files).rows;
        assert_eq!(rows.iter().map(|row| row.state).collect::<Vec<_>>(), [RowState::Fix; 2]);
        let finding = &rows[0].findings[0];
        let found =
            "2 pictures fit p012: p012-v10.jpg and p012-v9.jpg, all last written at the same moment; one required";
        assert_eq!((finding.rule.id, finding.found.as_str()), ("set.versions", found));
        assert_eq!(finding.fix, "keep one and move the other out of the folder");
    }

    #[test]
    fn of_many_versions_the_newest_is_named_first() {
        let text = "[[print]]\nname = \"p012\"\nsize = \"8 x 10 in\"\npicture = \"p012*\"";
        let of = |n: i128| Submission { modified_ns: n, ..sound_submission(&format!("p012-{n}.jpg"), 2400, 3000) };
        let files: Vec<Submission> = (10..40).map(of).collect();
        for row in judge(&brief(text), &files).rows {
            let found = "30 pictures fit p012: p012-39.jpg (the newest), p012-10.jpg, p012-11.jpg, p012-12.jpg and 26 \
                         more; one required";
            assert_eq!((row.findings[0].found.as_str(), row.findings[0].pictures.len()), (found, 4));
        }
    }

    #[test]
    fn a_print_may_give_it_another_level_than_its_brief() {
        let files = [sound_submission("p012-a.jpg", 2400, 3000), sound_submission("p012-b.jpg", 2400, 3000)];
        let state = |level: &str| {
            let rules = format!("[print.rules]\n\"set.versions\" = \"{level}\"");
            let text = format!("[[print]]\nsize = \"8 x 10 in\"\npicture = \"p012*\"\n{rules}");
            judge(&brief(&text), &files).rows[0].state
        };
        assert_eq!((state("should"), state("off")), (RowState::Warn, RowState::Pass));
    }
}
