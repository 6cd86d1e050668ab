//! State that belongs to the screen alone: the selected row, the rows shown and their order, the scroll positions. Rows
//! are identified by their keys, never by their index in a snapshot.

use std::cmp::Ordering;
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use unicode_width::UnicodeWidthStr;

use crate::judge::{RowKey, RowState};
use crate::live::Snapshot;
use crate::live::snapshot::TableRow;
use crate::picture::PictureKey;
use crate::tui::action::Step;
use crate::tui::arrivals::Arrivals;
use crate::tui::sort::Sort;

/// Screen-only state.
#[derive(Debug, Default)]
pub struct ViewState {
    /// The order that was requested last.
    pub sort: Sort,
    /// The filter as typed.
    pub filter: String,
    /// True to follow the newest export.
    pub is_following: bool,
    /// Number of lines by which the details are scrolled.
    pub detail_top: usize,
    /// Rows that a person has marked.
    marked: HashSet<RowKey>,
    /// Index of the first row on screen, among the rows shown.
    pub top: usize,
    /// The row that a person chose last. A filter may hide it; it is selected again as soon as it is shown.
    chosen: Option<RowKey>,
    selected: Option<RowKey>,
    /// The selected row's index among the rows shown.
    at: Option<usize>,
    /// The rows of the latest snapshot; the indices below refer to them.
    rows: Arc<[Arc<TableRow>]>,
    /// The index of every row, in the frozen order.
    order: Vec<usize>,
    /// True if rows have appeared or changed state since the sort, so that the order is out of date.
    is_order_stale: bool,
    /// The text that a filter searches, by row index; empty while there is no filter.
    texts: Vec<String>,
    /// Indices of the rows that pass the filter, in the same order.
    shown: Vec<usize>,
    arrivals: Arrivals,
    newest: Option<PictureKey>,
}

impl ViewState {
    /// Marks or unmarks the selected row, and moves on to the next.
    pub fn toggle_mark(&mut self) {
        let Some(key) = self.selected.clone() else { return };
        if !self.marked.remove(&key) {
            self.marked.insert(key);
        }
        self.select_shown(self.at.map_or(0, |at| at + 1));
    }

    /// True if a row is marked.
    pub fn is_marked(&self, key: &RowKey) -> bool {
        self.marked.contains(key)
    }

    /// Returns the marked rows that still exist, in the brief's order, including rows that the filter hides.
    pub fn marked(&self) -> Vec<RowKey> {
        let keys = self.rows.iter().map(|row| &row.row.key);
        keys.filter(|key| self.is_marked(key)).cloned().collect()
    }

    /// Removes every mark.
    pub fn unmark(&mut self) {
        self.marked.clear();
    }

    /// Updates to a new snapshot. The order is kept: rows that are gone are dropped and new rows go last, except that a
    /// row which replaces another (a picture for a print that had none) takes its place. Costs next to nothing while
    /// the rows are the same, however many there are and whatever their findings.
    pub fn update(&mut self, snapshot: &Snapshot) {
        if !Arc::ptr_eq(&self.rows, &snapshot.rows) {
            let old = std::mem::replace(&mut self.rows, Arc::clone(&snapshot.rows));
            if are_the_same(&old, &self.rows) { self.refresh(&old) } else { self.rebuild(&old) }
        }
        self.see_newest(snapshot);
    }

    /// Updates rows that only have other findings: this affects a filter and the order by state, nothing else.
    fn refresh(&mut self, old: &[Arc<TableRow>]) {
        let has_turned = |(now, old): (&Arc<TableRow>, &Arc<TableRow>)| now.state_now() != old.state_now();
        self.is_order_stale |= self.sort == Sort::State && self.rows.iter().zip(old).any(has_turned);
        if self.texts.is_empty() {
            return;
        }
        for (text, (now, old)) in self.texts.iter_mut().zip(self.rows.iter().zip(old)) {
            if !Arc::ptr_eq(now, old) {
                *text = text_of(now);
            }
        }
        self.apply_filter();
    }

    /// Adds and removes rows.
    fn rebuild(&mut self, old: &[Arc<TableRow>]) {
        let index_by_key: HashMap<&RowKey, usize> =
            self.rows.iter().enumerate().map(|(at, row)| (&row.row.key, at)).collect();
        let now_at: Vec<Option<usize>> = old.iter().map(|row| index_by_key.get(&row.row.key).copied()).collect();
        let mut is_new = vec![true; self.rows.len()];
        for at in now_at.iter().flatten() {
            is_new[*at] = false;
        }
        let mut replacements = Replacements::of(&self.rows, &is_new);
        let mut order = Vec::with_capacity(self.rows.len());
        let mut chosen = self.chosen.as_ref().filter(|key| index_by_key.contains_key(*key)).cloned();
        for row_index in &self.order {
            let replacement = now_at[*row_index].or_else(|| replacements.take(&old[*row_index].row.key));
            order.extend(replacement);
            if chosen.is_none() && self.chosen.as_ref() == Some(&old[*row_index].row.key) {
                chosen = replacement.map(|at| self.rows[at].row.key.clone());
            }
        }
        order.extend((0..self.rows.len()).filter(|at| is_new[*at] && !replacements.taken.contains(at)));
        self.is_order_stale = match self.sort {
            // The snapshot's rows are in the brief's order, so comparing indices is enough.
            Sort::Brief => !order.is_sorted(),
            Sort::State | Sort::Name | Sort::Newest => self.is_order_stale || !old.is_empty(),
        };
        if chosen.is_none() {
            chosen = self.neighbour(old, &now_at).map(|at| self.rows[at].row.key.clone());
        }
        (self.order, self.chosen) = (order, chosen);
        self.texts.clear();
        self.arrivals.forget_gone(&self.rows);
        self.apply_filter();
    }

    /// Returns the nearest row that still exists: the first below the chosen one, else the first above it.
    fn neighbour(&self, old: &[Arc<TableRow>], now_at: &[Option<usize>]) -> Option<usize> {
        let chosen = self.chosen.as_ref()?;
        let at = self.order.iter().position(|row_index| old[*row_index].row.key == *chosen)?;
        let below = self.order[at..].iter();
        below.chain(self.order[..at].iter().rev()).find_map(|row_index| now_at[*row_index])
    }

    fn see_newest(&mut self, snapshot: &Snapshot) {
        if snapshot.newest == self.newest {
            return;
        }
        self.newest.clone_from(&snapshot.newest);
        let Some(newest) = &self.newest else { return };
        self.is_order_stale |= self.sort == Sort::Newest;
        self.arrivals.record(newest);
        if self.is_following {
            self.select_newest();
        }
    }

    fn select_newest(&mut self) {
        let Some(newest) = &self.newest else { return };
        let row = self.rows.iter().find(|row| row.row.key.picture.as_ref() == Some(newest));
        if let Some(key) = row.map(|row| row.row.key.clone()) {
            self.select(key);
        }
    }

    /// Works out which rows are shown; call it after changing the filter.
    pub fn apply_filter(&mut self) {
        let words: Vec<String> = self.filter.split_whitespace().map(str::to_lowercase).collect();
        if words.is_empty() {
            self.texts.clear();
            self.shown.clone_from(&self.order);
        } else {
            if self.texts.len() != self.rows.len() {
                self.texts = self.rows.iter().map(|row| text_of(row)).collect();
            }
            let passes = |row_index: &&usize| words.iter().all(|word| self.texts[**row_index].contains(word.as_str()));
            self.shown = self.order.iter().filter(passes).copied().collect();
        }
        self.find_selected();
    }

    /// Selects the chosen row or, while that is hidden, the nearest row shown.
    fn find_selected(&mut self) {
        let is_chosen = |row_index: &usize| Some(&self.rows[*row_index].row.key) == self.chosen.as_ref();
        self.at = self.shown.iter().position(is_chosen);
        if self.at.is_none() && !self.shown.is_empty() {
            let mut above = 0;
            for row_index in self.order.iter().take_while(|row_index| !is_chosen(row_index)) {
                above += usize::from(self.shown.get(above) == Some(row_index));
            }
            // Nothing has been chosen yet: select the first row.
            let nearest = if self.chosen.is_some() { above } else { 0 };
            self.at = Some(nearest.min(self.shown.len() - 1));
        }
        let selected = self.at.map(|at| self.rows[self.shown[at]].row.key.clone());
        if selected != self.selected {
            self.detail_top = 0;
        }
        if self.chosen.is_none() {
            self.chosen.clone_from(&selected);
        }
        self.selected = selected;
    }

    /// Clears the filter.
    pub fn clear_filter(&mut self) {
        self.filter.clear();
        self.apply_filter();
    }

    /// Keeps the filter: the row it left selected stays selected when the filter is cleared.
    pub fn keep_filter(&mut self) {
        if self.selected.is_some() {
            self.chosen.clone_from(&self.selected);
        }
    }

    /// Sorts by `sort`, using what is known of the rows now.
    pub fn sort_by(&mut self, sort: Sort) {
        self.sort = sort;
        let rows = &self.rows;
        let mut order: Vec<usize> = (0..rows.len()).collect();
        match sort {
            Sort::Brief => {}
            Sort::State => order.sort_by_key(|row_index| rows[*row_index].state_now()),
            Sort::Name => order.sort_by(|a, b| by_name(&rows[*a], &rows[*b])),
            Sort::Newest => order.sort_by_cached_key(|row_index| {
                let row = &rows[*row_index].row;
                // Pictures that were there before the screen opened are sorted by their file's modification time.
                std::cmp::Reverse((self.arrivals.number(row.key.picture.as_ref()), row.modified_ns))
            }),
        }
        (self.order, self.is_order_stale) = (order, false);
        // The selected row stays selected, even where the filter hides the row chosen before it.
        if !self.shown.iter().any(|row_index| Some(&rows[*row_index].row.key) == self.chosen.as_ref()) {
            self.chosen.clone_from(&self.selected);
        }
        self.apply_filter();
    }

    /// Describes the requested order in `room` columns; if it is out of date, which key sorts the rows again.
    pub fn order_words(&self, key: &str, room: usize) -> String {
        if !self.is_order_stale {
            return self.sort.words().to_owned();
        }
        let rows = if self.sort == Sort::State { "changed rows" } else { "new rows" };
        let words = format!("{rows} not sorted in: {key} sorts");
        if words.width() <= room { words } else { format!("{key}: sort again") }
    }

    /// Returns the snapshot indices of the rows shown, in order.
    pub fn shown(&self) -> &[usize] {
        &self.shown
    }

    /// Returns the selected row's key.
    pub fn selected(&self) -> Option<&RowKey> {
        self.selected.as_ref()
    }

    /// Returns the selected row's index among the rows shown.
    pub fn selected_index(&self) -> Option<usize> {
        self.at
    }

    /// Selects a row by its key; a row that the filter hides is selected once it is shown.
    pub fn select(&mut self, key: RowKey) {
        self.chosen = Some(key);
        self.find_selected();
    }

    /// Selects by index among the rows shown; past the end, the last.
    pub fn select_shown(&mut self, shown_index: usize) {
        let last = self.shown.len().saturating_sub(1);
        if let Some(row) = self.shown.get(shown_index.min(last)) {
            let key = self.rows[*row].row.key.clone();
            if self.selected.as_ref() != Some(&key) {
                self.detail_top = 0;
            }
            self.at = Some(shown_index.min(last));
            self.chosen = Some(key.clone());
            self.selected = Some(key);
        }
    }

    /// Selects another row shown; `to` maps the selected row's index to the new one.
    pub fn move_selection(&mut self, to: impl Fn(usize) -> usize) {
        self.select_shown(to(self.at.unwrap_or(0)));
    }

    /// Selects the next or previous row that needs action: all FIX rows in turn, then the next state. From any other
    /// row it goes to the nearest of the first state. Wraps round at the end.
    pub fn select_open(&mut self, step: Step) {
        let state_at = |shown_index: usize| self.rows[self.shown[shown_index]].state_now();
        let open = (0..self.shown.len())
            .map(|shown_index| (state_at(shown_index), shown_index))
            .filter(|(state, _)| state.is_open());
        let mut open: Vec<(RowState, usize)> = open.collect();
        let Some((first, _)) = open.iter().min().copied() else { return };
        let at = self.at.unwrap_or(0);
        let now = state_at(at);
        let from = if now.is_open() { (now, at) } else { (first, at) };
        if !now.is_open() {
            open.retain(|(state, _)| *state == first);
        }
        let next = match step {
            Step::Next => open.iter().filter(|row| **row > from).min().or(open.iter().min()),
            Step::Previous => open.iter().filter(|row| **row < from).max().or(open.iter().max()),
        };
        if let Some((_, shown_index)) = next.copied() {
            self.select_shown(shown_index);
        }
    }

    /// Switches following the newest export on or off.
    pub fn toggle_follow(&mut self) {
        self.is_following = !self.is_following;
        if self.is_following {
            self.select_newest();
        }
    }

    /// Scrolls so that the selected row is among the `rows` on screen.
    pub fn scroll_to_selected(&mut self, rows: usize) {
        if let Some(at) = self.at {
            self.top = self.top.min(at).max((at + 1).saturating_sub(rows));
        }
        self.top = self.top.min(self.shown.len().saturating_sub(rows));
    }
}

/// True if two snapshots have the same rows in the same order, whatever their findings.
fn are_the_same(old: &[Arc<TableRow>], now: &[Arc<TableRow>]) -> bool {
    let is_same = |(old, now): (&Arc<TableRow>, &Arc<TableRow>)| Arc::ptr_eq(old, now) || old.row.key == now.row.key;
    old.len() == now.len() && old.iter().zip(now).all(is_same)
}

/// New rows by index, found by the print or the picture that they share with a row that is gone.
struct Replacements<'a> {
    by_print: HashMap<&'a str, usize>,
    by_picture: HashMap<&'a PictureKey, usize>,
    taken: HashSet<usize>,
}

impl<'a> Replacements<'a> {
    fn of(rows: &'a [Arc<TableRow>], is_new: &[bool]) -> Replacements<'a> {
        let new_rows =
            || rows.iter().enumerate().rev().filter(|(at, _)| is_new[*at]).map(|(at, row)| (&row.row.key, at));
        let by_print = new_rows().filter_map(|(key, at)| Some((&*key.print.as_ref()?.0, at))).collect();
        let by_picture = new_rows().filter_map(|(key, at)| Some((key.picture.as_ref()?, at))).collect();
        Replacements { by_print, by_picture, taken: HashSet::new() }
    }

    fn take(&mut self, vanished: &RowKey) -> Option<usize> {
        let by_print = vanished.print.as_ref().and_then(|print| self.by_print.get(&*print.0));
        let replacement =
            by_print.or_else(|| vanished.picture.as_ref().and_then(|p| self.by_picture.get(p))).copied()?;
        self.taken.insert(replacement).then_some(replacement)
    }
}

fn by_name(a: &TableRow, b: &TableRow) -> Ordering {
    // Prints without a picture come last, sorted by the print's name.
    let missing = |row: &TableRow| row.row.state == RowState::Missing;
    let by_picture = || a.row.key.picture.cmp(&b.row.key.picture);
    missing(a).cmp(&missing(b)).then_with(by_picture).then_with(|| a.row.print_name.cmp(&b.row.print_name))
}

/// Returns the text that a filter searches, one item a line: the row's names, its state, and the rules it fails.
fn text_of(table_row: &TableRow) -> String {
    let (row, state) = (&table_row.row, table_row.state_now());
    let picture = row.key.picture.as_ref().map_or("", |picture| picture.as_str());
    let mut text = format!("{picture}\n{}\n{}", row.name_with_version(), state.word()).to_lowercase();
    for finding in &row.findings {
        text.extend(["\n", finding.rule.id, "\n"]);
        text.push_str(&finding.short.to_lowercase());
    }
    text
}

#[cfg(test)]
mod tests;
