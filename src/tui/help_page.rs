//! The help: every key of the table of keys, then the meaning of states, levels, marks and views, and of what was not
//! checked. It scrolls where the window is too low for it.

use crossterm::event::{MouseEvent, MouseEventKind};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style as InkStyle;

use crate::judge::RowState;
use crate::tui::action::{Action, HelpAction, ScreenAction};
use crate::tui::detail;
use crate::tui::keys::{Context, HelpTopic, Keys};
use crate::tui::mode::{FrameParts, Mode, Reply};
use crate::tui::picture::overlay::Dash;
use crate::tui::picture::views::Sign;
use crate::tui::picture_pane::PictureRoom;
use crate::tui::screen_state::ScreenState;
use crate::tui::strokes;
use crate::tui::theme::Theme;
use crate::tui::wrapped::wrapped;
use crate::units::styled::{Line, Span, Style};

/// Columns of a key's name, or of a word that is explained, with its gap.
const TERM: u16 = 13;
/// Columns of the list of keys, and of the gap beside it.
const LIST: u16 = 47;
const GAP: u16 = 2;
/// The width from which the explanations are beside the keys, else below them. Own choice, tried at 80, 100 and 140.
const BESIDE_FROM: u16 = 96;
/// Rows for a notch of the wheel. Own choice.
const WHEEL_STEP: isize = 3;

const STATES: &[(RowState, &str)] = &[
    (RowState::Fix, "something must be fixed"),
    (RowState::Missing, "this print has no picture yet"),
    (RowState::Warn, "something should be fixed, or accepted"),
    (RowState::Extra, "no print in the brief takes this picture"),
    (RowState::Arriving, "the file is still being written"),
    (RowState::Checking, "not measured yet"),
    (RowState::Pass, "nothing to fix"),
];

const LEVELS: &[(&str, &str)] = &[
    ("must", "if it fails, the row is FIX"),
    ("should", "if it fails, the row is WARN"),
    ("note", "shown only; the state stays as it is"),
    ("off", "the rule is not used"),
];

const MARKS: &[(&str, &str)] = &[
    ("214!", "fails a must"),
    ("271~", "fails a should"),
    ("+", "a row that you marked"),
    ("dimmed", "the result of the previous export"),
];

const VIEWS: &[(&str, &str)] = &[
    ("as sent", "the picture as exported"),
    ("lost tones", "//// shadows that block up, \\\\\\\\ blown white"),
    ("lost colours", "//// outside the colour space, \\\\\\\\ outside the paper's gamut"),
    ("cut lines", "the trim, the safe line, the folds and the subject"),
    ("on paper", "soft proof: relative colorimetric, then perceptual, then with paper white"),
];

/// The lines through a picture while the subject's box is drawn.
const LINES: &[(Dash, &str)] = &[
    (Dash::Solid, "the subject's box"),
    (Dash::Long, "the trim may reach here"),
    (Dash::Dotted, "the safe line"),
    (Dash::Sparse, "the finished edge"),
    (Dash::StrokeDot, "a fold"),
    (Dash::Corners, "the printed area"),
];

const OF_LEVELS: &str = "The brief changes the level of a rule under [rules].";
const OF_MARKS: &str = "A click selects a row. The wheel scrolls.";
const OF_VIEWS: &str = "A terminal shows approximate colours: a hard proof decides.";
const NOT_CHECKED: &str = "A rule is not checked where it has nothing to go by: the paper's profile is missing, the \
                           picture has too few edges to judge, or its pixels cannot be read. The reason is given \
                           beside the rule. Not checked does not mean passed. plateside brief ask lists what to ask \
                           the printer.";
const WITHIN_TOLERANCE: &str = "The value is off by too little to matter, or by less than can be measured. The rule \
                                counts as passed.";
const OF_BOX: &str = "Put the box round the part of the picture that must survive: it must not be trimmed, cross the \
                      safe line or lie on a fold. Drag an edge or the whole box, or type where the chosen edge goes: \
                      12.5 %, 31 mm or 400 px from the picture's left or top.";

/// The help page: for the keys of the table, or of the view in which the subject's box is drawn.
#[derive(Debug)]
pub struct HelpPage {
    topic: HelpTopic,
    /// The first row shown.
    top: usize,
    /// The rows hidden below, and the rows of a page, as last drawn.
    below: usize,
    page: usize,
}

impl HelpPage {
    /// Creates the help page about a topic.
    pub fn new(topic: HelpTopic) -> HelpPage {
        HelpPage { topic, top: 0, below: 0, page: 1 }
    }

    /// Scrolls down or (below 0) up, as far as there is something to see.
    fn scroll(&mut self, rows: isize) -> Reply {
        let rows = rows.clamp(-self.top.cast_signed(), self.below.cast_signed());
        if rows == 0 {
            return Reply::Ignored;
        }
        self.top = self.top.saturating_add_signed(rows);
        self.below = self.below.saturating_add_signed(-rows);
        Reply::Taken
    }
}

impl Mode for HelpPage {
    fn context(&self) -> Context {
        Context::Help
    }

    fn act(&mut self, action: Action, _state: &mut ScreenState) -> Reply {
        match action {
            Action::Help(HelpAction::Close) | Action::Screen(ScreenAction::Help) => Reply::Close(None),
            Action::Help(HelpAction::Down) => self.scroll(1),
            Action::Help(HelpAction::Up) => self.scroll(-1),
            Action::Help(HelpAction::PageDown) => self.scroll(self.page.cast_signed()),
            Action::Help(HelpAction::PageUp) => self.scroll(-self.page.cast_signed()),
            _ => Reply::Pass,
        }
    }

    fn on_text(&mut self, _text: &str, _state: &mut ScreenState) -> Reply {
        Reply::Ignored
    }

    fn on_mouse(&mut self, mouse: &MouseEvent, _state: &mut ScreenState) -> Reply {
        match mouse.kind {
            MouseEventKind::ScrollDown => self.scroll(WHEEL_STEP),
            MouseEventKind::ScrollUp => self.scroll(-WHEEL_STEP),
            _ => Reply::Ignored,
        }
    }

    fn draw(&mut self, buffer: &mut Buffer, frame: &FrameParts, state: &mut ScreenState) -> Option<PictureRoom> {
        let (keys, theme) = (&state.keys, &state.theme);
        let area = frame.areas.body;
        let inner = Rect { x: area.x + 2, width: area.width - 4, ..area };
        let columns = columns(inner, keys, self.topic, theme);
        let longest = columns.iter().map(|(_, rows)| rows.len()).max().unwrap_or(0);
        // If not everything fits, the last row shows how much more there is.
        let room = usize::from(inner.height.saturating_sub(u16::from(longest > usize::from(inner.height))));
        self.top = self.top.min(longest.saturating_sub(room));
        (self.below, self.page) = (longest.saturating_sub(self.top + room), room.max(1));
        for (column, rows) in &columns {
            for (y, row) in (inner.y..inner.bottom()).zip(rows.iter().skip(self.top).take(room)) {
                row.draw(buffer, Rect { y, height: 1, ..*column }, theme);
            }
        }
        if longest > room {
            let named = |action| keys.named(Action::Help(action));
            let words =
                detail::more_words(self.top, self.below, &named(HelpAction::PageDown), &named(HelpAction::PageUp));
            strokes::text_right(buffer, (inner.x, inner.bottom() - 1), inner.width, &words, theme.dim, theme);
        }
        Some(PictureRoom::default())
    }
}

/// A row of the help: a heading or a word that is explained, and a row of its explanation.
struct HelpRow {
    term: (String, InkStyle),
    /// Columns before the words.
    column: u16,
    words: Vec<Span>,
}

impl HelpRow {
    fn draw(&self, buffer: &mut Buffer, line: Rect, theme: &Theme) {
        let (term, style) = &self.term;
        let room = if self.words.is_empty() { line.width } else { self.column };
        strokes::text(buffer, (line.x, line.y), room, term, *style, theme);
        let width = line.width.saturating_sub(self.column);
        strokes::row(buffer, (line.x + self.column, line.y), width, &self.words, theme);
    }
}

/// The rows of a column, as they are written.
struct HelpColumn<'a> {
    rows: Vec<HelpRow>,
    width: u16,
    theme: &'a Theme,
}

impl HelpColumn<'_> {
    /// Begins a section, after a blank row if another is above.
    fn head(&mut self, words: &str) {
        if !self.rows.is_empty() {
            self.push(String::new(), InkStyle::new(), 0, Vec::new());
        }
        self.push(words.to_owned(), self.theme.styled(Style::Head), 0, Vec::new());
    }

    fn entry(&mut self, term: &str, style: InkStyle, words: &str) {
        let mut term = term.to_owned();
        for row in wrapped(&Line::plain(words), usize::from(self.width.saturating_sub(TERM))) {
            self.push(std::mem::take(&mut term), style, TERM, row);
        }
    }

    fn paragraph(&mut self, words: &str) {
        for row in wrapped(&Line::plain(words), self.width.into()) {
            self.push(String::new(), InkStyle::new(), 0, row);
        }
    }

    fn push(&mut self, term: String, style: InkStyle, column: u16, words: Vec<Span>) {
        self.rows.push(HelpRow { term: (term, style), column, words });
    }
}

/// Returns the columns of the page with their rows: keys and explanations side by side, or one below the other.
fn columns(inner: Rect, keys: &Keys, topic: HelpTopic, theme: &Theme) -> Vec<(Rect, Vec<HelpRow>)> {
    let column = |width| HelpColumn { rows: Vec::new(), width, theme };
    if inner.width < BESIDE_FROM {
        let mut all = column(inner.width);
        add_keys(&mut all, keys, topic);
        add_explanations(&mut all, topic);
        return vec![(inner, all.rows)];
    }
    let left = Rect { width: LIST, ..inner };
    let right = Rect { x: left.right() + GAP, width: inner.width - LIST - GAP, ..inner };
    let (mut list, mut beside) = (column(left.width), column(right.width));
    add_keys(&mut list, keys, topic);
    add_explanations(&mut beside, topic);
    vec![(left, list.rows), (right, beside.rows)]
}

fn add_keys(column: &mut HelpColumn, keys: &Keys, topic: HelpTopic) {
    column.head(if topic == HelpTopic::SubjectBox { "Keys of the box" } else { "Keys" });
    for (names, words) in keys.explained(topic) {
        column.entry(&names, column.theme.key, words);
    }
}

fn add_explanations(column: &mut HelpColumn, topic: HelpTopic) {
    let theme = column.theme;
    if topic == HelpTopic::SubjectBox {
        column.head("The box");
        column.paragraph(OF_BOX);
        column.head("Lines");
        for (dash, words) in LINES {
            column.entry(Sign::Dash(*dash).text(theme.signs.has_half_blocks), theme.strong, words);
        }
        return;
    }
    column.head("States");
    for (state, words) in STATES {
        column.entry(state.word(), theme.state(*state), words);
    }
    let sections = [("Levels", LEVELS, OF_LEVELS), ("Marks", MARKS, OF_MARKS), ("Views", VIEWS, OF_VIEWS)];
    for (head, entries, words) in sections {
        column.head(head);
        for (term, words) in entries {
            column.entry(term, theme.strong, words);
        }
        column.paragraph(words);
    }
    column.head("Not checked");
    column.paragraph(NOT_CHECKED);
    column.head("Within tolerance");
    column.paragraph(WITHIN_TOLERANCE);
}
