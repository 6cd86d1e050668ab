//! The words in place of a picture that is not shown, or in a window that is too small.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use crate::live::snapshot::TableRow;
use crate::tui::layout::MIN_SIZE;
use crate::tui::strokes;
use crate::tui::theme::Theme;
use crate::tui::wrapped::wrapped;
use crate::units::styled::{Line, Style};

/// Writes in the middle of a picture's area why there is none.
pub fn no_thumbnail(buffer: &mut Buffer, area: Rect, row: Option<&TableRow>, why_none: Option<&str>, theme: &Theme) {
    let words = match (row.map(|row| row.row.key.picture.is_some()), why_none) {
        (None, _) => return,
        (Some(_), Some(why)) => why,
        (Some(true), None) if row.is_some_and(cannot_be_read) => "no thumbnail: the file cannot be read",
        (Some(true), None) => "no thumbnail yet",
        (Some(false), None) => "no picture yet",
    };
    let rows = wrapped(&Line::of(Style::Dim, words), area.width.saturating_sub(2).into());
    // A single row goes in the middle.
    let above = (area.height + 1).saturating_sub(u16::try_from(rows.len()).unwrap_or(area.height)) / 2;
    for (y, row) in (area.y + above..area.bottom()).zip(rows) {
        let width = row.iter().map(|span| span.text.width()).sum::<usize>();
        let width = u16::try_from(width).unwrap_or(area.width).min(area.width);
        strokes::row(buffer, (area.x + (area.width - width) / 2, y), width, &row, theme);
    }
}

/// True if the file cannot be read, so cannot be shown.
fn cannot_be_read(row: &TableRow) -> bool {
    row.row.findings.iter().any(|finding| finding.rule.uses.is_unreadable)
}

/// Writes how large the window must be.
pub fn too_small(buffer: &mut Buffer, window: Rect, theme: &Theme) {
    let words = format!(
        "The window has {} x {} characters; plateside needs {} x {}.",
        window.width, window.height, MIN_SIZE.0, MIN_SIZE.1
    );
    let rows = wrapped(&Line::plain(words), window.width.into());
    for (y, row) in (window.y..window.bottom()).zip(rows) {
        strokes::row(buffer, (window.x, y), window.width, &row, theme);
    }
}
