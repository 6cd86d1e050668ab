//! Small drawing functions: a text at a position, cut to its room; a line of pieces; rules.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use unicode_width::UnicodeWidthStr;

use crate::tui::theme::Theme;
use crate::tui::wrapped::cut;
use crate::units::styled;

/// Writes a text, escaped and cut to `width` columns; returns the columns it took.
pub fn text(buffer: &mut Buffer, at: (u16, u16), width: u16, text: &str, style: Style, theme: &Theme) -> u16 {
    let shown = cut(text, width.into(), theme.signs.ellipsis);
    let (x, _) = buffer.set_stringn(at.0, at.1, &shown, width.into(), style);
    x - at.0
}

/// Writes a text that ends at the right edge of its room.
pub fn text_right(buffer: &mut Buffer, at: (u16, u16), width: u16, words: &str, style: Style, theme: &Theme) {
    let taken = u16::try_from(words.width()).unwrap_or(width).min(width);
    text(buffer, (at.0 + width - taken, at.1), taken, words, style, theme);
}

/// Writes pieces one after another until the room ends; returns the column after the last.
pub fn pieces(buffer: &mut Buffer, area: Rect, pieces: &[(String, Style)], theme: &Theme) -> u16 {
    let mut x = area.x;
    for (words, style) in pieces {
        x += text(buffer, (x, area.y), area.right().saturating_sub(x), words, *style, theme);
    }
    x
}

/// Writes a row of a wrapped line.
pub fn row(buffer: &mut Buffer, at: (u16, u16), width: u16, row: &[styled::Span], theme: &Theme) {
    let mut x = at.0;
    for span in row {
        let room = (at.0 + width).saturating_sub(x);
        (x, _) = buffer.set_stringn(x, at.1, &span.text, room.into(), theme.styled(span.style));
    }
}

/// Fills an area one column wide or one row high with line-drawing signs.
pub fn rule(buffer: &mut Buffer, area: Rect, theme: &Theme) {
    let sign = if area.width == 1 && area.height > 1 { theme.signs.vertical } else { theme.signs.horizontal };
    for position in area.positions() {
        buffer[position].set_symbol(sign).set_style(theme.rule);
    }
}
