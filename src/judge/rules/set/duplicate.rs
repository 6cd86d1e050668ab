//! set.duplicate: one picture twice.

use std::collections::{BTreeMap, BTreeSet};

use crate::brief::requirements::Level;
use crate::judge::matching::near_duplicates;
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::row::Row;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::{first_named, name_pictures};

pub static RULE: Rule = Rule {
    id: "set.duplicate",
    group: RuleGroup::Set,
    title: "Same picture twice",
    question: "Is each picture there only once?",
    level: Level::Should,
    why: "one picture is printed twice while another is missing",
    page: "Files with the same bytes under different names are one picture. One file for two prints is not a \
           duplicate. Where only one of the files fits a print, its copies alone carry the finding. Pictures with \
           other bytes that look alike are a note: by their capture times, or their names where there are none, the \
           finding asks whether they are one picture or two frames. Each picture is compared with the nearest one \
           before it; the rest of the series is counted. Parts of one group, such as the halves of a spread, may look \
           alike. Pictures of different versions of an order are not compared.",
    fix: "Replace the copy with the picture that was meant, or take it out of the folder.",
    misses: "A second export that was cropped, mirrored or changed strongly does not look alike. Frames of one set-up \
             may look alike on purpose, so a look-alike is never more than a note.",
    keys: &[],
    source: "SHA-256 of the bytes (FIPS 180-4)",
    samples: RuleExamples { passes: "two different exports", fails: "p014.jpg with exactly the bytes of p012.jpg" },
    unit: "pictures",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

fn check(order: &JudgedOrder, report: BreachSink) {
    let mut by_bytes: BTreeMap<(Option<usize>, &str), Vec<&Row>> = BTreeMap::new();
    for row in order.rows {
        if let Some((picture, sha256)) = row.key.picture.as_ref().zip(row.sha256.as_deref()) {
            by_bytes.entry((order.brief.version_at(picture.as_str()), sha256)).or_default().push(row);
        }
    }
    by_bytes.into_values().filter_map(|rows| breach(&rows)).for_each(&mut *report);
    near_duplicates::check(order, report);
}

fn breach(rows: &[&Row]) -> Option<OrderBreach> {
    let mut pictures: Vec<_> = rows.iter().filter_map(|row| row.key.picture.clone()).collect();
    pictures.sort();
    pictures.dedup();
    if pictures.len() < 2 {
        return None;
    }
    let in_prints: BTreeSet<_> =
        rows.iter().filter(|row| row.key.print.is_some()).map(|row| &row.key.picture).collect();
    // The only one required is not at fault for its copies; of several it is unknown which is meant.
    let carries = |row: &&&Row| in_prints.len() != 1 || row.key.print.is_none();
    Some(OrderBreach {
        rows: rows.iter().filter(carries).map(|row| row.key.clone()).collect(),
        breach: Breach {
            // One copy more is worse than what was accepted.
            numbers: Some((pictures.len() as f64, 1.0)),
            short: "identical copy".to_owned(),
            found: format!("{} are identical files", name_pictures(&pictures, ToString::to_string)),
            fix: "replace the copy with the picture that was meant\nor take the copy out of the folder".to_owned(),
            ..Breach::default()
        },
        pictures: first_named(pictures),
    })
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::judge::acceptance::{Acceptance, AcceptanceReason};
    use crate::judge::testing::{brief, ids, sound_submission, with_sha256};
    use crate::judge::{RowState, Submission, judge};

    #[test]
    fn the_same_bytes_under_two_names_are_said_on_both_rows() {
        let all = brief("[[print]]\nsize = \"8 x 10 in\"");
        let one = with_sha256(sound_submission("a.jpg", 2400, 3000), "aa");
        let same = with_sha256(sound_submission("b.jpg", 2400, 3000), "aa");
        let other = with_sha256(sound_submission("c.jpg", 2400, 3000), "cc");
        let rows = judge(&all, &[one, same, other]).rows;
        let states: Vec<RowState> = rows.iter().map(|row| row.state).collect();
        assert_eq!(states, [RowState::Warn, RowState::Warn, RowState::Pass]);
        assert_eq!(ids(&rows[0]), ["set.duplicate"]);
        assert_eq!(rows[0].findings[0].found, "a.jpg and b.jpg are identical files");
    }

    #[test]
    fn many_copies_are_counted_and_not_listed_on_every_row() {
        let all = brief("[[print]]\nsize = \"8 x 10 in\"");
        let files: Vec<_> =
            (10..40).map(|n| with_sha256(sound_submission(&format!("{n}.jpg"), 2400, 3000), "aa")).collect();
        for row in judge(&all, &files).rows {
            assert_eq!(row.findings[0].found, "10.jpg, 11.jpg, 12.jpg, 13.jpg and 26 more are identical files");
            assert_eq!(row.findings[0].pictures.len(), 4);
        }
    }

    #[test]
    fn a_copy_that_fits_no_print_carries_the_finding_alone() {
        let one = brief("[[print]]\nsize = \"8 x 10 in\"\npicture = \"a\"");
        let file = with_sha256(sound_submission("a.jpg", 2400, 3000), "aa");
        let copy = with_sha256(sound_submission("b.jpg", 2400, 3000), "aa");
        let rows = judge(&one, &[file, copy]).rows;
        assert_eq!((rows[0].state, rows[1].state), (RowState::Pass, RowState::Extra));
        assert_eq!(ids(&rows[1]), ["set.duplicate"]);
    }

    #[test]
    fn a_copy_that_fits_no_print_hides_no_two_that_do() {
        let text = "[[print]]\nsize = \"8 x 10 in\"\npicture = \"a\"\n[[print]]\nsize = \"8 x 10 in\"\npicture = \"b\"";
        let all = ["a.jpg", "b.jpg", "copy.jpg"].map(|name| with_sha256(sound_submission(name, 2400, 3000), "aa"));
        let rows = judge(&brief(text), &all).rows;
        let states: Vec<RowState> = rows.iter().map(|row| row.state).collect();
        assert_eq!(states, [RowState::Warn, RowState::Warn, RowState::Extra]);
        assert!(rows.iter().all(|row| ids(row).contains(&"set.duplicate")));
    }

    #[test]
    fn a_third_copy_is_worse_than_the_two_that_were_accepted() {
        let all = brief("[[print]]\nsize = \"8 x 10 in\"\npictures = \"*\"");
        let file = |name: &str| with_sha256(sound_submission(name, 2400, 3000), "aa");
        let first = judge(&all, &[file("a.jpg"), file("b.jpg")]).rows.swap_remove(0);
        let said = AcceptanceReason {
            reason: "meant".to_owned(),
            by: "Maren".to_owned(),
            allowed_by: None,
            when: "2026-11-26".to_owned(),
            is_on_note: false,
        };
        let accepted = Acceptance::of(&first.findings[0], &first, said).unwrap();
        let accepted_files = |names: &[&str]| {
            let with = |name: &&str| Submission { acceptances: vec![Arc::new(accepted.clone())].into(), ..file(name) };
            judge(&all, &names.iter().map(with).collect::<Vec<_>>()).rows
        };
        assert!(accepted_files(&["a.jpg", "b.jpg"]).iter().all(|row| row.state == RowState::Pass));
        let three = accepted_files(&["a.jpg", "b.jpg", "c.jpg"]);
        assert!(three.iter().all(|row| row.state == RowState::Warn));
        assert_eq!(three[2].findings[0].lapsed.as_ref().unwrap().why, "it was 2 pictures and is now 3 pictures");
    }

    #[test]
    fn one_file_for_two_prints_is_no_duplicate() {
        let two = brief("[[print]]\nsize = \"8 x 10 in\"\n[[print]]\nsize = \"4 x 5 in\"");
        let rows = judge(&two, &[with_sha256(sound_submission("a.jpg", 2400, 3000), "aa")]).rows;
        assert!(rows.iter().all(|row| !ids(row).contains(&"set.duplicate")));
    }
}
