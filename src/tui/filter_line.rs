//! The line of the footer in which a filter is typed, over the table.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::tui::action::{Action, FilterAction};
use crate::tui::keys::Context;
use crate::tui::mode::{Mode, Reply};
use crate::tui::screen_state::ScreenState;
use crate::tui::strokes;
use crate::tui::typing;

/// Most characters of a filter: more than any name that is searched for has.
const MAX_LETTERS: usize = 100;
/// Columns between the filter and the keys.
const GAP: u16 = 3;

/// The filter's line. The filter itself is in the view, which updates the rows shown at every letter.
#[derive(Debug)]
pub struct FilterLine;

impl Mode for FilterLine {
    fn context(&self) -> Context {
        Context::Filter
    }

    fn act(&mut self, action: Action, state: &mut ScreenState) -> Reply {
        let Action::Filter(action) = action else { return Reply::Pass };
        let view = &mut state.view;
        match action {
            FilterAction::Keep => view.keep_filter(),
            FilterAction::Clear => view.clear_filter(),
            FilterAction::Backspace => {
                view.filter.pop();
                view.apply_filter();
                return Reply::Taken;
            }
        }
        Reply::Close(None)
    }

    fn is_typing(&self) -> bool {
        true
    }

    fn on_text(&mut self, text: &str, state: &mut ScreenState) -> Reply {
        typing::add(&mut state.view.filter, text, MAX_LETTERS);
        state.view.apply_filter();
        Reply::Taken
    }

    fn draw_prompt(&self, buffer: &mut Buffer, area: Rect, state: &ScreenState) -> Rect {
        let theme = &state.theme;
        let filter = state.view.filter.clone();
        let typed = [("filter ".to_owned(), theme.head), (filter, theme.strong), ("_".to_owned(), theme.dim)];
        let end = strokes::pieces(buffer, area, &typed, theme) + GAP;
        Rect { x: end, width: area.right().saturating_sub(end), ..area }
    }
}
