//! The help: every key of the table of keys, and the meaning of states and marks.

use crossterm::event::MouseEvent;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::judge::RowState;
use crate::tui::action::{Action, HelpAction, ScreenAction};
use crate::tui::keys::{Context, Keys};
use crate::tui::mode::{FrameParts, Mode, Reply};
use crate::tui::picture_pane::PictureRoom;
use crate::tui::screen_state::ScreenState;
use crate::tui::strokes;
use crate::tui::theme::Theme;
use crate::units::styled::Style;

/// Columns of a key's name with its gap.
const KEY: u16 = 13;
/// Columns of a state's word with its gap.
const WORD: u16 = 10;
/// Columns of the list of keys.
const LIST: u16 = 47;

const STATES: &[(RowState, &str)] = &[
    (RowState::Fix, "to fix"),
    (RowState::Missing, "no picture yet"),
    (RowState::Warn, "with warnings"),
    (RowState::Extra, "no print wants it"),
    (RowState::Arriving, "still grows"),
    (RowState::Checking, "not read yet"),
    (RowState::Pass, "nothing to fix"),
];

const MARKS: &[(&str, &str)] = &[
    ("214!", "fails a must"),
    ("271~", "fails a should"),
    ("dimmed", "of an older export"),
    ("mouse", "click, wheel"),
    ("////", "shadows merge"),
    ("\\\\\\\\", "blown white"),
];

/// The help page: for the keys of the table, or of the view in which the subject's box is drawn.
#[derive(Debug)]
pub struct HelpPage {
    of_box: bool,
}

impl HelpPage {
    /// Creates the help of the subject's box, or of the table.
    pub fn new(of_box: bool) -> HelpPage {
        HelpPage { of_box }
    }
}

impl Mode for HelpPage {
    fn context(&self) -> Context {
        Context::Help
    }

    fn act(&mut self, action: Action, _state: &mut ScreenState) -> Reply {
        match action {
            Action::Help(HelpAction::Close) | Action::Screen(ScreenAction::Help) => Reply::Close(None),
            _ => Reply::Pass,
        }
    }

    fn write(&mut self, _text: &str, _state: &mut ScreenState) -> Reply {
        Reply::Ignored
    }

    fn point(&mut self, _mouse: &MouseEvent, _state: &mut ScreenState) -> Reply {
        Reply::Ignored
    }

    fn draw(&mut self, buffer: &mut Buffer, frame: &FrameParts, state: &mut ScreenState) -> Option<PictureRoom> {
        draw(buffer, frame.areas.body, &state.keys, self.of_box, &state.theme);
        Some(PictureRoom::default())
    }
}

fn draw(buffer: &mut Buffer, area: Rect, keys: &Keys, of_box: bool, theme: &Theme) {
    let inner = Rect { x: area.x + 2, width: area.width - 4, ..area };
    let list = Rect { width: LIST.min(inner.width), ..inner };
    strokes::text(
        buffer,
        (list.x, list.y),
        list.width,
        if of_box { "Keys of the box" } else { "Keys" },
        theme.styled(Style::Head),
        theme,
    );
    for (y, (names, words)) in (list.y + 1..list.bottom()).zip(keys.explained(of_box)) {
        strokes::text(buffer, (list.x, y), KEY, &names, theme.key, theme);
        let room = list.width.saturating_sub(KEY);
        strokes::text(buffer, (list.x + KEY, y), room, words, ratatui::style::Style::new(), theme);
    }
    let gap = 2;
    let right = Rect { x: list.right() + gap, width: inner.right().saturating_sub(list.right() + gap), ..inner };
    let mut y = right.y;
    let entry = |buffer: &mut Buffer, y: u16, word: &str, style, words: &str| {
        if y < right.bottom() {
            strokes::text(buffer, (right.x, y), right.width, word, style, theme);
            let room = right.width.saturating_sub(WORD);
            strokes::text(buffer, (right.x + WORD, y), room, words, ratatui::style::Style::new(), theme);
        }
    };
    entry(buffer, y, "States", theme.styled(Style::Head), "");
    for (state, words) in STATES {
        y += 1;
        entry(buffer, y, state.word(), theme.state(*state), words);
    }
    y += 2;
    entry(buffer, y, "Marks", theme.styled(Style::Head), "");
    for (mark, words) in MARKS {
        y += 1;
        entry(buffer, y, mark, theme.strong, words);
    }
}
