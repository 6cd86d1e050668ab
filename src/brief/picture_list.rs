//! The picture list: a spreadsheet saved as CSV, one print a line.

use super::key::BriefKey;
use super::key_table;
use super::layers::{Layer, LocatedValue};
use super::missing_units;
use super::origin::Origin;
use super::source::{BriefSources, SourceFile, TextPosition};
use super::trade_terms;
use super::values::{self, SizeNames, Value};
use crate::units::spelling::nearest;

/// The columns, each a key of `[[print]]`.
pub const COLUMNS: &[&str] = &["page", "name", "picture", "size", "caption", "copies", "batch"];
/// Headings that are no column and that no column is near to: headings, why, what to do, and the column it is about.
const ANSWERS: &[(&[&str], &str, &str, Option<&str>)] = &[
    (
        &["width", "height", "w", "h"],
        "width and height share one column",
        "size, with both and their unit in each cell: 210 x 260 mm",
        Some("size"),
    ),
    (
        &["number", "no", "nr", "num", "#"],
        "it may be a page number or a number of copies",
        "name it page or copies, whichever it is",
        None,
    ),
    (
        &["paper", "stock", "surface", "finish"],
        "the paper is not part of a list",
        "name it in the brief below [paper], and leave the column out",
        None,
    ),
    (
        &["format"],
        "it may be a size or a file format",
        "name it size if it is the size; else leave the column out",
        Some("size"),
    ),
];
/// What a spreadsheet may put between its cells, the likeliest first.
const SEPARATORS: [u8; 3] = [b',', b';', b'\t'];
/// Most lines of a picture list; far above an order of photographs. Own choice.
const MOST_LINES: usize = 20_000;

/// Every line of the list that `reading` holds, as the layer of a print.
pub(super) fn prints(reading: &mut BriefSources<'_>, sizes: &SizeNames) -> Vec<(TextPosition, Layer)> {
    let Some(text) = reading.list.as_ref().map(|list| list.text.to_owned()) else { return Vec::new() };
    let separator = separator(&text);
    let mut table =
        csv::ReaderBuilder::new().delimiter(separator).has_headers(false).flexible(true).from_reader(text.as_bytes());
    let (mut lines, mut broken) = (Vec::new(), Vec::new());
    for record in table.records() {
        match record {
            Ok(record) => {
                let at = record.position().map_or(0, |position| usize::try_from(position.byte()).unwrap_or(0));
                // A quote that is not closed takes the lines below into its cell, and their prints with them.
                let over_lines = record.iter().position(|cell| cell.contains(['\n', '\r']));
                broken.extend(over_lines.map(|index| (first_letter(&text, at), index)));
                let cells: Vec<String> = record.iter().map(|cell| cell.trim().to_owned()).collect();
                lines.push((at, cells));
            }
            Err(_) => {
                let place = TextPosition { which: SourceFile::List, at: lines.last().map_or(0, |(at, _)| *at) };
                reading.report(place, "this is not CSV from here on", "save the sheet as CSV in UTF-8");
                return Vec::new();
            }
        }
        if lines.len() > MOST_LINES {
            let place = TextPosition { which: SourceFile::List, at: lines.last().map_or(0, |(at, _)| *at) };
            reading.report(place, format!("the list has more than {MOST_LINES} lines"), "split the order in two");
            return Vec::new();
        }
    }
    let lines: Vec<(usize, Vec<String>)> =
        lines.into_iter().map(|(at, cells)| (first_letter(&text, at), cells)).collect();
    let mut filled = lines.into_iter().filter(|(_, cells)| cells.iter().any(|cell| !cell.is_empty()));
    let Some((at, names)) = filled.next() else {
        let fix = format!("its first line names the columns: {}", COLUMNS.join(","));
        reading.report(TextPosition { which: SourceFile::List, at: 0 }, "the list is empty", fix);
        return Vec::new();
    };
    let mut sheet = ListSheet { reading, text: &text, separator, sizes };
    for (at, index) in broken {
        let place = sheet.cell(at, index);
        let what = "this cell opens a quotation mark and does not close it, so it swallows the lines below";
        sheet.reading.report(place, what, "close it on the same line, or remove it: a cell stays on one line");
    }
    let Some(columns) = sheet.columns(at, &names) else { return Vec::new() };
    let filled: Vec<(usize, Vec<String>)> = filled.collect();
    for index in (0..columns.len()).filter(|index| columns[*index].is_none()) {
        let in_it = |(_, cells): &&(usize, Vec<String>)| cells.get(index).is_some_and(|cell| !cell.is_empty());
        if let Some((at, _)) = filled.iter().find(in_it) {
            let place = sheet.cell(*at, index);
            let what = "this cell has no heading above it, so nothing says what it is";
            let fix = format!("name its column in the first line ({}), or empty the cell", COLUMNS.join(", "));
            sheet.reading.report(place, what, fix);
        }
    }
    filled.into_iter().filter_map(|(at, cells)| sheet.line(at, &cells, &columns)).collect()
}

/// The key of a column, by its own name or by another that is usual: `Qty` is `copies`.
fn column(heading: &str) -> Option<&'static BriefKey> {
    let lower = heading.to_lowercase();
    let own = key_table::all().find(|key| key.table() == "print" && key.name() == lower);
    let is_print = |key: &&BriefKey| key.table() == "print";
    own.or_else(|| trade_terms::key("print", heading).filter(is_print)).filter(|key| COLUMNS.contains(&key.name()))
}

/// What is wrong with a heading that is no column, what to do, and the column it may be about.
fn unknown_heading(heading: &str) -> (String, String, Option<&'static str>) {
    let word = trade_terms::normalised(heading);
    if let Some((_, why, fix, about)) = ANSWERS.iter().find(|(names, ..)| names.contains(&word.as_str())) {
        return (format!("\"{heading}\" is not a column of a picture list: {why}"), (*fix).to_owned(), *about);
    }
    let what = format!("\"{heading}\" is not a column of a picture list");
    // A unit behind the name, as in `Size (mm)`: here units are written in the cells.
    let bare = heading.split(['(', '[', '/']).next().unwrap_or(heading).trim();
    if let Some(key) = column(bare) {
        return (what, format!("{}, with its unit in each cell", key.name()), Some(key.name()));
    }
    let lower = heading.to_lowercase();
    let other = key_table::all().find(|key| key.name() == lower && !matches!(key.table(), "print" | "sizes" | "rules"));
    if let Some(key) = other {
        let place = match key.table() {
            "" => "above the first table".to_owned(),
            table => format!("below [{table}]"),
        };
        return (what, format!("write it in the brief {place}, and leave the column out"), None);
    }
    let near = nearest(&lower, COLUMNS.iter().copied());
    (what, near.map_or_else(|| format!("leave it out, or name it one of {}", COLUMNS.join(", ")), str::to_owned), near)
}

/// The byte between cells: the separator that is most frequent in the first line.
fn separator(text: &str) -> u8 {
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or("");
    let count = |separator: u8| first.bytes().filter(|byte| *byte == separator).count();
    SEPARATORS.into_iter().rev().max_by_key(|separator| count(*separator)).unwrap_or(b',')
}

/// The first byte of a record that is no line end: the CSV reader counts empty lines before a record as part of it.
fn first_letter(text: &str, at: usize) -> usize {
    let skipped = text.get(at..).unwrap_or("").bytes().take_while(|byte| matches!(byte, b'\r' | b'\n')).count();
    at + skipped
}

struct ListSheet<'s, 'r, 'a> {
    reading: &'r mut BriefSources<'a>,
    text: &'s str,
    separator: u8,
    sizes: &'s SizeNames,
}

impl ListSheet<'_, '_, '_> {
    /// The key of each column; `None` when there is one that is not known.
    fn columns(&mut self, at: usize, names: &[String]) -> Option<Vec<Option<&'static BriefKey>>> {
        let before = self.reading.problems.len();
        let mut columns: Vec<Option<&'static BriefKey>> = Vec::with_capacity(names.len());
        let mut misnamed: Vec<&str> = Vec::new();
        for (index, name) in names.iter().enumerate() {
            let key = column(name);
            let place = self.cell(at, index);
            if key.is_none() && !name.is_empty() {
                let (what, fix, near) = unknown_heading(name);
                self.reading.report(place, what, fix);
                misnamed.extend(near);
            } else if key.is_some_and(|key| columns.iter().flatten().any(|other| other.path == key.path)) {
                self.reading.report(place, format!("two columns are named \"{name}\""), "leave one out");
            }
            columns.push(key);
        }
        for needed in ["picture", "size"] {
            if !columns.iter().flatten().any(|key| key.name() == needed) && !misnamed.contains(&needed) {
                let place = TextPosition { which: SourceFile::List, at };
                let what = format!("the list has no column \"{needed}\"");
                let fix = format!("name the columns in the first line: {}", COLUMNS.join(","));
                self.reading.report(place, what, fix);
            }
        }
        (self.reading.problems.len() == before).then_some(columns)
    }

    /// One line as the layer of a print.
    fn line(
        &mut self,
        at: usize,
        cells: &[String],
        columns: &[Option<&'static BriefKey>],
    ) -> Option<(TextPosition, Layer)> {
        let header = TextPosition { which: SourceFile::List, at };
        let before = self.reading.problems.len();
        let line = self.reading.line_of(header);
        if let Some(extra) = cells.iter().skip(columns.len()).position(|cell| !cell.is_empty()) {
            let place = self.cell(at, columns.len() + extra);
            let what = format!("the line has {} cells, the first line {} columns", cells.len(), columns.len());
            self.reading.report(place, what, "put text that contains the separator in quotation marks");
        }
        let mut layer = Layer::new();
        for (index, (cell, key)) in cells.iter().zip(columns).enumerate() {
            let Some(key) = key.filter(|_| !cell.is_empty()) else { continue };
            let place = self.cell(at, index);
            match values::read_for_key(key, cell, self.sizes) {
                Ok(value) => {
                    layer.insert(key.path.to_owned(), LocatedValue { value, place, origin: Origin::List(line) });
                }
                Err(fault) => {
                    let example = key.example.trim_matches('"');
                    let fix = match (fault.instead, fault.fix) {
                        (Some(text), _) => {
                            let others = missing_units::other_units(key.kind, cell, &text);
                            std::iter::once(text).chain(others).collect::<Vec<_>>().join(", or ")
                        }
                        (None, Some(fix)) => fix,
                        (None, None) => format!("for example {example}"),
                    };
                    self.reading.report(place, format!("column {}: {}", key.name(), fault.what), fix);
                }
            }
        }
        for (needed, example) in [("picture", "p012*"), ("size", "210 x 260 mm")] {
            let index = columns.iter().position(|key| key.is_some_and(|key| key.name() == needed)).unwrap_or(0);
            if cells.get(index).is_none_or(|cell| cell.is_empty()) {
                let place = self.cell(at, index);
                self.reading.report(place, format!("column {needed} is empty"), format!("for example {example}"));
            }
        }
        name_by_picture(&mut layer);
        (self.reading.problems.len() == before).then_some((header, layer))
    }

    /// Where a cell of the line that starts at `at` starts itself.
    fn cell(&self, at: usize, index: usize) -> TextPosition {
        let mut quoted = false;
        let mut left = index;
        let mut found = at;
        for (offset, byte) in self.text.as_bytes().iter().enumerate().skip(at) {
            if left == 0 {
                break;
            }
            match *byte {
                b'"' => quoted = !quoted,
                b'\n' if !quoted => break,
                byte if byte == self.separator && !quoted => {
                    left -= 1;
                    found = offset + 1;
                }
                _ => {}
            }
        }
        TextPosition { which: SourceFile::List, at: found }
    }
}

/// Names a line without a name by its picture, which differs between lines more often than the size does.
fn name_by_picture(layer: &mut Layer) {
    if layer.contains_key("print.name") {
        return;
    }
    let Some(LocatedValue { value: Value::Pattern(pattern), place, origin }) = layer.get("print.picture").cloned()
    else {
        return;
    };
    let name = pattern.as_str().trim_matches('*').to_owned();
    if !name.is_empty() {
        layer.insert("print.name".to_owned(), LocatedValue { value: Value::Text(name), place, origin });
    }
}
