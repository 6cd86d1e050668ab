//! The text of `NAME.accepted.toml`: read with a place for every mistake, and changed in one place with all else kept.

use std::ops::Range;
use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use toml_edit::{Array, Document, Item, Table, Value};

use crate::brief::{PrintId, Problem};
use crate::judge::subject::{Area, DrawnBox};
use crate::measure::Grid;
use crate::picture::PictureKey;
use crate::units::words;

use super::Decisions;
use super::decided::DecisionIndex;

pub(super) use changing::changed;

mod changing;
mod findings;
mod lists;
mod pieces;
mod places;
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
# Decided by hand for the brief of the same name; plateside keeps it. Comments stay, and it suits version control.
# A [[subject]] is the part of a picture that must survive: its box is left, top, right, bottom as shares of the upright
# picture. A box with a print is for that print alone. drawn_on (SHA-256) and look (a small grey picture) tell whether
# an export is still the picture that the box was drawn on.
# An [[accepted]] is a finding that somebody let stand: why, who, when, and what it was measured on. If that changes or
# gets worse, it is asked again.
version = 1
";

/// Reads a text, piece by piece where it is as we write it.
pub(super) fn read(text: &str, path: &Path) -> Result<Decisions, Vec<Problem>> {
    decided(text, path, &pieces::of(text, PIECE_TABLES), |_, _| {}).map(Decisions::of)
}

/// What is decided in a text; each of its pieces is parsed by itself, and shown to `also` with its number.
fn decided(
    text: &str,
    path: &Path,
    pieces: &[Range<usize>],
    mut also: impl FnMut(usize, &Table),
) -> Result<DecisionIndex, Vec<Problem>> {
    let mut reading = DocumentReader { text, path, begin: 0, problems: Vec::new() };
    let mut decided = DecisionIndex::default();
    for (at, piece) in pieces.iter().enumerate() {
        let document = parsed(text, path, piece)?;
        reading.begin = piece.start;
        reading.all(&document, &mut decided);
        also(at, &document);
    }
    if reading.problems.is_empty() { Ok(decided) } else { Err(reading.problems) }
}

/// A piece of a text.
fn parsed<'a>(text: &'a str, path: &Path, piece: &Range<usize>) -> Result<Document<&'a str>, Vec<Problem>> {
    Document::parse(&text[piece.clone()]).map_err(|of_piece| {
        // A mistake may go on beyond the piece: the whole says where it is, and what.
        let (error, begin) = Document::parse(text).err().map_or((of_piece, piece.start), |of_whole| (of_whole, 0));
        let at = begin + error.span().map_or(0, |span| span.start);
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

    /// Reads all that a piece, or the whole, says.
    fn all(&mut self, document: &Table, decided: &mut DecisionIndex) {
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
