//! The panel of problems with the order as a whole: a brief that cannot be read (where, the text there, what to write
//! instead; the rows stay, judged by the last good brief), a folder that holds too much, and findings about the order
//! that are on no row.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::brief::Problem;
use crate::brief::requirements::Level;
use crate::live::Snapshot;
use crate::picture::unlisted::cut_off_words;
use crate::tui::action::{Action, TableAction};
use crate::tui::detail::PaneStyle;
use crate::tui::strokes;
use crate::tui::wrapped::wrapped;
use crate::units::show;
use crate::units::styled::{Line, Span, Style};
use crate::units::words::visible;

/// Columns by which the lines of a problem are indented.
const INDENT: usize = 2;

/// What happens after judging has failed.
const JUDGING_REMEDY: &str = "plateside tries again when a file or the brief changes";

/// Returns the rows that the panel needs at a width; 0 if there are no problems.
pub fn height(snapshot: &Snapshot, width: u16) -> u16 {
    match rows(snapshot, width).len() {
        0 => 0,
        rows => u16::try_from(rows + 1).unwrap_or(u16::MAX),
    }
}

/// Draws the panel from row `top` on, limited to what there is; returns its first row and how many are hidden below.
pub fn draw(
    buffer: &mut Buffer,
    area: Rect,
    snapshot: &Snapshot,
    top: usize,
    PaneStyle { context, keys, theme }: PaneStyle,
) -> (usize, usize) {
    if area.is_empty() {
        return (0, 0);
    }
    let rows = rows(snapshot, area.width);
    let room = usize::from(area.height.saturating_sub(1));
    let hidden = rows.len().saturating_sub(room);
    let top = top.min(hidden);
    for (y, row) in (area.y..area.bottom()).zip(rows.iter().skip(top).take(room)) {
        match row {
            ProblemRow::Head(words) => {
                strokes::text(buffer, (area.x, y), area.width, words, theme.bad_filled, theme);
            }
            ProblemRow::Text(spans) => strokes::row(buffer, (area.x, y), area.width, spans, theme),
        }
    }
    let line = Rect { y: area.bottom() - 1, height: 1, ..area };
    strokes::rule(buffer, line, theme);
    let below = hidden - top;
    if hidden > 0 {
        let more = show::count(below, "more line", "more lines");
        let words = format!(
            " {more}: {} down, {} up ",
            keys.named_in(context, Action::Table(TableAction::DetailDown)),
            keys.named_in(context, Action::Table(TableAction::DetailUp))
        );
        strokes::text_right(buffer, (line.x, line.y), line.width - 1, &words, theme.head, theme);
    }
    (top, below)
}

/// A row of the panel.
enum ProblemRow {
    /// The problem.
    Head(String),
    /// The problem's place, and what to do about it.
    Text(Vec<Span>),
}

fn rows(snapshot: &Snapshot, width: u16) -> Vec<ProblemRow> {
    let text = |line: Line| wrapped(&line, usize::from(width.saturating_sub(1))).into_iter().map(ProblemRow::Text);
    let mut rows = Vec::new();
    if let Some(words) = &snapshot.judging.failed {
        rows.push(ProblemRow::Head(" Checking failed inside plateside; the rows show the last results ".to_owned()));
        rows.extend(text(Line::of(Style::Strong, visible(words)).indented(1, INDENT)));
        rows.extend(text(Line::of(Style::Good, JUDGING_REMEDY).indented(1 + INDENT, INDENT)));
    }
    if snapshot.is_cut_off {
        let (what, fix) = cut_off_words();
        rows.push(ProblemRow::Head(format!(" {what} ")));
        rows.extend(text(Line::of(Style::Good, fix).indented(1, INDENT)));
    }
    // What a picture's row cannot show: there is no picture, or not only that picture has to be fixed.
    for finding in snapshot.order_findings.iter().filter(|finding| finding.level == Level::Must) {
        rows.push(ProblemRow::Head(" To fix in the order as a whole ".to_owned()));
        rows.extend(text(Line::of(Style::Strong, finding.found.as_str()).indented(1, INDENT)));
        rows.extend(text(Line::of(Style::Good, finding.fix.as_str()).indented(1 + INDENT, INDENT)));
    }
    if !snapshot.brief_problems.is_empty() {
        let mistakes = show::count(snapshot.brief_problems.len(), "mistake", "mistakes");
        rows.push(ProblemRow::Head(format!(" The brief has {mistakes}; its last good version stays in use ")));
        rows.extend(snapshot.brief_problems.iter().flat_map(lines).flat_map(text));
    }
    if !snapshot.decisions_problems.is_empty() {
        let mistakes = show::count(snapshot.decisions_problems.len(), "mistake", "mistakes");
        rows.push(ProblemRow::Head(format!(" The decisions file has {mistakes}; its last good version stays in use ")));
        rows.extend(snapshot.decisions_problems.iter().flat_map(lines).flat_map(text));
    }
    if !snapshot.brief.findings.is_empty() {
        rows.push(ProblemRow::Head(" Remarks on the brief ".to_owned()));
        rows.extend(snapshot.brief.findings.iter().map(|remark| &remark.problem).flat_map(lines).flat_map(text));
    }
    rows
}

fn lines(problem: &Problem) -> Vec<Line> {
    let file = problem.file.file_name().unwrap_or(problem.file.as_os_str()).to_string_lossy().into_owned();
    let place = problem.place_in(&file);
    let mut lines =
        vec![Line::of(Style::Strong, place).and(Style::Plain, format!("  {}", problem.what)).indented(1, INDENT)];
    if !problem.text.trim().is_empty() {
        lines.push(Line::of(Style::Dim, problem.text.trim()).indented(1 + INDENT, INDENT));
    }
    if !problem.fix.is_empty() {
        lines.push(Line::of(Style::Plain, "fix  ").and(Style::Good, problem.fix.clone()).indented(1 + INDENT, INDENT));
    }
    lines
}
