//! A workbook, XLSX or ODS: which of its sheets is the picture list, and its rows.
//!
//! Only values that are stored in the file are read: no formula is calculated, no macro run, no link followed. Nothing
//! but the parts with names, strings, formats and cells is unpacked, within the limits of `archive.rs`.
//! Sources: ECMA-376 part 1 (SpreadsheetML), OASIS OpenDocument 1.3 part 3.

mod archive;
mod number_format;
mod ods;
mod parts;
mod xlsx;

use super::list_headings;
use super::list_table::{Extent, ListFault, ListRow};
use super::toml_value::quote;
use crate::units::spelling::nearest;

use archive::Archive;
use parts::Sheet;

/// How an archive begins. Source: APPNOTE.TXT 6.3.10, section 4.3.7.
const ARCHIVE: &[u8] = b"PK\x03\x04";
/// How an old workbook begins, and a new one that is encrypted. Source: [MS-CFB], section 2.2.
const COMPOUND_FILE: &[u8] = &[0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];
/// Sheets that an error names; of more it gives the first. Own choice.
const NAMED_SHEETS: usize = 8;

/// True if a file begins as an archive, which every workbook is.
pub(super) fn is_archive(bytes: &[u8]) -> bool {
    bytes.starts_with(ARCHIVE)
}

/// True if it is a workbook of the old kind, or one locked with a password.
pub(super) fn is_old_or_locked(bytes: &[u8]) -> bool {
    bytes.starts_with(COMPOUND_FILE)
}

/// Returns the name and the rows of the sheet that is named, or of the only one with the headings of a picture list.
///
/// # Errors
/// When the file is not a sound workbook, passes a limit, or does not say which sheet is meant.
pub(super) fn sheet(bytes: &[u8], named: Option<&str>) -> Result<(String, Vec<ListRow>), ListFault> {
    let mut archive = Archive::open(bytes)?;
    let mut book = if archive.has(ods::CONTENT) { Book::Ods } else { Book::Xlsx(xlsx::Workbook::open(&mut archive)?) };
    let sheets = book.sheets(&mut archive, Extent::Head)?;
    let chosen = choose_sheet(&sheets, named)?;
    let sheet = book.sheet(&mut archive, chosen)?;
    Ok((sheet.name, sheet.rows))
}

enum Book {
    Xlsx(xlsx::Workbook),
    Ods,
}

impl Book {
    fn sheets(&mut self, archive: &mut Archive<'_>, extent: Extent) -> Result<Vec<Sheet>, ListFault> {
        match self {
            Book::Xlsx(book) => (0..book.len()).map(|index| book.sheet(archive, index, extent)).collect(),
            Book::Ods => ods::sheets(archive, None),
        }
    }

    fn sheet(&mut self, archive: &mut Archive<'_>, index: usize) -> Result<Sheet, ListFault> {
        match self {
            Book::Xlsx(book) => book.sheet(archive, index, Extent::Whole),
            Book::Ods => ods::sheets(archive, Some(index))?
                .into_iter()
                .nth(index)
                .ok_or_else(|| ListFault::new("the workbook has no sheet", "save it again")),
        }
    }
}

/// Returns which sheet is the picture list, from how each begins.
fn choose_sheet(sheets: &[Sheet], named: Option<&str>) -> Result<usize, ListFault> {
    let names = |some: &[usize]| {
        let mut names: Vec<String> =
            some.iter().take(NAMED_SHEETS).map(|index| format!("\"{}\"", sheets[*index].name)).collect();
        if some.len() > NAMED_SHEETS {
            names.push("…".to_owned());
        }
        names.join(", ")
    };
    let of_name = |name: &str| format!("prints_sheet = {}", quote(name));
    if let Some(named) = named {
        let is_it = |sheet: &&Sheet| sheet.name.trim().eq_ignore_ascii_case(named.trim());
        let exact = sheets.iter().position(|sheet| sheet.name == named);
        return exact.or_else(|| sheets.iter().position(|sheet| is_it(&sheet))).ok_or_else(|| {
            let all: Vec<usize> = (0..sheets.len()).collect();
            let what = format!("the workbook has no sheet \"{named}\", but {}", names(&all));
            let near = nearest(named, sheets.iter().map(|sheet| sheet.name.as_str()));
            let only = if let [sheet] = sheets { Some(sheet.name.as_str()) } else { None };
            let fix = near.or(only).map_or_else(|| "name one of its sheets".to_owned(), of_name);
            ListFault::of_sheet_name(what, fix)
        });
    }
    let shown: Vec<usize> =
        (0..sheets.len()).filter(|index| !sheets[*index].is_hidden && !sheets[*index].rows.is_empty()).collect();
    let whole: Vec<usize> = shown
        .iter()
        .copied()
        .filter(|index| sheets[*index].rows.iter().any(list_headings::names_picture_and_size))
        .collect();
    match (&whole[..], &shown[..]) {
        ([one], _) | ([], [one]) => Ok(*one),
        ([], []) => Err(ListFault::new(
            "every sheet of the workbook is empty or hidden",
            "save the sheet of the prints by itself",
        )),
        ([], _) => {
            let what = format!("no sheet of the workbook has the headings picture and size: {}", names(&shown));
            let fix = of_name(&sheets[shown[0]].name);
            Err(ListFault::new(what, format!("{fix}, or the name of the sheet with the prints")))
        }
        ([first, ..], _) => {
            let what = format!("several sheets of the workbook look like picture lists: {}", names(&whole));
            let fix = of_name(&sheets[*first].name);
            Err(ListFault::new(what, format!("{fix} below prints, or the name of the other")))
        }
    }
}

#[cfg(test)]
pub mod testing;
#[cfg(test)]
mod tests;
