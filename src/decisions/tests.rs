//! Files as left by people and by two live tables.

use super::*;
use crate::brief::PrintId;
use crate::decisions::limits;
use crate::judge::EvidenceHandle;
use crate::judge::acceptance::{Acceptance, AcceptedValues};
use crate::judge::subject::{Area, BoxOrigin, DrawnBox};
use crate::measure::Evidence;
use crate::measure::Grid;
use crate::picture::PictureKey;
use std::fs;

fn drawn(left: f64, sha256: &str) -> DrawnBox {
    let look = Grid { across: 3, down: 2, fields: vec![1, 2, 3, 4, 5, 6] };
    DrawnBox { area: Area::new(left, 0.3, 0.9, 0.8).unwrap(), sha256: sha256.to_owned(), grey_thumbnail: look }
}

fn change(picture: &str, print: Option<&str>, drawn: Option<DrawnBox>) -> BoxChange {
    let print = print.map(|print| PrintId(print.into()));
    BoxChange { picture: PictureKey::from_text(picture), print, drawn }
}

struct DecisionsFolder {
    folder: tempfile::TempDir,
}

impl DecisionsFolder {
    fn new() -> DecisionsFolder {
        let home = DecisionsFolder { folder: tempfile::tempdir().unwrap() };
        fs::write(home.brief(), "").unwrap();
        home
    }

    fn brief(&self) -> PathBuf {
        self.folder.path().join("low-water.toml")
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("low-water.decisions.toml")
    }

    fn text(&self) -> String {
        fs::read_to_string(self.path()).unwrap()
    }

    fn write(&self, text: &str) {
        fs::write(self.path(), text).unwrap();
    }

    fn keep(&self, change: &BoxChange) -> Decisions {
        keep(&self.brief(), &[DecisionChange::Box(change.clone())]).unwrap_or_else(|error| panic!("{error}"))
    }

    /// Returns the problems of a text, as line and words.
    fn wrong(&self, text: &str) -> Vec<(usize, String)> {
        self.write(text);
        let problems = read(&self.brief()).expect_err("it is sound");
        assert!(keep(&self.brief(), &[DecisionChange::Box(change("a.jpg", None, Some(drawn(0.1, "a"))))]).is_err());
        assert_eq!(self.text(), text, "a broken file is never written");
        problems.into_iter().map(|problem| (problem.line, format!("{}; {}", problem.what, problem.fix))).collect()
    }
}

#[test]
fn what_is_kept_is_read_again() {
    let home = DecisionsFolder::new();
    assert_eq!(read(&home.brief()), Ok(Decisions::default()));
    home.keep(&change("p012.jpg", None, Some(drawn(0.1234, "aa"))));
    let kept = home.keep(&change("p012.jpg", Some("wall"), Some(drawn(0.5, "bb"))));
    assert_eq!(read(&home.brief()), Ok(kept.clone()));
    let boxes = kept.boxes.get(&PictureKey::from_text("p012.jpg"), None).unwrap();
    assert_eq!(boxes.of_picture, Some(drawn(0.1234, "aa")));
    assert_eq!(boxes.of_prints[&PrintId("wall".into())], drawn(0.5, "bb"));
    assert_eq!(fs::read_dir(home.folder.path()).unwrap().count(), 2, "nothing half-written remains");
    let removed = home.keep(&change("p012.jpg", None, None));
    assert_eq!(removed.boxes.get(&PictureKey::from_text("p012.jpg"), None).unwrap().of_picture, None);
    assert_eq!(home.keep(&change("p012.jpg", Some("wall"), None)), Decisions::default());
}

fn accepted(rule: &str, sha256: &str) -> Acceptance {
    let bound = AcceptedValues { sha256: sha256.to_owned(), measured: Some(0.1 + 0.2), ..AcceptedValues::default() };
    let (reason, by, when) = ("meant \"so\"".to_owned(), "Maren".to_owned(), "2026-11-30T12:00:00Z".to_owned());
    Acceptance {
        print: None,
        rule: rule.to_owned(),
        about: String::new(),
        reason,
        by,
        allowed_by: None,
        when,
        is_on_note: true,
        bound,
    }
}

fn of_finding(picture: &str, acceptance: Acceptance) -> DecisionChange {
    DecisionChange::Finding(FindingChange {
        picture: PictureKey::from_text(picture),
        print: None,
        rule: acceptance.rule.clone(),
        about: String::new(),
        acceptance: Some(Box::new(acceptance)),
    })
}

#[test]
fn a_thousand_changes_are_one_writing_and_what_is_decided_is_what_the_file_says() {
    let home = DecisionsFolder::new();
    home.keep(&change("p500.jpg", None, Some(drawn(0.1, "p500"))));
    let name = |at: usize| format!("p{:03}.jpg", (at * 7) % 1_000);
    let mut changes: Vec<DecisionChange> =
        (0..1_000).map(|at| of_finding(&name(at), accepted("tone.shadows", &format!("bytes {}", at % 300)))).collect();
    // The last change counts.
    changes.push(DecisionChange::Box(change("p500.jpg", None, None)));
    changes.push(DecisionChange::Box(change("p007.jpg", Some("wall"), Some(drawn(0.2, "p007")))));
    changes.push(of_finding("p003.jpg", accepted("tone.paper", "bytes 3")));
    let DecisionChange::Finding(taken) = of_finding("p004.jpg", accepted("tone.shadows", "")) else {
        panic!("it is one")
    };
    changes.push(DecisionChange::Finding(FindingChange { acceptance: None, ..taken }));
    let (text, kept) = document::apply_changes(&home.text(), &home.path(), &changes).unwrap();
    let one_by_one = changes.iter().fold(home.text(), |text, change| {
        document::apply_changes(&text, &home.path(), std::slice::from_ref(change)).unwrap().0
    });
    assert!(document::read(&text, &home.path()).as_ref() == Ok(&kept), "what was decided is what the file says");
    assert!(document::read(&one_by_one, &home.path()).as_ref() == Ok(&kept), "at once or one after the other");
    assert_eq!(kept.all().count(), 1_000);
    assert!(keep(&home.brief(), &changes) == Ok(kept));
}

#[test]
fn nothing_is_written_while_another_writes() {
    let home = DecisionsFolder::new();
    let other = os::lock_folder(home.folder.path(), &home.brief(), Duration::ZERO).unwrap();
    let draw = [DecisionChange::Box(change("a.jpg", None, Some(drawn(0.1, "aa"))))];
    let refused = keep_or_busy(&home.brief(), &draw, &|| true).unwrap_err();
    assert_eq!(refused, KeepError::Busy { path: home.path() });
    assert!(refused.to_string().contains("close it, then decide again"));
    assert!(!home.path().exists());
    drop(other);
    assert!(keep_or_busy(&home.brief(), &draw, &|| false).is_err() && !home.path().exists());
    assert!(keep_or_busy(&home.brief(), &draw, &|| true).is_ok());
}

#[test]
fn whoever_holds_the_lock_writes_while_all_others_wait() {
    let home = DecisionsFolder::new();
    let [mine, other] =
        ["a.jpg", "b.jpg"].map(|name| [DecisionChange::Box(change(name, None, Some(drawn(0.1, "aa"))))]);
    let held = lock(&home.brief()).unwrap();
    assert!(matches!(keep_or_busy(&home.brief(), &other, &|| true), Err(KeepError::Busy { .. })));
    keep_locked(&held, &home.brief(), &mine).unwrap();
    drop(held);
    let all = keep_or_busy(&home.brief(), &other, &|| true).unwrap();
    assert_eq!(all.boxes.iter().count(), 2);
}

#[test]
fn nothing_is_kept_beside_a_brief_that_is_gone_and_one_that_is_being_saved_is_waited_for() {
    let home = DecisionsFolder::new();
    let draw = [DecisionChange::Box(change("a.jpg", None, Some(drawn(0.1, "aa"))))];
    fs::remove_file(home.brief()).unwrap();
    assert_eq!(keep(&home.brief(), &draw), Err(KeepError::NoBrief { path: home.brief() }));
    assert!(!home.path().exists());
    std::thread::scope(|scope| {
        scope.spawn(|| {
            std::thread::sleep(limits::BRIEF_GONE_AFTER / 4);
            fs::write(home.brief(), "").unwrap();
        });
        assert!(keep(&home.brief(), &draw).is_ok());
    });
}

#[test]
fn what_a_killed_one_left_beside_the_brief_is_cleared_with_the_next_decision() {
    let home = DecisionsFolder::new();
    fs::write(home.folder.path().join(".plateside-a1b2c3"), "version = 1\n[[subj").unwrap();
    home.keep(&change("a.jpg", None, Some(drawn(0.1, "aa"))));
    assert_eq!(fs::read_dir(home.folder.path()).unwrap().count(), 2, "the brief and what is decided");
}

#[test]
fn of_a_thousand_mistakes_the_first_hundred_are_told() {
    let home = DecisionsFolder::new();
    home.write(&format!("version = 1\n{}", "[[subject]]\nbox = 3\n".repeat(1_000)));
    assert_eq!(read(&home.brief()).unwrap_err().len(), 100);
}

#[test]
fn entries_are_sorted_and_the_same_whatever_their_order() {
    let (one, other) = (DecisionsFolder::new(), DecisionsFolder::new());
    let names = ["p014.jpg", "p012.jpg", "p018.jpg"];
    names.iter().for_each(|name| drop(one.keep(&change(name, None, Some(drawn(0.1, name))))));
    names.iter().rev().for_each(|name| drop(other.keep(&change(name, None, Some(drawn(0.1, name))))));
    assert_eq!(one.text(), other.text());
    let text = one.text();
    let places: Vec<_> = ["p012", "p014", "p018"].map(|name| text.find(name).unwrap()).into();
    assert!(places.is_sorted(), "{text}");
    one.keep(&change("p014.jpg", None, Some(drawn(0.1, "p014.jpg"))));
    assert_eq!(one.text(), text, "the same again changes nothing");
}

#[test]
fn comments_and_unknown_parts_stay() {
    let home = DecisionsFolder::new();
    let before = "# by Fennimore Quay\nversion = 1\nlater = true\n\n[[later_list]]\nrule = \"tone.shadows\" # meant\n\n\
                  # the tart\n[[subject]]\npicture = \"b.jpg\"\nbox = [0.1, 0.3, 0.9, 0.8] # the rim\nnote = \"keep\"\n\
                  \n\
                  # the end\n";
    home.write(before);
    home.keep(&change("b.jpg", None, Some(drawn(0.25, "bb"))));
    home.keep(&change("a.jpg", None, Some(drawn(0.5, "aa"))));
    let after = home.text();
    for kept in [
        "# by Fennimore Quay",
        "later = true",
        "rule = \"tone.shadows\" # meant",
        "# the tart\n[[subject]]",
        "box = [0.25, 0.3, 0.9, 0.8] # the rim",
        "note = \"keep\"",
        "# the end",
    ] {
        assert!(after.contains(kept), "{kept} is gone:\n{after}");
    }
    home.keep(&change("a.jpg", None, None));
    home.keep(&change("b.jpg", None, None));
    assert!(home.text().contains("[[later_list]]") && !home.text().contains("\n[[subject]]"), "{}", home.text());
}

#[test]
fn a_broken_file_says_where_and_what_to_do() {
    let home = DecisionsFolder::new();
    let one = |text: &str| {
        let wrong = home.wrong(text);
        assert_eq!(wrong.len(), 1, "{wrong:?}");
        wrong[0].clone()
    };
    assert_eq!(one("version = 1\n[[subject]\n").0, 2);
    assert!(one("[[subject]]\npicture = \"a.jpg\"\nbox = [0, 0, 1, 1]\n").1.contains("write version = 1"));
    assert!(one("version = 2\n").1.contains("newer"));
    let (line, words) = one("version = 1\n\n[[subject]]\npicture = \"a.jpg\"\nbox = [0.5, 0, 0.2, 1]\n");
    assert!(line == 5 && words.contains("left, top, right, bottom"), "{words}");
    assert_eq!(one("version = 1\n[[subject]]\nbox = [0, 0, 1, 1]\n").0, 2);
    assert!(one("version = 1\n[[subject]]\npicture = \"a.jpg\"\n").1.contains("without a box"));
    assert_eq!(one("version = 1\n[[subject]]\npicture = \"a\"\nbox = [0, 0, 1, 1]\nlook = \"3x2 AAAA\"\n").0, 5);
    assert!(one("version = 1\nsubject = 3\n").1.contains("[[subject]]"));
    let twice = "[[subject]]\npicture = \"a.jpg\"\nbox = [0, 0, 1, 1]\n";
    assert_eq!(one(&format!("version = 1\n{twice}{twice}")).0, 6);
    assert_eq!(home.wrong("version = 1\n[[subject]]\n[[subject]]\npicture = 3\n").len(), 4);
    fs::write(home.path(), b"version = 1\n# \xff\n").unwrap();
    assert_eq!(read(&home.brief()).unwrap_err()[0].line, 2);
    let words = problem_words(&read(&home.brief()).unwrap_err());
    assert!(words.starts_with("low-water.decisions.toml, line 2: "), "{words}");
}

#[test]
fn names_cannot_act_on_the_line() {
    let home = DecisionsFolder::new();
    let name = "tart\u{1b}[31m\u{202e}\"\\gpj.jpg";
    let kept = home.keep(&change(name, None, Some(drawn(0.1, "a"))));
    assert!(kept.boxes.get(&PictureKey::from_text(name), None).is_some());
    assert!(!home.text().contains(['\u{1b}', '\u{202e}']), "{:?}", home.text());
    home.keep(&change(name, None, Some(drawn(0.2, "b"))));
    assert_eq!(home.text().matches("\n[[subject]]").count(), 1);
}

#[cfg(unix)]
#[test]
fn decisions_lie_beside_the_brief_itself_and_a_link_to_nothing_is_told() {
    use std::os::unix::fs::symlink;
    let home = DecisionsFolder::new();
    let elsewhere = tempfile::tempdir().unwrap();
    let link = elsewhere.path().join("order.toml");
    symlink(home.brief(), &link).unwrap();
    let kept = keep(&link, &[DecisionChange::Box(change("a.jpg", None, Some(drawn(0.1, "aa"))))]).unwrap();
    assert_eq!(read(&home.brief()), Ok(kept));
    fs::remove_file(home.path()).unwrap();
    symlink(elsewhere.path().join("away.toml"), home.path()).unwrap();
    assert!(read(&home.brief()).unwrap_err()[0].what.contains("a link to a file that is not there"));
    assert!(keep(&home.brief(), &[]).is_err() && home.path().symlink_metadata().unwrap().is_symlink());
}

#[test]
fn decisions_under_the_earlier_name_are_never_passed_over() {
    let home = DecisionsFolder::new();
    std::fs::write(home.path().with_file_name("low-water.accepted.toml"), "version = 1\n").unwrap();
    let problems = read(&home.brief()).unwrap_err();
    assert_eq!(problems[0].fix, "rename it to low-water.decisions.toml");
    assert!(keep(&home.brief(), &[DecisionChange::Box(change("a.jpg", None, Some(drawn(0.1, "aa"))))]).is_err());
    assert!(!home.path().exists());
}

#[test]
fn a_renamed_file_is_known_by_its_bytes() {
    let home = DecisionsFolder::new();
    let kept = home.keep(&change("a.jpg", None, Some(drawn(0.1, "aa"))));
    let (old, new) = (PictureKey::from_text("a.jpg"), PictureKey::from_text("b.jpg"));
    assert_eq!(kept.boxes.stored_name(&new, Some("aa")), &old);
    assert!(kept.boxes.get(&new, Some("aa")).is_some() && kept.boxes.get(&new, Some("bb")).is_none());
    let subjects =
        kept.boxes.get(&new, Some("aa")).unwrap().carried_to(Some(&EvidenceHandle::in_memory(Evidence::nothing("aa"))));
    assert_eq!(subjects.of_picture.unwrap().origin, BoxOrigin::Drawn);
}

#[test]
fn what_was_decided_on_the_same_bytes_comes_before_what_is_under_the_name() {
    let home = DecisionsFolder::new();
    home.keep(&change("a.jpg", None, Some(drawn(0.1, "aa"))));
    let kept = home.keep(&change("b.jpg", None, Some(drawn(0.2, "bb"))));
    let [a, b] = ["a.jpg", "b.jpg"].map(PictureKey::from_text);
    // The two files swapped their names; an export that nobody saw before goes by its name.
    assert_eq!((kept.boxes.stored_name(&b, Some("aa")), kept.boxes.stored_name(&a, Some("bb"))), (&a, &b));
    assert_eq!(kept.boxes.stored_name(&a, Some("cc")), &a);
    // A copy of the same bytes with a decision of its own keeps that.
    let kept = home.keep(&change("c.jpg", None, Some(drawn(0.3, "aa"))));
    let c = PictureKey::from_text("c.jpg");
    assert_eq!((kept.boxes.stored_name(&c, Some("aa")), kept.boxes.stored_name(&a, Some("aa"))), (&c, &a));
}

#[test]
fn live_tables_that_write_at_the_same_time_lose_nothing() {
    let home = DecisionsFolder::new();
    std::thread::scope(|scope| {
        for table in 0..4 {
            let home = &home;
            scope.spawn(move || {
                for at in 0..6 {
                    home.keep(&change(&format!("p{table}{at}.jpg"), None, Some(drawn(0.1, &format!("{table}{at}")))));
                }
            });
        }
    });
    assert_eq!(read(&home.brief()).unwrap().boxes.iter().count(), 24);
}

#[test]
fn what_an_editor_saves_meanwhile_is_not_written_over() {
    let home = DecisionsFolder::new();
    home.keep(&change("a.jpg", None, Some(drawn(0.1, "aa"))));
    let edited = fs::read_to_string(home.path()).unwrap().replace("# Your decisions", "# By hand: decisions");
    let changes = [DecisionChange::Box(change("b.jpg", None, Some(drawn(0.2, "bb"))))];
    let path = home.path();
    let draft = Draft::prepare(&path, &changes).unwrap().unwrap();
    // As editors save: by replacing the file.
    let beside = path.with_extension("new");
    fs::write(&beside, &edited).unwrap();
    fs::rename(beside, &path).unwrap();
    assert_eq!(draft.write_if_unchanged(), Ok(None));
    assert_eq!(fs::read_to_string(home.path()).unwrap(), edited);
    let kept = keep(&home.brief(), &changes).unwrap();
    assert_eq!(kept.boxes.iter().count(), 2);
    let text = fs::read_to_string(home.path()).unwrap();
    assert!(text.starts_with("# By hand"), "{text:.60}");
}
