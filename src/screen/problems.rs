//! The panel of a brief that cannot be read as it stands: where, what stands there, what to write instead. The rows
//! stay, judged by the last good brief.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::brief::Problem;
use crate::screen::brush;
use crate::screen::theme::Theme;
use crate::screen::wrapped::wrapped;
use crate::units::show;
use crate::units::styled::{Line, Span, Style};

/// Columns by which the lines of a problem stand in.
const INDENT: usize = 2;

/// Rows that the panel wants at a width; none for a good brief.
pub fn height(problems: &[Problem], width: u16) -> u16 {
    if problems.is_empty() {
        return 0;
    }
    u16::try_from(rows(problems, width).len() + 2).unwrap_or(u16::MAX)
}

/// Draws the panel.
pub fn draw(buffer: &mut Buffer, area: Rect, problems: &[Problem], theme: &Theme) {
    if area.is_empty() {
        return;
    }
    let head = format!(
        " The brief has {}; the rows are judged by the last good one ",
        show::count(problems.len(), "problem", "problems")
    );
    brush::text(buffer, (area.x, area.y), area.width, &head, theme.bad_filled, theme);
    let room = usize::from(area.height.saturating_sub(2));
    let mut rows = rows(problems, area.width);
    let hidden = rows.len().saturating_sub(room);
    if hidden > 0 {
        rows.truncate(room.saturating_sub(1));
        let more = show::count(hidden + 1, "more line", "more lines");
        rows.push(vec![Span::new(Style::Dim, format!(" {more}: plateside brief show lists them all"))]);
    }
    for (y, row) in (area.y + 1..area.bottom()).zip(rows) {
        brush::row(buffer, (area.x, y), area.width, &row, theme);
    }
    brush::rule(buffer, Rect { y: area.bottom() - 1, height: 1, ..area }, theme);
}

fn rows(problems: &[Problem], width: u16) -> Vec<Vec<Span>> {
    problems.iter().flat_map(lines).flat_map(|line| wrapped(&line, usize::from(width.saturating_sub(1)))).collect()
}

fn lines(problem: &Problem) -> Vec<Line> {
    let file = problem.file.file_name().unwrap_or(problem.file.as_os_str()).to_string_lossy().into_owned();
    let place = format!("{file}:{}:{}", problem.line, problem.column);
    let mut lines =
        vec![Line::of(Style::Strong, place).and(Style::Plain, format!("  {}", problem.what)).indented(1, INDENT)];
    if !problem.text.trim().is_empty() {
        lines.push(Line::of(Style::Dim, problem.text.trim()).indented(1 + INDENT, INDENT));
    }
    if !problem.remedy.is_empty() {
        lines.push(Line::of(Style::Good, problem.remedy.clone()).indented(1 + INDENT, INDENT));
    }
    lines
}
