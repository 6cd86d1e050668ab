//! The help: every key of the table of keys, and what states and marks mean.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::judge::State;
use crate::screen::brush;
use crate::screen::keys;
use crate::screen::theme::Theme;
use crate::screen::wrapped::wrapped;
use crate::units::styled::{Line, Style};

/// Columns of a key's name with its gap.
const KEY: u16 = 13;
/// Columns of a state's word with its gap.
const WORD: usize = 10;
/// Columns of the list of keys.
const LIST: u16 = 47;

const STATES: &[(State, &str)] = &[
    (State::Fix, "must be mended"),
    (State::Missing, "no picture yet"),
    (State::Warn, "should be mended"),
    (State::Extra, "no print wants it"),
    (State::Arriving, "still grows"),
    (State::Checking, "not read yet"),
    (State::Pass, "nothing to mend"),
];

const MARKS: &[(&str, &str)] = &[
    ("214!", "fails a must"),
    ("271~", "fails a should"),
    ("dimmed", "of an older export"),
    ("mouse", "click, wheel"),
];

/// Draws the help over the body.
pub fn draw(buffer: &mut Buffer, area: Rect, theme: &Theme) {
    let inner = Rect { x: area.x + 2, y: area.y + 1, width: area.width - 4, height: area.height - 1 };
    let list = Rect { width: LIST.min(inner.width), ..inner };
    brush::text(buffer, (list.x, list.y), list.width, "Keys", theme.styled(Style::Head), theme);
    for (y, (names, words)) in (list.y + 1..list.bottom()).zip(keys::explained()) {
        brush::text(buffer, (list.x, y), KEY, &names, theme.key, theme);
        let room = list.width.saturating_sub(KEY);
        brush::text(buffer, (list.x + KEY, y), room, words, ratatui::style::Style::new(), theme);
    }
    let gap = 2;
    let right = Rect { x: list.right() + gap, width: inner.right().saturating_sub(list.right() + gap), ..inner };
    let rows = meanings().into_iter().flat_map(|line| wrapped(&line, right.width.into()));
    for (y, row) in (right.y..right.bottom()).zip(rows) {
        brush::row(buffer, (right.x, y), right.width, &row, theme);
    }
}

fn meanings() -> Vec<Line> {
    let entry = |word: &str, style, words: &str| {
        Line::of(style, format!("{word:<WORD$}")).and(Style::Plain, words).indented(0, WORD)
    };
    let state_style = |state| match state {
        State::Fix => Style::Bad,
        State::Missing | State::Warn | State::Extra => Style::Warn,
        State::Arriving | State::Checking => Style::Dim,
        State::Pass => Style::Good,
    };
    let mut lines = vec![Line::of(Style::Head, "States")];
    lines.extend(STATES.iter().map(|(state, words)| entry(state.word(), state_style(*state), words)));
    lines.extend([Line::blank(), Line::of(Style::Head, "Marks")]);
    lines.extend(MARKS.iter().map(|(mark, words)| entry(mark, Style::Strong, words)));
    lines
}
