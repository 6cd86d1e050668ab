//! The table: a row each, with its state's word and the telling number of each group. Formats only the rows on screen.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use crate::brief::asked::Level;
use crate::desk::Snapshot;
use crate::desk::snapshot::DeskRow;
use crate::judge::{Row, State};
use crate::picture::Facts;
use crate::picture::facts::{Model, Profile};
use crate::screen::brush;
use crate::screen::theme::{Theme, level_mark};
use crate::screen::view::View;
use crate::screen::wrapped::cut_name;
use crate::units::show;

/// One column of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    State,
    Page,
    Print,
    Picture,
    Density,
    Shape,
    Space,
    File,
    Says,
}

/// What a column needs.
struct Need {
    column: Column,
    head: &'static str,
    /// Least columns, and the most that help.
    width: (u16, u16),
    /// Numbers end at the right edge.
    right: bool,
}

/// Columns in the order they stand in. Widths: the longest usual value and the mark beside it.
const COLUMNS: &[Need] = &[
    Need { column: Column::State, head: "state", width: (8, 8), right: false },
    Need { column: Column::Page, head: "page", width: (4, 4), right: true },
    Need { column: Column::Print, head: "print", width: (14, 30), right: false },
    Need { column: Column::Picture, head: "picture", width: (18, 38), right: false },
    Need { column: Column::Density, head: "ppi", width: (6, 6), right: true },
    Need { column: Column::Shape, head: "cut off", width: (8, 8), right: true },
    Need { column: Column::Space, head: "space", width: (11, 16), right: false },
    Need { column: Column::File, head: "file", width: (9, 9), right: false },
    Need { column: Column::Says, head: "", width: (14, 44), right: false },
];
/// Columns in the order in which a wider table gains them.
const GAINED: &[Column] = &[
    Column::State,
    Column::Picture,
    Column::Says,
    Column::Density,
    Column::Print,
    Column::Page,
    Column::Space,
    Column::Shape,
    Column::File,
];
/// Columns of the sign before the selected row, and of the gap between two columns.
const SIGN: u16 = 2;
const GAP: u16 = 2;

/// Where the chosen columns stand: which, from where, how wide.
fn columns(width: u16, with_pages: bool) -> Vec<(&'static Need, u16, u16)> {
    let need = |column: Column| COLUMNS.iter().find(|need| need.column == column);
    let mut chosen: Vec<&Need> = Vec::new();
    let mut used = SIGN;
    for need in GAINED.iter().filter_map(|column| need(*column)) {
        if need.column == Column::Page && !with_pages {
            continue;
        }
        if used + need.width.0 + GAP > width {
            break;
        }
        used += need.width.0 + GAP;
        chosen.push(need);
    }
    chosen.sort_by_key(|need| COLUMNS.iter().position(|other| other.column == need.column));
    let mut widths: Vec<u16> = chosen.iter().map(|need| need.width.0).collect();
    let mut spare = (width + GAP).saturating_sub(used + GAP);
    while spare > 0 {
        let grown = spare;
        for (need, width) in chosen.iter().zip(&mut widths) {
            if *width < need.width.1 && spare > 0 {
                *width += 1;
                spare -= 1;
            }
        }
        if grown == spare {
            break;
        }
    }
    let mut x = SIGN;
    let placed = chosen.into_iter().zip(widths).map(|(need, width)| {
        let at = x;
        x += width + GAP;
        (need, at, width)
    });
    placed.collect()
}

/// Draws heads and rows; `view` has been scrolled to the selected row.
pub fn draw(buffer: &mut Buffer, head: Rect, area: Rect, snapshot: &Snapshot, view: &View, theme: &Theme) {
    let with_pages = snapshot.brief.prints.iter().any(|print| print.page.is_some());
    let columns = columns(area.width, with_pages);
    for (need, x, width) in &columns {
        let at = (head.x + x, head.y);
        if need.right {
            brush::text_right(buffer, at, width - 1, need.head, theme.head, theme);
        } else {
            let words = if need.column == Column::Picture { picture_head(view) } else { need.head.to_owned() };
            brush::text(buffer, at, *width, &words, theme.head, theme);
        }
    }
    let selected = view.selected();
    let on_screen = view.shown().iter().skip(view.top).take(area.height.into());
    for (y, place) in (area.y..).zip(on_screen) {
        let row = &snapshot.rows[*place];
        let line = Rect { y, height: 1, ..area };
        draw_row(buffer, line, row, snapshot, &columns, theme);
        if selected == Some(&row.row.key) {
            buffer.set_style(line, theme.selected);
            buffer.set_string(line.x, y, theme.signs.selected, theme.strong);
        }
    }
}

fn picture_head(view: &View) -> String {
    format!("picture ({})", view.sort.words())
}

fn draw_row(
    buffer: &mut Buffer,
    line: Rect,
    row: &DeskRow,
    snapshot: &Snapshot,
    columns: &[(&Need, u16, u16)],
    theme: &Theme,
) {
    for (need, x, width) in columns {
        let at = (line.x + x, line.y);
        let Cell { words, mut style, mark } = cell(need.column, row, snapshot, *width, theme);
        if row.dimmed {
            style = theme.dim;
        }
        if need.right {
            brush::text_right(buffer, at, width - 1, &words, style, theme);
            brush::text(buffer, (at.0 + width - 1, at.1), 1, mark, style, theme);
        } else {
            brush::text(buffer, at, *width, &format!("{words}{}", mark.trim()), style, theme);
        }
    }
}

/// What stands in one cell: words, look, and a mark where a rule finds fault with it.
struct Cell {
    words: String,
    style: Style,
    mark: &'static str,
}

fn cell(column: Column, desk_row: &DeskRow, snapshot: &Snapshot, width: u16, theme: &Theme) -> Cell {
    let row = &desk_row.row;
    let plain = |words: String| Cell { words, style: Style::new(), mark: "" };
    let dim = |words: String| Cell { words, style: theme.dim, mark: "" };
    let of_rules = |words: Option<String>, rules: &[&str]| match (words, worst(row, rules)) {
        (Some(words), Some(level)) => Cell { words, style: theme.level(level), mark: level_mark(level) },
        (words, None) => plain(words.unwrap_or_default()),
        (None, _) => plain(String::new()),
    };
    match column {
        Column::State => {
            let word = row.state.word();
            let words = if row.state == State::Fix { format!(" {word} ") } else { word.to_owned() };
            Cell { words, style: theme.state_word(row.state), mark: "" }
        }
        Column::Page => dim(row.page.map(|page| page.to_string()).unwrap_or_default()),
        Column::Print => plain(row.print_name.clone()),
        Column::Picture => match &row.key.picture {
            Some(picture) => plain(cut_name(picture.as_str(), width.into(), theme.signs.ellipsis)),
            None => dim("no picture yet".to_owned()),
        },
        Column::Density => {
            let fit = row.placement.as_ref().and_then(|placement| placement.fit.as_ref());
            let ppi = fit.map(|fit| show::ppi(fit.density).trim_end_matches(" ppi").to_owned());
            of_rules(ppi, &["density.least", "density.wanted"])
        }
        Column::Shape => {
            let fit = row.placement.as_ref().and_then(|placement| placement.fit.as_ref());
            of_rules(fit.map(|fit| show::share(fit.lost)), &["size.shape"])
        }
        Column::Space => of_rules(row.facts.as_deref().map(space), &["colour.model", "colour.profile"]),
        Column::File => of_rules(row.facts.as_deref().map(file), &["file.format", "file.depth", "file.jpeg_quality"]),
        Column::Says => says(desk_row, snapshot, theme),
    }
}

/// The highest level at which one of these rules finds fault with a row.
fn worst(row: &Row, rules: &[&str]) -> Option<Level> {
    row.findings.iter().filter(|finding| rules.contains(&finding.rule)).map(|finding| finding.level).max()
}

/// The colour space in a word or two.
pub fn space(facts: &Facts) -> String {
    match &facts.profile {
        Profile::Embedded(profile) => profile.name().to_owned(),
        Profile::Broken(_) => "broken profile".to_owned(),
        Profile::None => match &facts.claim {
            Some(claim) => format!("{}, untagged", claim.encoding.name()),
            None if facts.model == Model::Rgb => "untagged".to_owned(),
            None => format!("{}, untagged", facts.model.name()),
        },
    }
}

/// Container with the number that tells: quality or bits.
fn file(facts: &Facts) -> String {
    match &facts.jpeg {
        Some(jpeg) => format!("{} q{}", facts.format.name(), jpeg.quality),
        None => format!("{} {}", facts.format.name(), facts.bits),
    }
}

/// What there is to say of a row in its last column.
fn says(row: &DeskRow, snapshot: &Snapshot, theme: &Theme) -> Cell {
    let dim = |words: String| Cell { words, style: theme.dim, mark: "" };
    if let Some(bytes) = row.arriving_bytes {
        return dim(format!("{} so far", show::bytes(bytes)));
    }
    let verdict = &row.row;
    match verdict.state {
        State::Arriving => return dim("arriving".to_owned()),
        State::Checking => {
            let reading = verdict.key.picture.as_ref().is_some_and(|picture| snapshot.work.reading.contains(picture));
            return dim(if reading { "being read" } else { "waiting" }.to_owned());
        }
        State::Missing | State::Extra => return dim(verdict.remark.clone()),
        State::Fix | State::Warn | State::Pass => {}
    }
    let level = verdict.findings.iter().map(|finding| finding.level).max();
    let mut loudest: Vec<_> = verdict.findings.iter().collect();
    loudest.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    let shorts: Vec<&str> = loudest.iter().map(|finding| finding.short.as_str()).filter(|s| !s.is_empty()).collect();
    match level {
        Some(level) => Cell { words: shorts.join(theme.signs.dot), style: theme.level(level), mark: "" },
        None if !verdict.not_answered.is_empty() => dim(format!("{} not answered", verdict.not_answered.len())),
        None => dim(String::new()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heads(width: u16) -> Vec<&'static str> {
        columns(width, true).iter().map(|(need, ..)| need.head).collect()
    }

    #[test]
    fn narrow_tables_keep_state_picture_and_what_is_said() {
        assert_eq!(heads(50), ["state", "picture", ""]);
        assert_eq!(heads(58), ["state", "picture", "ppi", ""]);
        assert_eq!(heads(80), ["state", "page", "print", "picture", "ppi", ""]);
        assert_eq!(heads(160).len(), COLUMNS.len());
    }

    #[test]
    fn columns_stay_within_the_table() {
        for width in 40..240 {
            let columns = columns(width, width % 2 == 0);
            assert!(columns.last().is_some_and(|(_, x, own)| x + own <= width), "{width}");
            assert!(columns.windows(2).all(|pair| pair[0].1 + pair[0].2 + GAP == pair[1].1), "{width}");
        }
    }
}
