//! The text of `NAME.accepted.toml`: read with a place for every mistake, and changed in one place with all else kept.

use std::collections::{BTreeMap, HashMap};
use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use toml_edit::{Array, ArrayOfTables, Document, DocumentMut, Item, Table, Value};

use crate::brief::{PrintId, Problem};
use crate::judge::subject::{Area, DrawnBox};
use crate::measure::Grid;
use crate::picture::PictureKey;
use crate::units::words;

use super::decided::DecisionIndex;
use super::{BoxChange, DecisionChange, Decisions, FindingChange, RemarkChange};

mod findings;
mod pieces;
mod seen;

/// Version of the file's format.
const VERSION: i64 = 1;
/// Longest side of a small picture that is believed, in cells; ours have 48.
const LONGEST_LOOK: usize = 256;

/// Tables that are parsed together: a parsed table takes thirty times its text in memory, and a file may hold a hundred
/// thousand. Own choice.
const PIECE_TABLES: usize = 256;
/// Mistakes that are told of one file; whoever has mended these is told the next. Own choice.
const MOST_PROBLEMS: usize = 100;

/// How a new file begins.
const BEGIN: &str = "\
# DecisionIndex by hand for the brief of the same name; plateside keeps it. Comments stay, and it suits version control.
# A [[subject]] is the part of a picture that must survive: its box is left, top, right, bottom as shares of the upright
# picture. A box with a print is for that print alone. drawn_on (SHA-256) and look (a small grey picture) tell whether
# an export is still the picture that the box was drawn on.
# An [[accepted]] is a finding that somebody let stand: why, who, when, and what it was measured on. If that changes or
# gets worse, it is asked again.
version = 1
";

/// Reads a text, piece by piece where it is as we write it.
pub(crate) fn read(text: &str, path: &Path) -> Result<Decisions, Vec<Problem>> {
    let mut reading = DocumentReader { text, path, begin: 0, problems: Vec::new() };
    let mut decided = DecisionIndex::default();
    for piece in pieces::of(text, PIECE_TABLES) {
        let Ok(document) = Document::parse(&text[piece.clone()]) else {
            // The whole says where it is no TOML, and why.
            return Ok(Decisions::of(understood(&parsed(text, path)?, text, path)?));
        };
        reading.begin = piece.start;
        reading.all(&document, &mut decided);
    }
    reading.ended(decided).map(Decisions::of)
}

/// What a text says that is parsed as a whole.
fn understood(document: &Document<&str>, text: &str, path: &Path) -> Result<DecisionIndex, Vec<Problem>> {
    let mut reading = DocumentReader { text, path, begin: 0, problems: Vec::new() };
    let mut decided = DecisionIndex::default();
    reading.all(document, &mut decided);
    reading.ended(decided)
}

/// The text with these changes in it, one after the other, and what is decided then; a text that is empty is begun. It
/// is parsed once, however many changes there are.
pub(crate) fn changed(
    text: &str,
    path: &Path,
    changes: &[DecisionChange],
) -> Result<(String, Decisions), Vec<Problem>> {
    let text = if text.trim().is_empty() { BEGIN } else { text };
    let parsed = parsed(text, path)?;
    let mut decided = understood(&parsed, text, path)?;
    let mut document = parsed.into_mut();
    let of_kind = |kind: fn(&DecisionChange) -> bool| changes.iter().filter(move |change| kind(change));
    put_in(&mut document, "subject", &["picture", "print"], of_kind(|change| matches!(change, DecisionChange::Box(_))));
    put_in(
        &mut document,
        "accepted",
        &["picture", "print", "rule", "about"],
        of_kind(|change| matches!(change, DecisionChange::Finding(_))),
    );
    put_in(&mut document, "seen", &["picture", "print"], of_kind(|change| matches!(change, DecisionChange::Seen(_))));
    changes.iter().for_each(|change| decided.apply(change));
    Ok((document.to_string(), Decisions::of(decided)))
}

/// What a table of a list is about: the values of the list's keys, in their order.
type TableName = Vec<Option<String>>;

/// Fills, adds or takes away the tables of a list, which its `keys` name; new ones come where their names belong.
fn put_in<'c>(
    document: &mut DocumentMut,
    list: &str,
    keys: &[&'static str],
    changes: impl Iterator<Item = &'c DecisionChange>,
) {
    let mut changes = changes.peekable();
    if changes.peek().is_none() {
        return;
    }
    let there = match document.remove(list) {
        Some(Item::ArrayOfTables(tables)) => tables.into_iter().collect(),
        _ => Vec::new(),
    };
    let mut there: Vec<Option<(TableName, Table)>> =
        there.into_iter().map(|table| Some((name_of(&table, keys), table))).collect();
    // Of two tables of one name the first counts; two make the file a broken one, which never comes here.
    let at: HashMap<TableName, usize> =
        there.iter().flatten().enumerate().map(|(at, (name, _))| (name.clone(), at)).collect();
    let mut added: BTreeMap<TableName, Table> = BTreeMap::new();
    for change in changes {
        let name = change_name(change);
        match (at.get(&name).and_then(|&at| there.get_mut(at)), is_taken_back(change)) {
            (Some(there), true) if there.is_some() => *there = None,
            (Some(Some((_, table))), false) => fill_with(table, change),
            (_, true) => drop(added.remove(&name)),
            (_, false) => {
                let table = added.entry(name).or_insert_with_key(|name| named(keys, name));
                fill_with(table, change);
            }
        }
    }
    let mut added = added.into_iter().peekable();
    let mut tables = ArrayOfTables::new();
    for (name, table) in there.into_iter().flatten() {
        while let Some((_, before)) = added.next_if(|(other, _)| *other < name) {
            tables.push(before);
        }
        tables.push(table);
    }
    added.for_each(|(_, table)| tables.push(table));
    if !tables.is_empty() {
        document.insert(list, Item::ArrayOfTables(tables));
    }
}

fn name_of(table: &Table, keys: &[&'static str]) -> TableName {
    let text = |key: &&str| Some(table.get(key)?.as_str()?.to_owned());
    let mut name: TableName = keys.iter().map(text).collect();
    // However the file spells it, the picture is the same.
    name[0] = name[0].take().map(|picture| PictureKey::from_text(&picture).as_str().to_owned());
    name
}

/// A new table of that name.
fn named(keys: &[&'static str], name: &TableName) -> Table {
    let mut table = Table::new();
    for (key, value) in keys.iter().zip(name) {
        if let Some(value) = value {
            table.insert(key, Item::Value(quoted(value)));
        }
    }
    table
}

fn change_name(change: &DecisionChange) -> TableName {
    let of_print = |print: &Option<PrintId>| print.as_ref().map(|print| print.0.to_string());
    let picture = Some(change.picture().as_str().to_owned());
    match change {
        DecisionChange::Box(change) => vec![picture, of_print(&change.print)],
        DecisionChange::Finding(change) => {
            let about = Some(change.about.clone()).filter(|about| !about.is_empty());
            vec![picture, of_print(&change.print), Some(change.rule.clone()), about]
        }
        DecisionChange::Seen(change) => vec![picture, of_print(&change.print)],
    }
}

fn is_taken_back(change: &DecisionChange) -> bool {
    match change {
        DecisionChange::Box(change) => change.drawn.is_none(),
        DecisionChange::Finding(change) => change.acceptance.is_none(),
        DecisionChange::Seen(change) => change.seen.is_none(),
    }
}

fn fill_with(table: &mut Table, change: &DecisionChange) {
    match change {
        DecisionChange::Box(BoxChange { drawn: Some(drawn), .. }) => fill(table, drawn),
        DecisionChange::Finding(FindingChange { acceptance: Some(acceptance), .. }) => {
            findings::fill(table, acceptance)
        }
        DecisionChange::Seen(RemarkChange { seen: Some(seen), .. }) => seen::fill(table, seen),
        DecisionChange::Box(_) | DecisionChange::Finding(_) | DecisionChange::Seen(_) => {}
    }
}

fn parsed<'a>(text: &'a str, path: &Path) -> Result<Document<&'a str>, Vec<Problem>> {
    Document::parse(text).map_err(|error| {
        let at = error.span().map_or(0, |span| span.start);
        let what = format!("this is no TOML: {}", error.message().trim());
        vec![Problem::in_text(path, text, at, &what, "mend this line, or take the file back from version control")]
    })
}

/// Writes a box into its table; what else is there stays.
fn fill(table: &mut Table, drawn: &DrawnBox) {
    put(table, "box", Some(Value::Array(drawn.area.sides().into_iter().collect::<Array>())));
    put(table, "drawn_on", Some(drawn.sha256.as_str()).filter(|sha256| !sha256.is_empty()).map(Value::from));
    put(table, "look", look_text(&drawn.look).map(Value::from));
}

/// Writes a value in place of the one that is there, with that one's comments; takes it away for none.
fn put(table: &mut Table, key: &str, value: Option<Value>) {
    let Some(mut value) = value else {
        table.remove(key);
        return;
    };
    match table.get_mut(key) {
        Some(Item::Value(there)) => {
            *value.decor_mut() = there.decor().clone();
            *there = value;
        }
        _ => drop(table.insert(key, Item::Value(value))),
    }
}

/// A small picture as `ACROSSxDOWN BASE64`; `None` where there is none.
fn look_text(look: &Grid<u8>) -> Option<String> {
    let there = !look.fields.is_empty();
    there.then(|| format!("{}x{} {}", look.across, look.down, STANDARD.encode(&look.fields)))
}

fn look_of(text: &str) -> Option<Grid<u8>> {
    let (size, cells) = text.split_once(' ')?;
    let (across, down) = size.split_once('x')?;
    let (across, down): (usize, usize) = (across.parse().ok()?, down.parse().ok()?);
    let fields = STANDARD.decode(cells.trim()).ok()?;
    let sound = across.max(down) <= LONGEST_LOOK && fields.len() == across * down;
    sound.then_some(Grid { across, down, fields })
}

/// A text in quotes; characters that act on a line are escaped, so that the file is safe to look at.
fn quoted(text: &str) -> Value {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => quoted.extend(['\\', c]),
            c if words::acts_on_line(c) => quoted.push_str(&format!("\\U{:08x}", u32::from(c))),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted.parse().unwrap_or_else(|_| Value::from(text))
}

struct DocumentReader<'a> {
    text: &'a str,
    path: &'a Path,
    /// Where in the text the piece begins that is being read.
    begin: usize,
    problems: Vec<Problem>,
}

impl DocumentReader<'_> {
    fn wrong(&mut self, at: usize, what: &str, remedy: &str) {
        if self.problems.len() == MOST_PROBLEMS {
            return;
        }
        self.problems.push(Problem::in_text(self.path, self.text, self.begin + at, what, remedy));
    }

    /// What was read, or all that is wrong with it.
    fn ended(self, decided: DecisionIndex) -> Result<DecisionIndex, Vec<Problem>> {
        if self.problems.is_empty() { Ok(decided) } else { Err(self.problems) }
    }

    /// Reads all that a piece, or the whole, says.
    fn all(&mut self, document: &Document<&str>, decided: &mut DecisionIndex) {
        if self.begin == 0 {
            self.version(document.get("version"));
        }
        self.list(document.get("subject"), "subjects", "[[subject]]", |reading, table| {
            reading.subject(table, decided);
        });
        self.list(document.get("accepted"), "accepted findings", "[[accepted]]", |reading, table| {
            reading.finding(table, decided);
        });
        self.list(document.get("seen"), "test prints that were seen", "[[seen]]", |reading, table| {
            reading.seen(table, decided);
        });
    }

    /// Reads each table of a list; anything else of that name is wrong.
    fn list(&mut self, item: Option<&Item>, what: &str, head: &str, mut read: impl FnMut(&mut Self, &Table)) {
        match item {
            None => {}
            Some(Item::ArrayOfTables(tables)) => tables.iter().for_each(|table| read(self, table)),
            Some(other) => {
                let at = other.span().map_or(0, |span| span.start);
                self.wrong(at, &format!("{what} are tables of their own"), &format!("write {head} above each"));
            }
        }
    }

    fn version(&mut self, version: Option<&Item>) {
        let at = version.and_then(Item::span).map_or(0, |span| span.start);
        match version.and_then(Item::as_integer) {
            Some(VERSION) => {}
            Some(VERSION..) => {
                let what = "a newer plateside wrote this file, and this one does not know what it may mean";
                self.wrong(at, what, "use that newer one");
            }
            _ => self.wrong(at, "the file does not say its version", "write version = 1 at the top"),
        }
    }

    fn subject(&mut self, table: &Table, decided: &mut DecisionIndex) {
        let start = table.span().map_or(0, |span| span.start);
        let before = self.problems.len();
        let picture = self.text_at(table, "picture").filter(|picture| !picture.is_empty());
        if picture.is_none() && before == self.problems.len() {
            self.wrong(start, "a subject without its picture", "write picture = \"NAME.jpg\" below [[subject]]");
        }
        let print = self.text_at(table, "print").map(|print| PrintId(print.into()));
        let area = self.area(table, start);
        let sha256 = self.text_at(table, "drawn_on").unwrap_or_default().to_owned();
        let look = self.look(table);
        if self.problems.len() > before {
            return;
        }
        let (Some(picture), Some(area), Some(look)) = (picture, area, look) else { return };
        if !decided.add(PictureKey::from_text(picture), print, DrawnBox { area, sha256, look }) {
            let at = table.get("picture").and_then(Item::span).map_or(start, |span| span.start);
            self.wrong(
                at,
                "this picture has two boxes for the same",
                "keep one of the two [[subject]] and delete the other",
            );
        }
    }

    fn text_at<'t>(&mut self, table: &'t Table, key: &str) -> Option<&'t str> {
        let item = table.get(key)?;
        let text = item.as_str();
        if text.is_none() {
            let at = item.span().map_or(0, |span| span.start);
            self.wrong(at, &format!("{key} is a text"), &format!("write {key} = \"...\", in quotes"));
        }
        text
    }

    fn area(&mut self, table: &Table, start: usize) -> Option<Area> {
        let remedy = "write box = [0.2, 0.3, 0.7, 0.8]: left, top, right, bottom as shares of the picture";
        let Some(item) = table.get("box") else {
            self.wrong(start, "a subject without a box", remedy);
            return None;
        };
        let number = |value: &Value| value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64));
        let sides: Option<Vec<f64>> = item.as_array().and_then(|sides| sides.iter().map(number).collect());
        let area = match sides.as_deref() {
            Some([left, top, right, bottom]) => Area::new(*left, *top, *right, *bottom),
            _ => None,
        };
        if area.is_none() {
            self.wrong(item.span().map_or(start, |span| span.start), "this is no box within the picture", remedy);
        }
        area
    }

    fn look(&mut self, table: &Table) -> Option<Grid<u8>> {
        let Some(text) = self.text_at(table, "look") else { return Some(Grid::default()) };
        let look = look_of(text);
        if look.is_none() {
            let at = table.get("look").and_then(Item::span).map_or(0, |span| span.start);
            let remedy = "delete this line and draw the box again, or take the file back from version control";
            self.wrong(at, "this is no small picture", remedy);
        }
        look
    }
}
