//! XLSX: sheets, strings that cells share, formats, and cells with the values that are stored. Source: ECMA-376 part 1.

use std::collections::HashMap;

use quick_xml::events::BytesStart;

use super::archive::{Archive, Piece, attribute, damaged, local};
use super::number_format::NumberFormat;
use super::parts::{MAX_SHEETS, Sheet, append, put, too_many_sheets};
use crate::brief::list_table::{CellContent, Extent, ListFault, ListRow, Merge, Rows};

/// Where a workbook lies that does not say so.
const WORKBOOK: &str = "xl/workbook.xml";
/// Letters of an alphabet of columns.
const LETTERS: usize = 26;
/// Letters of the last column that there is, XFD.
const MAX_COLUMN_LETTERS: usize = 3;
/// Digits of the last row.
const MAX_ROW_DIGITS: usize = 7;
/// Most formats of cells. Own choice: above the 64,000 of common programs.
const MAX_FORMATS: usize = 65_536;
/// Most merged ranges. Own choice.
const MAX_MERGES: usize = 20_000;

/// A workbook whose sheets can be read.
pub(super) struct Workbook {
    sheets: Vec<SheetPart>,
    strings: SharedStrings,
    formats: Vec<NumberFormat>,
    is_1904: bool,
    /// True if its values are to be calculated when it is opened: what it stores may then be zeros in their place.
    is_to_be_calculated: bool,
}

/// A sheet's name and the part that it is in.
struct SheetPart {
    name: String,
    is_hidden: bool,
    part: String,
}

/// Strings one after the other, with their ends.
#[derive(Default)]
struct SharedStrings {
    text: String,
    ends: Vec<u32>,
}

impl SharedStrings {
    fn get(&self, index: usize) -> Option<&str> {
        let end = *self.ends.get(index)? as usize;
        let start = index.checked_sub(1).map_or(0, |before| self.ends[before] as usize);
        self.text.get(start..end)
    }
}

impl Workbook {
    /// Reads all but the sheets.
    ///
    /// # Errors
    /// When it is no XLSX workbook, or a limit is passed.
    pub(super) fn open(archive: &mut Archive<'_>) -> Result<Workbook, ListFault> {
        let of_package = relations(archive, "")?;
        let path = of_package.into_values().find(|(kind, _)| kind.ends_with("/officeDocument"));
        let path = path.map_or_else(|| WORKBOOK.to_owned(), |(_, target)| target);
        if !archive.has(&path) || path.to_lowercase().ends_with(".bin") {
            return Err(ListFault::new(
                "the picture list is an archive, but no XLSX or ODS workbook",
                "save the sheet as XLSX, ODS or CSV",
            ));
        }
        let relations = relations(archive, &path)?;
        let of_kind = |kind: &str| {
            relations
                .values()
                .find(|(own, _)| own.ends_with(kind))
                .map(|(_, target)| target.clone())
                .unwrap_or_default()
        };
        let mut book = Workbook {
            sheets: Vec::new(),
            strings: shared_strings(archive, &of_kind("/sharedStrings"))?,
            formats: formats(archive, &of_kind("/styles"))?,
            is_1904: false,
            is_to_be_calculated: false,
        };
        let Some(mut part) = archive.part(&path)? else { return Err(damaged()) };
        loop {
            match part.next()? {
                Piece::Open(start) => book.take(&start, &relations),
                Piece::End => break,
                _ => {}
            }
            if book.sheets.len() > MAX_SHEETS {
                return Err(too_many_sheets());
            }
        }
        Ok(book)
    }

    fn take(&mut self, start: &BytesStart<'_>, relations: &HashMap<String, (String, String)>) {
        let is_set = |name: &str| attribute(start, name).is_some_and(|value| value == "1" || value == "true");
        match start.local_name().as_ref() {
            "workbookPr" => self.is_1904 = is_set("date1904"),
            "calcPr" => self.is_to_be_calculated = is_set("fullCalcOnLoad"),
            "sheet" => {
                let related = attribute(start, "id").and_then(|id| relations.get(&id));
                if let Some((_, part)) = related.filter(|(kind, _)| kind.ends_with("/worksheet")) {
                    let is_hidden = attribute(start, "state").is_some_and(|state| state != "visible");
                    let name = attribute(start, "name").unwrap_or_default();
                    self.sheets.push(SheetPart { name, is_hidden, part: part.clone() });
                }
            }
            _ => {}
        }
    }

    /// Returns how many sheets there are.
    pub(super) fn len(&self) -> usize {
        self.sheets.len()
    }

    /// Returns a sheet, or so much of it as is needed.
    ///
    /// # Errors
    /// When it is damaged, or a limit is passed.
    pub(super) fn sheet(&self, archive: &mut Archive<'_>, index: usize, extent: Extent) -> Result<Sheet, ListFault> {
        let SheetPart { name, is_hidden, part } = &self.sheets[index];
        let mut reader = SheetReader { book: self, row: ListRow::default(), column: 0, cell: None, merges: Vec::new() };
        let mut rows = Rows::new(extent);
        let Some(mut part) = archive.part(part)? else { return Err(damaged()) };
        while !rows.are_enough() {
            match part.next()? {
                Piece::Open(start) => reader.open(&start),
                Piece::Text(text) => reader.text(&text),
                Piece::Close(name) => {
                    if let Some(row) = reader.close(local(&name))? {
                        rows.add(row)?;
                    }
                }
                Piece::Other => {}
                Piece::End => break,
            }
        }
        Ok(Sheet { name: name.clone(), is_hidden: *is_hidden, rows: rows.fill_merged(&reader.merges)? })
    }
}

/// A walk through a sheet.
struct SheetReader<'w> {
    book: &'w Workbook,
    row: ListRow,
    /// Where the next cell lies that does not say so.
    column: usize,
    cell: Option<OpenCell>,
    merges: Vec<Merge>,
}

/// A cell that is being read.
#[derive(Default)]
struct OpenCell {
    column: usize,
    /// How its value is written: `s` for a shared string, `str`, `b`, `e`, `d`, `inlineStr`, else a number.
    kind: String,
    format: usize,
    text: String,
    has_formula: bool,
    has_value: bool,
    /// True if what is read now is its value.
    is_in_value: bool,
    /// How many elements with other words are open around what is read now.
    apart: usize,
}

impl SheetReader<'_> {
    fn open(&mut self, start: &BytesStart<'_>) {
        let number = |name: &str| attribute(start, name).and_then(|value| value.parse::<usize>().ok());
        match (start.local_name().as_ref(), self.cell.as_mut()) {
            ("row", _) => {
                let number = number("r").unwrap_or(self.row.number + 1);
                let is_hidden = attribute(start, "hidden").is_some_and(|value| value == "1" || value == "true");
                self.row = ListRow { number, is_hidden, ..ListRow::default() };
                self.column = 0;
            }
            ("c", _) => {
                let column =
                    attribute(start, "r").and_then(|name| cell_place(&name)).map_or(self.column, |(_, column)| column);
                let kind = attribute(start, "t").unwrap_or_default();
                self.column = column.saturating_add(1);
                self.cell = Some(OpenCell { column, kind, format: number("s").unwrap_or(0), ..OpenCell::default() });
            }
            ("f", Some(cell)) => cell.has_formula = true,
            // A value beside a string of the cell's own says the same again.
            ("v", Some(cell)) if cell.kind != "inlineStr" => (cell.is_in_value, cell.has_value) = (true, true),
            ("t", Some(cell)) => (cell.is_in_value, cell.has_value) = (true, true),
            ("rPh", Some(cell)) => cell.apart += 1,
            ("mergeCell", _) if self.merges.len() < MAX_MERGES => {
                self.merges.extend(attribute(start, "ref").and_then(|range| merge(&range)));
            }
            _ => {}
        }
    }

    fn text(&mut self, text: &str) {
        if let Some(cell) = self.cell.as_mut().filter(|cell| cell.is_in_value && cell.apart == 0) {
            append(&mut cell.text, text);
        }
    }

    /// Ends an element; returns the row, if it is one.
    fn close(&mut self, name: &str) -> Result<Option<ListRow>, ListFault> {
        match (name, self.cell.as_mut()) {
            ("v" | "t", Some(cell)) => cell.is_in_value = false,
            ("rPh", Some(cell)) => cell.apart = cell.apart.saturating_sub(1),
            ("c", Some(_)) => {
                if let Some(cell) = self.cell.take() {
                    put(&mut self.row, cell.column, self.book.content(&cell))?;
                }
            }
            ("row", _) => {
                let next = ListRow { number: self.row.number, ..ListRow::default() };
                return Ok(Some(std::mem::replace(&mut self.row, next)));
            }
            _ => {}
        }
        Ok(None)
    }
}

impl Workbook {
    /// Returns what a cell holds: the value that is stored, whatever formula it came from.
    fn content(&self, cell: &OpenCell) -> CellContent {
        let text = cell.text.trim();
        let is_words = matches!(cell.kind.as_str(), "str" | "inlineStr" | "s");
        if cell.has_formula && (!cell.has_value || text.is_empty() && !is_words) {
            return CellContent::NotCalculated;
        }
        match cell.kind.as_str() {
            "s" => match text.parse().ok().and_then(|index| self.strings.get(index)) {
                Some(text) => CellContent::Text(text.to_owned()),
                None => CellContent::Failed("of a missing string".to_owned()),
            },
            "str" | "inlineStr" => CellContent::Text(cell.text.clone()),
            "b" => CellContent::Text(if text == "1" || text == "true" { "true" } else { "false" }.to_owned()),
            "e" => CellContent::Failed(text.to_owned()),
            "d" => CellContent::Date(text.split('T').next().unwrap_or(text).to_owned()),
            _ => match text.parse::<f64>() {
                Ok(0.0) if cell.has_formula && self.is_to_be_calculated => CellContent::NotCalculated,
                Ok(number) => self.formats.get(cell.format).cloned().unwrap_or_default().shown(number, self.is_1904),
                Err(_) => CellContent::Text(text.to_owned()),
            },
        }
    }
}

/// Returns the parts that a part is related to, by the names of the relations: their kinds and paths.
fn relations(archive: &mut Archive<'_>, of: &str) -> Result<HashMap<String, (String, String)>, ListFault> {
    let (folder, name) = of.rsplit_once('/').map_or(("", of), |(folder, name)| (folder, name));
    let mut relations = HashMap::new();
    let Some(mut part) = archive.part(&format!("{folder}/_rels/{name}.rels"))? else { return Ok(relations) };
    loop {
        match part.next()? {
            Piece::Open(start) if start.local_name().as_ref() == "Relationship" => {
                let named = |name: &str| attribute(&start, name);
                if let (Some(id), Some(kind), Some(target)) = (named("Id"), named("Type"), named("Target")) {
                    relations.insert(id, (kind, path_from(folder, &target)));
                }
            }
            Piece::End => return Ok(relations),
            _ => {}
        }
    }
}

/// Returns the path of a target that is written relative to a folder.
fn path_from(folder: &str, target: &str) -> String {
    if let Some(whole) = target.strip_prefix('/') {
        return whole.to_owned();
    }
    let mut path: Vec<&str> = folder.split('/').filter(|step| !step.is_empty()).collect();
    for step in target.split('/') {
        match step {
            "." | "" => {}
            ".." => drop(path.pop()),
            other => path.push(other),
        }
    }
    path.join("/")
}

fn shared_strings(archive: &mut Archive<'_>, path: &str) -> Result<SharedStrings, ListFault> {
    let mut strings = SharedStrings::default();
    let Some(mut part) = archive.part(path)? else { return Ok(strings) };
    let (mut one, mut is_in_text, mut apart) = (String::new(), false, 0_usize);
    loop {
        match part.next()? {
            Piece::Open(start) => match start.local_name().as_ref() {
                "t" => is_in_text = true,
                "rPh" => apart += 1,
                _ => {}
            },
            Piece::Text(text) if is_in_text && apart == 0 => append(&mut one, &text),
            Piece::Close(name) => match local(&name) {
                "t" => is_in_text = false,
                "rPh" => apart = apart.saturating_sub(1),
                "si" => {
                    strings.text.push_str(&one);
                    strings.ends.push(u32::try_from(strings.text.len()).unwrap_or(u32::MAX));
                    one.clear();
                }
                _ => {}
            },
            Piece::End => return Ok(strings),
            Piece::Text(_) | Piece::Other => {}
        }
    }
}

/// Returns the formats of cells, by their numbers.
fn formats(archive: &mut Archive<'_>, path: &str) -> Result<Vec<NumberFormat>, ListFault> {
    let (mut codes, mut formats) = (HashMap::new(), Vec::new());
    let Some(mut part) = archive.part(path)? else { return Ok(formats) };
    let mut is_of_cells = false;
    loop {
        match part.next()? {
            Piece::Open(start) => {
                let id = attribute(&start, "numFmtId").and_then(|id| id.parse::<u32>().ok());
                match (start.local_name().as_ref(), id) {
                    ("numFmt", Some(id)) if codes.len() < MAX_FORMATS => {
                        codes.insert(id, attribute(&start, "formatCode").unwrap_or_default());
                    }
                    ("cellXfs", _) => is_of_cells = true,
                    ("xf", id) if is_of_cells && formats.len() < MAX_FORMATS => {
                        let id = id.unwrap_or(0);
                        formats.push(NumberFormat::of(id, codes.get(&id).map(String::as_str)));
                    }
                    _ => {}
                }
            }
            Piece::Close(name) if local(&name) == "cellXfs" => is_of_cells = false,
            Piece::End => return Ok(formats),
            _ => {}
        }
    }
}

/// Returns the row, from 1, and the column, from 0, of a cell by its name: `C4`.
fn cell_place(name: &str) -> Option<(usize, usize)> {
    let name = name.replace('$', "");
    let letters = name.find(|c: char| !c.is_ascii_alphabetic())?;
    let (column, row) = name.split_at(letters);
    if column.is_empty() || column.len() > MAX_COLUMN_LETTERS || row.len() > MAX_ROW_DIGITS {
        return None;
    }
    let value = |letter: u8| usize::from(letter.to_ascii_uppercase() - b'A') + 1;
    let column = column.bytes().fold(0, |sum, letter| sum * LETTERS + value(letter));
    Some((row.parse().ok()?, column - 1))
}

fn merge(range: &str) -> Option<Merge> {
    let (first, last) = range.split_once(':')?;
    let ((top, left), (bottom, right)) = (cell_place(first)?, cell_place(last)?);
    Some(Merge { top, left, bottom, right })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_have_places() {
        assert_eq!(
            [cell_place("A1"), cell_place("C4"), cell_place("$AA$10")],
            [Some((1, 0)), Some((4, 2)), Some((10, 26))]
        );
        assert_eq!(cell_place("XFD1048576"), Some((1_048_576, 16_383)));
        assert!(["", "4", "C", "ABCD1", "A99999999", "C-4"].iter().all(|name| cell_place(name).is_none()));
        assert_eq!(merge("B2:D9"), Some(Merge { top: 2, left: 1, bottom: 9, right: 3 }));
    }

    #[test]
    fn parts_are_found_from_where_they_are_named() {
        assert_eq!(path_from("xl", "worksheets/sheet1.xml"), "xl/worksheets/sheet1.xml");
        assert_eq!(path_from("xl", "/xl/worksheets/sheet1.xml"), "xl/worksheets/sheet1.xml");
        assert_eq!(path_from("xl/a", "../../../b/./c.xml"), "b/c.xml");
    }
}
