//! A picture at the prompt, without the full screen: above its facts, as large as the window allows.
//!
//! The user's chosen package, viuer, draws half blocks and iTerm2's inline pictures. Its own probes are never used:
//! they wait without a limit on a terminal that does not answer or answers in pieces, and run for sixel and kitty even
//! where another protocol is chosen (own trials, 2026-11). So the timed probe of this program asks, viuer is given the
//! result, and this program's own encoders draw sixel and kitty.

use std::io::{self, Write};

use crossterm::cursor::{MoveToColumn, MoveUp};
use crossterm::terminal::{disable_raw_mode, enable_raw_mode, size};
use image::{DynamicImage, RgbImage};
use ratatui::layout::Rect;

use crate::live::snapshot::ShownThumbnail;
use crate::tui::capability::{Capability, ColourLevel};
use crate::tui::os::{RealLine, stdout};
use crate::tui::picture::encode::{EncodeTarget, encode};
use crate::tui::picture::fit::{USUAL_CELL_PX, fit};
use crate::tui::picture::overlay::Overlay;
use crate::tui::picture::protocol::Protocol;
use crate::tui::picture::scale::scaled;
use crate::tui::thumbnail_mode::ThumbnailMode;
use crate::tui::{MAX_BYTES_LOCAL, MAX_BYTES_REMOTE, os, probe};

/// Most cells of a picture at the prompt: enough to recognise it, with its facts still in the window. Own choice.
const MAX_CELLS: (u16, u16) = (72, 24);
/// Rows of the window left for the facts and the prompt.
const ROWS_LEFT: u16 = 13;
/// viuer draws two pixels a cell, one above the other.
const BLOCKS_CELL_PX: (u16, u16) = (1, 2);

/// Shows pictures on standard output, if that is a terminal.
pub struct Viewer {
    protocol: Protocol,
    has_full_colour: bool,
    most_bytes: usize,
}

impl Viewer {
    /// Queries the terminal once; `None` if pictures cannot or should not be shown: in a pipe, without colours, without
    /// UTF-8, or because they are off.
    ///
    /// # Errors
    /// If the terminal cannot be written to.
    pub fn of_stdout(thumbnails: ThumbnailMode) -> io::Result<Option<Viewer>> {
        let mut capability = Capability::of(|name| std::env::var(name).ok());
        if !os::on_terminal() || capability.is_dumb || thumbnails == ThumbnailMode::Off {
            return Ok(None);
        }
        // A command that ends here cannot discard an answer that is still to come.
        let (protocol, _out) = {
            let _raw = Raw::new()?;
            probe::choose(&mut RealLine, thumbnails, &mut capability)?
        };
        let blocks_fail = capability.colours == ColourLevel::None || !capability.utf8;
        if protocol == Protocol::Off || (protocol == Protocol::Blocks && blocks_fail) {
            return Ok(None);
        }
        let most_bytes = if capability.is_remote { MAX_BYTES_REMOTE } else { MAX_BYTES_LOCAL };
        Ok(Some(Viewer { protocol, has_full_colour: capability.colours == ColourLevel::Full, most_bytes }))
    }

    /// Shows a picture and leaves the cursor on the line below it.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn show(&self, thumbnail: &ShownThumbnail) -> io::Result<()> {
        let cell_px = match os::cell_px() {
            (0, _) | (_, 0) => USUAL_CELL_PX,
            known => known,
        };
        let (columns, rows) = size().unwrap_or(MAX_CELLS);
        let room = Rect::new(0, 0, columns.min(MAX_CELLS.0), rows.saturating_sub(ROWS_LEFT).clamp(1, MAX_CELLS.1));
        let area = fit((thumbnail.width_px, thumbnail.height_px), room, cell_px);
        if area.is_empty() {
            return Ok(());
        }
        let cells = (area.width, area.height);
        match self.protocol {
            Protocol::Off => Ok(()),
            Protocol::Blocks => self.by_viuer(thumbnail, cells, BLOCKS_CELL_PX, false),
            Protocol::Iterm => self.by_viuer(thumbnail, cells, cell_px, true),
            Protocol::Kitty | Protocol::Sixel => {
                let target = EncodeTarget { protocol: self.protocol, cells, cell_px, most_bytes: self.most_bytes };
                match encode(thumbnail, &Overlay::default(), &target) {
                    Some(bytes) => placed(&bytes, area.height),
                    None => self.by_viuer(thumbnail, cells, BLOCKS_CELL_PX, false),
                }
            }
        }
    }

    /// Draws through viuer a picture of exactly the size that the cells take, so that it neither stretches nor resizes.
    fn by_viuer(
        &self,
        thumbnail: &ShownThumbnail,
        cells: (u16, u16),
        cell_px: (u16, u16),
        use_iterm: bool,
    ) -> io::Result<()> {
        let px = |cells: u16, px: u16| u32::from(cells) * u32::from(px);
        let picture: RgbImage = scaled(thumbnail, px(cells.0, cell_px.0), px(cells.1, cell_px.1));
        let config = viuer::Config {
            absolute_offset: false,
            width: Some(u32::from(cells.0)),
            height: Some(u32::from(cells.1)),
            truecolor: self.has_full_colour,
            use_iterm,
            use_kitty: false,
            use_sixel: false,
            ..viuer::Config::default()
        };
        viuer::print(&DynamicImage::ImageRgb8(picture), &config).map(|_| ()).map_err(io::Error::other)
    }
}

/// Writes a picture into `rows` new rows, with the cursor below: the encoders leave the cursor anywhere.
fn placed(bytes: &[u8], rows: u16) -> io::Result<()> {
    let mut out = stdout();
    out.write_all("\n".repeat(usize::from(rows)).as_bytes())?;
    crossterm::queue!(out, MoveUp(rows), MoveToColumn(0))?;
    out.write_all(b"\x1b7")?;
    out.write_all(bytes)?;
    out.write_all(b"\x1b8")?;
    out.write_all("\n".repeat(usize::from(rows)).as_bytes())?;
    out.flush()
}

/// Raw mode while the terminal answers.
struct Raw;

impl Raw {
    fn new() -> io::Result<Raw> {
        enable_raw_mode()?;
        Ok(Raw)
    }
}

impl Drop for Raw {
    fn drop(&mut self) {
        // A terminal that has gone away has no mode to reset.
        let _gone = disable_raw_mode();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_terminal_nothing_is_asked_and_nothing_shown() {
        // Tests may run at a terminal: there only the choice "off" is the same everywhere.
        assert!(Viewer::of_stdout(ThumbnailMode::Off).unwrap().is_none());
        if !os::on_terminal() {
            assert!(Viewer::of_stdout(ThumbnailMode::Graphics).unwrap().is_none());
        }
    }
}
