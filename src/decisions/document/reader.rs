//! Reading the text: piece by piece, with a position for every mistake.

use std::ops::Range;
use std::path::Path;

use toml_edit::{Document, Item, Table};

use crate::brief::Problem;

use super::pieces;
use crate::decisions::index::DecisionIndex;
use crate::decisions::model::Decisions;

/// Version of the file's format.
const VERSION: i64 = 1;

/// Tables that are parsed together: a parsed table takes thirty times its text in memory, and a file may hold a hundred
/// thousand. Own choice.
pub(super) const PIECE_TABLES: usize = 256;
/// Maximum number of mistakes reported for one file; once these are fixed the next are reported. Own choice.
const MAX_PROBLEMS: usize = 100;

/// Reads a text, piece by piece where it has the form in which it is written here.
pub(crate) fn read(text: &str, path: &Path) -> Result<Decisions, Vec<Problem>> {
    read_decisions(text, path, &pieces::of(text, PIECE_TABLES), |_, _| {}).map(Decisions::of)
}

/// Returns the decisions in a text; each of its pieces is parsed separately, and passed to `also` with its index.
pub(super) fn read_decisions(
    text: &str,
    path: &Path,
    pieces: &[Range<usize>],
    mut also: impl FnMut(usize, &Table),
) -> Result<DecisionIndex, Vec<Problem>> {
    let mut reading = DocumentReader { text, path, begin: 0, problems: Vec::new() };
    let mut decided = DecisionIndex::default();
    for (at, piece) in pieces.iter().enumerate() {
        let document = parse(text, path, piece)?;
        reading.begin = piece.start;
        reading.all(&document, &mut decided);
        also(at, &document);
    }
    if reading.problems.is_empty() { Ok(decided) } else { Err(reading.problems) }
}

/// Parses a piece of a text.
pub(super) fn parse<'a>(text: &'a str, path: &Path, piece: &Range<usize>) -> Result<Document<&'a str>, Vec<Problem>> {
    Document::parse(&text[piece.clone()]).map_err(|of_piece| {
        // A mistake may extend beyond the piece: parsing the whole shows where it is, and what.
        let (error, begin) = Document::parse(text).err().map_or((of_piece, piece.start), |of_whole| (of_whole, 0));
        let at = begin + error.span().map_or(0, |span| span.start);
        let what = format!("this is not TOML: {}", error.message().trim());
        vec![Problem::in_text(path, text, at, &what, "fix this line, or restore the file from version control")]
    })
}

/// Reads the tables of one text, and collects their problems.
pub(super) struct DocumentReader<'a> {
    text: &'a str,
    path: &'a Path,
    /// Byte offset in the text of the piece being read.
    begin: usize,
    pub(super) problems: Vec<Problem>,
}

impl DocumentReader<'_> {
    pub(super) fn wrong(&mut self, at: usize, what: &str, fix: &str) {
        if self.problems.len() == MAX_PROBLEMS {
            return;
        }
        self.problems.push(Problem::in_text(self.path, self.text, self.begin + at, what, fix));
    }

    /// Reads all lists of a piece, or of the whole text.
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
        self.list(document.get("seen"), "test prints seen", "[[seen]]", |reading, table| {
            reading.seen(table, decided);
        });
        self.list(document.get("delivery"), "deliveries", "[[delivery]]", |reading, table| {
            reading.delivery(table, decided);
        });
        self.list(document.get("sent"), "pictures sent", "[[sent]]", |reading, table| {
            reading.sent(table, decided);
        });
    }

    /// Reads each table of a list; any other item of that name is a mistake.
    fn list(&mut self, item: Option<&Item>, what: &str, head: &str, mut read: impl FnMut(&mut Self, &Table)) {
        match item {
            None => {}
            Some(Item::ArrayOfTables(tables)) => tables.iter().for_each(|table| read(self, table)),
            Some(other) => {
                let at = other.span().map_or(0, |span| span.start);
                self.wrong(at, &format!("{what} are separate tables"), &format!("write {head} above each"));
            }
        }
    }

    fn version(&mut self, version: Option<&Item>) {
        let at = version.and_then(Item::span).map_or(0, |span| span.start);
        match version.and_then(Item::as_integer) {
            Some(VERSION) => {}
            Some(VERSION..) => {
                self.wrong(at, "a newer plateside wrote this file", "use the newer plateside");
            }
            _ => self.wrong(at, "the file has no version", "write version = 1 at the top"),
        }
    }

    pub(super) fn text_at<'t>(&mut self, table: &'t Table, key: &str) -> Option<&'t str> {
        let item = table.get(key)?;
        let text = item.as_str();
        if text.is_none() {
            let at = item.span().map_or(0, |span| span.start);
            self.wrong(at, &format!("{key} must be text"), &format!("write {key} = \"...\", in quotes"));
        }
        text
    }

    /// Reads true or false; `usual` where the key is absent.
    pub(super) fn flag_at(&mut self, table: &Table, key: &str, usual: bool, fix: &str) -> bool {
        let Some(item) = table.get(key) else { return usual };
        item.as_bool().unwrap_or_else(|| {
            let at = item.span().map_or(0, |span| span.start);
            self.wrong(at, &format!("{key} must be true or false"), fix);
            usual
        })
    }
}
