//! What only the screen knows: which row is selected, which rows are shown and in which order, how far things are
//! scrolled. Rows are known by their keys, never by a place in a snapshot.

use std::cmp::Ordering;
use std::collections::{HashMap, HashSet};

use crate::desk::Snapshot;
use crate::desk::snapshot::DeskRow;
use crate::judge::{RowKey, State};
use crate::picture::PictureKey;
use crate::screen::picture::views::PictureView;

/// The orders of rows, in the order in which the key goes through them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sort {
    /// As the brief lists its prints.
    #[default]
    Brief,
    /// What must be mended first.
    State,
    /// By the picture's name.
    Name,
    /// What arrived or changed last, first.
    Newest,
}

impl Sort {
    const ALL: [Sort; 4] = [Sort::Brief, Sort::State, Sort::Name, Sort::Newest];

    /// The order after this one.
    pub fn next(self) -> Sort {
        let at = Sort::ALL.iter().position(|sort| *sort == self).unwrap_or(0);
        Sort::ALL[(at + 1) % Sort::ALL.len()]
    }

    /// What it is called.
    pub const fn words(self) -> &'static str {
        match self {
            Sort::Brief => "brief order",
            Sort::State => "by state",
            Sort::Name => "by name",
            Sort::Newest => "newest first",
        }
    }
}

/// Screen-only state.
#[derive(Debug, Default)]
pub struct View {
    /// The order that was asked for last.
    pub sort: Sort,
    /// What was typed to filter.
    pub filter: String,
    /// A filter is being typed.
    pub typing: bool,
    /// Goes with the newest export.
    pub follow: bool,
    /// The help lies on top.
    pub help: bool,
    /// The picture takes the whole window.
    pub large: bool,
    /// How the picture is looked at.
    pub picture: PictureView,
    /// Lines by which the details are scrolled.
    pub detail_top: usize,
    /// The first row on screen, counted among the shown ones.
    pub top: usize,
    selected: Option<RowKey>,
    /// Every row's key in the frozen order.
    order: Vec<RowKey>,
    /// Places in the snapshot of the rows that pass the filter, in that order.
    shown: Vec<usize>,
    /// When pictures arrived, counted up, as far as this screen saw it.
    arrivals: HashMap<PictureKey, u64>,
    newest: Option<PictureKey>,
}

impl View {
    /// Takes up a new snapshot: the order stays, vanished rows go, new ones come last; a row that came in the place
    /// of another (a picture for a print that had none) takes its place.
    pub fn take_up(&mut self, snapshot: &Snapshot) {
        let places: HashMap<&RowKey, usize> =
            snapshot.rows.iter().enumerate().map(|(i, row)| (&row.row.key, i)).collect();
        let known: HashSet<&RowKey> = self.order.iter().collect();
        let fresh: Vec<&RowKey> = snapshot.rows.iter().map(|row| &row.row.key).filter(|k| !known.contains(k)).collect();
        let mut heirs = Heirs::of(&fresh);
        let mut order = Vec::with_capacity(snapshot.rows.len());
        let mut selected = self.selected.clone();
        for key in &self.order {
            let kept = if places.contains_key(key) { Some(key) } else { heirs.take(key) };
            if let Some(kept) = kept {
                order.push(kept.clone());
            }
            if kept != Some(key) && self.selected.as_ref() == Some(key) {
                selected = kept.cloned();
            }
        }
        order.extend(fresh.into_iter().filter(|key| !heirs.taken.contains(key)).cloned());
        if self.selected.is_some() && selected.is_none() {
            selected = self.neighbour(&places);
        }
        self.order = order;
        self.selected = selected;
        self.see_newest(snapshot);
        self.show(snapshot);
    }

    /// The nearest row that is still there: the one below the selected one, else above.
    fn neighbour(&self, places: &HashMap<&RowKey, usize>) -> Option<RowKey> {
        let at = self.order.iter().position(|key| Some(key) == self.selected.as_ref())?;
        let below = self.order[at..].iter();
        below.chain(self.order[..at].iter().rev()).find(|key| places.contains_key(key)).cloned()
    }

    fn see_newest(&mut self, snapshot: &Snapshot) {
        if snapshot.newest == self.newest {
            return;
        }
        self.newest.clone_from(&snapshot.newest);
        let Some(newest) = &self.newest else { return };
        let number = self.arrivals.len() as u64 + self.arrivals.values().max().copied().unwrap_or(0) + 1;
        self.arrivals.insert(newest.clone(), number);
        if self.follow {
            self.select_newest(snapshot);
        }
    }

    fn select_newest(&mut self, snapshot: &Snapshot) {
        let row = snapshot.rows.iter().find(|row| row.row.key.picture == self.newest && self.newest.is_some());
        if let Some(row) = row {
            self.select(row.row.key.clone());
        }
    }

    /// Works out which rows are shown; call after the filter or the order changed.
    pub fn show(&mut self, snapshot: &Snapshot) {
        let places: HashMap<&RowKey, usize> =
            snapshot.rows.iter().enumerate().map(|(i, row)| (&row.row.key, i)).collect();
        let words: Vec<String> = self.filter.split_whitespace().map(str::to_lowercase).collect();
        self.shown = self
            .order
            .iter()
            .filter_map(|key| places.get(key).copied())
            .filter(|place| words.is_empty() || passes(&snapshot.rows[*place], &words))
            .collect();
        let selected_shown = self.selected_place(snapshot).is_some();
        if !selected_shown {
            self.selected = self.shown.first().map(|place| snapshot.rows[*place].row.key.clone());
            self.detail_top = 0;
        }
    }

    /// Sorts anew by `sort`.
    pub fn sort_by(&mut self, sort: Sort, snapshot: &Snapshot) {
        self.sort = sort;
        let mut rows: Vec<&DeskRow> = snapshot.rows.iter().map(AsRef::as_ref).collect();
        match sort {
            Sort::Brief => {}
            Sort::State => rows.sort_by_key(|row| row.row.state),
            Sort::Name => rows.sort_by(|a, b| by_name(a, b)),
            Sort::Newest => rows.sort_by_key(|row| {
                let arrival = row.row.key.picture.as_ref().and_then(|picture| self.arrivals.get(picture));
                std::cmp::Reverse(arrival.copied().unwrap_or(0))
            }),
        }
        self.order = rows.into_iter().map(|row| row.row.key.clone()).collect();
        self.show(snapshot);
    }

    /// Places in the snapshot of the rows shown, in order.
    pub fn shown(&self) -> &[usize] {
        &self.shown
    }

    /// The selected row's key.
    pub fn selected(&self) -> Option<&RowKey> {
        self.selected.as_ref()
    }

    /// The selected row's place among the shown ones.
    pub fn selected_place(&self, snapshot: &Snapshot) -> Option<usize> {
        let key = self.selected.as_ref()?;
        self.shown.iter().position(|place| snapshot.rows[*place].row.key == *key)
    }

    /// Selects a row by its key.
    pub fn select(&mut self, key: RowKey) {
        if self.selected.as_ref() != Some(&key) {
            self.detail_top = 0;
        }
        self.selected = Some(key);
    }

    /// Selects by place among the shown rows, kept within them.
    pub fn select_place(&mut self, place: usize, snapshot: &Snapshot) {
        let last = self.shown.len().saturating_sub(1);
        if let Some(row) = self.shown.get(place.min(last)) {
            self.select(snapshot.rows[*row].row.key.clone());
        }
    }

    /// Selects the next (or previous) row that somebody must do something about, round the end.
    pub fn select_open(&mut self, forward: bool, snapshot: &Snapshot) {
        let count = self.shown.len();
        let at = self.selected_place(snapshot).unwrap_or(0);
        let step = |i: usize| if forward { (at + i) % count } else { (at + count - i) % count };
        let open = (1..=count).map(step).find(|place| snapshot.rows[self.shown[*place]].row.state.is_open());
        if let Some(place) = open {
            self.select_place(place, snapshot);
        }
    }

    /// Goes with the newest export from now on, or stays.
    pub fn toggle_follow(&mut self, snapshot: &Snapshot) {
        self.follow = !self.follow;
        if self.follow {
            self.select_newest(snapshot);
        }
    }

    /// Moves the first row on screen so that the selected one is seen among `rows`.
    pub fn scroll_to_selected(&mut self, rows: usize, snapshot: &Snapshot) {
        if let Some(at) = self.selected_place(snapshot) {
            self.top = self.top.min(at).max((at + 1).saturating_sub(rows));
        }
        self.top = self.top.min(self.shown.len().saturating_sub(rows));
    }
}

/// New rows, by the print or picture they have in common with a vanished one.
struct Heirs<'a> {
    by_print: HashMap<&'a str, &'a RowKey>,
    by_picture: HashMap<&'a PictureKey, &'a RowKey>,
    taken: HashSet<&'a RowKey>,
}

impl<'a> Heirs<'a> {
    fn of(fresh: &[&'a RowKey]) -> Heirs<'a> {
        let by_print = fresh.iter().rev().filter_map(|key| Some((&*key.print.as_ref()?.0, *key))).collect();
        let by_picture = fresh.iter().rev().filter_map(|key| Some((key.picture.as_ref()?, *key))).collect();
        Heirs { by_print, by_picture, taken: HashSet::new() }
    }

    fn take(&mut self, vanished: &RowKey) -> Option<&'a RowKey> {
        let by_print = vanished.print.as_ref().and_then(|print| self.by_print.get(&*print.0));
        let heir = by_print.or_else(|| vanished.picture.as_ref().and_then(|p| self.by_picture.get(p))).copied()?;
        self.taken.insert(heir).then_some(heir)
    }
}

fn by_name(a: &DeskRow, b: &DeskRow) -> Ordering {
    let name = |row: &'_ DeskRow| row.row.key.picture.as_ref().map_or("", |picture| picture.as_str()).to_owned();
    // Prints without a picture come last, by the print's name.
    let rank = |row: &DeskRow| (row.row.state == State::Missing, name(row), row.row.print_name.clone());
    rank(a).cmp(&rank(b))
}

/// Whether a row holds every word: in its names, its state, or a rule that found fault with it.
fn passes(row: &DeskRow, words: &[String]) -> bool {
    let picture = row.row.key.picture.as_ref().map_or("", |picture| picture.as_str()).to_lowercase();
    let print = row.row.print_name.to_lowercase();
    let state = row.row.state.word().to_lowercase();
    words.iter().all(|word| {
        picture.contains(word)
            || print.contains(word)
            || state.contains(word)
            || row.row.findings.iter().any(|finding| finding.rule.contains(word.as_str()))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::tests::desk::{plain_row, snapshot_of};

    fn names(view: &View, snapshot: &Snapshot) -> Vec<String> {
        view.shown().iter().map(|place| snapshot.rows[*place].row.print_name.clone()).collect()
    }

    #[test]
    fn the_order_stays_until_asked_and_new_rows_come_last() {
        let mut view = View::default();
        view.take_up(&snapshot_of([plain_row("b", State::Pass), plain_row("d", State::Fix)]));
        let more = snapshot_of([plain_row("a", State::Pass), plain_row("b", State::Fix), plain_row("d", State::Pass)]);
        view.take_up(&more);
        assert_eq!(names(&view, &more), ["b", "d", "a"]);
        view.sort_by(Sort::Name, &more);
        assert_eq!(names(&view, &more), ["a", "b", "d"]);
        view.sort_by(Sort::State, &more);
        assert_eq!(names(&view, &more), ["b", "a", "d"]);
        let less = snapshot_of([plain_row("a", State::Pass), plain_row("d", State::Pass)]);
        view.take_up(&less);
        assert_eq!(names(&view, &less), ["a", "d"]);
    }

    #[test]
    fn the_selection_follows_a_print_whose_picture_arrives() {
        let missing = plain_row("b", State::Missing);
        let before = snapshot_of([plain_row("a", State::Pass), missing.clone(), plain_row("c", State::Pass)]);
        let mut view = View::default();
        view.take_up(&before);
        view.select_place(1, &before);
        let after =
            snapshot_of([plain_row("a", State::Pass), plain_row("b", State::Checking), plain_row("c", State::Pass)]);
        assert_ne!(missing.row.key, after.rows[1].row.key);
        view.take_up(&after);
        assert_eq!(names(&view, &after), ["a", "b", "c"]);
        assert_eq!(view.selected(), Some(&after.rows[1].row.key));
    }

    #[test]
    fn a_vanished_selection_moves_to_its_neighbour() {
        let mut view = View::default();
        let three = snapshot_of(["a", "b", "c"].map(|name| plain_row(name, State::Pass)));
        view.take_up(&three);
        view.select_place(1, &three);
        let two = snapshot_of(["a", "c"].map(|name| plain_row(name, State::Pass)));
        view.take_up(&two);
        assert_eq!(view.selected(), Some(&two.rows[1].row.key));
    }

    #[test]
    fn every_word_of_a_filter_must_be_found() {
        let mut view = View::default();
        let rows = snapshot_of([plain_row("plum tart", State::Fix), plain_row("plum cake", State::Pass)]);
        view.take_up(&rows);
        view.filter = "PLUM fix".to_owned();
        view.show(&rows);
        assert_eq!(names(&view, &rows), ["plum tart"]);
        view.filter = "leek".to_owned();
        view.show(&rows);
        assert!(view.shown().is_empty() && view.selected().is_none());
    }

    #[test]
    fn open_rows_are_found_round_the_end() {
        let rows = snapshot_of([
            plain_row("a", State::Fix),
            plain_row("b", State::Pass),
            plain_row("c", State::Missing),
            plain_row("d", State::Pass),
        ]);
        let mut view = View::default();
        view.take_up(&rows);
        view.select_open(true, &rows);
        assert_eq!(view.selected_place(&rows), Some(2));
        view.select_open(true, &rows);
        assert_eq!(view.selected_place(&rows), Some(0));
        view.select_open(false, &rows);
        assert_eq!(view.selected_place(&rows), Some(2));
    }

    #[test]
    fn following_goes_with_the_newest() {
        let mut rows = snapshot_of([plain_row("a", State::Pass), plain_row("b", State::Pass)]);
        let mut view = View::default();
        view.take_up(&rows);
        view.toggle_follow(&rows);
        rows.newest = rows.rows[1].row.key.picture.clone();
        view.take_up(&rows);
        assert_eq!(view.selected_place(&rows), Some(1));
        view.sort_by(Sort::Newest, &rows);
        assert_eq!(names(&view, &rows), ["b", "a"]);
    }
}
