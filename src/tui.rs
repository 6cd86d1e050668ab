//! Everything that touches the terminal: draws the live table, turns keys into actions, and is the only part that
//! writes escape sequences.
//!
//! Decodes nothing, reads no file, judges nothing, and waits only for keys and news. Begin with `app.rs`, the stack of
//! modes; then `mode.rs` for what a mode is, `event_loop.rs` for when it is drawn, `terminal.rs` for how the terminal
//! is taken and given back.

mod accept_again;
mod accept_pane;
pub mod action;
pub mod app;
mod arrivals;
mod bell;
pub mod capability;
mod clipboard;
mod delivery_pane;
mod delivery_previewer;
pub mod delivery_service;
mod detail;
mod empty;
pub mod event_loop;
mod export_copy;
mod filter_line;
mod footer;
mod groups;
mod header;
mod help_page;
mod histogram;
pub mod keys;
mod large_picture;
mod late_replies;
mod layout;
mod legend;
mod live_source;
pub mod look;
mod mode;
mod numbers;
pub mod os;
mod palette;
pub mod picture;
mod picture_pane;
mod placeholder;
pub mod print;
pub mod probe;
mod problems;
mod screen_state;
mod sizes;
pub mod sort;
mod strokes;
mod subject_box;
mod table;
mod table_mode;
pub mod terminal;
#[cfg(test)]
mod tests;
mod theme;
pub mod thumbnail_mode;
mod to_do_pane;
mod typing;
pub mod view_state;
pub mod wrapped;

use std::io;
use std::time::Instant;

use crate::tui::app::App;
use crate::tui::capability::{Capability, ColourLevel};
use crate::tui::clipboard::{Clipboard, ClipboardRoute};
use crate::tui::delivery_service::DeliveryService;
use crate::tui::event_loop::{EventLoop, LoopEnd};
use crate::tui::keys::Keys;
use crate::tui::late_replies::LateReplies;
use crate::tui::live_source::LiveSource;
use crate::tui::picture::painter::Painter;
use crate::tui::picture::protocol::Protocol;
use crate::tui::terminal::TerminalGuard;
use crate::tui::theme::Theme;
use crate::tui::thumbnail_mode::ThumbnailMode;
use crate::units::words::of_system;

/// Most bytes of a picture, over a network and on this machine: 256 KB are 0.2 s at 10 Mbit/s, and a write delays the
/// keys. Own trials, 2026-11.
const MAX_BYTES_REMOTE: usize = 256 * 1024;
const MAX_BYTES_LOCAL: usize = 1024 * 1024;

/// Why the screen could not be shown or was lost.
#[derive(Debug, thiserror::Error)]
pub enum ScreenError {
    /// Input or output is not a terminal.
    #[error("this is not a terminal: use \"plateside check\" for a report or \"plateside watch --lines\" for changes")]
    NoTerminal,
    /// A terminal that cannot move its cursor.
    #[error(
        "the terminal (TERM={0}) cannot show a screen: use \"plateside check\" for a report or \"plateside watch \
         --lines\" for changes"
    )]
    Dumb(String),
    /// The terminal failed.
    #[error("the terminal cannot be used: {}", of_system(.0))]
    Terminal(#[from] io::Error),
}

/// What the screen needs besides the live table.
pub struct ScreenOptions {
    /// The calibration of this screen, as far as known.
    pub calibration: Option<String>,
    /// The user's name.
    pub name: String,
    /// The current time, in RFC 3339.
    pub clock: fn() -> String,
    /// True if a bell rings when a row turns FIX.
    pub rings_bell: bool,
    /// The keys in use.
    pub keys: Keys,
    /// The order's delivery service.
    pub delivery: Box<dyn DeliveryService>,
}

/// Shows the live table until the person quits or a signal ends it. The terminal is given back as it was, even after a
/// panic.
///
/// # Errors
/// If there is no terminal that can show a screen, or it fails. Exit with status 2 then.
pub fn run(source: &dyn LiveSource, thumbnails: ThumbnailMode, given: ScreenOptions) -> Result<LoopEnd, ScreenError> {
    let mut capability = Capability::of(|name| std::env::var(name).ok());
    if !os::on_terminal() {
        return Err(ScreenError::NoTerminal);
    }
    if capability.is_dumb {
        return Err(ScreenError::Dumb(std::env::var("TERM").unwrap_or_default()));
    }
    let taken = TerminalGuard::raw()?;
    let (protocol, out) = probe::choose(&mut os::RealLine, thumbnails, &mut capability)?;
    let remains =
        out.map_or_else(|| LateReplies::none(Instant::now()), |heard| LateReplies::of(&heard, Instant::now()));
    let theme = Theme::of(&capability);
    let protocol = if protocol == Protocol::Blocks && !theme.paints() { Protocol::Off } else { protocol };
    let no_picture = (protocol == Protocol::Off).then(|| why_no_picture(thumbnails, capability.colours)).flatten();
    let most_bytes = if capability.is_remote { MAX_BYTES_REMOTE } else { MAX_BYTES_LOCAL };
    let painter = Painter::new(protocol, capability.colours, most_bytes)?;
    let app = App::new(source.snapshot(), theme).with_picture_notice(no_picture).with_calibration(given.calibration);
    let app = app
        .with_signature(given.name, given.clock)
        .with_bell(given.rings_bell)
        .with_keys(given.keys)
        .with_clipboard(Clipboard::new(ClipboardRoute::of(&capability)))
        .with_delivery(given.delivery);
    let ended = taken.enter()?.show(|terminal, suspend| {
        let inputs = terminal::inputs(remains)?;
        EventLoop { source, app, painter, inputs, suspend, cell_px: &os::cell_px }.run(terminal, &mut os::stdout())
    })?;
    Ok(ended)
}

/// Explains why no picture is shown; `None` if the person chose that.
fn why_no_picture(thumbnails: ThumbnailMode, colours: ColourLevel) -> Option<&'static str> {
    match (thumbnails, colours) {
        (ThumbnailMode::Off, _) => None,
        (ThumbnailMode::Graphics, _) => Some("no picture: this terminal shows no graphics"),
        (_, ColourLevel::None) => Some("no picture: NO_COLOR is set; --thumbnail graphics brings it back"),
        _ => Some("no picture: this terminal lacks the characters; --thumbnail graphics may bring it back"),
    }
}
