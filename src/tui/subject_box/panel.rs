//! The numbers beside the picture: the box in % and on paper, its position relative to the print's lines, the size of a
//! step, the text being typed.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::judge::Row;
use crate::judge::metrics::cut_lines::CutLines;
use crate::judge::rules::margins::subject_intrusion::AT_HAND;
use crate::judge::subject::Area;
use crate::tui::numbers;
use crate::tui::picture::views::lines_of;
use crate::tui::strokes;
use crate::tui::subject_box::draft::{BoxEdge, Draft};
use crate::tui::subject_box::typed::PictureScale;
use crate::tui::theme::Theme;
use crate::tui::wrapped::wrapped;
use crate::units::LengthUnit;
use crate::units::styled::{Line, Style};

/// Columns of an edge's name and of its share.
const NAME: usize = 8;
const SHARE: usize = 9;
/// The four edges of a box.
const EDGES: [BoxEdge; 4] = [BoxEdge::Left, BoxEdge::Top, BoxEdge::Right, BoxEdge::Bottom];

/// Draws the numbers; returns the area left under them.
pub fn draw(
    buffer: &mut Buffer,
    area: Rect,
    row: &Row,
    draft: &Draft,
    scale: PictureScale,
    cell: (f64, f64),
    theme: &Theme,
) -> Rect {
    let inner = Rect { width: area.width.saturating_sub(1), ..area };
    let lines = lines(row, draft, &scale, cell, theme);
    let rows = lines.iter().flat_map(|line| wrapped(line, inner.width.into()));
    let mut y = inner.y;
    for row in rows.take(inner.height.into()) {
        strokes::row(buffer, (inner.x, y), inner.width, &row, theme);
        y += 1;
    }
    Rect { y, height: inner.bottom() - y, ..inner }
}

fn lines(row: &Row, draft: &Draft, scale: &PictureScale, cell: (f64, f64), theme: &Theme) -> Vec<Line> {
    let unit = row.placement.as_ref().map(|placement| placement.finished.unit).unwrap_or_default();
    let origin = row.subject.map_or("none yet", |subject| subject.origin.word());
    let name = row.key.picture.as_ref().map(|picture| picture.as_str().to_owned()).unwrap_or_default();
    let mut lines = vec![
        Line::of(Style::Head, "The subject's box").and(Style::Dim, format!("  {origin}")),
        Line::of(Style::Strong, name),
        Line::blank(),
    ];
    let area = draft.area();
    for edge in EDGES {
        let chosen = edge == draft.chosen || draft.chosen == BoxEdge::Whole;
        let at = edge.place(area);
        let paper = scale.on_paper(at, edge.is_vertical(), unit).unwrap_or_default();
        lines.push(numbers_of(edge.word(), &numbers::share(at), &paper, chosen, theme));
    }
    let size = (area.right - area.left, area.bottom - area.top);
    let shares = format!("{} x {}", numbers::share(size.0).trim_end_matches(" %"), numbers::share(size.1));
    lines.push(Line::of(Style::Dim, format!("{:<NAME$}{shares}", "size")).indented(2, NAME));
    let paper = scale.size_on_paper(size, unit);
    lines.extend(paper.map(|paper| Line::of(Style::Dim, paper).indented(2 + NAME, 0)));
    if let Some(print) = lines_of(row) {
        lines.extend(beside_lines(draft, &print, scale, unit));
    }
    lines.push(step(draft, scale, cell, unit));
    let notes = numbers::share(AT_HAND);
    lines.push(Line::of(Style::Dim, format!("up to {notes} across a line is a note, not WARN")));
    lines.push(match &draft.typed {
        Some(typed) => Line::of(Style::Head, format!("{} at ", draft.chosen.word()))
            .and(Style::Strong, typed.clone())
            .and(Style::Dim, "_"),
        None => Line::of(Style::Dim, format!("or type 12.5 %, {}, 400 px", example(unit))),
    });
    lines.extend(draft.refused.as_ref().map(|why| Line::of(Style::Warn, why.clone())));
    let whom = if draft.is_for_print_alone { "for this print only" } else { "for every print of the picture" };
    lines.push(Line::of(Style::Dim, whom));
    lines
}

/// Returns a position on paper to type, in the unit of the print.
const fn example(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Inch | LengthUnit::Foot => "2.5 in",
        LengthUnit::Millimetre | LengthUnit::Centimetre | LengthUnit::Metre | LengthUnit::Point => "31 mm",
    }
}

fn numbers_of(name: &str, share: &str, paper: &str, chosen: bool, theme: &Theme) -> Line {
    let sign = if chosen { theme.signs.selected } else { " " };
    let style = if chosen { Style::Strong } else { Style::Plain };
    Line::of(style, format!("{sign} {name:<NAME$}{share:>SHARE$}   {paper}"))
}

/// Shows how far a key moves.
fn step(draft: &Draft, scale: &PictureScale, cell: (f64, f64), unit: LengthUnit) -> Line {
    let across = draft.chosen.is_vertical() || draft.chosen == BoxEdge::Whole;
    let step = draft.step(cell);
    let share = if across { step.0 } else { step.1 };
    let paper = scale.on_paper(share, across, unit).map(|paper| format!(", {paper}")).unwrap_or_default();
    let what = if draft.has_fine_steps { "a fine step" } else { "one step" };
    Line::of(Style::Dim, format!("{what} is {}{paper}", numbers::share(share)))
}

/// Describes the edges relative to the safe area: the chosen one always, the others if they are beyond it.
fn beside_lines(draft: &Draft, lines: &CutLines, scale: &PictureScale, unit: LengthUnit) -> Vec<Line> {
    let area = draft.area();
    let mut said = Vec::new();
    for edge in EDGES {
        let inside = within(edge, area, lines.safe);
        if inside >= 0.0 && edge != draft.chosen {
            continue;
        }
        let length = |share: f64| {
            let paper = scale.on_paper(share.abs(), edge.is_vertical(), unit);
            paper.unwrap_or_else(|| numbers::share(share.abs()))
        };
        let (style, words) = if inside >= 0.0 {
            (Style::Good, format!("{} inside the safe line", length(inside)))
        } else {
            match within(edge, area, lines.trim) {
                cut if cut <= -AT_HAND => (Style::Bad, format!("{} may be trimmed off", length(cut))),
                _ if inside > -AT_HAND => {
                    (Style::Plain, format!("{} outside the safe line, only a note", length(inside)))
                }
                _ => (Style::Warn, format!("{} outside the safe line", length(inside))),
            }
        };
        said.push(Line::of(style, format!("{} edge: {words}", edge.word())));
    }
    if lines.folds.iter().any(|(left, right)| area.left < *right && area.right > *left) {
        said.push(Line::of(Style::Warn, "a fold runs through it"));
    }
    said
}

/// Returns how far an edge of the box is within a rectangle, as a share of the picture; negative outside.
fn within(edge: BoxEdge, area: Area, [left, top, right, bottom]: [f64; 4]) -> f64 {
    match edge {
        BoxEdge::Left | BoxEdge::Whole => area.left - left,
        BoxEdge::Top => area.top - top,
        BoxEdge::Right => right - area.right,
        BoxEdge::Bottom => bottom - area.bottom,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::placement::Placement;
    use crate::tui::action::Step;
    use crate::tui::tests::order::measured;
    use crate::tui::tests::theme;
    use crate::units::Size;

    const SCALE: PictureScale = PictureScale { picture_px: (2000, 1000), paper_mm: Some((200.0, 100.0)) };

    fn said(area: [f64; 4], fold: bool) -> Vec<String> {
        let lines = CutLines {
            window: [0.0, 0.0, 1.0, 1.0],
            finished: [0.05, 0.05, 0.95, 0.95],
            trim: [0.05, 0.05, 0.95, 0.95],
            safe: [0.1, 0.1, 0.9, 0.9],
            folds: if fold { vec![(0.48, 0.52)] } else { Vec::new() },
        };
        let draft = Draft::of(Area::new(area[0], area[1], area[2], area[3]));
        let lines = beside_lines(&draft, &lines, &SCALE, LengthUnit::Millimetre);
        lines.iter().map(Line::text).collect()
    }

    #[test]
    fn edges_beyond_a_line_say_so_on_paper() {
        assert_eq!(said([0.2, 0.2, 0.8, 0.8], false), ["left edge: 20 mm inside the safe line"]);
        assert_eq!(
            said([0.02, 0.07, 0.902, 0.8], true),
            [
                "left edge: 6 mm may be trimmed off",
                "top edge: 3 mm outside the safe line",
                "right edge: 0.4 mm outside the safe line, only a note",
                "a fold runs through it"
            ]
        );
    }

    #[test]
    fn the_position_to_type_is_in_the_print_s_unit() {
        let row = measured().row;
        let said = |unit| {
            let mut row = Row::clone(&row);
            row.placement = row.placement.map(|placement| {
                let finished = Size { unit, ..placement.finished };
                Placement { finished, ..Placement::clone(&placement) }.into()
            });
            let lines = lines(&row, &Draft::of(None), &SCALE, (0.004, 0.01), &theme());
            lines.iter().map(Line::text).find(|line| line.starts_with("or type")).unwrap()
        };
        assert_eq!(said(LengthUnit::Inch), "or type 12.5 %, 2.5 in, 400 px");
        assert_eq!(said(LengthUnit::Millimetre), "or type 12.5 %, 31 mm, 400 px");
    }

    #[test]
    fn the_step_is_named_as_share_and_on_paper() {
        let mut draft = Draft::of(None);
        let words = |draft: &Draft| step(draft, &SCALE, (0.004, 0.01), LengthUnit::Millimetre).text();
        assert_eq!(words(&draft), "one step is 0.4 %, 0.8 mm");
        draft.has_fine_steps = true;
        draft.choose(Step::Next);
        assert_eq!(words(&draft), "a fine step is 0.1 %, 0.1 mm");
    }
}
