//! The table: one line per row, with its state and the main number of each group. Formats only the rows on screen.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use crate::brief::Pages;
use crate::brief::requirements::Level;
use crate::judge::model::rule::TableColumn;
use crate::judge::{Row, RowState, RuleGroup};
use crate::live::Snapshot;
use crate::live::snapshot::TableRow;
use crate::picture::Facts;
use crate::picture::facts::{ColourModel, EmbeddedProfile};
use crate::tui::groups;
use crate::tui::numbers;
use crate::tui::strokes;
use crate::tui::theme::{Theme, level_mark};
use crate::tui::view_state::ViewState;
use crate::tui::wrapped::cut_name;
use crate::units::show;

/// One column of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    State,
    Page,
    Version,
    Print,
    Picture,
    Density,
    Shape,
    Space,
    File,
    Lost,
    Of(RuleGroup),
    Says,
}

/// The requirements of a column.
struct ColumnSpec {
    column: Column,
    head: &'static str,
    /// The least width, and the most that helps, in columns.
    width: (u16, u16),
    /// The table's width from which the column is shown.
    from: u16,
    /// True for numbers, which are aligned right.
    is_right_aligned: bool,
}

const fn column(
    column: Column,
    head: &'static str,
    width: (u16, u16),
    from: u16,
    is_right_aligned: bool,
) -> ColumnSpec {
    ColumnSpec { column, head, width, from, is_right_aligned }
}

/// The columns in order. Their widths fit the longest usual value and the mark beside it. Own choice, tried at 80, 100,
/// 140 and 160 columns of the window.
const COLUMNS: &[ColumnSpec] = &[
    column(Column::State, "state", (8, 8), 0, false),
    column(Column::Page, "page", (5, 5), 64, true),
    column(Column::Version, "version", VERSION_WIDTH, VERSION_FROM, false),
    column(Column::Print, "print", (18, 30), 120, false),
    column(Column::Picture, "picture", (18, 40), 0, false),
    column(Column::Density, "ppi", (5, 5), 0, true),
    column(Column::Space, "space", (11, 17), 86, false),
    column(Column::Shape, "cut off", (8, 8), 142, true),
    column(Column::File, "file", (9, 9), 153, false),
    column(Column::Lost, "lost", (8, 8), 88, true),
    column(Column::Of(RuleGroup::Detail), "detail", (12, 14), 100, false),
    column(Column::Of(RuleGroup::Margins), "margins", (12, 14), 132, false),
    column(Column::Says, "findings", (15, 46), 0, false),
];
/// The least and the most width of the version.
const VERSION_WIDTH: (u16, u16) = (8, 12);
/// The table's width from which the version is shown, in an order that has versions. Columns that come later wait for
/// its width more.
const VERSION_FROM: u16 = 72;
/// Columns of the sign before the selected row, and of the gap between two columns.
const SIGN: u16 = 2;
/// The sign of a row that a person marked, after the sign of the selected row.
const MARK: &str = "+";
const GAP: u16 = 2;
/// The last column grows to this width before other columns grow: two findings side by side.
const SAYS: u16 = 22;
/// Columns left blank at the right edge.
const AIR: u16 = 1;

/// Returns the columns shown, each with its offset and width; `pages` is the width of the longest page, if there is
/// one.
fn columns(width: u16, pages: Option<u16>, with_versions: bool) -> Vec<(&'static ColumnSpec, u16, u16)> {
    let of_pages = COLUMNS.iter().find(|need| need.column == Column::Page).map_or(0, |need| need.width.0);
    // A number has a column beside it for its mark.
    let longer = pages.map_or(0, |longest| (longest + 1).saturating_sub(of_pages));
    let width = width.saturating_sub(longer);
    let is_used = |column: Column| match column {
        Column::Page => pages.is_some(),
        Column::Version => with_versions,
        _ => true,
    };
    let of_version = if with_versions { VERSION_WIDTH.0 + GAP } else { 0 };
    let from = |need: &ColumnSpec| need.from + if need.from > VERSION_FROM { of_version } else { 0 };
    let shown = |spec: &&ColumnSpec| width >= from(spec) && is_used(spec.column);
    let chosen: Vec<&ColumnSpec> = COLUMNS.iter().filter(shown).collect();
    let used = SIGN + chosen.iter().map(|spec| spec.width.0 + GAP).sum::<u16>() - GAP;
    let mut widths: Vec<u16> = chosen.iter().map(|spec| spec.width.0).collect();
    let mut spare = width.saturating_sub(used);
    if let Some(says) = widths.last_mut() {
        let more = spare.min(SAYS.saturating_sub(*says));
        (*says, spare) = (*says + more, spare - more);
    }
    while spare > 0 {
        let grown = spare;
        for (spec, width) in chosen.iter().zip(&mut widths) {
            if *width < spec.width.1 && spare > 0 {
                *width += 1;
                spare -= 1;
            }
        }
        if grown == spare {
            break;
        }
    }
    for (need, width) in chosen.iter().zip(&mut widths) {
        if need.column == Column::Page {
            *width += longer;
        }
    }
    let mut x = SIGN;
    let placed = chosen.into_iter().zip(widths).map(|(spec, width)| {
        let at = x;
        x += width + GAP;
        (spec, at, width)
    });
    placed.collect()
}

/// Returns the columns that a page number takes, or those of a spread.
fn page_width(pages: Pages) -> u16 {
    let digits = |page: u32| u16::try_from(page.checked_ilog10().unwrap_or(0)).unwrap_or(0) + 1;
    if pages.is_spread() { digits(pages.first) + 1 + digits(pages.last) } else { digits(pages.first) }
}

/// Draws heads and rows; `view` has been scrolled to the selected row.
pub fn draw(buffer: &mut Buffer, head: Rect, area: Rect, snapshot: &Snapshot, view: &ViewState, theme: &Theme) {
    let pages = snapshot.brief.prints.iter().filter_map(|print| print.page).map(page_width).max();
    let with_versions = !snapshot.brief.order_versions.is_empty();
    let columns = columns(area.width.saturating_sub(AIR), pages, with_versions);
    for (spec, x, width) in &columns {
        let at = (head.x + x, head.y);
        if spec.is_right_aligned {
            strokes::text_right(buffer, at, width - 1, spec.head, theme.head, theme);
        } else {
            strokes::text(buffer, at, *width, spec.head, theme.head, theme);
        }
    }
    let selected = view.selected();
    let on_screen = view.shown().iter().skip(view.top).take(area.height.into());
    for (y, place) in (area.y..).zip(on_screen) {
        let row = &snapshot.rows[*place];
        let line = Rect { y, height: 1, ..area };
        if selected == Some(&row.row.key) {
            buffer.set_style(line, theme.selected);
            buffer.set_string(line.x, y, theme.signs.selected, theme.strong);
        }
        let flat = theme.reverses() && selected == Some(&row.row.key);
        draw_row(buffer, line, row, snapshot, &columns, flat, theme);
        // Also over the filled word FIX.
        if view.is_marked(&row.row.key) {
            buffer.set_string(line.x + 1, y, MARK, theme.strong);
        }
    }
}

fn draw_row(
    buffer: &mut Buffer,
    line: Rect,
    row: &TableRow,
    snapshot: &Snapshot,
    columns: &[(&ColumnSpec, u16, u16)],
    flat: bool,
    theme: &Theme,
) {
    let with_prints = columns.iter().any(|(spec, ..)| spec.column == Column::Print);
    for (spec, x, width) in columns {
        let at = (line.x + x, line.y);
        if spec.column == Column::State && row.state_now() == RowState::Fix && !flat {
            // Filled, with a blank on both sides: the word itself stays aligned with the others.
            let word = format!(" {} ", row.state_now().word());
            buffer.set_string(at.0 - 1, at.1, word, theme.bad_filled);
            continue;
        }
        let TableCell { words, mut style, mark } = cell(spec.column, row, snapshot, *width, with_prints, theme);
        if flat {
            style = Style::new();
        } else if row.is_outdated {
            style = theme.dim;
        }
        if spec.is_right_aligned {
            strokes::text_right(buffer, at, width - 1, &words, style, theme);
            strokes::text(buffer, (at.0 + width - 1, at.1), 1, mark, style, theme);
        } else {
            // The mark is shown however long the words are.
            let mark = mark.trim();
            let room = width - u16::from(!mark.is_empty());
            let taken = strokes::text(buffer, at, room, &words, style, theme);
            strokes::text(buffer, (at.0 + taken, at.1), 1, mark, style, theme);
        }
    }
}

/// The content of a cell: words, style, and a mark if a rule fails on its value.
struct TableCell {
    words: String,
    style: Style,
    mark: &'static str,
}

fn cell(
    column: Column,
    table_row: &TableRow,
    snapshot: &Snapshot,
    width: u16,
    with_prints: bool,
    theme: &Theme,
) -> TableCell {
    let row = &table_row.row;
    let plain = |words: String| TableCell { words, style: Style::new(), mark: "" };
    let dim = |words: String| TableCell { words, style: theme.dim, mark: "" };
    let of_rules = |words: Option<String>, column: TableColumn| match (words, worst(row, column)) {
        // The number may already be of the new file, while the findings are still those of the earlier one.
        (Some(words), Some(level)) if !table_row.is_outdated => {
            TableCell { words, style: theme.level(level), mark: level_mark(level) }
        }
        (words, _) => plain(words.unwrap_or_default()),
    };
    match column {
        Column::State => {
            let state = table_row.state_now();
            TableCell { words: state.word().to_owned(), style: theme.state(state), mark: "" }
        }
        Column::Page => dim(row.page.map(|page| page.to_string()).unwrap_or_default()),
        Column::Version => dim(row.version.as_deref().unwrap_or_default().to_owned()),
        Column::Print => plain(row.print_name.clone()),
        Column::Picture => match &row.key.picture {
            Some(picture) => plain(cut_name(picture.as_str(), width.into(), theme.signs.ellipsis)),
            None if with_prints => dim("no picture yet".to_owned()),
            None => plain(row.name_with_version().into_owned()),
        },
        Column::Density => {
            let fit = row.placement.as_ref().and_then(|placement| placement.fit.as_ref());
            let ppi = fit.map(|fit| show::ppi(fit.density).trim_end_matches(" ppi").to_owned());
            of_rules(ppi, TableColumn::Density)
        }
        Column::Shape => {
            let fit = row.placement.as_ref().and_then(|placement| placement.fit.as_ref());
            of_rules(fit.map(|fit| show::share(fit.lost)), TableColumn::Shape)
        }
        Column::Space => of_rules(row.facts.as_deref().map(space), TableColumn::Space),
        Column::File => of_rules(row.facts.as_deref().map(file), TableColumn::File),
        Column::Lost => lost(row, theme),
        Column::Of(group) => match groups::finding(group, row) {
            Some(finding) => {
                let mark = level_mark(finding.level);
                TableCell { words: finding.short.clone(), style: theme.level(finding.level), mark }
            }
            None => dim(groups::metric(group, &row.metrics).unwrap_or_default()),
        },
        Column::Says => says(table_row, snapshot, theme),
    }
}

/// Returns the highest level of the row's findings that mark a column's value.
fn worst(row: &Row, column: TableColumn) -> Option<Level> {
    let marking = row.findings.iter().filter(|finding| finding.rule.uses.column == Some(column));
    marking.map(|finding| finding.level).max()
}

/// Returns the share of tones lost; if a rule fails on it, that share, written so that it differs from its limit.
fn lost(row: &Row, theme: &Theme) -> TableCell {
    let failing = groups::finding(RuleGroup::Tone, row).filter(|finding| finding.unit == "share");
    let numbers = failing.and_then(|finding| Some((finding, finding.measured?, finding.required?)));
    match numbers {
        Some((finding, measured, wanted)) => {
            let words = numbers::share_apart(measured, wanted);
            TableCell { words, style: theme.level(finding.level), mark: level_mark(finding.level) }
        }
        None => TableCell {
            words: groups::metric(RuleGroup::Tone, &row.metrics).unwrap_or_default(),
            style: theme.dim,
            mark: "",
        },
    }
}

/// Names the colour space in a word or two.
pub fn space(facts: &Facts) -> String {
    match &facts.profile {
        EmbeddedProfile::Embedded(profile) => profile.name().to_owned(),
        EmbeddedProfile::Broken(_) => "broken profile".to_owned(),
        EmbeddedProfile::None => match &facts.claim {
            Some(claim) => format!("{}, untagged", claim.encoding.name()),
            None if facts.model == ColourModel::Rgb => "untagged".to_owned(),
            None => format!("{}, untagged", facts.model.name()),
        },
    }
}

/// Returns the container and its main number: quality or bits.
fn file(facts: &Facts) -> String {
    match &facts.jpeg {
        Some(jpeg) => format!("{} q{}", facts.format.name(), jpeg.quality),
        None => format!("{} {}", facts.format.name(), facts.bits),
    }
}

/// Returns the last column's summary of a row.
fn says(row: &TableRow, snapshot: &Snapshot, theme: &Theme) -> TableCell {
    let dim = |words: String| TableCell { words, style: theme.dim, mark: "" };
    if let Some(bytes) = row.arriving_bytes.filter(|bytes| *bytes > 0) {
        return dim(format!("{} so far", show::bytes(bytes)));
    }
    let verdict = &row.row;
    match verdict.state {
        RowState::Arriving => return dim("arriving".to_owned()),
        RowState::Checking => {
            let reading = verdict.key.picture.as_ref().is_some_and(|picture| snapshot.work.reading.contains(picture));
            return dim(if reading { "being read" } else { "waiting" }.to_owned());
        }
        RowState::Missing | RowState::Extra => {
            return dim(verdict.remarks().next().unwrap_or_default().to_owned());
        }
        RowState::Fix | RowState::Warn | RowState::Pass => {}
    }
    let level = verdict.findings.iter().map(|finding| finding.level).max();
    let mut loudest: Vec<_> = verdict.findings.iter().collect();
    loudest.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    let mut shorts: Vec<&str> =
        loudest.iter().map(|finding| finding.short.as_str()).filter(|s| !s.is_empty()).collect();
    let not_checked = format!("{} not checked", verdict.own_not_checked().count());
    // A PASS based on fewer checks shows that before its notes.
    if verdict.state == RowState::Pass && verdict.own_not_checked().next().is_some() {
        shorts.insert(0, &not_checked);
    }
    let accepted = format!("{} accepted", verdict.accepted.len());
    if !verdict.accepted.is_empty() {
        shorts.push(&accepted);
    }
    match level {
        Some(level) => TableCell { words: shorts.join(theme.signs.dot), style: theme.level(level), mark: "" },
        None => dim(shorts.join(theme.signs.dot)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heads(width: u16) -> Vec<&'static str> {
        columns(width, Some(3), false).iter().map(|(spec, ..)| spec.head).collect()
    }

    #[test]
    fn narrow_tables_keep_state_picture_and_what_is_said() {
        assert_eq!(heads(57), ["state", "picture", "ppi", "findings"]);
        assert_eq!(heads(80), ["state", "page", "picture", "ppi", "findings"]);
        assert_eq!(heads(104), ["state", "page", "picture", "ppi", "space", "lost", "detail", "findings"]);
        assert_eq!(heads(170).len(), COLUMNS.len() - 1, "all but that of versions");
        let with_versions: Vec<_> = columns(80, Some(3), true).iter().map(|(need, ..)| need.head).collect();
        assert_eq!(with_versions, ["state", "page", "version", "picture", "ppi", "findings"]);
    }

    #[test]
    fn the_pages_of_a_spread_are_shown_whole() {
        for (first, last) in [(1, 1), (12, 13), (122, 123), (9, 10)] {
            let pages = Pages { first, last };
            assert_eq!(usize::from(page_width(pages)), pages.to_string().len());
            let columns = columns(80, Some(page_width(pages)), false);
            let (_, _, width) = columns.iter().find(|(need, ..)| need.column == Column::Page).unwrap();
            assert!(*width > page_width(pages), "{pages}");
        }
    }

    #[test]
    fn columns_stay_within_the_table() {
        for width in 57..240 {
            let pages = [None, Some(3), Some(5), Some(9)][usize::from(width % 4)];
            let columns = columns(width, pages, width % 3 == 0);
            assert!(columns.last().is_some_and(|(_, x, own)| x + own <= width), "{width}");
            assert!(columns.windows(2).all(|pair| pair[0].1 + pair[0].2 + GAP == pair[1].1), "{width}");
        }
    }
}
