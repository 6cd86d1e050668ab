//! The details of the selected row: what fails, why it matters on paper, how to fix it; what changed; the facts of the
//! file. Produces styled lines; drawing wraps and scrolls them.

use std::sync::Arc;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::brief::Pages;
use crate::brief::requirements::Level;
use crate::judge::acceptance::AcceptedFinding;
use crate::judge::export_spec::ExportSpec;
use crate::judge::export_spec::lines::of_spec;
use crate::judge::{Finding, Row, RowState};
use crate::live::snapshot::{ExportChange, TableRow};
use crate::picture::Facts;
use crate::picture::facts::Compression;
use crate::tui::action::{Action, TableAction};
use crate::tui::histogram;
use crate::tui::keys::{Context, Keys};
use crate::tui::strokes;
use crate::tui::table::space;
use crate::tui::theme::{Glyphs, Theme};
use crate::tui::wrapped::wrapped;
use crate::units::styled::{Line, Span, Style};
use crate::units::{Share, show};

/// Columns of the labels before each part of a finding, including the blank after them.
const LABEL: usize = 6;
/// The pane's height, in rows, from which bars of lightness are two lines high. Own choice.
const TWO_BARS_FROM: u16 = 16;

/// The style of a pane, and the keys that its words name.
#[derive(Clone, Copy)]
pub struct PaneStyle<'a> {
    /// The context of the topmost mode.
    pub context: Context,
    /// The keys in use.
    pub keys: &'a Keys,
    /// Colours and signs.
    pub theme: &'a Theme,
}

/// Draws the pane's lines from row `top` on; returns the first row shown and the number of rows hidden below.
pub fn draw(
    buffer: &mut Buffer,
    area: Rect,
    lines: &[Line],
    top: usize,
    PaneStyle { context, keys, theme }: PaneStyle,
) -> (usize, usize) {
    let rows: Vec<Vec<Span>> = lines.iter().flat_map(|line| wrapped(line, usize::from(area.width))).collect();
    // If not everything fits, the last row shows how much more there is.
    let room = usize::from(area.height.saturating_sub(u16::from(rows.len() > usize::from(area.height))));
    let top = top.min(rows.len().saturating_sub(room));
    for (y, row) in (area.y..area.bottom()).zip(rows.iter().skip(top).take(room)) {
        strokes::row(buffer, (area.x, y), area.width, row, theme);
    }
    let below = rows.len().saturating_sub(top + room);
    if rows.len() > room {
        let (down, up) = (
            keys.named_in(context, Action::Table(TableAction::DetailDown)),
            keys.named_in(context, Action::Table(TableAction::DetailUp)),
        );
        let words = more_words(top, below, &down, &up);
        let at = (area.x, area.y + area.height - 1);
        strokes::text_right(buffer, at, area.width, &words, theme.dim, theme);
    }
    (top, below)
}

/// Draws what is being typed under `lines`, at the latest at the foot of the area; returns the area left for `lines`.
pub fn draw_typed(buffer: &mut Buffer, area: Rect, lines: &[Line], typed: &[Line], theme: &Theme) -> Rect {
    let width = usize::from(area.width);
    let rows: Vec<Vec<Span>> = typed.iter().flat_map(|line| wrapped(line, width)).collect();
    if rows.is_empty() {
        return area;
    }
    let above: usize = lines.iter().map(|line| wrapped(line, width).len()).sum();
    // The end of a long text is where the person types.
    let shown = &rows[rows.len().saturating_sub(area.height.into())..];
    let room = area.height.saturating_sub(u16::try_from(shown.len()).unwrap_or(u16::MAX));
    // A blank line comes between where there is room.
    let room = room.min(u16::try_from(above + 1).unwrap_or(u16::MAX));
    for (y, row) in (area.y + room..area.bottom()).zip(shown) {
        strokes::row(buffer, (area.x, y), area.width, row, theme);
    }
    Rect { height: room, ..area }
}

/// Returns how much more there is of what is shown from row `top` on, and the keys that scroll it.
pub fn more_words(top: usize, below: usize, down: &str, up: &str) -> String {
    let more = show::count(below, "more line", "more lines");
    match (top, below) {
        (0, _) => format!("{down}: {more}"),
        (_, 0) => format!("{up}: back up"),
        (_, _) => format!("{down}: {more}, {up}: back up"),
    }
}

/// Returns everything known of a row, for a pane of this area.
/// `spec` is what to export for its print: a row without a picture shows it first, others show it last.
pub fn lines(
    table_row: &TableRow,
    spec: Option<&ExportSpec>,
    order: &[Arc<Finding>],
    area: Rect,
    signs: &Glyphs,
) -> Vec<Line> {
    let row = &table_row.row;
    let bars = if area.height >= TWO_BARS_FROM { 2 } else { 1 };
    let mut lines = title(table_row, signs.dot);
    if row.state == RowState::Missing {
        lines.extend(to_export(spec));
    }
    if let Some(change) = &table_row.export_change {
        lines.extend(change_lines(change, table_row.state_now(), signs.arrow));
    }
    for finding in loudest_first(&row.findings) {
        lines.push(Line::blank());
        let is_new = table_row.export_change.as_ref().is_some_and(|change| holds(&change.new, finding));
        lines.extend(of_finding(finding, is_new));
    }
    let of_order: Vec<&Finding> = order.iter().map(Arc::as_ref).filter(|finding| concerns(finding, row)).collect();
    if !of_order.is_empty() {
        lines.extend([Line::blank(), Line::of(Style::Head, "the order as a whole")]);
        lines.extend(of_order.into_iter().flat_map(|finding| of_finding(finding, false)));
    }
    if !row.accepted.is_empty() {
        lines.extend([Line::blank(), Line::of(Style::Head, "accepted")]);
        lines.extend(row.accepted.iter().flat_map(kept));
    }
    if let Some(words) = row.test_print.words() {
        let style = if row.test_print.is_open() { Style::Warn } else { Style::Plain };
        lines.extend([Line::blank(), Line::of(Style::Head, "test print"), Line::of(style, words).indented(LABEL, 0)]);
    }
    // After what fails: nothing may push that out of sight.
    if let Some(tones) = &row.tones {
        lines.push(Line::blank());
        lines.extend(histogram::lines(tones, area.width.into(), LABEL, bars, signs));
    }
    lines.extend(beside_the_point(row));
    if let Some(facts) = &row.facts {
        lines.push(Line::blank());
        lines.extend(of_facts(facts));
    }
    if !row.passed.is_empty() {
        lines.push(Line::blank());
        lines.push(labelled(
            "passed",
            Style::Good,
            format!(" {}", row.passed.iter().map(|rule| rule.id).collect::<Vec<_>>().join(", ")),
        ));
    }
    if row.state != RowState::Missing {
        lines.extend(to_export(spec));
    }
    lines
}

/// Shows what to export.
fn to_export(spec: Option<&ExportSpec>) -> Vec<Line> {
    let head = [Line::blank(), Line::of(Style::Head, "to export")];
    spec.map_or_else(Vec::new, |spec| head.into_iter().chain(of_spec(spec, 0)).collect())
}

/// Shows an accepted finding.
fn kept(one: &AcceptedFinding) -> [Line; 2] {
    let AcceptedFinding { finding, acceptance } = one;
    [
        Line::of(Style::Dim, finding.level.word())
            .and(Style::Plain, " ")
            .and(Style::Strong, finding.rule.id)
            .and(Style::Plain, format!("  {}", finding.found))
            .indented(0, LABEL),
        Line::of(Style::Dim, acceptance.words_with_note()).indented(LABEL, 0),
    ]
}

fn label(label: &str, style: Style) -> Line {
    Line::of(style, format!("{label:<LABEL$}")).indented(0, LABEL)
}

fn labelled(name: &str, style: Style, words: impl Into<String>) -> Line {
    label(name, style).and(Style::Plain, words)
}

const fn state_style(state: RowState) -> Style {
    match state {
        RowState::Fix => Style::Bad,
        RowState::Warn => Style::Warn,
        RowState::Missing | RowState::Extra => Style::Strong,
        RowState::Arriving | RowState::Checking => Style::Dim,
        RowState::Pass => Style::Good,
    }
}

fn title(table_row: &TableRow, dot: &str) -> Vec<Line> {
    let row = &table_row.row;
    let name = row
        .key
        .picture
        .as_ref()
        .map_or_else(|| row.name_with_version().into_owned(), |picture| picture.as_str().to_owned());
    let mut lines = vec![Line::of(Style::Strong, name)];
    let mut print: Vec<String> = Vec::new();
    if row.key.picture.is_some() && !row.print_name.is_empty() {
        print.push(row.name_with_version().into_owned());
    }
    if let Some(placement) = &row.placement {
        let size = placement.finished.show();
        // A print without a name goes by its size.
        if row.print_name != size || print.is_empty() {
            print.push(size);
        }
        if placement.is_turned {
            print.push("rotated".to_owned());
        }
    }
    print.extend(row.page.map(Pages::words));
    if row.copies > 1 {
        print.push(format!("{} copies", row.copies));
    }
    if !print.is_empty() {
        lines.push(Line::of(Style::Dim, print.join(dot)));
    }
    let state = table_row.state_now();
    lines.push(Line::of(state_style(state), state.word()).and(Style::Plain, state_words(table_row)));
    if !row.pairing_note.is_empty() {
        lines.push(Line::plain(row.pairing_note.clone()));
    }
    lines
}

/// Explains a state whose word alone is not enough.
fn state_words(table_row: &TableRow) -> String {
    let row = &table_row.row;
    let of_earlier = if table_row.is_outdated { "; below is the result of the previous export" } else { "" };
    if let Some(bytes) = table_row.arriving_bytes {
        let so_far = if bytes > 0 { format!(": {} so far", show::bytes(bytes)) } else { String::new() };
        return format!(", a new export is arriving{so_far}{of_earlier}");
    }
    let words = match table_row.state_now() {
        RowState::Missing => ": no picture in the folder is for this print".to_owned(),
        RowState::Extra => ": no print in the brief takes this picture".to_owned(),
        RowState::Arriving => ": the file is still being written".to_owned(),
        RowState::Checking => ": its pixels have not been read yet".to_owned(),
        RowState::Pass | RowState::Warn | RowState::Fix => match row.own_not_checked().count() {
            0 => String::new(),
            own => format!(", {own} not checked"),
        },
    };
    let words = match row.accepted.len() {
        0 => words,
        accepted => format!("{words}, {accepted} accepted"),
    };
    format!("{words}{of_earlier}")
}

fn loudest_first(findings: &[Arc<Finding>]) -> Vec<&Finding> {
    let mut sorted: Vec<&Finding> = findings.iter().map(Arc::as_ref).collect();
    sorted.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    sorted
}

/// True if a finding about the order concerns a row: its picture, or no picture in particular.
fn concerns(finding: &Finding, row: &Row) -> bool {
    finding.pictures.is_empty() || row.key.picture.as_ref().is_some_and(|picture| finding.pictures.contains(picture))
}

fn holds(findings: &[Arc<Finding>], wanted: &Finding) -> bool {
    findings.iter().any(|finding| finding.is_same_as(wanted))
}

/// Returns the changes from the previous export to this one: state, density, what was fixed.
fn change_lines(change: &ExportChange, now: RowState, arrow: &str) -> Vec<Line> {
    let state =
        label("before", Style::Head).and(state_style(change.state_before), format!(" {}", change.state_before.word()));
    let then =
        |line: Line, state: RowState| line.and(Style::Dim, format!(" {arrow} ")).and(state_style(state), state.word());
    let mut line = if change.state_before == change.first_state {
        state.and(Style::Plain, ", still ").and(state_style(change.first_state), change.first_state.word())
    } else {
        then(state, change.first_state)
    };
    if !matches!(now, RowState::Arriving | RowState::Checking) && now != change.first_state {
        line = then(line, now);
    }
    if let Some([old, new]) = &change.density {
        line = line.and(Style::Plain, format!(", {old} ")).and(Style::Dim, arrow).and(Style::Strong, format!(" {new}"));
    }
    let mut lines = vec![Line::blank(), line];
    if !change.looks_alike {
        let words = " it looks different from the previous export: is it the same picture?";
        lines.push(label("check", Style::Warn).and(Style::Plain, words));
    }
    if let Some([was, now]) = change.halo.map(|shares| shares.map(|share| show::share(Share::measured(share)))) {
        let words = format!(" grew from {was} to {now} of the contrast at edges: look at the edges at 100 %");
        lines.push(label("halos", Style::Warn).and(Style::Plain, words));
    }
    for finding in &change.fixed {
        let was = if finding.short.is_empty() { String::new() } else { format!(" (was {})", finding.short) };
        lines.push(label("fixed", Style::Good).and(Style::Plain, format!(" {}{was}", finding.rule.id)));
    }
    lines
}

fn of_finding(finding: &Finding, is_new: bool) -> Vec<Line> {
    let style = match finding.level {
        Level::Must => Style::Bad,
        Level::Should => Style::Warn,
        Level::Note | Level::Off => Style::Dim,
    };
    let mut lines = vec![labelled("found", style, finding.found.as_str())];
    lines.extend(finding.lapsed.as_ref().map(|again| labelled("again", Style::Dim, again.words())));
    let actions = finding.fix.lines().enumerate();
    lines.extend(actions.map(|(at, action)| labelled(if at == 0 { "fix" } else { "" }, Style::Strong, action)));
    lines.push(labelled("why", Style::Dim, finding.rule.why));
    let about = if finding.about.is_empty() { String::new() } else { format!(" ({})", finding.about) };
    let new = if is_new { ", new in this export" } else { "" };
    let source = format!("{} {}{about}{new}", finding.level.word(), finding.rule.id);
    lines.push(Line::of(Style::Dim, source).indented(LABEL, 0));
    lines
}

/// Returns what is within tolerance and what was not checked.
fn beside_the_point(row: &Row) -> Vec<Line> {
    let mut lines = Vec::new();
    if !row.within_tolerance.is_empty() {
        lines.extend([Line::blank(), Line::of(Style::Head, "within tolerance")]);
        lines.extend(row.within_tolerance.iter().map(|f| with_rule(f.rule.id, &f.what)));
    }
    if !row.not_checked.is_empty() {
        lines.extend([Line::blank(), Line::of(Style::Head, "not checked")]);
        lines.extend(row.not_checked.iter().map(|n| with_rule(n.rule.id, &n.reason)));
    }
    lines
}

fn with_rule(rule: &str, words: &str) -> Line {
    Line::plain(rule).and(Style::Dim, format!("  {words}")).indented(0, LABEL)
}

fn of_facts(facts: &Facts) -> Vec<Line> {
    let mut file = vec![show::pixels(facts.upright_px()), facts.format.name().to_owned()];
    match &facts.jpeg {
        Some(jpeg) => {
            let about = if jpeg.is_exact { "" } else { "about " };
            file.push(format!("quality {about}{}, {}", jpeg.quality, jpeg.subsampling));
        }
        None if facts.compression == Compression::None => file.push("uncompressed".to_owned()),
        None => file.push(facts.compression.word()),
    }
    file.push(format!("{}-bit {}", facts.bits, facts.model.name()));
    file.push(show::bytes(facts.bytes));
    let mut colour = vec![space(facts)];
    match facts.upright_resolution() {
        Some((x, y)) if x == y => colour.push(format!("tagged {} ppi", whole(x))),
        Some((x, y)) => colour.push(format!("tagged {} x {} ppi", whole(x), whole(y))),
        None => colour.push("no resolution tag".to_owned()),
    }
    let mut lines = vec![labelled("file", Style::Head, file.join(", ")), labelled("", Style::Plain, colour.join(", "))];
    let credits = [("creator", &facts.credits.creator), ("copyright", &facts.credits.copyright)];
    let mut made: Vec<String> =
        credits.iter().filter_map(|(name, field)| Some(format!("{name} {}", field.text()?))).collect();
    made.extend(facts.taken.as_ref().map(|taken| format!("taken {}", taken.as_str().replace('T', " "))));
    if facts.has_location == Some(true) {
        made.push("with GPS coordinates".to_owned());
    }
    if !made.is_empty() {
        lines.push(labelled("", Style::Plain, made.join(", ")));
    }
    lines
}

/// Formats the density of a resolution tag, in pixels per inch.
fn whole(ppi: f64) -> String {
    crate::units::length::number(&format!("{ppi:.3}")).map_or_else(|| ppi.to_string(), |exact| show::decimal(exact, 1))
}
