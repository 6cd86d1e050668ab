//! The order, the selection, the filter and the marks, without a screen.

use super::*;
use crate::tui::tests::order::{plain_row, snapshot_of};

fn names(view: &ViewState, snapshot: &Snapshot) -> Vec<String> {
    view.shown().iter().map(|place| snapshot.rows[*place].row.print_name.clone()).collect()
}

#[test]
fn the_order_stays_until_asked_and_new_rows_come_last() {
    let mut view = ViewState::default();
    view.update(&snapshot_of([plain_row("b", RowState::Pass), plain_row("d", RowState::Fix)]));
    let more =
        snapshot_of([plain_row("a", RowState::Pass), plain_row("b", RowState::Fix), plain_row("d", RowState::Pass)]);
    view.update(&more);
    assert_eq!(names(&view, &more), ["b", "d", "a"]);
    view.sort_by(Sort::Name);
    assert_eq!(names(&view, &more), ["a", "b", "d"]);
    view.sort_by(Sort::State);
    assert_eq!(names(&view, &more), ["b", "a", "d"]);
    assert_eq!(view.order_words("r", 60), "by state");
    let turned =
        snapshot_of([plain_row("a", RowState::Fix), plain_row("b", RowState::Fix), plain_row("d", RowState::Pass)]);
    view.update(&turned);
    assert_eq!(
        (view.order_words("r", 60).as_str(), names(&view, &turned)[0].as_str()),
        ("changed rows not sorted in: r sorts", "b")
    );
    view.sort_by(Sort::State);
    assert_eq!((view.order_words("r", 60).as_str(), names(&view, &turned)[0].as_str()), ("by state", "a"));
    let less = snapshot_of([plain_row("a", RowState::Pass), plain_row("d", RowState::Pass)]);
    view.update(&less);
    assert_eq!(names(&view, &less), ["a", "d"]);
}

#[test]
fn the_brief_s_order_is_named_only_while_the_rows_stand_in_it() {
    let rows = |names: &[&str]| snapshot_of(names.iter().map(|name| plain_row(name, RowState::Pass)));
    let mut view = ViewState::default();
    let mut said = |names: &[&str]| {
        view.update(&rows(names));
        view.order_words("r", 60)
    };
    assert_eq!(said(&["b", "d"]), "in the brief's order");
    assert_eq!(said(&["b", "d", "e"]), "in the brief's order", "it came last in the brief, too");
    assert_eq!(said(&["a", "b", "d", "e"]), "new rows not sorted in: r sorts");
    assert_eq!(said(&["b", "d"]), "in the brief's order", "what stood elsewhere is gone");
    assert_eq!(said(&["d", "b"]), "new rows not sorted in: r sorts", "the brief lists them differently by now");
    assert_eq!(view.order_words("F5", 20), "F5: sort again");
    view.sort_by(Sort::Brief);
    assert_eq!(view.order_words("F5", 20), "in the brief's order");
}

#[test]
fn a_row_that_is_written_again_is_sorted_filtered_and_sought_by_what_it_is_now() {
    let again = TableRow { is_outdated: true, ..plain_row("a", RowState::Fix) };
    let rows = snapshot_of([again, plain_row("b", RowState::Pass), plain_row("c", RowState::Fix)]);
    let mut view = ViewState::default();
    view.update(&rows);
    view.select_open(Step::Next);
    assert_eq!(view.selected(), Some(&rows.rows[2].row.key));
    view.sort_by(Sort::State);
    assert_eq!(names(&view, &rows), ["c", "a", "b"]);
    view.filter = "checking".to_owned();
    view.apply_filter();
    assert_eq!(names(&view, &rows), ["a"]);
}

#[test]
fn the_selection_follows_a_print_whose_picture_arrives() {
    let missing = plain_row("b", RowState::Missing);
    let before = snapshot_of([plain_row("a", RowState::Pass), missing.clone(), plain_row("c", RowState::Pass)]);
    let mut view = ViewState::default();
    view.update(&before);
    view.select_shown(1);
    let after = snapshot_of([
        plain_row("a", RowState::Pass),
        plain_row("b", RowState::Checking),
        plain_row("c", RowState::Pass),
    ]);
    assert_ne!(missing.row.key, after.rows[1].row.key);
    view.update(&after);
    assert_eq!(names(&view, &after), ["a", "b", "c"]);
    assert_eq!(view.selected(), Some(&after.rows[1].row.key));
}

#[test]
fn sorting_keeps_the_row_that_a_filter_left_selected() {
    let mut view = ViewState::default();
    view.update(&snapshot_of([
        plain_row("c", RowState::Pass),
        plain_row("b", RowState::Fix),
        plain_row("a", RowState::Fix),
    ]));
    view.filter = "fix".to_owned();
    view.apply_filter();
    let selected = view.selected().cloned();
    for sort in [Sort::State, Sort::Name, Sort::Newest, Sort::Brief] {
        view.sort_by(sort);
        assert_eq!(view.selected().cloned(), selected, "{sort:?}");
    }
}

#[test]
fn a_vanished_selection_moves_to_its_neighbour() {
    let mut view = ViewState::default();
    let three = snapshot_of(["a", "b", "c"].map(|name| plain_row(name, RowState::Pass)));
    view.update(&three);
    view.select_shown(1);
    let two = snapshot_of(["a", "c"].map(|name| plain_row(name, RowState::Pass)));
    view.update(&two);
    assert_eq!(view.selected(), Some(&two.rows[1].row.key));
}

#[test]
fn every_word_of_a_filter_must_be_found() {
    let mut view = ViewState::default();
    let rows = snapshot_of([plain_row("plum tart", RowState::Fix), plain_row("plum cake", RowState::Pass)]);
    view.update(&rows);
    view.filter = "PLUM fix".to_owned();
    view.apply_filter();
    assert_eq!(names(&view, &rows), ["plum tart"]);
    view.filter = "leek".to_owned();
    view.apply_filter();
    assert!(view.shown().is_empty() && view.selected().is_none());
}

#[test]
fn open_rows_are_found_round_the_end() {
    let rows = snapshot_of([
        plain_row("a", RowState::Fix),
        plain_row("b", RowState::Pass),
        plain_row("c", RowState::Missing),
        plain_row("d", RowState::Pass),
    ]);
    let mut view = ViewState::default();
    view.update(&rows);
    view.select_open(Step::Next);
    assert_eq!(view.selected_index(), Some(2));
    view.select_open(Step::Next);
    assert_eq!(view.selected_index(), Some(0));
    view.select_open(Step::Previous);
    assert_eq!(view.selected_index(), Some(2));
}

#[test]
fn rows_to_fix_come_in_turn_before_rows_to_look_at() {
    let rows = snapshot_of([
        plain_row("a", RowState::Warn),
        plain_row("b", RowState::Fix),
        plain_row("c", RowState::Pass),
        plain_row("d", RowState::Warn),
        plain_row("e", RowState::Fix),
    ]);
    let mut view = ViewState::default();
    view.update(&rows);
    view.select_shown(2);
    let mut went = |step, times| {
        let step = |_| {
            view.select_open(step);
            view.selected_index().unwrap()
        };
        (0..times).map(step).collect::<Vec<_>>()
    };
    assert_eq!(went(Step::Next, 5), [4, 0, 3, 1, 4], "from a row that passes, the nearest to fix");
    assert_eq!(went(Step::Previous, 3), [1, 3, 0]);
    view.select_shown(2);
    view.select_open(Step::Previous);
    assert_eq!(view.selected_index(), Some(1));
}

#[test]
fn following_goes_with_the_newest() {
    let mut rows = snapshot_of([plain_row("a", RowState::Pass), plain_row("b", RowState::Pass)]);
    let mut view = ViewState::default();
    view.update(&rows);
    view.toggle_follow();
    rows.newest = rows.rows[1].row.key.picture.clone();
    view.update(&rows);
    assert_eq!(view.selected_index(), Some(1));
    view.sort_by(Sort::Newest);
    assert_eq!(names(&view, &rows), ["b", "a"]);
}

#[test]
fn what_a_filter_hides_is_selected_again_without_it() {
    let rows = snapshot_of([
        plain_row("p015", RowState::Warn),
        plain_row("p016", RowState::Pass),
        plain_row("p017", RowState::Warn),
        plain_row("p018", RowState::Pass),
    ]);
    let mut view = ViewState::default();
    view.update(&rows);
    view.select_shown(1);
    let filtered = |view: &mut ViewState, filter: &str| {
        view.filter = filter.to_owned();
        view.apply_filter();
        view.selected().map(|_| rows.rows[view.shown()[view.selected_index().unwrap()]].row.print_name.clone())
    };
    assert_eq!(filtered(&mut view, "warn").as_deref(), Some("p017"), "the nearest one shown");
    assert_eq!(filtered(&mut view, "").as_deref(), Some("p016"));
    assert_eq!(filtered(&mut view, "zzz"), None);
    view.keep_filter();
    assert_eq!(filtered(&mut view, "").as_deref(), Some("p016"));
    filtered(&mut view, "warn");
    view.select_shown(0);
    assert_eq!(filtered(&mut view, "").as_deref(), Some("p015"), "what was chosen meanwhile");
    filtered(&mut view, "p017");
    view.keep_filter();
    assert_eq!(filtered(&mut view, "").as_deref(), Some("p017"), "what was kept in sight");
}

#[test]
fn a_kept_filter_sees_rows_turn() {
    let rows = snapshot_of([plain_row("a", RowState::Fix), plain_row("b", RowState::Pass)]);
    let mut view = ViewState::default();
    view.update(&rows);
    view.filter = "fix".to_owned();
    view.apply_filter();
    let turned = snapshot_of([plain_row("a", RowState::Pass), plain_row("b", RowState::Fix)]);
    view.update(&turned);
    assert_eq!(names(&view, &turned), ["b"]);
}

#[test]
fn newest_first_goes_by_the_files_own_time_before_anything_arrived() {
    let row = |name: &str, modified_ns| {
        let mut row = plain_row(name, RowState::Pass);
        Arc::make_mut(&mut row.row).modified_ns = modified_ns;
        row
    };
    let mut rows = snapshot_of([row("a", 5), row("b", 9), row("c", 7)]);
    let mut view = ViewState::default();
    view.update(&rows);
    view.sort_by(Sort::Newest);
    assert_eq!(names(&view, &rows), ["b", "c", "a"]);
    rows.newest = rows.rows[0].row.key.picture.clone();
    view.update(&rows);
    view.sort_by(Sort::Newest);
    assert_eq!(names(&view, &rows), ["a", "b", "c"]);
}
