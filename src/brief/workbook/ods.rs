//! ODS: the tables of `content.xml`, with the values that are stored. Source: OASIS OpenDocument 1.3 part 3, section 9.

use std::collections::HashSet;

use quick_xml::events::BytesStart;

use super::archive::{Archive, Piece, attribute, damaged};
use super::number_format::number_text;
use super::parts::{MAX_SHEETS, Sheet, append, put, too_many_sheets};
use crate::brief::list_table::{CellContent, Extent, ListFault, ListRow, MAX_COLUMNS, MAX_ROWS, Merge, Rows};
use crate::units::LengthUnit;

/// The part that holds every sheet.
pub(super) const CONTENT: &str = "content.xml";
/// Most merged ranges that are kept. Own choice.
const MAX_MERGES: usize = 20_000;
/// Most styles of tables that are kept: one a sheet is usual. Own choice.
const MAX_STYLES: usize = 10_000;

/// Returns every sheet with its beginning, and all of the one at `whole`.
///
/// # Errors
/// When it is damaged, or a limit is passed.
pub(super) fn sheets(archive: &mut Archive<'_>, whole: Option<usize>) -> Result<Vec<Sheet>, ListFault> {
    let Some(mut part) = archive.part(CONTENT)? else { return Err(damaged()) };
    let mut reader = ContentReader { whole, ..ContentReader::default() };
    loop {
        match part.next()? {
            Piece::Open(start) => reader.open(&start)?,
            Piece::Text(text) => reader.text(&text),
            Piece::Close(name) => reader.close(&name)?,
            Piece::Other => {}
            Piece::End => break,
        }
        if whole.is_some_and(|index| reader.sheets.len() > index) {
            break;
        }
    }
    Ok(reader.sheets)
}

/// A walk through the content.
#[derive(Default)]
struct ContentReader {
    whole: Option<usize>,
    /// The style that is open, and the styles of tables that are not shown.
    style: String,
    hidden: HashSet<String>,
    sheets: Vec<Sheet>,
    table: Option<OpenTable>,
    /// Tables within cells of the open one.
    inner: usize,
}

/// A sheet that is being read.
struct OpenTable {
    name: String,
    is_hidden: bool,
    rows: Rows,
    merges: Vec<Merge>,
    row: ListRow,
    /// How often the row is there.
    repeats: usize,
    /// Where the next cell lies.
    column: usize,
    /// Of the next row.
    number: usize,
    cell: Option<OpenCell>,
}

/// A cell that is being read.
#[derive(Default)]
struct OpenCell {
    kind: String,
    value: Option<String>,
    has_formula: bool,
    has_failed: bool,
    repeats: usize,
    /// The words that are shown.
    text: String,
    paragraphs: usize,
    /// Elements that are open within it and are no part of its words: notes, pictures.
    apart: usize,
}

impl ContentReader {
    fn open(&mut self, start: &BytesStart<'_>) -> Result<(), ListFault> {
        let name = start.name();
        match (name.as_ref(), self.table.as_mut()) {
            ("style:style", _) => self.style = attribute(start, "style:name").unwrap_or_default(),
            ("style:table-properties", _)
                if self.hidden.len() < MAX_STYLES && attribute(start, "table:display").as_deref() == Some("false") =>
            {
                self.hidden.insert(self.style.clone());
            }
            ("table:table", None) => {
                if self.sheets.len() == MAX_SHEETS {
                    return Err(too_many_sheets());
                }
                let extent = if self.whole == Some(self.sheets.len()) { Extent::Whole } else { Extent::Head };
                let style = attribute(start, "table:style-name").unwrap_or_default();
                self.table = Some(OpenTable {
                    name: attribute(start, "table:name").unwrap_or_default(),
                    is_hidden: self.hidden.contains(&style),
                    rows: Rows::new(extent),
                    merges: Vec::new(),
                    row: ListRow::default(),
                    repeats: 1,
                    column: 0,
                    number: 1,
                    cell: None,
                });
            }
            ("table:table", Some(_)) => self.inner += 1,
            (name, Some(table)) if self.inner == 0 => table.open(name, start),
            _ => {}
        }
        Ok(())
    }

    fn text(&mut self, text: &str) {
        let cell = self.table.as_mut().filter(|_| self.inner == 0).and_then(|table| table.cell.as_mut());
        if let Some(cell) = cell.filter(|cell| cell.apart == 0 && cell.paragraphs > 0) {
            append(&mut cell.text, text);
        }
    }

    fn close(&mut self, name: &str) -> Result<(), ListFault> {
        match (name, self.table.as_mut()) {
            ("table:table", Some(_)) if self.inner > 0 => self.inner -= 1,
            ("table:table", Some(_)) => {
                if let Some(table) = self.table.take() {
                    let rows = table.rows.fill_merged(&table.merges)?;
                    self.sheets.push(Sheet { name: table.name, is_hidden: table.is_hidden, rows });
                }
            }
            (name, Some(table)) if self.inner == 0 => table.close(name)?,
            _ => {}
        }
        Ok(())
    }
}

impl OpenTable {
    fn open(&mut self, name: &str, start: &BytesStart<'_>) {
        let count =
            |name: &str| attribute(start, name).and_then(|value| value.parse::<usize>().ok()).unwrap_or(1).max(1);
        match (name, self.cell.as_mut()) {
            ("table:table-row", None) => {
                let is_hidden = attribute(start, "table:visibility").is_some_and(|value| value != "visible");
                self.row = ListRow { number: self.number, is_hidden, ..ListRow::default() };
                self.repeats = count("table:number-rows-repeated");
                self.column = 0;
            }
            ("table:table-cell", None) => {
                let (across, down) = (count("table:number-columns-spanned"), count("table:number-rows-spanned"));
                if (across > 1 || down > 1) && self.merges.len() < MAX_MERGES {
                    let (top, left) = (self.row.number, self.column);
                    let (bottom, right) = (top.saturating_add(down - 1), left.saturating_add(across - 1));
                    self.merges.push(Merge { top, left, bottom, right });
                }
                self.cell = Some(OpenCell::of(start, count("table:number-columns-repeated")));
            }
            // What lies below another cell is not shown.
            ("table:covered-table-cell", None) => {
                let repeats = count("table:number-columns-repeated");
                self.cell = Some(OpenCell { repeats, apart: 1, ..OpenCell::default() });
            }
            (name, Some(cell)) => cell.open(name, start),
            _ => {}
        }
    }

    fn close(&mut self, name: &str) -> Result<(), ListFault> {
        match (name, self.cell.as_mut()) {
            ("table:table-cell" | "table:covered-table-cell", _) => {
                let Some(cell) = self.cell.take() else { return Ok(()) };
                let content = cell.content();
                if !content.is_blank() {
                    // One more than there may be, so that a limit that is passed is said.
                    for column in self.column..self.column.saturating_add(cell.repeats.min(MAX_COLUMNS + 1)) {
                        put(&mut self.row, column, content.clone())?;
                    }
                }
                self.column = self.column.saturating_add(cell.repeats);
            }
            ("table:table-row", None) => {
                let row = std::mem::take(&mut self.row);
                let is_blank = row.cells.is_empty();
                for repeat in 0..if is_blank { 0 } else { self.repeats.min(MAX_ROWS + 1) } {
                    if self.rows.are_enough() {
                        break;
                    }
                    self.rows.add(ListRow { number: self.number.saturating_add(repeat), ..row.clone() })?;
                }
                self.number = self.number.saturating_add(self.repeats);
            }
            (name, Some(cell)) => cell.close(name),
            _ => {}
        }
        Ok(())
    }
}

impl OpenCell {
    fn of(start: &BytesStart<'_>, repeats: usize) -> OpenCell {
        let kind = attribute(start, "office:value-type").unwrap_or_default();
        let value = match kind.as_str() {
            "date" => "office:date-value",
            "time" => "office:time-value",
            "boolean" => "office:boolean-value",
            "string" => "office:string-value",
            _ => "office:value",
        };
        OpenCell {
            value: attribute(start, value),
            has_formula: attribute(start, "table:formula").is_some(),
            has_failed: attribute(start, "calcext:value-type").as_deref() == Some("error"),
            kind,
            repeats,
            ..OpenCell::default()
        }
    }

    fn open(&mut self, name: &str, start: &BytesStart<'_>) {
        if self.apart > 0 {
            self.apart += 1;
            return;
        }
        match name {
            "text:p" | "text:h" => {
                if self.paragraphs > 0 {
                    append(&mut self.text, "\n");
                }
                self.paragraphs += 1;
            }
            "text:s" => {
                let count = attribute(start, "text:c").and_then(|count| count.parse().ok()).unwrap_or(1);
                // Blanks that follow each other say no more than one.
                append(&mut self.text, if count == 0_usize { "" } else { " " });
            }
            "text:tab" => append(&mut self.text, " "),
            "text:line-break" => append(&mut self.text, "\n"),
            "text:span" | "text:a" => {}
            _ => self.apart = 1,
        }
    }

    fn close(&mut self, _name: &str) {
        self.apart = self.apart.saturating_sub(1);
    }

    /// Returns what the cell holds: the value that is stored, whatever formula it came from.
    fn content(&self) -> CellContent {
        let shown = self.text.trim();
        if self.has_failed {
            return CellContent::Failed(shown.to_owned());
        }
        match (self.kind.as_str(), self.value.as_deref()) {
            ("string", Some(value)) => CellContent::Text(value.to_owned()),
            ("string", None) => CellContent::Text(self.text.clone()),
            ("date", Some(value)) => CellContent::Date(value.split('T').next().unwrap_or(value).to_owned()),
            ("boolean" | "time", Some(value)) => CellContent::Text(value.to_owned()),
            (_, Some(value)) => match value.parse::<f64>() {
                Ok(number) => CellContent::Text(as_shown(number, shown)),
                Err(_) => CellContent::Text(value.to_owned()),
            },
            (_, None) if self.has_formula && shown.is_empty() => CellContent::NotCalculated,
            (_, None) => CellContent::Text(self.text.clone()),
        }
    }
}

/// Returns a number, with the zeros before it and the unit behind it that the cell shows.
fn as_shown(number: f64, shown: &str) -> String {
    let is_padded = shown.starts_with('0') && shown.bytes().all(|byte| byte.is_ascii_digit());
    if is_padded && shown.parse() == Ok(number) {
        return shown.to_owned();
    }
    let unit = shown.rsplit(|c: char| !c.is_alphabetic() && c != '"').next().and_then(LengthUnit::from_sign);
    match unit {
        Some(unit) => format!("{} {}", number_text(number), unit.sign()),
        None => number_text(number),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_the_zeros_and_the_unit_that_are_shown() {
        assert_eq!(as_shown(12.0, "012"), "012");
        assert_eq!(as_shown(20.3, "20,3 cm"), "20.3 cm");
        assert_eq!(as_shown(210.0, "210"), "210");
        assert_eq!(as_shown(3.0, "3 pieces"), "3");
    }
}
