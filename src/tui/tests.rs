//! The whole screen on a terminal in memory, at several sizes and in several states.

mod modes;
pub mod order;
mod panes;

use std::sync::Arc;
use std::time::{Duration, Instant};

use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers, MouseEvent, MouseEventKind};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::style::Color;

use crate::brief::Problem;
use crate::brief::requirements::Level;
use crate::colour::ProofRendering;
use crate::judge::model::row::NotChecked;
use crate::judge::{Finding, RowState, testing};
use crate::live::Snapshot;
use crate::live::snapshot::{
    JudgingStatus, LiveCommand, Proof, ShownProof, ShownThumbnail, TableRow, Watching, WorkProgress,
};
use crate::picture::PictureKey;
use crate::tui::app::{App, Reaction};
use crate::tui::capability::{Capability, ColourLevel, TerminalBackground};
use crate::tui::keys::Context;
use crate::tui::picture::painter::Painter;
use crate::tui::picture::protocol::Protocol;
use crate::tui::screen_state::ScreenState;
use crate::tui::theme::Theme;
use crate::tui::thumbnail_mode::ThumbnailMode;
use crate::units::growth::processor_time;

use order::{book, plain_row, problems, snapshot_of};

fn capability(colours: ColourLevel, utf8: bool) -> Capability {
    Capability {
        colours,
        utf8,
        background: TerminalBackground::Dark,
        ..Capability::of(|name| (name == "TERM").then(|| "xterm".to_owned()))
    }
}

pub fn theme() -> Theme {
    Theme::of(&capability(ColourLevel::Full, true))
}

/// Returns the state of a screen whose decisions are signed by Maren.
pub fn signed_state() -> ScreenState {
    let mut state = ScreenState::new(Arc::new(snapshot_of([])), theme());
    (state.name, state.clock) = ("Maren".to_owned(), || "2026-11-26T10:00:00Z".to_owned());
    state
}

pub fn press(code: KeyCode) -> Event {
    Event::Key(KeyEvent::new(code, KeyModifiers::NONE))
}

/// Keys by their letters; `^` is Escape, `,` is Down, `$` is Enter, `>` is Right, `;` is Tab.
pub fn keys(letters: &str) -> Vec<Event> {
    let code = |letter| match letter {
        '^' => KeyCode::Esc,
        ',' => KeyCode::Down,
        '>' => KeyCode::Right,
        ';' => KeyCode::Tab,
        '$' => KeyCode::Enter,
        letter => KeyCode::Char(letter),
    };
    letters.chars().map(|letter| press(code(letter))).collect()
}

/// The screen at one size, after some keys.
struct Shown {
    terminal: Terminal<TestBackend>,
    app: App,
    painter: Painter,
}

impl Shown {
    fn new(snapshot: Snapshot, theme: Theme, size: (u16, u16)) -> Shown {
        let painter = Painter::new(Protocol::Blocks, theme.colours, usize::MAX).unwrap();
        let terminal = Terminal::new(TestBackend::new(size.0, size.1)).unwrap();
        Shown { terminal, app: App::new(Arc::new(snapshot), theme), painter }
    }

    fn draw(&mut self, thumbnail: Option<&Arc<ShownThumbnail>>) -> Buffer {
        let now = Instant::now();
        let (app, painter) = (&mut self.app, &mut self.painter);
        self.terminal.draw(|frame| app.draw(frame, painter, thumbnail, now)).unwrap();
        self.terminal.backend().buffer().clone()
    }

    /// Draws, presses the keys one by one, and draws again.
    fn after(self, letters: &str) -> Buffer {
        self.with(letters, None)
    }

    /// Does as `after`, with a picture's thumbnail.
    fn with(mut self, letters: &str, picture: Option<&str>) -> Buffer {
        let thumbnail = picture.map(|picture| Arc::new(order::thumbnail(picture, 96, 118)));
        self.draw(thumbnail.as_ref());
        for event in keys(letters) {
            self.app.handle(&event);
            self.draw(thumbnail.as_ref());
        }
        self.draw(thumbnail.as_ref())
    }
}

/// Returns a frame as text, without trailing blanks.
pub fn text(buffer: &Buffer) -> String {
    let width = usize::from(buffer.area.width);
    let rows = buffer.content.chunks(width).map(|row| {
        let mut line = String::new();
        let mut covered = 0_usize;
        for cell in row {
            if covered > 0 {
                covered -= 1;
                continue;
            }
            covered = unicode_width::UnicodeWidthStr::width(cell.symbol()).saturating_sub(1);
            line.push_str(cell.symbol());
        }
        line.trim_end().to_owned()
    });
    rows.collect::<Vec<_>>().join("\n")
}

fn golden(name: &str, snapshot: Snapshot, size: (u16, u16), letters: &str) {
    let shown = text(&Shown::new(snapshot, theme(), size).after(letters));
    insta::with_settings!({ prepend_module_to_snapshot => false, snapshot_path => "tests/golden" }, {
        insta::assert_snapshot!(name, shown);
    });
}

/// Returns a frame as text with its picture: white and black parts of the overlay as `+` and `-`, the rest as `.`.
fn seen(buffer: &Buffer) -> String {
    let mut buffer = buffer.clone();
    for cell in buffer.content.iter_mut().filter(|cell| cell.symbol() == "▀") {
        let has = |grey: u8| [cell.fg, cell.bg].contains(&Color::Rgb(grey, grey, grey));
        let sign = match (has(255), has(0)) {
            (true, _) => "+",
            (_, true) => "-",
            _ => ".",
        };
        cell.set_symbol(sign);
    }
    text(&buffer)
}

fn golden_seen(name: &str, row: TableRow, size: (u16, u16), letters: &str) {
    let picture = row.row.key.picture.as_ref().unwrap().to_string();
    let shown = seen(&Shown::new(snapshot_of([row]), theme(), size).with(letters, Some(&picture)));
    insta::with_settings!({ prepend_module_to_snapshot => false, snapshot_path => "tests/golden" }, {
        insta::assert_snapshot!(format!("{name}_{}x{}", size.0, size.1), shown);
    });
}

const SIZES: [(u16, u16); 3] = [(80, 24), (100, 30), (140, 40)];

#[test]
fn the_book_at_every_size() {
    for size in SIZES {
        golden(&format!("book_{}x{}", size.0, size.1), book(), size, ",,");
    }
}

#[test]
fn a_changed_row_shows_before_and_after() {
    golden("turned_140x40", book(), (140, 40), ",");
}

#[test]
fn a_missing_row_explains_itself() {
    golden("missing_100x30", book(), (100, 30), ",,,,,");
}

#[test]
fn the_print_sizes_stand_in_place_of_the_details_and_back() {
    golden("print_sizes_100x30", book(), (100, 30), "p");
    let (before, after) = (Shown::new(book(), theme(), (100, 30)), Shown::new(book(), theme(), (100, 30)));
    assert_eq!(text(&before.after("")), text(&after.after("pp")));
}

#[test]
fn the_help_lists_keys_and_states() {
    golden("help_80x24", book(), (80, 24), "?");
    golden("help_140x40", book(), (140, 40), "?");
}

#[test]
fn the_help_scrolls_to_its_end_and_back() {
    for letters in ["?", "b?"] {
        let mut shown = Shown::new(snapshot_of([order::faulty()]), theme(), (80, 24));
        keys(letters).iter().for_each(|event| drop(shown.app.handle(event)));
        let first = text(&shown.draw(None));
        let mut after = |code, times: usize| {
            for _ in 0..times {
                shown.app.handle(&press(code));
                shown.draw(None);
            }
            text(&shown.draw(None))
        };
        let last = after(KeyCode::PageDown, 9);
        let end = if letters == "?" { "Within tolerance" } else { "the printed area" };
        assert!(last.contains(end), "{last}");
        assert!(letters != "?" || first.contains("PgDn: ") && last.contains("PgUp: back up"), "{first}\n{last}");
        assert_eq!(after(KeyCode::Up, 90), first);
    }
}

#[test]
fn a_filter_is_typed_and_kept() {
    golden("filter_typed_80x24", book(), (80, 24), "/p0 fix");
    golden("filter_kept_100x30", book(), (100, 30), "/credit$");
    golden("filter_matches_nothing_100x30", book(), (100, 30), "/rhubarb");
}

#[test]
fn a_broken_brief_leaves_the_rows() {
    for size in [(80, 24), (140, 40)] {
        let broken = Snapshot { brief_problems: problems(), ..book() };
        golden(&format!("broken_brief_{}x{}", size.0, size.1), broken, size, "");
    }
}

#[test]
fn an_empty_folder_and_a_folder_that_is_gone_say_so() {
    let mut empty = snapshot_of([]);
    let mut brief = order::brief();
    brief.prints.clone_from(&book().brief.prints);
    empty.brief = Arc::new(brief);
    golden("empty_folder_80x24", empty.clone(), (80, 24), "");
    golden("folder_gone_80x24", Snapshot { watching: Watching::Gone, ..empty }, (80, 24), "");
    golden("brief_without_prints_80x24", snapshot_of([]), (80, 24), "");
}

#[test]
fn a_folder_that_may_not_be_read_or_holds_too_much_says_so_and_what_to_do() {
    let said = |snapshot| text(&Shown::new(snapshot, theme(), (100, 30)).after(""));
    let shut = said(Snapshot { watching: Watching::NotPermitted, ..snapshot_of([]) });
    assert!(shut.contains("No permission to read the folder exports") && !shut.contains("gone"), "{shut}");
    let full = said(Snapshot { is_cut_off: true, ..book() });
    assert!(full.contains("more than 50000 files; the rest are not checked"), "{full}");
    assert!(full.contains("split the folder") && full.contains("ignore = "), "{full}");
    let words = ["2 links lead nowhere: a.jpg and b.jpg", "", "remove the link"];
    let found = |level| Arc::new([order::finding("set.unlisted", level, "", words).into()]);
    let of_order = |level| said(Snapshot { order_findings: found(level), ..book() });
    assert!(words.iter().all(|words| of_order(Level::Must).contains(words)), "{}", of_order(Level::Must));
    assert!(!of_order(Level::Should).contains("To fix in the order"));
}

#[test]
fn a_judge_that_failed_is_named_over_the_rows_that_stay() {
    let judging = JudgingStatus { is_busy: false, failed: Some("row 9 of 8".into()) };
    let said = text(&Shown::new(Snapshot { judging, ..book() }, theme(), (100, 30)).after(""));
    for words in ["Checking failed inside plateside; the rows show the last results", "row 9 of 8", "tries again"] {
        assert!(said.contains(words), "{said}");
    }
}

#[test]
fn many_mistakes_of_a_brief_are_scrolled_through() {
    let many = (1..=20).map(|line| Problem { line, ..problems()[0].clone() }).collect();
    let mut shown = Shown::new(Snapshot { brief_problems: many, ..book() }, theme(), (100, 30));
    let first = text(&shown.draw(None));
    assert!(first.contains("20 mistakes") && first.contains("more lines: d down, D up"), "{first}");
    let mut after = |letter, times| {
        for event in keys(letter).iter().cycle().take(times) {
            shown.app.handle(event);
            shown.draw(None);
        }
        text(&shown.draw(None))
    };
    let last = after("d", 20);
    assert!(last.contains(&format!(":20:{}", problems()[0].column)) && last.contains("0 more lines"), "{last}");
    assert_eq!(after("D", 40), first);
}

#[test]
fn without_colours_it_is_said_where_the_picture_would_be() {
    let theme = Theme::of(&capability(ColourLevel::None, true));
    for size in SIZES {
        let mut shown = Shown::new(book(), theme.clone(), size);
        shown.painter = Painter::new(Protocol::Off, ColourLevel::None, usize::MAX).unwrap();
        shown.app = shown.app.with_picture_notice(super::why_no_picture(ThumbnailMode::Auto, ColourLevel::None));
        let said = text(&shown.draw(None)).replace(['\n', '│'], " ");
        for words in ["no picture:", "NO_COLOR", "--thumbnail"] {
            assert!(said.contains(words), "{size:?} {said}");
        }
    }
    assert_eq!(super::why_no_picture(ThumbnailMode::Off, ColourLevel::Full), None);
}

#[test]
fn a_number_of_the_new_file_has_no_mark_of_the_earlier_verdict() {
    let mut row = TableRow::clone(book().rows.iter().find(|row| row.row.state == RowState::Fix).unwrap());
    let marked = |row| text(&Shown::new(snapshot_of([row]), theme(), (100, 30)).after("")).contains("214!");
    assert!(marked(row.clone()));
    row.is_outdated = true;
    assert!(!marked(row));
}

#[test]
fn a_file_of_no_bytes_is_only_arriving() {
    let row = TableRow { arriving_bytes: Some(0), ..plain_row("plum tart", RowState::Arriving) };
    let shown = text(&Shown::new(snapshot_of([row]), theme(), (140, 40)).after(""));
    assert!(!shown.contains("0 bytes so far") && shown.contains("arriving"), "{shown}");
}

#[test]
fn a_row_whose_picture_is_written_again_is_never_shown_as_passed() {
    for (arriving_bytes, word) in [(Some(900), "ARRIVING"), (None, "CHECKING")] {
        let row = TableRow { is_outdated: true, arriving_bytes, ..plain_row("plum tart", RowState::Pass) };
        let shown = text(&Shown::new(snapshot_of([row]), theme(), (140, 40)).after(""));
        let in_table = shown.lines().any(|line| line.contains(word) && line.contains("plum-tart.jpg"));
        assert!(in_table && !shown.contains("PASS") && shown.contains("1 to check"), "{shown}");
    }
}

#[test]
fn the_order_of_the_rows_is_named_apart_and_the_folder_where_there_is_room() {
    let mut shown = Shown::new(book(), theme(), (140, 40));
    let first = text(&shown.draw(None));
    let foot = first.lines().rev().nth(1).unwrap();
    assert!(first.contains("findings") && foot.contains("in the brief's order"), "{first}");
    let folder = book().folder.display().to_string();
    assert!(foot.ends_with(&format!("watching {folder}")), "{first}");
    shown.app.handle(&press(KeyCode::Char('s')));
    assert!(text(&shown.draw(None)).contains("by state"));
}

#[test]
fn a_window_too_small_says_what_it_needs() {
    let shown = text(&Shown::new(book(), theme(), (60, 10)).after(""));
    assert!(shown.starts_with("The window has 60 x 10 characters; plateside needs 80 x 24."), "{shown}");
}

#[test]
fn news_stand_in_the_footer_for_a_while() {
    let mut shown = Shown::new(book(), theme(), (100, 30));
    shown.draw(None);
    let news = Snapshot { generation: 2, notice: order::notice(1), ..book() };
    shown.app.update(Arc::new(news), Instant::now());
    assert!(text(&shown.draw(None)).contains("23 rows changed"));
    assert!(shown.app.next_frame_at().is_some());
}

#[test]
fn work_shows_its_progress() {
    let reading = vec![PictureKey::from_text("p036-crêpes.jpg")];
    let busy = Snapshot { work: WorkProgress { reading, waiting: 14, done: 23 }, ..book() };
    let shown = text(&Shown::new(busy, theme(), (140, 40)).after(""));
    assert!(shown.contains("23 of 38, reading p036-crêpes.jpg"), "{shown}");
}

#[test]
fn the_views_have_their_legends() {
    for size in SIZES {
        golden_seen("lost_tones", order::measured(), size, "v");
        golden_seen("lost_colours", order::measured(), size, "vv");
        golden_seen("cut_lines", order::faulty(), size, "vvv");
    }
}

#[test]
fn the_picture_stays_until_its_proof_is_there_and_the_legend_says_what_it_is() {
    let first = order::measured();
    let name = first.row.key.picture.clone().unwrap();
    let mut shown = Shown::new(snapshot_of([first]), theme(), (140, 40));
    let sent = Arc::new(order::thumbnail(name.as_str(), 40, 50));
    let as_sent = shown.draw(Some(&sent));
    for event in keys("vvvv") {
        shown.app.handle(&event);
    }
    let working = shown.draw(Some(&sent));
    assert!(text(&working).contains("on paper  making the proof"), "{}", text(&working));
    let black_cells = |buffer: &Buffer| buffer.content.iter().filter(|cell| cell.bg == Color::Rgb(0, 0, 0)).count();
    let painted = |buffer: &Buffer| buffer.content.iter().filter(|cell| matches!(cell.bg, Color::Rgb(..))).count();
    assert!(painted(&as_sent) > 50 && painted(&working) > 50, "the old view stays");
    let LiveCommand::ShowRows { proof: Some(ProofRendering::Relative), .. } = shown.app.state().show_rows_command()
    else {
        panic!("no proof asked for")
    };

    let black = vec![0; sent.rgb.len()];
    let proof = |rendering| {
        let proof = Some(Proof { rendering, is_by_profile: true });
        ShownProof::Made(Arc::new(ShownThumbnail { rgb: black.clone(), proof, ..(*sent).clone() }))
    };
    shown.app.take_proof(proof(ProofRendering::Perceptual));
    assert!(text(&shown.draw(Some(&sent))).contains("making the proof"), "the proof of another view");
    shown.app.take_proof(proof(ProofRendering::Relative));
    let proofed = shown.draw(Some(&sent));
    assert!(text(&proofed).contains("black point compensation"), "{}", text(&proofed));
    assert!(text(&proofed).contains("a hard proof decides"));
    assert!(black_cells(&working) == 0 && black_cells(&proofed) > 50);
}

#[test]
fn what_is_known_of_the_screen_stands_beside_proofs_alone() {
    let mut shown = Shown::new(snapshot_of([order::measured()]), theme(), (140, 40));
    shown.app = shown.app.with_calibration(Some("screen calibrated 24 days ago".to_owned()));
    assert!(!text(&shown.draw(None)).contains("24 days ago"));
    for event in keys("vvvv") {
        shown.app.handle(&event);
    }
    assert!(text(&shown.draw(None)).contains("24 days ago"));
}

#[test]
fn the_details_show_the_lightness_after_what_fails() {
    for size in SIZES {
        golden_seen("histogram", order::measured(), size, "");
    }
    golden_seen("histogram_of_a_faulty_row", order::faulty(), (140, 40), "");
}

#[test]
fn the_subject_is_drawn_over_the_whole_window() {
    for size in SIZES {
        golden_seen("subject", order::faulty(), size, "b>f>");
    }
    golden_seen("subject_typed", order::faulty(), (80, 24), "b;31$");
}

#[test]
fn the_subjects_box_goes_to_the_table_or_stays_as_it_was() {
    let mut shown = Shown::new(snapshot_of([order::faulty()]), theme(), (80, 24));
    let mut reactions = |letters: &str| keys(letters).iter().fold(Reaction::None, |_, key| shown.app.handle(key));
    assert_eq!(reactions("b>^"), Reaction::Draw);
    let required = reactions("b12 %$$");
    let Reaction::Send(LiveCommand::DrawSubject { picture, print: None, area: Some(area) }) = required else {
        panic!("{required:?}")
    };
    assert_eq!((picture.to_string().as_str(), area.left, area.top), ("p018-leeks.jpg", 0.12, 0.3));
    assert_eq!(shown.app.context(), Context::Table);
}

#[test]
fn a_box_is_dragged_with_the_pointer() {
    let mut shown = Shown::new(snapshot_of([order::faulty()]), theme(), (80, 24));
    let leeks = Arc::new(order::thumbnail("p018-leeks.jpg", 96, 118));
    shown.app.handle(&press(KeyCode::Char('b')));
    let before = seen(&shown.draw(Some(&leeks)));
    let at = |kind, column, row| Event::Mouse(MouseEvent { kind, column, row, modifiers: KeyModifiers::NONE });
    let left = crossterm::event::MouseButton::Left;
    assert_eq!(shown.app.handle(&at(MouseEventKind::Drag(left), 30, 10)), Reaction::None);
    shown.app.handle(&at(MouseEventKind::Down(left), 22, 10));
    shown.app.handle(&at(MouseEventKind::Drag(left), 26, 12));
    shown.app.handle(&at(MouseEventKind::Up(left), 26, 12));
    assert_ne!(seen(&shown.draw(Some(&leeks))), before);
}

#[test]
fn no_color_means_none_at_all_and_everything_is_marked() {
    let theme = Theme::of(&capability(ColourLevel::None, true));
    let buffer = Shown::new(book(), theme, (140, 40)).after(",,");
    assert!(buffer.content.iter().all(|cell| cell.fg == Color::Reset && cell.bg == Color::Reset));
    let shown = text(&buffer);
    assert!(shown.lines().any(|line| line.starts_with("▌") && line.contains("FIX")), "{shown}");
    assert!(shown.contains("214!"), "{shown}");
}

#[test]
fn an_ascii_terminal_gets_ascii_signs() {
    let theme = Theme::of(&capability(ColourLevel::Sixteen, false));
    let shown = text(&Shown::new(book(), theme, (100, 30)).after(","));
    let foreign: Vec<char> = shown.chars().filter(|c| !c.is_ascii()).collect();
    // The names themselves are foreign text and stay as they are.
    assert!(foreign.iter().all(|c| *c == 'ê'), "{foreign:?}");
}

#[test]
fn few_colours_stay_few() {
    let sixteen = Theme::of(&capability(ColourLevel::Sixteen, true));
    let mut shown = Shown::new(book(), sixteen, (100, 30));
    let plate = Arc::new(order::thumbnail("p008-smoked-mackerel.jpg", 120, 80));
    let buffer = shown.draw(Some(&plate));
    let allowed = |colour: Color| !matches!(colour, Color::Rgb(..) | Color::Indexed(_));
    assert!(buffer.content.iter().all(|cell| allowed(cell.fg) && allowed(cell.bg)));
    assert!(text(&buffer).contains('▀'));
}

#[test]
fn names_with_control_characters_are_escaped() {
    let shown = text(
        &Shown::new(snapshot_of([plain_row("p1\u{1b}[31m\u{202e}x", RowState::Fix)]), theme(), (140, 40)).after(""),
    );
    assert!(!shown.contains('\u{1b}') && !shown.contains('\u{202e}'));
    assert!(shown.contains("\\u{1b}[31m"), "{shown}");
}

#[test]
fn a_pass_with_a_note_still_says_what_was_not_checked() {
    let mut row = plain_row("plum tart", RowState::Pass);
    Arc::make_mut(&mut row.row).findings =
        vec![Finding { level: Level::Note, short: "4:2:0".to_owned(), ..order::too_coarse() }.into()];
    Arc::make_mut(&mut row.row).not_checked =
        [NotChecked { rule: testing::rule("margins.bleed"), reason: "unclear".to_owned(), brief_lacks_it: false }]
            .into();
    let shown = text(&Shown::new(snapshot_of([row]), theme(), (140, 40)).after(""));
    assert!(shown.contains("1 not checked · 4:2:0"), "{shown}");
}

#[test]
fn wide_letters_keep_the_columns() {
    let rows = [plain_row("梅のタルト", RowState::Fix), plain_row("plum tart", RowState::Fix)];
    let buffer = Shown::new(snapshot_of(rows), theme(), (80, 24)).after("");
    let column =
        |y: u16| (0..79).rev().find(|x| buffer[(*x, y)].symbol() == "2" && buffer[(*x + 1, y)].symbol() == "1");
    assert_eq!(column(2), column(3));
    assert!(column(2).is_some());
}

#[test]
fn the_mouse_selects_and_scrolls_what_it_points_at() {
    let mut shown = Shown::new(book(), theme(), (140, 40));
    shown.draw(None);
    let at = |kind, column, row| Event::Mouse(MouseEvent { kind, column, row, modifiers: KeyModifiers::NONE });
    let click = MouseEventKind::Down(crossterm::event::MouseButton::Left);
    assert_eq!(shown.app.handle(&at(click, 10, 4)), Reaction::Draw);
    assert_eq!(
        shown.app.state().view.selected().unwrap().print.as_ref().unwrap().to_string(),
        "p018-brown-butter-leeks"
    );
    assert_eq!(shown.app.handle(&at(click, 10, 30)), Reaction::None);
    shown.app.handle(&at(MouseEventKind::ScrollDown, 10, 4));
    assert_eq!(shown.app.state().view.selected().unwrap().print.as_ref().unwrap().to_string(), "p031-barley-broth");
}

#[test]
fn ten_thousand_rows_draw_like_ten() {
    let many = snapshot_of((0..10_000).map(|i| plain_row(&format!("p{i:05} plum tart"), RowState::Fix)));
    let mut shown = Shown::new(many, theme(), (140, 40));
    shown.draw(None);
    let began = processor_time();
    let rounds = 40;
    for _ in 0..rounds {
        shown.app.handle(&press(KeyCode::PageDown));
        shown.draw(None);
    }
    let each = (processor_time() - began) / rounds;
    // The target is 16 ms in a release build; tests run unoptimised.
    assert!(each < Duration::from_millis(48), "{each:?}");
    shown.app.handle(&press(KeyCode::End));
    assert!(text(&shown.draw(None)).contains("p09999"));
}

#[test]
fn fifty_thousand_rows_that_turn_one_by_one_cost_like_ten() {
    let mut now = snapshot_of((0..50_000).map(|i| plain_row(&format!("p{i:05} plum tart"), RowState::Checking)));
    let mut shown = Shown::new(now.clone(), theme(), (140, 40));
    shown.app.handle(&press(KeyCode::End));
    shown.draw(None);
    let rounds = 20;
    let mut took = Duration::ZERO;
    for round in 0..rounds {
        let mut rows = now.rows.to_vec();
        rows[round] = Arc::new(plain_row(&format!("p{round:05} plum tart"), RowState::Fix));
        now = Snapshot { generation: now.generation + 1, rows: rows.into(), ..now };
        let snapshot = Arc::new(now.clone());
        let began = processor_time();
        shown.app.update(snapshot, Instant::now());
        shown.app.handle(&press(KeyCode::Up));
        shown.draw(None);
        took += processor_time() - began;
    }
    // The limit is as above; finding the rows by their names took ten times as long.
    assert!(took / 20 < Duration::from_millis(48), "{:?}", took / 20);
}
