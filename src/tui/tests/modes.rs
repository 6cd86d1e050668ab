//! The stack of modes: which one is topmost, and what is passed to those below.

use std::sync::Arc;
use std::time::{Duration, Instant};

use crossterm::event::{Event, KeyModifiers, MouseEvent, MouseEventKind};

use super::order::{book, faulty, notice, snapshot_of};
use super::{Shown, keys, text, theme};
use crate::judge::RowKey;
use crate::live::Snapshot;
use crate::tui::app::Reaction;
use crate::tui::keys::Context;

/// Returns the context after each of some keys.
fn contexts(shown: &mut Shown, letters: &str) -> Vec<Context> {
    let after = |event: &Event| {
        shown.app.handle(event);
        shown.app.context()
    };
    keys(letters).iter().map(after).collect()
}

#[test]
fn each_mode_closes_to_the_one_it_was_opened_over() {
    let mut shown = Shown::new(snapshot_of([faulty()]), theme(), (100, 30));
    let (table, large, subject, help) = (Context::Table, Context::Large, Context::Subject, Context::Help);
    assert_eq!(contexts(&mut shown, "lb?^^^"), [large, subject, help, subject, large, table]);
    assert_eq!(contexts(&mut shown, "l??l"), [large, help, large, table]);
    assert_eq!(contexts(&mut shown, "/l^"), [Context::Filter, Context::Filter, table]);
}

#[test]
fn the_large_picture_and_the_filter_pass_on_what_moves_through_the_rows() {
    let selected = |shown: &Shown| shown.app.state().view.selected().cloned();
    let second: RowKey = book().rows[1].row.key.clone();
    for opened in ["l", "/"] {
        let mut shown = Shown::new(book(), theme(), (100, 30));
        contexts(&mut shown, opened);
        contexts(&mut shown, ",");
        assert_eq!(selected(&shown).as_ref(), Some(&second), "{opened}");
    }
    let mut shown = Shown::new(book(), theme(), (100, 30));
    contexts(&mut shown, "?,");
    assert_eq!(selected(&shown).as_ref(), Some(&book().rows[0].row.key), "the help covers the rows");
}

#[test]
fn neither_letters_nor_the_pointer_reach_what_the_help_covers() {
    let mut shown = Shown::new(snapshot_of([faulty()]), theme(), (100, 30));
    contexts(&mut shown, "b?");
    let wheel = MouseEvent { kind: MouseEventKind::ScrollDown, column: 10, row: 4, modifiers: KeyModifiers::NONE };
    assert_eq!(shown.app.handle(&Event::Mouse(wheel)), Reaction::None);
    assert_eq!(contexts(&mut shown, "3^"), [Context::Help, Context::Subject], "no value was begun");
}

#[test]
fn a_box_whose_row_is_gone_closes_under_the_help_too() {
    let mut shown = Shown::new(snapshot_of([faulty()]), theme(), (100, 30));
    contexts(&mut shown, "b?");
    shown.app.update(Arc::new(Snapshot { generation: 2, ..book() }), Instant::now());
    assert_eq!(contexts(&mut shown, "^"), [Context::Table]);
}

#[test]
fn a_window_too_small_rests_once_a_notice_is_over() {
    let mut shown = Shown::new(book(), theme(), (60, 10));
    let begun = Instant::now();
    shown.app.update(Arc::new(Snapshot { generation: 2, notice: notice(1), ..book() }), begun);
    let over = shown.app.next_frame_at().unwrap();
    assert!(over > begun + Duration::from_secs(1));
    let (app, painter) = (&mut shown.app, &mut shown.painter);
    shown.terminal.draw(|frame| app.draw(frame, painter, None, over)).unwrap();
    assert_eq!(shown.app.next_frame_at(), None);
    assert!(text(&shown.draw(None)).contains("The window has 60 x 10"));
}
