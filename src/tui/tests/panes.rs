//! The panes that replace the details.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use crossbeam_channel::{Receiver, bounded};
use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers, MouseButton, MouseEvent, MouseEventKind};

use super::order::{book, plain_row, problems, snapshot_of};
use super::{Shown, golden, keys, order, press, text, theme};
use crate::judge::{Finding, RowState};
use crate::live::Snapshot;
use crate::live::snapshot::{ExportChange, LiveCommand, ShownFinding, TableRow};
use crate::picture::PictureKey;
use crate::tui::app::Reaction;
use crate::tui::delivery_service::{DeliveryOffer, DeliveryPreview, DeliveryProgress, DeliveryScope, DeliveryService};
use crate::units::growth::grows_less_than_square;
use crate::units::styled::Line;

/// A service that reports two pictures to deliver, and writes nothing.
struct Lent;

impl DeliveryService for Lent {
    fn preview(&self, _: &Arc<Snapshot>) -> Receiver<DeliveryPreview> {
        let lines = vec![Line::plain("2 pictures for 2 prints")];
        let (sender, receiver) = bounded(1);
        let into = "low-water-delivery-2026-11-26".to_owned();
        let (scope, words, identity) = (DeliveryScope::Everything, String::new(), String::new());
        let offers = vec![DeliveryOffer { scope, words, is_permitted: true, lines, identity }];
        sender.send(DeliveryPreview { offers, into }).unwrap();
        receiver
    }

    fn deliver(&self, _: &str, _: &DeliveryOffer, _: Arc<AtomicBool>) -> Receiver<DeliveryProgress> {
        let (tell, telling) = bounded(1);
        tell.send(DeliveryProgress::Delivered(vec![Line::plain("2 pictures delivered")])).unwrap();
        telling
    }
}

/// Returns what is shown after some keys, with a service that delivers.
fn after(letters: &str) -> String {
    let mut shown = Shown::new(book(), theme(), (100, 30));
    shown.app = shown.app.with_delivery(Box::new(Lent));
    text(&shown.after(letters))
}

#[test]
fn a_key_that_does_nothing_says_so_until_the_next() {
    let said = |letters: &str| text(&Shown::new(book(), theme(), (140, 40)).after(letters));
    assert!(said("ahx").contains("Esc goes back"), "letters there are no commands");
    assert!(said("A").contains("nothing in this row needs accepting again"));
    assert!(said("x").contains("this key does nothing here") && !said("x,").contains("this key does nothing here"));
}

#[test]
fn a_key_copies_what_to_export_part_by_part_and_says_what_was_sent() {
    let mut shown = Shown::new(book(), theme(), (140, 40));
    let mut said = |letter: &str| {
        keys(letter).iter().for_each(|key| drop(shown.app.handle(key)));
        let sequence = shown.app.take_copied().map(|bytes| String::from_utf8(bytes).unwrap());
        (text(&shown.draw(None)), sequence)
    };
    let (words, sequence) = said("c");
    assert!(words.contains("2551 x 3142 sent to the terminal's clipboard; c: the file name"), "{words}");
    // The base64 of "2551 x 3142".
    assert_eq!(sequence.as_deref(), Some("\x1b]52;c;MjU1MSB4IDMxNDI=\x07"));
    let (words, sequence) = said("c");
    assert!(words.contains("p008-smoked-mackerel.tif sent to the terminal's clipboard; c: all settings"), "{words}");
    assert!(sequence.is_some());
    assert!(said("c").0.contains("all settings sent to the terminal's clipboard; c: the size"));
    // Another row begins again with its size; a picture that no print takes has nothing to copy.
    assert!(said(",c").0.contains("2551 x 3142 sent"));
    let (words, sequence) = said(",,,,,,c");
    assert!(words.contains("no print takes this picture") && sequence.is_none(), "{words}");
}

#[test]
fn a_missing_row_shows_what_to_export_and_other_rows_show_it_last() {
    let of = |letters: &str| text(&Shown::new(book(), theme(), (140, 60)).after(letters));
    let missing = of(",,,,,");
    let (state, export) = (missing.find("no picture in the folder is for this print"), missing.find("to export"));
    assert!(state < export && export.is_some(), "{missing}");
    for words in ["size  2551 x 3142 px, portrait", "file name", "format  TIFF (JPEG is accepted", "metadata  included"]
    {
        assert!(missing.contains(words), "{words}: {missing}");
    }
    let sound = of("");
    assert!(sound.find("sRGB").is_some() && sound.contains("to export"), "{sound}");
}

#[test]
fn what_to_do_about_the_order_takes_the_place_of_the_details_and_gives_it_back() {
    let of = |letters: &str| text(&Shown::new(book(), theme(), (140, 40)).after(letters));
    let shown = of("t");
    for words in ["to do, by cause", "1 picture: too few pixels", "p018-brown-butter-leeks.jpg"] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    assert!(!shown.contains("no creator"), "its row waits for a new export: {shown}");
    assert!(!of("tt").contains("to do, by cause") && of("pt").contains("to do, by cause"));
}

#[test]
fn a_frame_with_marked_rows_costs_by_the_rows_and_not_by_their_square() {
    let marked = |count: usize| {
        let rows = (0..count).map(|at| plain_row(&format!("p{at}"), RowState::Pass));
        let mut shown = Shown::new(snapshot_of(rows), theme(), (100, 30));
        keys(&" ".repeat(count)).iter().chain(&keys("a")).for_each(|key| drop(shown.app.handle(key)));
        shown
    };
    grows_less_than_square(1_000, marked, |mut shown| drop(shown.draw(None)));
}

#[test]
fn the_larger_picture_is_named_with_its_state_and_what_is_found() {
    let shown = text(&Shown::new(book(), theme(), (100, 30)).after(",,l"));
    let line = shown.lines().nth(1).unwrap();
    assert!(line.contains("p018-brown-butter-leeks.jpg · FIX · 214 ppi"), "{shown}");
}

#[test]
fn an_order_is_delivered_in_place_of_the_details() {
    let answer = after("h");
    for words in ["2 pictures for 2 prints", "into low-water-delivery-2026-11-26_", "Enter deliver"] {
        assert!(answer.contains(words), "{answer}");
    }
    let delivered = after("h2$");
    assert!(delivered.contains("2 pictures delivered"), "{delivered}");
    let closed = after("h2$^");
    assert!(!closed.contains("pictures delivered") && closed.contains("PASS"), "{closed}");
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
    let answer = keys("so$me$").iter().fold(None, |_, event| Some(shown.app.handle(event)));
    assert_eq!(answer, Some(Reaction::Draw), "nothing is accepted of rows that do not have it");
    let drawn = text(&shown.draw(None));
    assert!(drawn.contains("reason some_") && drawn.contains("2 marked"), "no word and no mark is lost: {drawn}");
    // The third row is marked too, and its finding is accepted.
    keys("^ k").iter().for_each(|event| drop(shown.app.handle(event)));
    let answer = keys("ax$me$").iter().fold(None, |_, event| Some(shown.app.handle(event)));
    let Some(Reaction::Send(LiveCommand::Accept(answer))) = answer else { panic!("{answer:?}") };
    let third = &book().rows[2].row;
    assert_eq!(answer.rows, [ShownFinding::of(third, &third.findings[0])], "the one of the three that has it");
    keys(" ").iter().for_each(|event| drop(shown.app.handle(event)));
    let drawn = text(&shown.draw(None));
    assert!(drawn.contains("1 marked") && drawn.contains("+FIX"), "{drawn}");
}

#[test]
fn an_order_is_handed_over_where_the_filter_shows_no_row_too() {
    let answer = after("/rhubarb$h");
    assert!(answer.contains("2 pictures for 2 prints"), "{answer}");
}

#[test]
fn a_finding_is_accepted_in_place_of_the_details() {
    golden("accepting_100x30", book(), (100, 30), ",,ait hangs high");
}

/// Types into the accept pane while a newer export is followed, or while its own row is removed.
fn typed_while(happens: impl Fn(&mut Snapshot)) -> (Shown, String) {
    let mut shown = Shown::new(book(), theme(), (100, 30));
    shown.app = shown.app.with_delivery(Box::new(Lent));
    shown.draw(None);
    keys("f,ait").iter().for_each(|event| drop(shown.app.handle(event)));
    let mut later = Snapshot { generation: 2, ..book() };
    happens(&mut later);
    shown.app.update(Arc::new(later), Instant::now());
    keys(" hangs high").iter().for_each(|event| drop(shown.app.handle(event)));
    let drawn = text(&shown.draw(None));
    (shown, drawn)
}

#[test]
fn an_export_that_is_followed_takes_nobody_s_words_for_commands() {
    let (mut shown, drawn) = typed_while(|later| later.newest = later.rows[3].row.key.picture.clone());
    assert!(drawn.contains("it hangs high_") && drawn.contains("▌ FIX       p018"), "{drawn}");
    let answer = keys("$me$").iter().fold(None, |_, event| Some(shown.app.handle(event)));
    let Some(Reaction::Send(LiveCommand::Accept(answer))) = answer else { panic!("{answer:?}") };
    let row = &book().rows[2].row;
    assert_eq!(answer.rows, [ShownFinding::of(row, &row.findings[0])]);
}

#[test]
fn a_row_that_goes_while_somebody_types_keeps_the_words_and_accepts_nothing() {
    for rest in [true, false] {
        let (mut shown, drawn) = typed_while(|later| {
            let left = later.rows.iter().enumerate().filter(|(at, _)| rest && *at != 2);
            later.rows = left.map(|(_, row)| row.clone()).collect();
        });
        assert!(drawn.contains("This row is gone from the live table") && drawn.contains("it hangs high_"), "{drawn}");
        let answer: Vec<Reaction> = keys("$me$").iter().map(|event| shown.app.handle(event)).collect();
        assert!(answer.iter().all(|reaction| *reaction == Reaction::Draw), "{answer:?}");
        keys("^").iter().for_each(|event| drop(shown.app.handle(event)));
        assert!(!text(&shown.draw(None)).contains("gone from the live table"));
    }
}

#[test]
fn several_rows_are_accepted_as_they_were_when_they_were_counted() {
    let with_finding = |name: &str, width: &str| {
        let mut row = TableRow::clone(&book().rows[2]);
        let verdict = Arc::make_mut(&mut row.row);
        verdict.key.picture = Some(PictureKey::from_text(name));
        Arc::make_mut(&mut verdict.findings[0]).found = width.to_owned();
        row
    };
    let counted = [with_finding("a.jpg", "254 ppi"), with_finding("b.jpg", "254 ppi")];
    let mut shown = Shown::new(snapshot_of(counted.clone()), theme(), (100, 30));
    shown.draw(None);
    keys("ait").iter().for_each(|event| drop(shown.app.handle(event)));
    let every = Event::Key(KeyEvent::new(KeyCode::Char('a'), KeyModifiers::CONTROL));
    shown.app.handle(&every);
    assert!(text(&shown.draw(None)).contains("Accept this finding in 2 of 2 shown rows"));
    let later = [with_finding("a.jpg", "254 ppi"), with_finding("b.jpg", "241 ppi"), with_finding("c.jpg", "200 ppi")];
    let later = Snapshot { generation: 2, ..snapshot_of(later) };
    shown.app.update(Arc::new(later), Instant::now());
    assert!(text(&shown.draw(None)).contains("Accept this finding in 2 of 2 shown rows"));
    let answer = keys("$me$").iter().fold(None, |_, event| Some(shown.app.handle(event)));
    let Some(Reaction::Send(LiveCommand::Accept(answer))) = answer else { panic!("{answer:?}") };
    let as_counted = counted.map(|row| ShownFinding::of(&row.row, &row.row.findings[0]));
    assert_eq!((answer.rows.as_slice(), answer.left_out_new_rows), (as_counted.as_slice(), 1));
}

#[test]
fn the_pointer_leaves_the_row_that_is_being_accepted() {
    let (mut shown, drawn) = typed_while(|_| {});
    let line = drawn.lines().position(|line| line.contains("p012-plum-tart.jpg")).unwrap() as u16;
    let (kind, modifiers) = (MouseEventKind::Down(MouseButton::Left), KeyModifiers::NONE);
    shown.app.handle(&Event::Mouse(MouseEvent { kind, column: 4, row: line, modifiers }));
    assert!(text(&shown.draw(None)).contains("▌ FIX       p018"));
    keys("^").iter().for_each(|event| drop(shown.app.handle(event)));
    shown.app.handle(&Event::Mouse(MouseEvent { kind, column: 4, row: line, modifiers }));
    assert!(!text(&shown.draw(None)).contains("▌ FIX       p018"));
}

#[test]
fn a_line_break_that_was_pasted_hands_nothing_over_and_a_paste_on_the_table_does_nothing() {
    let pasted = |text: &str| Event::Paste(text.to_owned());
    let mut shown = Shown::new(book(), theme(), (100, 30));
    shown.app = shown.app.with_delivery(Box::new(Lent));
    assert_eq!(shown.app.handle(&pasted("hq\r")), Reaction::Draw);
    let drawn = text(&shown.draw(None));
    assert!(drawn.contains("pasted text does nothing here"), "{drawn}");
    assert!(!drawn.contains("Deliver the order"), "{drawn}");
    shown.app.handle(&press(KeyCode::Char('h')));
    shown.app.handle(&pasted("-for\nCorrow\n"));
    let drawn = text(&shown.draw(None));
    assert!(drawn.contains("Corrow_") && drawn.contains("Deliver the order"), "{drawn}");
    shown.app.handle(&press(KeyCode::Esc));
    shown.app.handle(&press(KeyCode::Char('/')));
    shown.app.handle(&pasted(&"x".repeat(4_000)));
    assert!(shown.app.state().view.filter.len() <= 100 && shown.app.state().view.filter.starts_with("xxx"));
}

/// Returns a row with findings that are too long for a low window, the first of them a must.
fn with_many_findings(count: usize) -> TableRow {
    let mut row = TableRow::clone(&book().rows[2]);
    let long = Finding { found: "a finding of many words ".repeat(8), ..order::too_coarse() };
    let of = |at| Finding { about: format!("part {at}"), ..long.clone() };
    Arc::make_mut(&mut row.row).findings = (0..count).map(|at| of(at).into()).collect();
    row
}

#[test]
fn what_is_typed_into_the_accept_pane_is_in_sight_in_a_low_window_whatever_is_found() {
    for (count, size) in [(2, (80, 24)), (9, (80, 24)), (9, (100, 24))] {
        let others = (0..9).map(|at| plain_row(&format!("p{at}"), RowState::Pass));
        let all: Vec<TableRow> = std::iter::once(with_many_findings(count)).chain(others).collect();
        let mut shown = Shown::new(snapshot_of(all), theme(), size);
        shown.draw(None);
        keys("ad").iter().for_each(|event| drop(shown.app.handle(event)));
        for at in 0..count {
            let drawn = text(&shown.draw(None));
            assert!(drawn.contains("reason d_") && drawn.contains(&format!("(part {at})")), "{size:?}\n{drawn}");
            assert!(drawn.contains("Pg") == (count == 9) && !drawn.contains(" d: "), "{size:?}\n{drawn}");
            shown.app.handle(&press(KeyCode::Down));
        }
        keys("$Corrow").iter().for_each(|event| drop(shown.app.handle(event)));
        let drawn = text(&shown.draw(None));
        assert!(drawn.contains("reason d") && drawn.contains("allowed by Corrow_"), "{size:?}\n{drawn}");
        // Another finding is one line, and the chosen one is scrolled in its own part of the pane.
        shown.app.handle(&press(KeyCode::PageDown));
        let scrolled = text(&shown.draw(None));
        assert!(scrolled.contains("reason d") && scrolled.contains("allowed by Corrow_"), "{size:?}\n{scrolled}");
        keys("^^").iter().for_each(|event| drop(shown.app.handle(event)));
        let closed = text(&shown.draw(None));
        assert!(closed.contains("p018 brown butter leeks · ") && closed.contains("d: "), "from the top\n{closed}");
    }
}

#[test]
fn the_accept_pane_in_a_low_window() {
    let mut row = TableRow::clone(&book().rows[2]);
    Arc::make_mut(&mut row.row).findings.push(order::too_coarse().into());
    golden("accepting_must_80x24", snapshot_of([row]), (80, 24), "a,it hangs high$Corrow Lane");
}

#[test]
fn enter_without_a_reason_or_a_name_says_what_to_type() {
    let said = |letters: &str| text(&Shown::new(book(), theme(), (80, 24)).after(letters));
    assert!(said(",,a$").contains("type a reason first"), "{}", said(",,a$"));
    assert!(!said(",,a$x").contains("type a reason first"));
    assert!(!said(",,ax$").contains("type who allowed it"));
    assert!(said(",,ax$$").contains("type who allowed it"));
    assert!(!said("a$").contains("type a reason first"), "there is nothing to accept");
}

#[test]
fn where_a_filter_is_typed_the_details_scroll_by_keys_that_are_no_letters() {
    let mut shown = Shown::new(book(), theme(), (80, 24));
    shown.draw(None);
    keys("/leeks").iter().for_each(|event| drop(shown.app.handle(event)));
    let first = text(&shown.draw(None));
    assert!(first.contains("PgDn: ") && !first.contains(" d: "), "{first}");
    shown.app.handle(&press(KeyCode::PageDown));
    let scrolled = text(&shown.draw(None));
    assert!(scrolled.contains("PgUp: back up") && scrolled.contains("filter leeks_"), "{scrolled}");
    let broken = Snapshot { brief_problems: std::iter::repeat_n(problems()[0].clone(), 9).collect(), ..book() };
    let drawn = text(&Shown::new(broken, theme(), (80, 24)).after("/"));
    assert!(drawn.contains("more lines: PgDn down, PgUp up"), "{drawn}");
}

#[test]
fn details_of_a_new_result_are_shown_from_the_top() {
    let mut shown = Shown::new(book(), theme(), (80, 24));
    shown.draw(None);
    keys(",,d").iter().for_each(|event| drop(shown.app.handle(event)));
    let scrolled = text(&shown.draw(None));
    assert!(scrolled.contains("D: back up"), "{scrolled}");
    let mut update = |generation, changes: &dyn Fn(&mut TableRow)| {
        let mut rows: Vec<_> = book().rows.to_vec();
        changes(Arc::make_mut(&mut rows[2]));
        shown.app.update(Arc::new(Snapshot { generation, rows: rows.into(), ..book() }), Instant::now());
        text(&shown.draw(None))
    };
    let arriving = update(2, &|row| (row.is_outdated, row.arriving_bytes) = (true, Some(9)));
    assert!(arriving.contains("D: back up"), "no result yet: {arriving}");
    let judged = update(3, &|row| drop(Arc::make_mut(&mut row.row).findings.pop()));
    assert!(judged.contains("p018 brown butter leeks · ") && !judged.contains("D: back up"), "{judged}");
}

#[test]
fn the_states_of_a_row_are_named_in_turn() {
    let said = |state_before, first_state, state| {
        let mut row = TableRow::clone(&book().rows[1]);
        let before = row.export_change.as_ref().unwrap();
        row.export_change =
            Some(Arc::new(ExportChange { state_before, first_state, density: None, ..ExportChange::clone(before) }));
        Arc::make_mut(&mut row.row).state = state;
        let drawn = text(&Shown::new(snapshot_of([row]), theme(), (140, 40)).after(""));
        let line = drawn.lines().find_map(|line| Some(line.split_once("before ")?.1.to_owned()));
        line.unwrap_or(drawn)
    };
    let (fix, pass) = (RowState::Fix, RowState::Pass);
    assert_eq!(said(fix, pass, pass), "FIX → PASS");
    assert_eq!(said(fix, pass, fix), "FIX → PASS → FIX");
    assert_eq!(said(fix, fix, fix), "FIX, still FIX");
    assert_eq!(said(fix, fix, pass), "FIX, still FIX → PASS");
}

#[test]
fn the_key_of_the_larger_picture_makes_it_smaller_again() {
    let said = |letters: &str| text(&Shown::new(book(), theme(), (100, 30)).after(letters));
    assert!(said("").contains("l larger") && !said("").contains("smaller"));
    assert!(said("l").contains("l smaller") && !said("l").contains("l larger"), "{}", said("l"));
}

#[test]
fn rows_out_of_order_name_the_key_that_sorts_them() {
    for (size, words) in [((140, 40), "new rows not sorted in: r sorts"), ((80, 24), "r: sort again")] {
        let mut shown = Shown::new(book(), theme(), size);
        shown.draw(None);
        let book = book();
        let rows = std::iter::once(plain_row("early", RowState::Pass).into()).chain(book.rows.iter().cloned());
        let later = Snapshot { generation: 2, rows: rows.collect(), ..book };
        shown.app.update(Arc::new(later), Instant::now());
        let drawn = text(&shown.draw(None));
        assert!(drawn.contains(words), "{drawn}");
        shown.app.handle(&press(KeyCode::Char('r')));
        assert!(!text(&shown.draw(None)).contains(words));
    }
}

#[test]
fn an_arrow_that_cannot_move_the_chosen_edge_says_which_can() {
    let said = |letters: &str| text(&Shown::new(snapshot_of([order::faulty()]), theme(), (80, 24)).after(letters));
    assert!(said("b,").contains("Left and Right move it"), "{}", said("b,"));
    assert!(said("b;>").contains("Up and Down move it"), "{}", said("b;>"));
    for moves in ["b>", "b;,", "b;;;;>,"] {
        assert!(!said(moves).contains("move it"), "{moves}");
    }
}
