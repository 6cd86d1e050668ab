//! The live table through a pseudo-terminal, end to end: what a person types, what the folder does, what the screen shows,
//! and that the terminal is given back as it was.

mod console;
mod order;

use std::time::{Duration, Instant};

use console::{Answers, Console, Setting};
use order::Order;

/// Longest wait for something to show. What the house promises is checked apart, with its own number.
const PATIENCE: Duration = Duration::from_secs(15);
/// The first frame is there by then, whatever the terminal answers.
const FIRST_FRAME: Duration = Duration::from_secs(3);
const DOWN: &str = "\x1b[B";
const ESCAPE: &str = "\x1b";

/// A live table on an order of two pictures, one sound and one too small, once both are judged.
fn open(order: &Order, setting: Setting) -> Console {
    order.sound("ash.jpg");
    order.small("elm.jpg");
    let console = Console::open(order, &["brief.toml", "exports"], setting);
    console.wait_for_row("ash.jpg", "PASS", PATIENCE);
    console.wait_for_row("elm.jpg", "FIX", PATIENCE);
    console
}

#[test]
fn keys_move_filter_and_open_the_help() {
    let order = Order::new(order::SMALL);
    let mut console = open(&order, Setting::default());
    console.type_keys(DOWN);
    console.wait("the second row selected", PATIENCE, |text| marked(text).contains("elm.jpg"));
    console.type_keys("/elm\r");
    console.wait("only what the filter names", PATIENCE, |text| !has_row(text, "ash.jpg") && has_row(text, "elm.jpg"));
    console.type_keys(ESCAPE);
    console.wait("every row again", PATIENCE, |text| has_row(text, "ash.jpg"));
    console.type_keys("?");
    console.wait("the help", PATIENCE, |text| text.contains("the help, and back"));
    console.type_keys(ESCAPE);
    console.wait("the table again", PATIENCE, |text| !text.contains("the help, and back") && has_row(text, "ash.jpg"));
    console.type_keys("q");
    assert_eq!(console.end(PATIENCE), Some(1));
    console.assert_given_back();
}

#[test]
fn answers_that_were_typed_before_ctrl_c_are_kept() {
    let order = Order::new(order::SMALL);
    let mut console = Console::open(&order, &["brief", "answer", "brief.toml"], Setting::default());
    console.wait("the first question", PATIENCE, |text| text.contains("how do I reach them?"));
    console.type_keys("Ines Falk\r");
    console.wait("the next question", PATIENCE, |text| text.contains("By what date do you need the pictures?"));
    console.type_keys("2026-12");
    console.type_keys("\x03");
    assert_eq!(console.end(PATIENCE), None, "it died of the signal, as a shell expects");
    assert!(order.brief().starts_with("contact = \"Ines Falk\"\n"), "{}", order.brief());
    assert!(!order.brief().contains("due"), "{}", order.brief());
}

#[test]
fn a_person_s_own_keys_count_and_are_named() {
    let order = Order::new(order::SMALL);
    order.write_settings("[keys]\nquit = \"x\"\nhelp = \"h\"\ndeliver = \"H\"\n");
    let mut console = open(&order, Setting::default());
    console.type_keys("q?");
    console.type_keys("h");
    console.wait("the help with the chosen keys", PATIENCE, |text| {
        text.lines().any(|line| line.trim_start().starts_with("x ") && line.contains("quit"))
            && text.lines().any(|line| line.trim_start().starts_with("H ") && line.contains("deliver the order"))
    });
    console.type_keys("x");
    assert_eq!(console.end(PATIENCE), Some(1));
    console.assert_given_back();
}

#[test]
fn keys_that_mean_two_things_are_refused_before_the_screen_opens() {
    let order = Order::new(order::SMALL);
    order.write_settings("[keys]\nsort = \"f\"\nnosuch = \"y\"\n");
    let mut console = Console::open(&order, &["brief.toml", "exports"], Setting::default());
    assert_eq!(console.end(PATIENCE), Some(2));
    let said = console.written();
    assert!(
        said.contains("settings.toml") && said.contains("keys.nosuch: no such action; the actions are: accept"),
        "{said}"
    );
    order.write_settings("[keys]\nsort = \"f\"\n");
    let mut console = Console::open(&order, &["brief.toml", "exports"], Setting::default());
    assert_eq!(console.end(PATIENCE), Some(2));
    let said = console.written();
    assert!(said.contains("f is set for both follow and sort"), "{said}");
}

#[test]
fn exports_and_the_brief_turn_rows_while_the_live_table_is_open() {
    let order = Order::new(order::SMALL);
    let mut console = open(&order, Setting::default());
    order.sound("oak.jpg");
    console.wait_for_row("oak.jpg", "PASS", PATIENCE);
    order.sound("elm.jpg");
    console.wait_for_row("elm.jpg", "PASS", PATIENCE);
    order.remove("ash.jpg");
    console.wait("the deleted picture gone", PATIENCE, |text| !has_row(text, "ash.jpg"));
    order.write_brief("[density]\ntarget = \"700 ppi\"\nminimum = \"600 ppi\"\n[[print]]\nsize = \"2 x 2.5 in\"\n");
    console.wait_for_row("oak.jpg", "FIX", PATIENCE);
    console.wait_for_row("elm.jpg", "FIX", PATIENCE);
    order.write_brief("[density]\nleast = 600\n");
    console.wait("the broken brief's problem beside its rows", PATIENCE, |text| {
        text.contains("least") && has_row(text, "oak.jpg")
    });
    order.write_brief(order::SMALL);
    console.wait_for_row("oak.jpg", "PASS", PATIENCE);
    console.type_keys("q");
    assert_eq!(console.end(PATIENCE), Some(0));
    console.assert_given_back();
}

#[test]
fn terminals_that_never_answer_reach_the_first_frame() {
    first_frame(Answers::Never);
}

#[test]
fn terminals_that_answer_byte_by_byte_reach_the_first_frame() {
    first_frame(Answers::ByteByByte);
}

#[test]
fn answers_that_come_after_the_first_frame_are_no_keys() {
    for (late_ms, pause_ms) in [(1_000, 0), (1_400, 0), (1_100, 10), (0, 50)] {
        let order = Order::new(order::SMALL);
        order.sound("ash.jpg");
        let setting = Setting { answers: Answers::LateColour(late_ms, pause_ms), ..Setting::default() };
        let mut console = Console::open(&order, &["brief.toml", "exports"], setting);
        console.wait_for_row("ash.jpg", "PASS", PATIENCE);
        // Every byte of the answer has come by then.
        std::thread::sleep(Duration::from_millis(late_ms + 40 * pause_ms + 500));
        console.wait_for_row("ash.jpg", "PASS", PATIENCE);
        console.wait("no filter and no help", PATIENCE, |text| {
            !text.contains("filter \"") && !text.contains("the help, and back")
        });
        console.type_keys("q");
        assert_eq!(console.end(PATIENCE), Some(0));
    }
}

#[test]
fn a_terminal_with_one_screen_is_left_clear_with_the_cursor_at_its_start() {
    let order = Order::new(order::SMALL);
    let mut console = open(&order, Setting::default());
    console.type_keys("q");
    assert_eq!(console.end(PATIENCE), Some(1));
    let (text, cursor) = console.on_one_screen();
    assert_eq!((text.trim(), cursor), ("", (0, 0)));
}

fn first_frame(answers: Answers) {
    let order = Order::new(order::SMALL);
    order.sound("ash.jpg");
    let began = Instant::now();
    let mut console = Console::open(&order, &["brief.toml", "exports"], Setting { answers, ..Setting::default() });
    console.wait("the first frame", FIRST_FRAME, |text| text.contains("quit"));
    assert!(began.elapsed() < FIRST_FRAME);
    console.wait_for_row("ash.jpg", "PASS", PATIENCE);
    // Answers that came late must not have been taken for keys, and keys still count.
    console.type_keys("?");
    console.wait("the help", PATIENCE, |text| text.contains("the help, and back"));
    console.type_keys("q");
    assert_eq!(console.end(PATIENCE), Some(0));
    console.assert_given_back();
}

#[test]
fn a_signal_gives_the_terminal_back() {
    for signal in ["TERM", "HUP"] {
        let order = Order::new(order::SMALL);
        let mut console = open(&order, Setting::default());
        console.signal(signal);
        console.end(PATIENCE);
        console.assert_given_back();
    }
}

#[test]
fn control_c_quits_and_gives_the_terminal_back() {
    let order = Order::new(order::SMALL);
    let mut console = open(&order, Setting::default());
    console.type_keys("\x03");
    console.end(PATIENCE);
    console.assert_given_back();
}

#[test]
fn a_window_too_small_says_what_is_needed_until_it_grows() {
    let order = Order::new(order::SMALL);
    order.sound("ash.jpg");
    let mut console =
        Console::open(&order, &["brief.toml", "exports"], Setting { size: (60, 10), ..Setting::default() });
    console.wait("what is needed", PATIENCE, |text| text.contains("80 x 24"));
    for size in [(80, 24), (100, 30), (140, 40)] {
        console.resize(size);
        console.wait("the table in a larger window", PATIENCE, |text| {
            has_row(text, "ash.jpg") && !text.contains("80 x 24")
        });
    }
    console.wait_for_row("ash.jpg", "PASS", PATIENCE);
    console.resize((20, 3));
    console.wait("no table in a tiny window", PATIENCE, |text| !has_row(text, "ash.jpg"));
    console.type_keys("q");
    assert_eq!(console.end(PATIENCE), Some(0));
    console.assert_given_back();
}

#[test]
fn keys_count_after_a_paste_of_four_thousand_letters() {
    let order = Order::new(order::SMALL);
    let mut console = open(&order, Setting::default());
    console.type_keys("/");
    console.type_keys(&"x".repeat(4_000));
    console.type_keys(ESCAPE);
    console.wait("every row again", PATIENCE, |text| !text.contains("xxx") && has_row(text, "ash.jpg"));
    console.type_keys("?");
    console.wait("the help", PATIENCE, |text| text.contains("the help, and back"));
    console.type_keys("q");
    assert_eq!(console.end(PATIENCE), Some(1));
    console.assert_given_back();
}

#[test]
fn what_is_pasted_on_the_table_is_no_key() {
    let order = Order::new(order::SMALL);
    order.sound("ash.jpg");
    let mut console = Console::open(&order, &["brief.toml", "exports"], Setting::default());
    console.wait_for_row("ash.jpg", "PASS", PATIENCE);
    console.type_keys("\x1b[200~h\rq\r\x1b[201~");
    console.wait("words about it", PATIENCE, |text| text.contains("pasted text does nothing here"));
    console.type_keys("h");
    console.type_keys("\x1b[200~-to\rCorrow\r\x1b[201~");
    console.wait("the folder's name", PATIENCE, |text| text.contains("Corrow_"));
    assert_eq!(std::fs::read_dir(order.place()).unwrap().filter(is_delivery).count(), 0);
    console.type_keys("\x03");
    assert_eq!(console.end(PATIENCE), Some(0));
    console.assert_given_back();
}

#[test]
fn what_the_pane_shows_is_delivered_and_the_next_time_only_what_changed() {
    let order = Order::new(order::SMALL);
    order.sound("ash.jpg");
    let mut console = Console::open(&order, &["brief.toml", "exports"], Setting::default());
    console.wait_for_row("ash.jpg", "PASS", PATIENCE);
    console.type_keys("h");
    console.wait("what goes", PATIENCE, |text| text.contains("1 picture goes") && !text.contains("only what changed"));
    console.type_keys("\r");
    console.wait("the delivery", PATIENCE, |text| text.contains("1 picture written"));
    console.type_keys(ESCAPE);
    order.sound("oak.jpg");
    console.wait_for_row("oak.jpg", "PASS", PATIENCE);
    console.type_keys("h");
    console.wait("what changed", PATIENCE, |text| text.contains("> only what changed") && text.contains("1 new"));
    // The pane follows the folder.
    order.sound("yew.jpg");
    console.wait("what changed since", PATIENCE, |text| text.contains("2 new") && text.contains("2 pictures go"));
    console.type_keys("\r");
    console.wait("the second delivery", PATIENCE, |text| text.contains("2 pictures written"));
    console.type_keys(ESCAPE);
    console.type_keys("h");
    console.wait("that nothing is new", PATIENCE, |text| text.contains("the printer has all of it"));
    console.type_keys("\t");
    console.wait("the whole order", PATIENCE, |text| text.contains("> everything") && text.contains("3 pictures go"));
    console.type_keys(ESCAPE);
    console.type_keys("q");
    assert_eq!(console.end(PATIENCE), Some(0));
    assert_eq!(std::fs::read_dir(order.place()).unwrap().filter(is_delivery).count(), 2);
    let log = std::fs::read_to_string(order.place().join("brief.decisions.toml")).unwrap();
    assert_eq!((log.matches("\n[[delivery]]").count(), log.matches("\n[[sent]]").count()), (2, 3), "{log}");
}

fn is_delivery(entry: &std::io::Result<std::fs::DirEntry>) -> bool {
    entry.as_ref().unwrap().file_name().to_string_lossy().contains("delivery")
}

#[test]
fn a_letter_with_the_alt_key_in_the_first_seconds_is_a_key() {
    let order = Order::new(order::SMALL);
    let mut console = open(&order, Setting::default());
    console.type_keys("\x1bx");
    console.type_keys("?");
    console.wait("the help", PATIENCE, |text| text.contains("the help, and back"));
    console.type_keys("q");
    assert_eq!(console.end(PATIENCE), Some(1));
}

#[test]
fn no_color_writes_no_colour() {
    let order = Order::new(order::SMALL);
    let mut console = open(&order, Setting { no_color: true, ..Setting::default() });
    console.type_keys("?");
    console.wait("the help", PATIENCE, |text| text.contains("the help, and back"));
    console.type_keys("q");
    assert_eq!(console.end(PATIENCE), Some(1));
    assert_eq!(console.colours(), Vec::<String>::new());
}

#[test]
fn colour_is_there_without_no_color() {
    let order = Order::new(order::SMALL);
    let mut console = open(&order, Setting::default());
    console.type_keys("q");
    console.end(PATIENCE);
    assert_ne!(console.colours(), Vec::<String>::new(), "else the test above could not fail");
}

#[test]
fn a_terminal_without_a_cursor_is_told_what_to_use_instead() {
    let order = Order::new(order::SMALL);
    order.sound("ash.jpg");
    let setting = Setting { term: "dumb", answers: Answers::Never, ..Setting::default() };
    let mut console = Console::open(&order, &["brief.toml", "exports"], setting);
    assert_eq!(console.end(PATIENCE), Some(2));
    let said = console.written();
    assert!(said.contains("plateside check"), "{said}");
    assert!(!said.contains('\x1b'), "{said:?}");
}

#[test]
fn names_that_act_on_a_terminal_are_shown_as_text() {
    let order = Order::new(order::SMALL);
    order.sound("a\u{1b}[2Jb\u{202e}.jpg");
    let mut console = Console::open(&order, &["brief.toml", "exports"], Setting::default());
    console.wait("its row", PATIENCE, |text| text.contains("PASS") && text.contains("[2Jb"));
    console.type_keys("q");
    assert_eq!(console.end(PATIENCE), Some(0));
    assert!(!console.written().contains("a\u{1b}[2Jb") && !console.written().contains('\u{202e}'));
}

/// The line of the selected row.
fn marked(text: &str) -> &str {
    text.lines().find(|line| line.starts_with('▌') || line.starts_with('>')).unwrap_or("")
}

/// Whether the table has a row of this picture; the detail pane beside it does not count.
fn has_row(text: &str, picture: &str) -> bool {
    text.lines().any(|line| console::table_part(line).contains(picture))
}
