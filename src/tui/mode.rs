//! The interface of every mode of the screen: its response to keys, letters and the pointer, and how it is drawn.
//! `app.rs` holds the stack of open modes.

use std::sync::Arc;
use std::time::Instant;

use crossterm::event::MouseEvent;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::judge::RowKey;
use crate::live::snapshot::{LiveCommand, ShownThumbnail, TableRow};
use crate::tui::action::Action;
use crate::tui::keys::Context;
use crate::tui::layout::Areas;
use crate::tui::picture::painter::Painter;
use crate::tui::picture_pane::PictureRoom;
use crate::tui::screen_state::ScreenState;
use crate::units::styled::Line;

/// A mode's reply to a key, a letter or the pointer.
pub enum Reply {
    /// Not meant for this mode: it is passed to the mode below.
    Pass,
    /// Meant for this mode, but nothing changed.
    Ignored,
    /// Something changed.
    Taken,
    /// This command is for the live table.
    Send(LiveCommand),
    /// This mode opens on top.
    Open(Box<dyn Mode>),
    /// The mode closes, with a command for the live table, if any.
    Close(Option<LiveCommand>),
}

/// What a mode shows in place of the selected row's details.
pub struct Pane {
    /// What it says; scrolled where there is no room for all of it.
    pub lines: Vec<Line>,
    /// What is being typed: below the rest, and always in sight.
    pub typed: Vec<Line>,
}

/// A mode of the screen.
pub trait Mode {
    /// Returns the keys' context while it is topmost.
    fn context(&self) -> Context;

    /// Carries out a key's action.
    fn act(&mut self, action: Action, state: &mut ScreenState) -> Reply;

    /// True if letters are text in this mode now, and so pasted text is too.
    fn is_typing(&self) -> bool {
        false
    }

    /// Takes letters that are not a key of this mode.
    fn on_text(&mut self, _text: &str, _state: &mut ScreenState) -> Reply {
        Reply::Pass
    }

    /// Takes a click, a drag or the wheel.
    fn on_mouse(&mut self, _mouse: &MouseEvent, _state: &mut ScreenState) -> Reply {
        Reply::Pass
    }

    /// Responds to changed rows; `false` closes the mode, since it has nothing left to do.
    fn on_snapshot(&mut self, _state: &ScreenState) -> bool {
        true
    }

    /// Returns the row that stays selected while the mode is open.
    fn row(&self) -> Option<&RowKey> {
        None
    }

    /// Takes in news from elsewhere; called before each frame.
    fn refresh(&mut self, _now: Instant) {}

    /// Returns when the next frame is due without input.
    fn next_frame_at(&self) -> Option<Instant> {
        None
    }

    /// Returns what is shown in place of the selected row's details, if anything.
    fn pane(&self, _state: &ScreenState) -> Option<Pane> {
        None
    }

    /// Draws what is typed into the footer's line of keys; returns the area left for the keys.
    fn draw_prompt(&self, _buffer: &mut Buffer, area: Rect, _state: &ScreenState) -> Rect {
        area
    }

    /// Draws the body of the window; `None` if the mode below draws it.
    fn draw(&mut self, _buffer: &mut Buffer, _frame: &FrameParts, _state: &mut ScreenState) -> Option<PictureRoom> {
        None
    }
}

/// The input from which a mode draws its part of one frame.
pub struct FrameParts<'a> {
    /// The regions of the window.
    pub areas: Areas,
    /// The context of the topmost mode.
    pub context: Context,
    /// The selected row.
    pub row: Option<&'a TableRow>,
    /// The selected row's thumbnail.
    pub thumbnail: Option<&'a Arc<ShownThumbnail>>,
    /// The painter, which knows where a picture goes and whether any are shown.
    pub painter: &'a Painter,
    /// What is shown in place of the details.
    pub pane: Option<Pane>,
}
