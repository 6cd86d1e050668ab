//! What every mode of the screen is asked: what a key does in it, what it takes of letters and of the pointer, and how
//! it is drawn. `app.rs` holds the stack of those that are open.

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

/// A mode's answer to a key, a letter or the pointer.
pub enum Reply {
    /// Not meant for it: the mode below is asked.
    Pass,
    /// Meant for it, and nothing changed.
    Ignored,
    /// Something changed.
    Taken,
    /// The live table is asked this.
    Ask(LiveCommand),
    /// This mode opens on top.
    Open(Box<dyn Mode>),
    /// It closes, and the live table is asked this, if anything.
    Close(Option<LiveCommand>),
}

/// One mode of the screen.
pub trait Mode {
    /// Which keys count while it is the topmost.
    fn context(&self) -> Context;

    /// Does what a key asks for.
    fn act(&mut self, action: Action, state: &mut ScreenState) -> Reply;

    /// Whether letters are text in it now, so that pasted text is, too.
    fn is_typing(&self) -> bool {
        false
    }

    /// Takes letters that are no key of it.
    fn write(&mut self, _text: &str, _state: &mut ScreenState) -> Reply {
        Reply::Pass
    }

    /// Takes a click, a drag or the wheel.
    fn point(&mut self, _mouse: &MouseEvent, _state: &mut ScreenState) -> Reply {
        Reply::Pass
    }

    /// Takes up that the rows are others; `false` closes it, since there is nothing left for it to do.
    fn take_up(&mut self, _state: &ScreenState) -> bool {
        true
    }

    /// The row that stays selected while it is open.
    fn row(&self) -> Option<&RowKey> {
        None
    }

    /// Takes in what happened elsewhere; called before each frame.
    fn refresh(&mut self, _now: Instant) {}

    /// When it wants the next frame by itself.
    fn due(&self) -> Option<Instant> {
        None
    }

    /// What it shows in place of the selected row's details.
    fn pane(&self, _state: &ScreenState) -> Option<Vec<Line>> {
        None
    }

    /// Draws what is typed into the footer's line of keys; gives the room that is left for these.
    fn draw_prompt(&self, _buffer: &mut Buffer, area: Rect, _state: &ScreenState) -> Rect {
        area
    }

    /// Draws the body of the window; `None` where the mode below does.
    fn draw(&mut self, _buffer: &mut Buffer, _frame: &FrameParts, _state: &mut ScreenState) -> Option<PictureRoom> {
        None
    }
}

/// What a mode draws its part of one frame from.
pub struct FrameParts<'a> {
    /// The regions of the window.
    pub areas: Areas,
    /// The context of the topmost mode.
    pub context: Context,
    /// The selected row.
    pub row: Option<&'a TableRow>,
    /// The selected row's thumbnail.
    pub thumbnail: Option<&'a Arc<ShownThumbnail>>,
    /// Says where a picture goes and whether there are any.
    pub painter: &'a Painter,
    /// What is shown in place of the details.
    pub pane: Option<Vec<Line>>,
}
