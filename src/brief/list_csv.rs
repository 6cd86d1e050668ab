//! A picture list in CSV: its text, whatever the encoding, and its rows, whatever parts the cells.

use std::borrow::Cow;

use super::list_headings;
use super::list_table::{CellContent, Extent, ListCell, ListFault, ListRow, MAX_COLUMNS, Rows, clean};

/// What a spreadsheet may put between its cells, the likeliest first.
const SEPARATORS: [u8; 3] = [b',', b';', b'\t'];
/// What some spreadsheets write on the first line, with the separator behind it.
const SEPARATOR_LINE: &str = "sep=";
/// Marks at the beginning of a text in UTF-16, by the order of its bytes.
const UTF_16: [(ByteOrderMark, CodeUnit); 2] = [([0xFF, 0xFE], u16::from_le_bytes), ([0xFE, 0xFF], u16::from_be_bytes)];

/// The first bytes of a text in UTF-16.
type ByteOrderMark = [u8; 2];
/// How its numbers are read from their bytes.
type CodeUnit = fn([u8; 2]) -> u16;

/// Returns the text of a list: UTF-8, or UTF-16 with its mark, as some spreadsheets save it.
///
/// # Errors
/// When it is neither.
pub(super) fn text_of(bytes: &[u8]) -> Result<Cow<'_, str>, ListFault> {
    let save = "save the sheet as XLSX or ODS, or as CSV in UTF-8";
    for (mark, unit) in UTF_16 {
        if let Some(text) = bytes.strip_prefix(&mark) {
            let units: Vec<u16> = text.chunks_exact(2).map(|pair| unit([pair[0], pair[1]])).collect();
            let text = String::from_utf16(&units);
            return text.map(Cow::Owned).map_err(|_| ListFault::new("the picture list is not sound UTF-16", save));
        }
    }
    if bytes.contains(&0) {
        return Err(ListFault::new("the picture list is neither a workbook (XLSX, ODS) nor a text", save));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let line = bytes[..error.valid_up_to()].iter().filter(|byte| **byte == b'\n').count() + 1;
        ListFault::new(format!("line {line} of the picture list has a character that is not UTF-8"), save)
    })?;
    Ok(Cow::Borrowed(text.strip_prefix('\u{feff}').unwrap_or(text)))
}

/// Returns its rows, parted by the separator that gives the best headings, else by the most frequent one.
///
/// # Errors
/// When a limit is passed.
pub(super) fn rows(text: &str) -> Result<Vec<ListRow>, ListFault> {
    let (first, below) = text.split_once('\n').unwrap_or((text, ""));
    if let Some([separator]) = first.trim_end().strip_prefix(SEPARATOR_LINE).map(str::as_bytes) {
        return split_rows(below, *separator, Extent::Whole, (text.len() - below.len(), 1));
    }
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or("");
    let mut best = (0, 0, SEPARATORS[0]);
    for separator in SEPARATORS {
        let head = split_rows(text, separator, Extent::Head, (0, 0))?;
        let known = head.iter().map(list_headings::known_columns).max().unwrap_or(0);
        let count = first.bytes().filter(|byte| *byte == separator).count();
        if (known, count) > (best.0, best.1) {
            best = (known, count, separator);
        }
    }
    split_rows(text, best.2, Extent::Whole, (0, 0))
}

/// Returns the rows of a text that begins so many bytes and lines behind the file's beginning.
fn split_rows(text: &str, separator: u8, extent: Extent, behind: (usize, usize)) -> Result<Vec<ListRow>, ListFault> {
    let mut table =
        csv::ReaderBuilder::new().delimiter(separator).has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut rows = Rows::new(extent);
    let (mut counted, mut lines) = (0, 1 + behind.1);
    for record in table.records() {
        if rows.are_enough() {
            break;
        }
        let record =
            record.map_err(|_| ListFault::new("the picture list is not CSV", "save the sheet as XLSX or ODS"))?;
        let at = record.position().map_or(0, |position| usize::try_from(position.byte()).unwrap_or(0));
        let at = first_letter(text, at);
        lines += text.as_bytes()[counted..at].iter().filter(|byte| **byte == b'\n').count();
        counted = at;
        let starts = starts(text, at, separator, record.len());
        if record.iter().skip(MAX_COLUMNS).any(|cell| !cell.trim().is_empty()) {
            return Err(ListFault::new(
                format!("line {lines} of the picture list has more than {MAX_COLUMNS} cells"),
                "leave the columns of the prints, and delete the rest",
            ));
        }
        let cells = record
            .iter()
            .zip(starts)
            .take(MAX_COLUMNS)
            .map(|(cell, start)| ListCell { content: CellContent::Text(clean(cell)), at: start + behind.0 });
        rows.add(ListRow { number: lines, cells: cells.collect(), ..ListRow::default() })?;
    }
    rows.fill_merged(&[])
}

/// Returns the first byte of a record that is no line end: the CSV reader counts empty lines before a record as part of
/// it.
fn first_letter(text: &str, at: usize) -> usize {
    let skipped = text.get(at..).unwrap_or("").bytes().take_while(|byte| matches!(byte, b'\r' | b'\n')).count();
    at + skipped
}

/// Returns where each of so many cells starts, of the record that starts at `at`.
fn starts(text: &str, at: usize, separator: u8, cells: usize) -> Vec<usize> {
    let mut starts = vec![at];
    let mut is_quoted = false;
    for (offset, byte) in text.as_bytes().iter().enumerate().skip(at) {
        match *byte {
            _ if starts.len() == cells => break,
            b'"' => is_quoted = !is_quoted,
            byte if byte == separator && !is_quoted => starts.push(offset + 1),
            _ => {}
        }
    }
    // A quotation mark within a cell may hide a separator from this count, never from the reader's.
    starts.resize(cells.max(1), starts.last().copied().unwrap_or(at));
    starts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<(usize, Vec<(String, usize)>)> {
        let cells = |row: ListRow| row.cells.iter().map(|cell| (cell.content.text().to_owned(), cell.at)).collect();
        rows(text).unwrap().into_iter().map(|row| (row.number, cells(row))).collect()
    }

    #[test]
    fn the_separator_is_the_one_that_gives_headings() {
        let cell = |text: &str, at| (text.to_owned(), at);
        let rows = read("Low Water Suppers, plates, batch 1\r\n\r\nfile;size\r\n\"a;b\";A4\r\n");
        assert_eq!(rows[1], (3, vec![cell("file", 38), cell("size", 43)]));
        assert_eq!(rows[2], (4, vec![cell("a;b", 49), cell("A4", 55)]));
        assert_eq!(read("sep=|\nfile|size\n")[0], (2, vec![cell("file", 6), cell("size", 11)]));
        assert_eq!(read("a\tb\n")[0].1.len(), 2);
    }

    #[test]
    fn text_is_utf_8_or_utf_16_with_its_mark() {
        let wide = |mark: [u8; 2], bytes: fn(u16) -> [u8; 2]| {
            mark.into_iter().chain("crêpe".encode_utf16().flat_map(bytes)).collect::<Vec<u8>>()
        };
        assert_eq!(text_of(&wide([0xFF, 0xFE], u16::to_le_bytes)).unwrap(), "crêpe");
        assert_eq!(text_of(&wide([0xFE, 0xFF], u16::to_be_bytes)).unwrap(), "crêpe");
        assert_eq!(text_of("\u{feff}crêpe".as_bytes()).unwrap(), "crêpe");
        assert!(text_of(b"a\ncr\xeape").unwrap_err().what.contains("line 2"));
        assert!(text_of(b"a\0").is_err());
    }
}
