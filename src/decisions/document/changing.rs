//! Changes in the text: only the pieces that a change belongs in are rewritten; the others stay as they are.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::Path;

use toml_edit::{ArrayOfTables, DocumentMut, Item, Table};

use crate::brief::Problem;
use crate::decisions::model::{BoxChange, DecisionChange, Decisions, FindingChange, RemarkChange, SentChange};

use super::lists::{ByName, LISTS, List, TableName};
use super::places::PieceFinder;
use super::reader::{PIECE_TABLES, parse, read_decisions};
use super::{findings, pieces, seen, sent, subject};

/// The beginning of a new file.
const FILE_HEADER: &str = "\
# Your decisions for the brief of the same name, written by plateside. Your comments stay. It suits version control.
# [[subject]] is the part of a picture that must survive. box: left, top, right, bottom, as shares of the upright
# picture. A box with a print is for that print only. drawn_on (SHA-256) and look (a grey thumbnail) show whether an
# export is still the picture the box was drawn on.
# [[accepted]] is a finding that somebody accepted: why, who, when, and the values measured then. If these change or get
# worse, it has to be accepted again.
# Test prints that somebody looked at are listed as seen, with what they saw.
# [[delivery]] is a delivery that was written, [[sent]] is what the printer has by now; deliver --since last reads them.
version = 1
";

/// Position of a table that comes after all existing ones.
const AT_END: isize = isize::MAX;

/// Returns the text with these changes, the last of each name, and the resulting decisions; an empty text is given a
/// beginning. Lines end with a line feed alone afterwards.
pub(crate) fn apply_changes(
    text: &str,
    path: &Path,
    changes: &[DecisionChange],
) -> Result<(String, Decisions), Vec<Problem>> {
    apply_in_pieces(text, path, changes, PIECE_TABLES)
}

/// Applies changes as [`apply_changes`] does, in pieces of `tables` tables.
fn apply_in_pieces(
    text: &str,
    path: &Path,
    changes: &[DecisionChange],
    tables: usize,
) -> Result<(String, Decisions), Vec<Problem>> {
    let text = if text.trim().is_empty() { FILE_HEADER } else { text };
    let text = if text.contains("\r\n") { Cow::from(text.replace("\r\n", "\n")) } else { Cow::from(text) };
    let pieces = pieces::of(&text, tables);
    let mut finders = LISTS.each_ref().map(|list| PieceFinder::of(list, changes));
    let mut decided = read_decisions(&text, path, &pieces, |at, document| {
        finders.iter_mut().for_each(|finder| finder.visit_piece(at, document));
    })?;
    let mut by_piece: BTreeMap<usize, Vec<(&List, ByName)>> = BTreeMap::new();
    for finder in finders {
        let list = finder.list;
        for (at, changes) in finder.by_piece(pieces.len()) {
            by_piece.entry(at).or_default().push((list, changes));
        }
    }
    let mut written = String::with_capacity(text.len());
    for (at, piece) in pieces.iter().enumerate() {
        let Some(changes) = by_piece.remove(&at) else {
            written.push_str(&text[piece.clone()]);
            continue;
        };
        let mut document = parse(&text, path, piece)?.into_mut();
        changes.into_iter().for_each(|(list, changes)| merge_into(&mut document, list, changes));
        written.push_str(&document.to_string());
    }
    changes.iter().for_each(|change| decided.apply(change));
    Ok((written, Decisions::of(decided)))
}

/// Fills, adds or removes tables of a list. A new one comes before the first with a greater name, directly after the
/// one before that; where the list has no other, at the end of the text.
fn merge_into(document: &mut DocumentMut, list: &List, mut changes: ByName) {
    let there = match document.remove(list.head) {
        Some(Item::ArrayOfTables(tables)) => tables,
        _ => ArrayOfTables::new(),
    };
    let mut stay: Vec<(TableName, Table)> = Vec::new();
    for mut table in there {
        let name = list.name_of(&table);
        match changes.remove(&name) {
            Some(change) if change.is_withdrawal() => continue,
            Some(change) => fill_with(&mut table, change),
            None => {}
        }
        stay.push((name, table));
    }
    let mut added = changes.into_iter().peekable();
    let mut tables = ArrayOfTables::new();
    let add = |tables: &mut ArrayOfTables, (name, change): (TableName, &DecisionChange), next: isize| {
        let mut table = list.new_table(&name);
        fill_with(&mut table, change);
        // Without a position of its own it follows the table before it.
        table.set_position(tables.is_empty().then_some(next));
        tables.push(table);
    };
    for (name, table) in stay {
        let next = table.position().unwrap_or(AT_END);
        while let Some(before) = added.next_if(|(other, _)| *other < name) {
            add(&mut tables, before, next);
        }
        tables.push(table);
    }
    added.for_each(|after| add(&mut tables, after, AT_END));
    if !tables.is_empty() {
        document.insert(list.head, Item::ArrayOfTables(tables));
    }
}

fn fill_with(table: &mut Table, change: &DecisionChange) {
    match change {
        DecisionChange::Box(BoxChange { drawn: Some(drawn), .. }) => subject::fill(table, drawn),
        DecisionChange::Finding(FindingChange { acceptance: Some(acceptance), .. }) => {
            findings::fill(table, acceptance)
        }
        DecisionChange::TestPrint(RemarkChange { remark: Some(seen), .. }) => seen::fill(table, seen),
        DecisionChange::Delivery(delivery) => sent::fill_delivery(table, delivery),
        DecisionChange::Sent(SentChange { picture: Some(picture), .. }) => sent::fill_picture(table, picture),
        DecisionChange::Box(_)
        | DecisionChange::Finding(_)
        | DecisionChange::TestPrint(_)
        | DecisionChange::Sent(_) => {}
    }
}

#[cfg(test)]
mod tests;
