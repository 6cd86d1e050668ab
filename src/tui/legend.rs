//! The legend under a picture: the view's name, and the meaning of its overlay in words, never colours alone.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use unicode_width::UnicodeWidthStr;

use crate::tui::picture::views::{LegendLine, Sign};
use crate::tui::strokes;
use crate::tui::theme::Theme;
use crate::tui::wrapped::wrapped;
use crate::units::styled::{Line, Span};

/// Columns between two entries.
const GAP: usize = 2;
/// A legend takes at most this part of a pane's rows: one third, rounded up. Own choice: the first two entries of a
/// view fit beside the smallest thumbnail.
const ROWS_PART: u16 = 3;

/// A row of the legend: pieces with their styles.
type LegendRow = Vec<(String, Style)>;

/// Draws a legend at the foot of an area; returns the area left for the picture.
pub fn draw(buffer: &mut Buffer, area: Rect, name: &str, entries: &[LegendLine], theme: &Theme) -> Rect {
    let inner = Rect { x: area.x + 1, width: area.width.saturating_sub(2), ..area };
    let mut rows = rows(name, entries, inner.width.into(), theme);
    let room = usize::from(area.height.div_ceil(ROWS_PART));
    if rows.len() > room {
        rows.truncate(room);
        // A larger picture has room for all of it.
        rows.iter_mut().last().into_iter().for_each(|row| row.push((format!(" {}", theme.signs.ellipsis), theme.dim)));
    }
    let height = u16::try_from(rows.len()).unwrap_or(0);
    for (y, row) in (area.bottom() - height..area.bottom()).zip(rows) {
        strokes::pieces(buffer, Rect { y, height: 1, ..inner }, &row, theme);
    }
    Rect { height: area.height - height, ..area }
}

/// Arranges name and entries in rows of the given width; an entry is broken only if no row has room for it.
fn rows(name: &str, entries: &[LegendLine], width: usize, theme: &Theme) -> Vec<LegendRow> {
    let mut rows = vec![vec![(name.to_owned(), theme.strong)]];
    let mut used = name.width();
    for entry in entries {
        let sign = entry.sign.text(theme.signs.has_half_blocks);
        let gap = if entry.sign == Sign::None { "" } else { " " };
        let wide = sign.width() + gap.len() + entry.words.width();
        if wide > width {
            let line = Line::plain(format!("{sign}{gap}{}", entry.words));
            let broken = |row: Vec<Span>| row.into_iter().map(|span| (span.text, Style::new())).collect();
            rows.extend(wrapped(&line, width).into_iter().map(broken));
            used = width;
            continue;
        }
        if used + GAP + wide > width {
            rows.push(LegendRow::new());
            used = 0;
        }
        let Some(row) = rows.last_mut() else { continue };
        if !row.is_empty() {
            row.push((" ".repeat(GAP), Style::new()));
            used += GAP;
        }
        row.extend([(format!("{sign}{gap}"), theme.strong), (entry.words.clone(), Style::new())]);
        used += wide;
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::capability::Capability;
    use crate::tui::picture::overlay::{Dash, Hatch};

    fn texts(width: usize) -> Vec<String> {
        let theme = Theme::of(&Capability::of(|name| (name == "TERM").then(|| "xterm".to_owned())));
        let entry = |sign, words: &str| LegendLine { sign, words: words.to_owned() };
        let entries = [
            entry(Sign::Hatch(Hatch::Rising), "shadows that block up 18.1 %"),
            entry(Sign::Dash(Dash::Dotted), "safe"),
            entry(Sign::None, "dimmed: cut off"),
        ];
        let rows = rows("lost tones", &entries, width, &theme);
        rows.iter().map(|row| row.iter().map(|(words, _)| words.as_str()).collect()).collect()
    }

    #[test]
    fn entries_stay_whole_and_fill_the_width() {
        assert_eq!(texts(80), ["lost tones  //// shadows that block up 18.1 %  ···· safe  dimmed: cut off"]);
        assert_eq!(texts(12)[2..], ["that block", "up 18.1 %", "···· safe", "dimmed: cut", "off"]);
        assert_eq!(texts(36), ["lost tones", "//// shadows that block up 18.1 %", "···· safe  dimmed: cut off"]);
    }

    #[test]
    fn a_legend_leaves_the_picture_most_of_the_pane() {
        let theme = Theme::of(&Capability::of(|name| (name == "TERM").then(|| "xterm".to_owned())));
        let area = Rect::new(3, 2, 20, 9);
        let mut buffer = Buffer::empty(area);
        let entry = LegendLine { sign: Sign::None, words: "a word that is long".to_owned() };
        let rest = draw(&mut buffer, area, "cut lines", &vec![entry; 9], &theme);
        assert_eq!(rest, Rect::new(3, 2, 20, 6));
    }
}
