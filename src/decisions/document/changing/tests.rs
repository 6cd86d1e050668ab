//! The resulting text does not depend on the size of the pieces.

use proptest::prelude::*;
use std::fmt::Write as _;

use super::*;
use crate::brief::PrintId;
use crate::judge::acceptance::{Acceptance, AcceptedValues};
use crate::judge::model::test_print::TestPrintRemark;
use crate::judge::subject::{Area, DrawnBox};
use crate::measure::Grid;
use crate::picture::PictureKey;

const HEAD: &str = "version = 1\n";
/// More than the number of tables in any text here.
const ALL: usize = 1_000;

fn print_of(word: &str) -> Option<PrintId> {
    (!word.is_empty()).then(|| PrintId(word.into()))
}

fn subject(picture: &str, print: &str, left: Option<f64>) -> DecisionChange {
    let drawn = |left| DrawnBox {
        area: Area::new(left, 0.3, 0.9, 0.8).unwrap(),
        sha256: String::new(),
        grey_thumbnail: Grid::default(),
    };
    let (picture, print) = (PictureKey::from_text(picture), print_of(print));
    DecisionChange::Box(BoxChange { picture, print, drawn: left.map(drawn) })
}

fn finding(picture: &str, print: &str, by: Option<&str>) -> DecisionChange {
    let (picture, print, rule, about) =
        (PictureKey::from_text(picture), print_of(print), "tone.paper".to_owned(), String::new());
    let acceptance = by.map(|by| {
        let bound = AcceptedValues { sha256: "aa".to_owned(), ..AcceptedValues::default() };
        let (reason, by, when) = ("meant so".to_owned(), by.to_owned(), String::new());
        let (print, rule, about) = (print.clone(), rule.clone(), about.clone());
        Box::new(Acceptance { print, rule, about, reason, by, allowed_by: None, when, is_on_note: false, bound })
    });
    DecisionChange::Finding(FindingChange { picture, print, rule, about, acceptance })
}

fn seen(picture: &str, print: &str, by: Option<&str>) -> DecisionChange {
    let (picture, print) = (PictureKey::from_text(picture), print_of(print));
    let remark = by.map(|by| {
        let (saw, sha256, pixels) = ("it is good".to_owned(), "aa".to_owned(), String::new());
        Box::new(TestPrintRemark {
            print: print.clone(),
            saw,
            is_approved: true,
            by: by.to_owned(),
            when: String::new(),
            sha256,
            pixel_digest: pixels,
        })
    });
    DecisionChange::TestPrint(RemarkChange { picture, print, remark })
}

/// A table as a person may write it.
fn table(list: &str, picture: &str, print: &str) -> String {
    let print = if print.is_empty() { String::new() } else { format!("print = \"{print}\"\n") };
    let rest = match list {
        "subject" => "box = [\n0.1, 0.3,\n# the rim\n0.9, 0.8] # drawn\n",
        "accepted" => {
            "rule = \"tone.paper\"\nreason = \"meant so\"\nby = \"Maren\" # at the live table\nbytes = \"aa\"\n"
        }
        _ => "saw = \"it is good\"\nby = \"Maren\"\nbytes = \"aa\"\nnote = 3\n",
    };
    format!("[[{list}]]\n{print}picture = \"{picture}\"\n{rest}")
}

fn text(pieces: usize, before: &str, changes: &[DecisionChange]) -> String {
    apply_in_pieces(before, Path::new("b.decisions.toml"), changes, pieces).expect("it is sound").0
}

/// Returns the resulting text, checked to be the same in pieces of one, two or more tables.
fn after(before: &str, changes: &[DecisionChange]) -> String {
    let whole = text(ALL, before, changes);
    for tables in 1..4 {
        assert_eq!(text(tables, before, changes), whole, "{tables} tables a piece");
    }
    whole
}

#[test]
fn what_stands_above_a_table_goes_with_it() {
    let (a, b) = (table("seen", "a", ""), table("seen", "b", ""));
    let before = format!("{HEAD}\n# of a\n\n{a}\n# of b\n{b}\n# the end\n");
    assert_eq!(after(&before, &[seen("a", "", None)]), format!("{HEAD}\n# of b\n{b}\n# the end\n"));
    assert_eq!(after(&before, &[seen("b", "", None)]), format!("{HEAD}\n# of a\n\n{a}\n# the end\n"));
    let none = format!("{HEAD}\n# the end\n");
    assert_eq!(after(&before, &[seen("b", "", None), seen("a", "", None)]), none);
    let between = after(&before, &[seen("aa", "", Some("Iven"))]);
    let new = between
        .strip_prefix(&format!("{HEAD}\n# of a\n\n{a}"))
        .and_then(|rest| rest.strip_suffix(&format!("\n# of b\n{b}\n# the end\n")));
    assert!(new.is_some_and(|new| new.starts_with("\n[[seen]]\npicture = \"aa\"\n")), "{between}");
}

#[test]
fn a_new_table_stands_beside_those_of_its_list_wherever_other_lists_stand() {
    let (a, b, c) = (table("seen", "b", ""), table("accepted", "b", ""), table("seen", "d", ""));
    let before = format!("{HEAD}\n{a}\n{b}\n{c}");
    let heads = |text: &str| {
        let lines = text.lines().filter(|line| line.starts_with("[[") || line.starts_with("picture"));
        lines.map(|line| line.trim_matches(['[', ']', '"']).replace("picture = \"", " ")).collect::<String>()
    };
    let first = after(&before, &[seen("a", "", Some("Iven")), finding("a", "", Some("Iven"))]);
    assert_eq!(heads(&first), "seen aseen baccepted aaccepted bseen d");
    let last = after(&before, &[finding("c", "", Some("Iven")), seen("c", "", Some("Iven"))]);
    assert_eq!(heads(&last), "seen bseen caccepted baccepted cseen d");
    let begun = after(&before, &[subject("z", "", Some(0.1)), subject("y", "", Some(0.1))]);
    assert_eq!(heads(&begun), "seen baccepted bseen dsubject ysubject z");
    let replaced = after(&before, &[finding("b", "", None), finding("a", "", Some("Iven"))]);
    assert_eq!(heads(&replaced), "seen bseen daccepted a");
    let all = [seen("a", "", Some("Iven")), finding("a", "", Some("Iven")), subject("a", "", Some(0.1))];
    assert_eq!(heads(&after("", &all)), "subject aaccepted aseen a");
    assert!(after("\n", &all).starts_with(FILE_HEADER));
}

#[test]
fn what_is_not_changed_stays_byte_for_byte() {
    let odd = "[[seen]]  \n  picture=\"b\"\t\nsaw = 'x'\nby=\"M\"\nbytes = \"a\"\nlater.a = 1\nother = 2\nlater.b = 3";
    let before = format!("{HEAD}{}{odd}", table("seen", "a", ""));
    let changed = text(1, &before, &[seen("a", "", Some("Iven"))]);
    assert!(changed.ends_with(odd), "{changed}");
    assert_eq!(text(1, &before, &[]), before);
    assert_eq!(text(1, &before, &[seen("c", "", None)]), before, "nothing of it is there");
}

#[test]
fn lines_end_with_a_line_feed_alone_afterwards() {
    let before = format!("{HEAD}\n# of a\n{}\n{}", table("seen", "a", ""), table("subject", "a", ""));
    let change = [seen("b", "", Some("Iven")), subject("a", "", Some(0.25))];
    assert_eq!(after(&before.replace('\n', "\r\n"), &change), after(&before, &change));
}

#[test]
fn a_text_that_cannot_be_parted_is_changed_as_a_whole() {
    let later = format!("{}\n[[later]]\na = 1\n\n# more\n[subject.more]\nb = 1\n", table("subject", "b", ""));
    let changed = after(&format!("{HEAD}{later}"), &[subject("a", "", Some(0.25)), subject("c", "", Some(0.25))]);
    let (before, behind) = changed.split_once("[[later]]").unwrap();
    assert!(before.starts_with(&format!("{HEAD}\n[[subject]]\npicture = \"a\"\n")), "{changed}");
    assert!(behind.contains("# more\n[subject.more]\nb = 1\n\n[[subject]]\npicture = \"c\"\n"), "{changed}");
}

#[test]
fn a_wrong_text_is_refused_with_the_same_problems_in_pieces() {
    let sound = table("seen", "a", "");
    for wrong in ["by = \n", "a = [1,\n", "[[seen]]\n", "by = \"Maren\"\n", "bytes = \"aa\nz = 3\n", &sound] {
        let text = format!("{HEAD}{sound}{wrong}\n{}{}", table("accepted", "b", ""), table("seen", "c", ""));
        let of = |tables| apply_in_pieces(&text, Path::new("b.decisions.toml"), &[], tables).unwrap_err();
        assert_eq!(of(1), of(ALL), "{wrong}");
    }
}

#[test]
fn about_nothing_is_the_same_whether_it_is_said_or_not() {
    let before = format!("{HEAD}{}about = \"\"\n", table("accepted", "a", ""));
    let changed = after(&before, &[finding("a", "", Some("Iven"))]);
    assert!(changed.matches("[[accepted]]").count() == 1 && changed.contains("\"Iven\""), "{changed}");
    assert_eq!(after(&before, &[finding("a", "", None)]), HEAD);
}

#[test]
fn of_changes_of_one_name_the_last_counts() {
    let before = format!("{HEAD}# of a\n{}", table("seen", "a", ""));
    let again = after(&before, &[seen("a", "", None), seen("a", "", Some("Iven"))]);
    assert!(again.starts_with(&format!("{HEAD}# of a\n")) && again.contains("\"Iven\""), "{again}");
    assert_eq!(after(&before, &[seen("a", "", Some("Iven")), seen("a", "", None)]), HEAD);
}

const LISTS_OF_TEXT: [&str; 3] = ["subject", "accepted", "seen"];
const PICTURES: [&str; 5] = ["a", "b", "b/c", "d", "e"];
const PRINTS: [&str; 2] = ["", "wall"];
const ABOVE: [&str; 4] = ["", "\n", "\n# about this\n", "# all of this\n\n# and this\n"];

/// A list, a picture and a print, by their numbers.
type Which = (usize, usize, usize);

fn which() -> impl Strategy<Value = Which> {
    (0..LISTS_OF_TEXT.len(), 0..PICTURES.len(), 0..PRINTS.len())
}

fn text_of(tables: &[(Which, usize)], end: usize) -> String {
    let mut text = HEAD.to_owned();
    for (at, &((list, picture, print), above)) in tables.iter().enumerate() {
        if !tables[..at].iter().any(|(other, _)| *other == (list, picture, print)) {
            let table = table(LISTS_OF_TEXT[list], PICTURES[picture], PRINTS[print]);
            write!(text, "{}{table}", ABOVE[above]).unwrap();
        }
    }
    text + ABOVE[end]
}

fn change_of(((list, picture, print), withdrawn): (Which, bool)) -> DecisionChange {
    let (picture, print) = (PICTURES[picture], PRINTS[print]);
    match list {
        0 => subject(picture, print, (!withdrawn).then_some(0.25)),
        1 => finding(picture, print, (!withdrawn).then_some("Iven")),
        _ => seen(picture, print, (!withdrawn).then_some("Iven")),
    }
}

/// Returns the names in each list of a text, in their order.
fn names(text: &str) -> [Vec<TableName>; 5] {
    let document: DocumentMut = text.parse().unwrap();
    LISTS.each_ref().map(|list| list.tables(&document).map(|table| list.name_of(table)).collect())
}

proptest! {
    #[test]
    fn any_text_is_the_same_afterwards_in_pieces_of_any_size(
        tables in proptest::collection::vec((which(), 0..ABOVE.len()), 0..12),
        ascending in any::<bool>(),
        end in 0..ABOVE.len(),
        changes in proptest::collection::vec((which(), any::<bool>()), 0..8),
    ) {
        let mut tables = tables;
        if ascending {
            tables.sort_by_key(|&((list, picture, print), _)| (picture, print, list));
        }
        let before = text_of(&tables, end);
        let changes: Vec<DecisionChange> = changes.into_iter().map(change_of).collect();
        let path = Path::new("b.decisions.toml");
        let (whole, kept) = apply_in_pieces(&before, path, &changes, ALL).unwrap();
        for tables in 1..4 {
            let (in_pieces, also_kept) = apply_in_pieces(&before, path, &changes, tables).unwrap();
            prop_assert_eq!(&in_pieces, &whole);
            prop_assert!(also_kept == kept);
        }
        prop_assert!(crate::decisions::document::read(&whole, path).as_ref() == Ok(&kept));
        for (before, after) in names(&before).iter().zip(names(&whole)) {
            prop_assert!(!before.is_sorted() || after.is_sorted());
        }
    }
}
