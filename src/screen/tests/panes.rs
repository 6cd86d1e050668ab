//! The panes that stand in place of the details.

use crossbeam_channel::{Receiver, unbounded};

use super::desk::book;
use super::{Shown, golden, keys, text, theme};
use crate::desk::Snapshot;
use crate::desk::snapshot::Command;
use crate::screen::app::Reaction;
use crate::screen::handing::{Asked, HandOver, Told};
use crate::units::styled::Line;

/// Says that two pictures would go, and lays nothing.
struct Lent;

impl HandOver for Lent {
    fn asked(&self, _: &Snapshot) -> Asked {
        let lines = vec![Line::plain("2 pictures go for 2 prints")];
        Asked { may: true, lines, into: "low-water-handover-2026-11-26".to_owned() }
    }

    fn lay(&self, _: &str) -> Receiver<Told> {
        let (tell, telling) = unbounded();
        tell.send(Told::Laid(vec![Line::plain("2 pictures laid")])).unwrap();
        telling
    }
}

fn after(letters: &str) -> String {
    let mut shown = Shown::new(book(), theme(), (100, 30));
    shown.app = shown.app.handing_over(Box::new(Lent));
    text(&shown.after(letters))
}

#[test]
fn a_key_that_does_nothing_says_so_until_the_next() {
    let said = |letters: &str| text(&Shown::new(book(), theme(), (140, 40)).after(letters));
    assert!(said("a").contains("nothing to accept in this row"));
    assert!(said("A").contains("nothing in this row is asked again"));
    assert!(said("x").contains("this key means nothing here") && !said("x,").contains("this key means nothing here"));
}

#[test]
fn the_larger_picture_is_named_with_its_state_and_what_is_found() {
    let shown = text(&Shown::new(book(), theme(), (100, 30)).after(",,l"));
    let line = shown.lines().nth(1).unwrap();
    assert!(line.contains("p018-brown-butter-leeks.jpg · FIX · 214 ppi"), "{shown}");
}

#[test]
fn an_order_is_handed_over_in_place_of_the_details() {
    let asked = after("h");
    for words in ["2 pictures go for 2 prints", "into low-water-handover-2026-11-26_", "Enter hand over"] {
        assert!(asked.contains(words), "{asked}");
    }
    let laid = after("h2$");
    assert!(laid.contains("2 pictures laid"), "{laid}");
    let closed = after("h2$^");
    assert!(!closed.contains("pictures laid") && closed.contains("PASS"), "{closed}");
}

#[test]
fn marked_rows_are_accepted_together_and_named_in_the_footer() {
    let mut shown = Shown::new(book(), theme(), (100, 30));
    shown.draw(None);
    keys("  ").iter().for_each(|event| drop(shown.app.handle(event)));
    let drawn = text(&shown.draw(None));
    assert!(drawn.contains("2 marked"), "{drawn}");
    let marked = drawn.lines().filter(|line| line.chars().nth(1) == Some('+')).count();
    assert_eq!(marked, 2, "{drawn}");
    // On the third row, whose findings the two marked ones do not have, and on its mark over the filled FIX.
    keys("a").iter().for_each(|event| drop(shown.app.handle(event)));
    let drawn = text(&shown.draw(None));
    assert!(drawn.contains("None of 2 marked rows has this finding"), "{drawn}");
    let asked = keys("x$me$").iter().fold(None, |_, event| Some(shown.app.handle(event)));
    let Some(Reaction::Ask(Command::Accept(asked))) = asked else { panic!("{asked:?}") };
    assert_eq!(asked.rows.len(), 2);
    keys(" ").iter().for_each(|event| drop(shown.app.handle(event)));
    let drawn = text(&shown.draw(None));
    assert!(drawn.contains("1 marked") && drawn.contains("+FIX"), "{drawn}");
}

#[test]
fn an_order_is_handed_over_where_the_filter_shows_no_row_too() {
    let asked = after("/rhubarb$h");
    assert!(asked.contains("2 pictures go for 2 prints"), "{asked}");
}

#[test]
fn a_finding_is_accepted_in_place_of_the_details() {
    golden("accepting_100x30", book(), (100, 30), ",,ait hangs high");
}
