//! The selected row's picture over the whole window; all other keys for rows work as on the table.

use crossterm::event::MouseEvent;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::live::snapshot::TableRow;
use crate::tui::action::{Action, LargeAction, TableAction};
use crate::tui::keys::Context;
use crate::tui::mode::{FrameParts, Mode, Reply};
use crate::tui::picture_pane::PictureRoom;
use crate::tui::screen_state::ScreenState;
use crate::tui::strokes;
use crate::tui::theme::Theme;

/// The large picture.
#[derive(Debug)]
pub struct LargePicture;

impl Mode for LargePicture {
    fn context(&self) -> Context {
        Context::Large
    }

    fn act(&mut self, action: Action, _state: &mut ScreenState) -> Reply {
        match action {
            Action::Large(LargeAction::Close) | Action::Table(TableAction::Larger) => Reply::Close(None),
            _ => Reply::Pass,
        }
    }

    fn on_mouse(&mut self, _mouse: &MouseEvent, _state: &mut ScreenState) -> Reply {
        Reply::Ignored
    }

    fn draw(&mut self, buffer: &mut Buffer, frame: &FrameParts, state: &mut ScreenState) -> Option<PictureRoom> {
        let body = draw_name(buffer, frame.areas.body, frame.row, &state.theme);
        Some(state.picture.draw(buffer, body, frame.row, frame.thumbnail, &state.theme))
    }
}

/// Draws the picture's name, its state and its findings; returns the area that is left.
fn draw_name(buffer: &mut Buffer, area: Rect, row: Option<&TableRow>, theme: &Theme) -> Rect {
    let Some(row) = row else { return area };
    let state = row.state_now();
    let name = row.row.key.picture.as_ref().map_or(row.row.print_name.as_str(), |picture| picture.file_name());
    let found: Vec<&str> = row.row.findings.iter().map(|finding| finding.short.as_str()).collect();
    let dot = theme.signs.dot.to_owned();
    let pieces = [
        (format!(" {name}"), theme.strong),
        (dot.clone(), theme.dim),
        (state.word().to_owned(), theme.state(state)),
        (if found.is_empty() { String::new() } else { dot.clone() + &found.join(&dot) }, theme.dim),
    ];
    strokes::pieces(buffer, Rect { height: 1, ..area }, &pieces, theme);
    Rect { y: area.y + 1, height: area.height.saturating_sub(1), ..area }
}
