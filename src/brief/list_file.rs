//! The file of a picture list: a workbook or a text, by its content and not by its name.

use std::borrow::Cow;
use std::path::Path;

use super::list_csv;
use super::list_table::{ListFault, ListTable, Written};
use super::source::SourceText;
use super::workbook;

/// Largest picture list that is read, in bytes: a workbook with small pictures in its cells. Own choice.
pub const MAX_LIST_BYTES: u64 = 32_000_000;

/// A picture list as its file holds it.
pub(super) enum ListFile<'a> {
    /// CSV, decoded.
    Text(Cow<'a, str>),
    /// A workbook's bytes.
    Workbook(&'a [u8]),
}

impl<'a> ListFile<'a> {
    /// Returns what the bytes are.
    ///
    /// # Errors
    /// When they are neither a workbook nor a text.
    pub(super) fn of(bytes: &'a [u8]) -> Result<ListFile<'a>, ListFault> {
        if workbook::is_archive(bytes) {
            return Ok(ListFile::Workbook(bytes));
        }
        if workbook::is_old_or_locked(bytes) {
            return Err(ListFault::new(
                "the picture list is a workbook of the old kind (.xls), or locked with a password",
                "save it as XLSX or ODS, without a password",
            ));
        }
        list_csv::text_of(bytes).map(ListFile::Text)
    }

    /// Returns its text, if it is one.
    pub(super) fn text(&self) -> Option<&str> {
        if let ListFile::Text(text) = self { Some(text) } else { None }
    }

    /// Returns its rows; of a workbook those of the sheet that is named, else of the one with the headings of a picture
    /// list.
    ///
    /// # Errors
    /// When it cannot be read, a limit is passed, or the sheet is not certain.
    pub(super) fn table<'t>(&'t self, path: &'t Path, sheet: Option<&str>) -> Result<ListTable<'t>, ListFault> {
        match self {
            ListFile::Text(_) if sheet.is_some() => Err(ListFault::of_sheet_name(
                "prints_sheet has no effect: the picture list is a text and has no sheets",
                "leave it out",
            )),
            ListFile::Text(text) => {
                Ok(ListTable { path, written: Written::Text(SourceText::new(path, text)), rows: list_csv::rows(text)? })
            }
            ListFile::Workbook(bytes) => {
                let (name, rows) = workbook::sheet(bytes, sheet)?;
                Ok(ListTable { path, written: Written::Sheet(name), rows })
            }
        }
    }
}
