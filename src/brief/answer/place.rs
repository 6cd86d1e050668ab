//! The place of an answer in the text of a sheet or a brief; comments and the order of the lines stay.

use std::sync::Arc;

use toml_edit::{Datetime, DocumentMut, Item, Key, Table, TableLike, Value};

use crate::brief::key::BriefKey;
use crate::brief::texts::without_mark;

/// The table of the days on which the printer answered.
const ANSWERED: &str = "answered";
/// Position of a table that comes after all others.
const AT_END: isize = isize::MAX;

/// Where an answer goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum AnswerPlace {
    /// The table of its key, for the order as a whole.
    Order,
    /// The table of a named paper.
    Paper(Arc<str>),
    /// The own tables of some `[[print]]` or `[[version]]`, counted from 0.
    Own(&'static str, Vec<usize>),
}

/// A value to be put in.
pub(super) struct Edit<'a> {
    pub(super) place: &'a AnswerPlace,
    pub(super) key: &'a BriefKey,
    /// As TOML writes it.
    pub(super) value: &'a str,
    /// The day of the answer: an ISO date.
    pub(super) day: &'a str,
    /// Names and values that go into the same table where they are not there yet.
    pub(super) with: &'a [(&'static str, String)],
}

/// Returns how many `[[print]]` a text has.
pub(super) fn prints(text: &str) -> usize {
    let document = without_mark(text).parse::<DocumentMut>();
    document.ok().and_then(|document| Some(document.get("print")?.as_array_of_tables()?.len())).unwrap_or(0)
}

/// True if a text describes a named paper.
pub(super) fn has_paper(text: &str, paper: &str) -> bool {
    let document = without_mark(text).parse::<DocumentMut>();
    document.is_ok_and(|document| document.get("papers").and_then(|papers| papers.get(paper)).is_some())
}

/// Returns the text with a value in its place; `None` where there is no such place. Line ends stay as they are.
pub(super) fn put(text: &str, edit: &Edit<'_>) -> Option<String> {
    let (mark, rest) = text.strip_prefix('\u{feff}').map_or(("", text), |rest| ("\u{feff}", rest));
    let is_dos = rest.contains("\r\n");
    let mut document: DocumentMut = rest.replace("\r\n", "\n").parse().ok()?;
    let value: Value = edit.value.parse().ok()?;
    match edit.place {
        AnswerPlace::Order if edit.key.table().is_empty() => put_on_top(&mut document, edit.key.name(), value),
        AnswerPlace::Order => put_in(table(&mut document, edit.key.table())?, edit, value)?,
        AnswerPlace::Paper(paper) => {
            let papers = table(&mut document, "papers")?;
            let named = child(papers, paper)?;
            put_in(named, edit, value)?;
        }
        AnswerPlace::Own(part, places) => {
            let tables = document.get_mut(part)?.as_array_of_tables_mut()?;
            for at in places {
                let own = child(tables.get_mut(*at)?, edit.key.table())?;
                let mut dated = value.clone();
                dated.decor_mut().set_suffix(format!(" # answered {}", edit.day));
                put_in(own, edit, dated)?;
            }
        }
    }
    let answered = match edit.place {
        AnswerPlace::Order => Some(edit.key.path.to_owned()),
        AnswerPlace::Paper(paper) => Some(format!("papers.{paper}.{}", edit.key.name())),
        AnswerPlace::Own(..) => None,
    };
    if let Some(answered) = answered {
        let day: Datetime = edit.day.parse().ok()?;
        set(table(&mut document, ANSWERED)?, &answered, Value::from(day));
    }
    let text = document.to_string();
    Some(format!("{mark}{}", if is_dos { text.replace('\n', "\r\n") } else { text }))
}

fn put_in(table: &mut dyn TableLike, edit: &Edit<'_>, value: Value) -> Option<()> {
    for (name, words) in edit.with.iter().filter(|(name, _)| !table.contains_key(name)).collect::<Vec<_>>() {
        set(table, name, words.parse().ok()?);
    }
    set(table, edit.key.name(), value);
    Some(())
}

/// Sets a value; the comment behind an earlier one stays.
fn set(table: &mut dyn TableLike, name: &str, mut value: Value) {
    if let Some(there) = table.get(name).and_then(Item::as_value) {
        *value.decor_mut() = there.decor().clone();
    }
    table.insert(name, Item::Value(value));
}

/// Sets a key above the first table. In a text without any, comments at the top stay at the top.
fn put_on_top(document: &mut DocumentMut, name: &str, value: Value) {
    let has_keys = document.iter().any(|(_, item)| item.is_value());
    if has_keys {
        return set(document.as_table_mut(), name, value);
    }
    let above = comments_at_top(document);
    let mut key = Key::new(name);
    key.leaf_decor_mut().set_prefix(above);
    document.as_table_mut().insert_formatted(&key, Item::Value(value));
}

/// Takes the comments at the top out of a text without keys: all where there is no table, else those that a blank line
/// parts from the first.
fn comments_at_top(document: &mut DocumentMut) -> String {
    let raw = |text: Option<&str>| text.unwrap_or_default().to_owned();
    if document.is_empty() {
        let all = raw(document.trailing().as_str());
        document.set_trailing("");
        return all;
    }
    let first = document.iter_mut().filter_map(|(_, item)| item.as_table_mut()).min_by_key(|table| table.position());
    let Some(table) = first else { return String::new() };
    let prefix = raw(table.decor().prefix().and_then(|prefix| prefix.as_str()));
    let Some(at) = prefix.rfind("\n\n") else { return String::new() };
    table.decor_mut().set_prefix(prefix[at + 1..].to_owned());
    prefix[..=at].to_owned()
}

/// Returns a table of the order, made where there is none: before the prints and the days of the answers, else at the
/// end.
fn table<'d>(document: &'d mut DocumentMut, name: &str) -> Option<&'d mut dyn TableLike> {
    if !document.contains_key(name) {
        let first_print = document.get("print").and_then(Item::as_array_of_tables).and_then(|prints| prints.get(0));
        let below = [first_print, document.get(ANSWERED).and_then(Item::as_table)];
        let position = below.into_iter().flatten().filter_map(Table::position).min().map_or(AT_END, |at| at - 1);
        let mut new = Table::new();
        let above = if document.is_empty() { comments_at_top(document) } else { String::new() };
        new.decor_mut().set_prefix(format!("{above}\n"));
        new.set_position(Some(position));
        new.set_implicit(name == "papers");
        document.insert(name, Item::Table(new));
    }
    document.get_mut(name)?.as_table_like_mut()
}

/// Returns a table within another, made where there is none.
fn child<'t>(table: &'t mut dyn TableLike, name: &str) -> Option<&'t mut dyn TableLike> {
    if !table.contains_key(name) {
        table.insert(name, Item::Table(Table::new()));
    }
    table.get_mut(name)?.as_table_like_mut()
}
