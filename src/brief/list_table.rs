//! A picture list as rows of cells, whatever file it was in, and places in it.

use std::path::Path;

use crate::units::words::visible;

use super::problem::{Problem, SheetCell};
use super::source::{SourceFile, SourceText, TextPosition};

/// Most columns of a picture list: ten times what a list of pictures has. Own choice.
pub(super) const MAX_COLUMNS: usize = 256;
/// Most rows of a picture list that hold something; far above an order of photographs. Own choice.
pub(super) const MAX_ROWS: usize = 20_000;
/// Most cells of all rows together, up to the last one filled in each: 50 a row on average. Own choice.
const MAX_CELLS: usize = 1_000_000;
/// Most bytes of text of all cells together: 800 a row on average. Own choice.
const MAX_TEXT_BYTES: usize = 16_000_000;
/// Rows that may stand before the headings, of those that hold something. Own choice.
pub(super) const HEAD_ROWS: usize = 60;
/// Letters of an alphabet of columns: A to Z, then AA.
const LETTERS: usize = 26;

/// Why a file is no picture list, as a whole, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ListFault {
    pub(super) what: String,
    pub(super) fix: String,
    is_of_sheet_name: bool,
}

impl ListFault {
    pub(super) fn new(what: impl Into<String>, fix: impl Into<String>) -> ListFault {
        ListFault { what: what.into(), fix: fix.into(), is_of_sheet_name: false }
    }

    /// Something wrong with the name of a sheet that the brief gives.
    pub(super) fn of_sheet_name(what: impl Into<String>, fix: impl Into<String>) -> ListFault {
        ListFault { is_of_sheet_name: true, ..ListFault::new(what, fix) }
    }

    /// True if the name of the sheet is what is wrong.
    pub(super) fn is_of_sheet_name(&self) -> bool {
        self.is_of_sheet_name
    }
}

/// What a cell holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum CellContent {
    /// Words, or a number in words.
    Text(String),
    /// A day, year-month-day: the file says that the number is one.
    Date(String),
    /// What a formula came to where it failed: `#REF!`.
    Failed(String),
    /// A formula whose value is not in the file.
    NotCalculated,
}

impl CellContent {
    /// Returns the content in words.
    pub(super) fn text(&self) -> &str {
        match self {
            CellContent::Text(text) | CellContent::Date(text) | CellContent::Failed(text) => text,
            CellContent::NotCalculated => "",
        }
    }

    /// True if there is nothing in it.
    pub(super) fn is_blank(&self) -> bool {
        matches!(self, CellContent::Text(text) if text.is_empty())
    }
}

/// One cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ListCell {
    pub(super) content: CellContent,
    /// The byte of the text at which it starts; nothing in a sheet.
    pub(super) at: usize,
}

/// One row that holds something.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct ListRow {
    /// Line of the text, or row of the sheet, from 1.
    pub(super) number: usize,
    /// Up to the last one filled.
    pub(super) cells: Vec<ListCell>,
    /// How many cells it has with the blank ones behind them.
    pub(super) width: usize,
    /// True if the sheet does not show it.
    pub(super) is_hidden: bool,
    /// True if it is one cell across several columns: a heading between rows.
    pub(super) is_band: bool,
}

impl ListRow {
    /// Returns what a column holds, if it holds something.
    pub(super) fn content(&self, column: usize) -> Option<&CellContent> {
        self.cells.get(column).map(|cell| &cell.content).filter(|content| !content.is_blank())
    }
}

/// How much of a sheet is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Extent {
    /// So much that its headings would be in it.
    Head,
    /// All of it, within the limits.
    Whole,
}

/// Rows as they are read, within the limits.
pub(super) struct Rows {
    extent: Extent,
    rows: Vec<ListRow>,
    cells: usize,
    text: usize,
}

impl Rows {
    pub(super) fn new(extent: Extent) -> Rows {
        Rows { extent, rows: Vec::new(), cells: 0, text: 0 }
    }

    /// True if no more is needed.
    pub(super) fn are_enough(&self) -> bool {
        self.extent == Extent::Head && self.rows.len() >= HEAD_ROWS
    }

    /// Adds a row, unless it is blank.
    ///
    /// # Errors
    /// When a limit is passed.
    pub(super) fn add(&mut self, mut row: ListRow) -> Result<(), ListFault> {
        let filled = row.cells.iter().rposition(|cell| !cell.content.is_blank());
        row.width = row.cells.len();
        row.cells.truncate(filled.map_or(0, |last| last + 1));
        if row.cells.is_empty() || self.are_enough() {
            return Ok(());
        }
        self.cells += row.cells.len();
        self.text += row.cells.iter().map(|cell| cell.content.text().len()).sum::<usize>();
        if self.rows.len() == MAX_ROWS {
            return Err(ListFault::new(
                format!("the picture list has more than {MAX_ROWS} rows"),
                "delete the rows that are not of this order, or split the order in two",
            ));
        }
        if self.cells > MAX_CELLS || self.text > MAX_TEXT_BYTES {
            return Err(ListFault::new(
                format!("the picture list holds more text than {MAX_ROWS} prints need"),
                "leave the rows and columns of this order, and delete the rest",
            ));
        }
        self.rows.push(row);
        Ok(())
    }

    /// Returns the rows, with cells that are merged filled in.
    ///
    /// # Errors
    /// When a limit is passed.
    pub(super) fn fill_merged(mut self, merges: &[Merge]) -> Result<Vec<ListRow>, ListFault> {
        for merge in merges {
            self.fill(*merge)?;
        }
        // Only now: a row that another merge gives something to is a print's, in whatever order the file has them.
        for merge in merges.iter().filter(|merge| merge.right > merge.left) {
            if let Some((_, row)) = self.first_row(*merge)
                && row.content(merge.left).is_some()
                && row.cells.iter().filter(|cell| !cell.content.is_blank()).count() == 1
            {
                row.is_band = true;
            }
        }
        Ok(self.rows)
    }

    /// Puts the content of merged cells, which is in the first of them, into its column of every row that has something
    /// of its own.
    fn fill(&mut self, merge: Merge) -> Result<(), ListFault> {
        let Some((first, row)) = self.first_row(merge) else { return Ok(()) };
        let Some(content) = row.content(merge.left).cloned() else { return Ok(()) };
        for row in self.rows[first + 1..].iter_mut().take_while(|row| row.number <= merge.bottom) {
            self.cells += 1;
            self.text += content.text().len();
            if row.content(merge.left).is_some() {
                continue;
            }
            while row.cells.len() <= merge.left {
                self.cells += 1;
                row.cells.push(ListCell { content: CellContent::Text(String::new()), at: 0 });
            }
            row.cells[merge.left].content = content.clone();
        }
        if self.cells > MAX_CELLS || self.text > MAX_TEXT_BYTES {
            return Err(ListFault::new("too many cells of the picture list are merged", "undo the merging, then save"));
        }
        Ok(())
    }

    /// Returns the row in which merged cells begin, with its index; `None` where it is blank.
    fn first_row(&mut self, merge: Merge) -> Option<(usize, &mut ListRow)> {
        let first = self.rows.partition_point(|row| row.number < merge.top);
        self.rows.get_mut(first).filter(|row| row.number == merge.top).map(|row| (first, row))
    }
}

/// Cells of a sheet that are merged into one; rows from 1, columns from 0, the last included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Merge {
    pub(super) top: usize,
    pub(super) left: usize,
    pub(super) bottom: usize,
    pub(super) right: usize,
}

/// What the rows were written in.
pub(super) enum Written<'a> {
    /// A text, whose places are lines and columns in characters.
    Text(SourceText<'a>),
    /// The sheet of this name.
    Sheet(String),
}

/// A picture list, read.
pub(super) struct ListTable<'a> {
    pub(super) path: &'a Path,
    pub(super) written: Written<'a>,
    pub(super) rows: Vec<ListRow>,
}

impl ListTable<'_> {
    /// Returns the name of the sheet, if it is one.
    pub(super) fn sheet(&self) -> Option<&str> {
        if let Written::Sheet(name) = &self.written { Some(name) } else { None }
    }

    /// Returns the place of a column in a row, both counted from 0.
    pub(super) fn place(&self, row: usize, column: usize) -> TextPosition {
        TextPosition { which: SourceFile::List, at: row * MAX_COLUMNS + column.min(MAX_COLUMNS - 1) }
    }

    /// Returns the number of the row of a place, as the file counts: from 1.
    pub(super) fn row_number(&self, place: TextPosition) -> usize {
        self.rows.get(place.at / MAX_COLUMNS).map_or(1, |row| row.number)
    }

    /// Something wrong at a place.
    pub(super) fn problem(&self, place: TextPosition, what: impl Into<String>, fix: impl Into<String>) -> Problem {
        let column = place.at % MAX_COLUMNS;
        let row = self.rows.get(place.at / MAX_COLUMNS);
        match &self.written {
            Written::Text(source) => {
                let cell = row.and_then(|row| row.cells.get(column).or(row.cells.last()));
                source.problem(cell.map_or(0, |cell| cell.at), what, fix)
            }
            Written::Sheet(sheet) => Problem {
                file: self.path.to_owned(),
                line: self.row_number(place),
                column: column + 1,
                cell: Some(Box::new(SheetCell {
                    sheet: sheet.clone(),
                    cell: cell_name(self.row_number(place), column),
                })),
                text: row.and_then(|row| row.content(column)).map_or("", CellContent::text).to_owned(),
                what: visible(&what.into()).into_owned(),
                fix: visible(&fix.into()).into_owned(),
            },
        }
    }
}

/// Returns the name of a cell as spreadsheets show it: `C4` is row 4 of column 2, counted from 0.
pub(super) fn cell_name(row: usize, column: usize) -> String {
    format!("{}{row}", column_name(column))
}

/// Returns the letters of a column, counted from 0: A, Z, AA.
pub(super) fn column_name(column: usize) -> String {
    let mut letters = Vec::new();
    let mut left = column + 1;
    while left > 0 {
        letters.push(char::from(b'A' + ((left - 1) % LETTERS) as u8));
        left = (left - 1) / LETTERS;
    }
    letters.iter().rev().collect()
}

/// Returns a cell's text without what nobody sees: blanks of any width become one kind, marks without width go.
pub(super) fn clean(text: &str) -> String {
    let plain: String = text
        .chars()
        .filter(|c| !matches!(c, '\u{ad}' | '\u{200b}' | '\u{2060}' | '\u{feff}' | '\r'))
        .map(|c| if c.is_whitespace() && c != '\n' { ' ' } else { c })
        .collect();
    plain.trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(number: usize, cells: &[&str]) -> ListRow {
        let cell = |text: &&str| ListCell { content: CellContent::Text((*text).to_owned()), at: 0 };
        ListRow { number, cells: cells.iter().map(cell).collect(), ..ListRow::default() }
    }

    fn texts(rows: &[ListRow]) -> Vec<Vec<&str>> {
        rows.iter().map(|row| row.cells.iter().map(|cell| cell.content.text()).collect()).collect()
    }

    #[test]
    fn columns_are_named_as_spreadsheets_do() {
        let names = [0, 25, 26, 51, 52, 255, 701, 702].map(column_name);
        assert_eq!(names, ["A", "Z", "AA", "AZ", "BA", "IV", "ZZ", "AAA"]);
    }

    #[test]
    fn what_nobody_sees_goes() {
        assert_eq!(clean("\u{feff}\u{a0}plum\u{202f}tart\u{200b} \t"), "plum tart");
    }

    #[test]
    fn merged_cells_fill_their_column_where_a_row_has_something() {
        let mut rows = Rows::new(Extent::Whole);
        for one in
            [row(1, &["Fish"]), row(2, &["A4", "p1"]), row(3, &["", "p2"]), row(4, &["", ""]), row(5, &["", "p3"])]
        {
            rows.add(one).unwrap();
        }
        let merges = [
            Merge { top: 1, left: 0, bottom: 1, right: 3 },
            Merge { top: 2, left: 0, bottom: 4, right: 0 },
            Merge { top: 9, left: 0, bottom: 1_048_576, right: 16_383 },
        ];
        let rows = rows.fill_merged(&merges).unwrap();
        assert_eq!(texts(&rows), [vec!["Fish"], vec!["A4", "p1"], vec!["A4", "p2"], vec!["", "p3"]]);
        assert_eq!(rows.iter().map(|row| row.is_band).collect::<Vec<_>>(), [true, false, false, false]);
    }

    #[test]
    fn a_row_that_shares_a_merged_size_is_no_band_whatever_the_order_of_the_merges() {
        let size = Merge { top: 1, left: 2, bottom: 2, right: 2 };
        let across = Merge { top: 2, left: 0, bottom: 2, right: 1 };
        for merges in [[size, across], [across, size]] {
            let mut rows = Rows::new(Extent::Whole);
            rows.add(row(1, &["p1*", "Plum tart", "A4"])).unwrap();
            rows.add(row(2, &["p2*"])).unwrap();
            let rows = rows.fill_merged(&merges).unwrap();
            assert_eq!(texts(&rows)[1], ["p2*", "", "A4"]);
            assert!(rows.iter().all(|row| !row.is_band), "{merges:?}");
        }
    }

    #[test]
    fn rows_beyond_the_limits_are_refused_and_a_head_is_enough() {
        let mut rows = Rows::new(Extent::Whole);
        (1..=MAX_ROWS).for_each(|number| rows.add(row(number, &["x"])).unwrap());
        assert!(rows.add(row(MAX_ROWS + 1, &["x"])).unwrap_err().what.contains("more than 20000 rows"));
        let mut head = Rows::new(Extent::Head);
        (1..=MAX_ROWS).for_each(|number| head.add(row(number, &["x"])).unwrap());
        assert_eq!(head.fill_merged(&[]).unwrap().len(), HEAD_ROWS);
        let long = "x".repeat(MAX_TEXT_BYTES / 2);
        let mut rows = Rows::new(Extent::Whole);
        rows.add(row(1, &[&long, &long])).unwrap();
        assert!(rows.add(row(2, &["x"])).unwrap_err().what.contains("more text"));
    }
}
