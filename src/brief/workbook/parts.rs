//! What both kinds of workbook have in common.

use crate::brief::list_table::{CellContent, ListCell, ListFault, ListRow, MAX_COLUMNS, clean};

/// Most sheets of a workbook that are looked at. Own choice.
pub(super) const MAX_SHEETS: usize = 200;
/// Most bytes of a cell's text that are kept: more than any value of a brief may have, so that a longer one is named.
const MAX_CELL_BYTES: usize = 10_000;

/// A sheet, or its beginning.
#[derive(Debug)]
pub(super) struct Sheet {
    /// Its name; foreign text.
    pub(super) name: String,
    /// True if the workbook does not show it.
    pub(super) is_hidden: bool,
    pub(super) rows: Vec<ListRow>,
}

/// Returns why a workbook with more than [`MAX_SHEETS`] is not read.
pub(super) fn too_many_sheets() -> ListFault {
    ListFault::new(
        format!("the workbook has more than {MAX_SHEETS} sheets"),
        "save the sheet with the prints as a workbook of its own",
    )
}

/// Adds to a cell's text, as far as it is kept.
pub(super) fn append(text: &mut String, more: &str) {
    let room = MAX_CELL_BYTES.saturating_sub(text.len());
    text.push_str(&more[..more.floor_char_boundary(room)]);
}

/// Puts a content into its column of a row.
///
/// # Errors
/// When it lies beyond the last column of a picture list.
pub(super) fn put(row: &mut ListRow, column: usize, content: CellContent) -> Result<(), ListFault> {
    let content = if let CellContent::Text(text) = content { CellContent::Text(clean(&text)) } else { content };
    if content.is_blank() {
        return Ok(());
    }
    if column >= MAX_COLUMNS {
        return Err(ListFault::new(
            format!("row {} of a sheet has a cell beyond column {MAX_COLUMNS}", row.number),
            "save the sheet with the prints as a workbook of its own, without what lies far to the right",
        ));
    }
    while row.cells.len() <= column {
        row.cells.push(ListCell { content: CellContent::Text(String::new()), at: 0 });
    }
    row.cells[column].content = content;
    Ok(())
}
