//! The footer's two lines: counts by state and the work in progress; the active keys.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use unicode_width::UnicodeWidthStr;

use crate::judge::RowState;
use crate::live::Snapshot;
use crate::live::snapshot::{Watching, WorkProgress};
use crate::tui::action::{Action, ScreenAction, TableAction};
use crate::tui::keys;
use crate::tui::keys::{Context, KeyBinding};
use crate::tui::screen_state::ScreenState;
use crate::tui::sort::Sort;
use crate::tui::strokes;
use crate::tui::theme::Theme;
use crate::units::show;
use crate::units::words::visible;

/// Cells between two keys.
const GAP: u16 = 3;
/// Cells of the progress bar.
const BAR: usize = 12;

/// Returns a line of the footer without the columns left blank at its ends.
pub fn inner(line: Rect) -> Rect {
    Rect { x: line.x + 1, width: line.width - 2, ..line }
}

/// Draws counts, the rows' order and the filter on the left, work and news on the right.
pub fn draw_counts(buffer: &mut Buffer, area: Rect, state: &ScreenState, context: Context) {
    let (inner, snapshot, view, theme) = (inner(area), &state.snapshot, &state.view, &state.theme);
    let mut pieces = counts(snapshot, theme);
    if !view.filter.is_empty() && context != Context::Filter {
        let rows = show::count(view.shown().len(), "row", "rows");
        pieces.push((format!("filter \"{}\": {rows}  ", view.filter), theme.strong));
    }
    let marked = view.marked().len();
    if marked > 0 {
        pieces.push((format!("{marked} marked  "), theme.strong));
    }
    let used: usize = pieces.iter().map(|(words, _)| words.width()).sum();
    let room = usize::from(inner.width).saturating_sub(used);
    let order = view.order_words(&state.keys.named(Action::Table(TableAction::Rescan)), room.saturating_sub(2));
    let beside = room.saturating_sub(order.width() + 2);
    let (words, style) = status_words(state, beside);
    // News comes first; but a requested order is shown rather than that nothing is happening.
    let fits = words.width() <= beside;
    let with_order = !snapshot.rows.is_empty() && (fits || (style == theme.dim && view.sort != Sort::Brief));
    if with_order {
        pieces.push((format!("{order}  "), theme.dim));
    }
    let end = strokes::pieces(buffer, inner, &pieces, theme);
    let room = inner.right().saturating_sub(end);
    if room > 0 && (fits || !with_order) {
        let (words, style) = if fits { (words, style) } else { status_words(state, room.into()) };
        strokes::text_right(buffer, (end, inner.y), room, &words, style, theme);
    }
}

fn counts(snapshot: &Snapshot, theme: &Theme) -> Vec<(String, Style)> {
    let totals = snapshot.totals;
    let all = [
        (RowState::Fix, totals.fix),
        (RowState::Missing, totals.missing),
        (RowState::Warn, totals.warn),
        (RowState::Extra, totals.extra),
        (RowState::Pass, totals.pass),
    ];
    let mut pieces: Vec<(String, Style)> = Vec::new();
    for (state, count) in all.into_iter().filter(|(_, count)| *count > 0) {
        pieces.push((format!("{count} {}", state.word()), theme.state(state)));
        pieces.push(("  ".to_owned(), Style::new()));
    }
    for (count, words) in [(totals.pending, "to check"), (totals.accepted, "accepted")] {
        if count > 0 {
            pieces.push((format!("{count} {words}  "), theme.dim));
        }
    }
    pieces
}

/// Returns the most important news: a missing folder, decisions being written, the last key, work, a notice, how the
/// folder is watched.
fn status_words(state: &ScreenState, room: usize) -> (String, Style) {
    let (snapshot, theme, news) = (&state.snapshot, &state.theme, state.shows_notice());
    let is_away = matches!(snapshot.watching, Watching::Gone | Watching::NotPermitted);
    if let (true, true, Some(notice)) = (is_away, news, &snapshot.notice) {
        return (notice.words.clone(), theme.strong);
    }
    match snapshot.watching {
        Watching::Gone => return ("the folder is gone; waiting for it".to_owned(), theme.bad),
        Watching::NotPermitted => return ("no permission to read the folder".to_owned(), theme.bad),
        Watching::Notified | Watching::Polled(_) => {}
    }
    if state.pending_decisions > 0 {
        let saving = format!("saving {}", show::count(state.pending_decisions, "decision", "decisions"));
        return match state.is_leaving {
            true => (format!("{saving}, then quitting; quit again to leave without saving"), theme.warn),
            false => (saving, theme.strong),
        };
    }
    if let Some(said) = &state.message {
        return (said.clone().into_owned(), theme.strong);
    }
    if let Some(words) = working(&snapshot.work, theme) {
        return (words, Style::new());
    }
    match (&snapshot.notice, &snapshot.watching) {
        (Some(notice), _) if news => (notice.words.clone(), theme.strong),
        _ if state.view.is_following => ("following the newest export".to_owned(), theme.dim),
        (_, Watching::Polled(why)) => (format!("checking the folder every few seconds ({})", visible(why)), theme.dim),
        _ => (with_folder(snapshot, "watching", room), theme.dim),
    }
}

/// Appends the folder to words: its whole path if there is room, else its last part, else nothing.
fn with_folder(snapshot: &Snapshot, words: &str, room: usize) -> String {
    let path = snapshot.folder.to_string_lossy();
    let last = snapshot.folder.file_name().map(|name| name.to_string_lossy()).unwrap_or_default();
    let longest = [path, last].into_iter().filter(|name| !name.is_empty()).map(|name| format!("{words} {name}"));
    longest.map(|words| visible(&words).into_owned()).find(|words| words.width() <= room).unwrap_or(words.to_owned())
}

/// Returns the progress of the work: a bar, and the number done of the total.
fn working(work: &WorkProgress, theme: &Theme) -> Option<String> {
    let left = work.reading.len() + work.waiting;
    if left == 0 {
        return None;
    }
    let all = work.done + left;
    let full = BAR * work.done / all;
    let (done, to_do) = theme.signs.bar;
    let name = work.reading.first().map(|picture| format!(" {}", picture.file_name())).unwrap_or_default();
    Some(format!("{}{} {} of {all}, reading{name}", done.repeat(full), to_do.repeat(BAR - full), work.done))
}

/// Draws the active keys into the rest of the line, as many as fit; the one for the help is always among them.
pub fn draw_keys(buffer: &mut Buffer, area: Rect, context: Context, state: &ScreenState) {
    let (keys, theme) = (&state.keys, &state.theme);
    let short = |key: &KeyBinding| keys::short_in(context, key);
    let width = |key: &KeyBinding| u16::try_from(keys::name(key).width() + 1 + short(key).width()).unwrap_or(u16::MAX);
    let all = keys.of_footer(context).fold(0, |used: u16, key| used.saturating_add(width(key)).saturating_add(GAP));
    // One more key is worth more than space between them.
    let gap = if all.saturating_sub(GAP) > area.width { GAP - 1 } else { GAP };
    let is_help = |key: &KeyBinding| key.action == Action::Screen(ScreenAction::Help);
    let mut room_for_help = keys.of_footer(context).find(|key| is_help(key)).map_or(0, |key| width(key) + gap);
    let mut x = area.x;
    for key in keys.of_footer(context) {
        let (name, wide) = (keys::name(key), width(key));
        if is_help(key) {
            room_for_help = 0;
        }
        if x.saturating_add(wide).saturating_add(room_for_help) > area.right() {
            continue;
        }
        let line = Rect { x, width: wide, ..area };
        let on = key.action == Action::Table(TableAction::Follow) && state.view.is_following;
        let words = if on { theme.strong } else { theme.dim };
        x = strokes::pieces(buffer, line, &[(name, theme.key), (format!(" {}", short(key)), words)], theme) + gap;
    }
}
