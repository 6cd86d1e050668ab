//! version.age: a version that was exported before the other was changed.

use std::collections::BTreeMap;

use crate::brief::requirements::Level;
use crate::judge::matching::siblings::{SiblingPair, SiblingPicture, pairs};
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};

/// Files written within this many nanoseconds of each other belong to one run of exports: two minutes. Own choice.
const ONE_RUN_NS: i128 = 120 * 1_000_000_000;
/// Fewest prints that show in which order two versions are exported. Own choice.
const MIN_PRINTS: usize = 4;
/// Least share of the prints that shows it: three in four. Own choice.
const MIN_SHARE: (usize, usize) = (3, 4);

pub static RULE: Rule = Rule {
    id: "version.age",
    group: RuleGroup::Version,
    title: "Version left behind",
    question: "Was each version exported again when the other was changed?",
    level: Level::Should,
    why: "the correction that the client asked for is in one version and not in the other",
    page: "The times of the last write are compared between the pictures of a print in two versions. The \
           prints show in which order you export versions: where three in four of at least four prints were written \
           within two minutes, or three in four have the same version later, a print that differs was changed in one \
           version alone, and the other was left behind. Where no habit shows, nothing is reported.",
    fix: "Export the older version again.",
    misses: "It knows the time of the file, not of the edit: copies and downloads change it. Where the version that is \
             usually later was exported again alone, that looks like the habit, and so do changes in most prints.",
    keys: &["version.folder"],
    source: "ours",
    samples: RuleExamples {
        passes: "all masters written on Monday, all press files on Tuesday",
        fails: "the master of one print in twelve was exported again on Thursday",
    },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

/// When the second of two versions is written, by habit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Habit {
    /// With the first, in one run.
    Together,
    /// After the first.
    After,
    /// Before the first.
    Before,
}

fn check(order: &JudgedOrder, report: BreachSink) {
    let mut by_versions: BTreeMap<(usize, usize), Vec<SiblingPair>> = BTreeMap::new();
    for pair in pairs(order).into_iter().filter(|pair| pair.0.row.modified_ns != 0 && pair.1.row.modified_ns != 0) {
        by_versions.entry((pair.0.version, pair.1.version)).or_default().push(pair);
    }
    for pairs in by_versions.into_values() {
        let Some(habit) = habit(&pairs) else { continue };
        pairs.iter().filter_map(|pair| left_behind(pair, habit)).for_each(&mut *report);
    }
}

/// Returns how a pair was written.
fn written((first, other): &SiblingPair) -> Habit {
    let later_by = other.row.modified_ns - first.row.modified_ns;
    match later_by {
        _ if later_by.abs() <= ONE_RUN_NS => Habit::Together,
        1.. => Habit::After,
        _ => Habit::Before,
    }
}

/// Returns how most pairs were written.
fn habit(pairs: &[SiblingPair]) -> Option<Habit> {
    let is_of_most = |habit: &Habit| {
        let count = pairs.iter().filter(|pair| written(pair) == *habit).count();
        count * MIN_SHARE.1 >= pairs.len() * MIN_SHARE.0
    };
    let all = [Habit::Together, Habit::After, Habit::Before];
    all.into_iter().find(is_of_most).filter(|_| pairs.len() >= MIN_PRINTS)
}

/// Returns the breach of a pair that was not written as the others, on the older of the two.
fn left_behind(pair: &SiblingPair, habit: Habit) -> Option<OrderBreach> {
    let (first, other): (&SiblingPicture, &SiblingPicture) = (&pair.0, &pair.1);
    let (older, newer) = match (habit, written(pair)) {
        (Habit::Together | Habit::Before, Habit::After) => (first, other),
        (Habit::Together | Habit::After, Habit::Before) => (other, first),
        _ => return None,
    };
    let (old, new) = (older.row.key.picture.as_ref()?, newer.row.key.picture.as_ref()?);
    Some(OrderBreach {
        rows: vec![older.row.key.clone()],
        pictures: vec![old.clone(), new.clone()],
        breach: Breach {
            short: "left behind".to_owned(),
            found: format!("written before {new} was written again, unlike the other prints of these versions"),
            fix: "export this version again\nif nothing was changed in it, accept the finding".to_owned(),
            ..Breach::default()
        },
    })
}

#[cfg(test)]
mod tests {
    use crate::judge::matching::siblings::testing::TWO;
    use crate::judge::testing::{brief, sound_submission};
    use crate::judge::{Submission, judge};

    /// Returns the pictures that are left behind, of prints whose files were written at these minutes: master, press.
    fn left_behind(minutes: &[(i128, i128)]) -> Vec<String> {
        let print = |at: usize| format!("[[print]]\nname = \"p{at}\"\nsize = \"8 x 10 in\"\npicture = \"p{at}\"\n");
        let text = TWO.to_owned() + &(0..minutes.len()).map(print).collect::<String>();
        let file = |folder: &str, at: usize, minute: i128| Submission {
            modified_ns: minute * 60 * 1_000_000_000,
            ..sound_submission(&format!("{folder}/p{at}.jpg"), 2400, 3000)
        };
        let both = minutes.iter().enumerate();
        let mut files: Vec<Submission> =
            both.flat_map(|(at, (one, two))| [file("rgb", at, *one), file("cmyk", at, *two)]).collect();
        files.sort_by(|one, other| one.key.cmp(&other.key));
        let is_behind = |row: &&crate::judge::Row| row.findings.iter().any(|one| one.rule.id == "version.age");
        let rows = judge(&brief(&text), &files).rows;
        rows.iter().filter(is_behind).map(|row| row.key.picture.as_ref().unwrap().to_string()).collect()
    }

    #[test]
    fn the_version_that_was_not_exported_again_is_named_where_the_others_show_the_habit() {
        assert_eq!(left_behind(&[(1, 100), (2, 101), (3, 102), (500, 103)]), ["cmyk/p3.jpg"]);
        assert_eq!(left_behind(&[(1, 2), (2, 2), (3, 4), (500, 4)]), ["cmyk/p3.jpg"]);
        assert_eq!(left_behind(&[(1, 2), (2, 2), (3, 4), (4, 500)]), ["rgb/p3.jpg"]);
        assert_eq!(left_behind(&[(100, 1), (101, 2), (102, 3), (103, 500)]), ["rgb/p3.jpg"]);
    }

    #[test]
    fn no_habit_and_few_prints_say_nothing() {
        assert!(left_behind(&[(1, 100), (2, 101), (300, 102), (400, 103)]).is_empty());
        assert!(left_behind(&[(1, 100), (2, 101), (500, 102)]).is_empty());
        assert!(left_behind(&[(1, 100), (2, 101), (3, 102), (4, 103)]).is_empty());
    }
}
