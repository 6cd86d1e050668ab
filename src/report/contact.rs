//! A contact sheet for the client or the designer: every print with its picture, in page order, with boxes to tick and
//! room for remarks. One HTML file without scripts that fetches nothing; on paper each part of it is one page, A4 or
//! Letter.

pub mod arrange;

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::brief::requirements::Level;
use crate::brief::{Pages, Problem};
use crate::decisions::order::Order;
use crate::files::atomic::{self, parent_folder, write_error_words};
use crate::judge::{Row, RowState};
use crate::reading::batch::{CheckObserver, CheckTarget};
use crate::reading::check_report::CheckReport;
use crate::reading::checked::{CheckError, CheckOptions, CheckedPictures};
use crate::reading::evidence_spill::SpillContents;
use crate::units::show;
use crate::units::styled::Line;
use crate::units::words::visible;

use super::days;
use super::html::{Template, render};
use super::thumbnail::{self, JpegThumbnail};

use arrange::{Content, Grid, Place, Side, arrange};

const TEMPLATES: [Template; 2] =
    [("begin", include_str!("contact/begin.html")), ("sheet", include_str!("contact/sheet.html"))];
/// The end of the page.
const END: &[u8] = b"</body>\n</html>\n";
/// Longest side of a thumbnail where six are on a page, in pixels: some 200 ppi on paper. Own choice.
const SIX_THUMBNAIL_PX: u32 = 640;
/// Longest side of a thumbnail where nine are on a page, in pixels: some 200 ppi on paper. Own choice.
const NINE_THUMBNAIL_PX: u32 = 480;
/// The title of an order that has none.
const UNTITLED: &str = "Contact sheet";

/// A contact sheet to write.
#[derive(Clone, Debug)]
pub struct ContactRequest<'a> {
    /// The brief's file.
    pub brief: &'a Path,
    /// The folder of exports.
    pub folder: &'a Path,
    /// An HTML file that does not exist yet.
    pub into: &'a Path,
    /// How many pictures are on a page.
    pub grid: Grid,
    /// True to show each picture's state.
    pub states: bool,
    /// Options of the check.
    pub check: CheckOptions,
}

/// A record of what was written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ContactReceipt {
    /// Pages of the sheet.
    pub sheets: usize,
    /// Frames with a picture; a picture for two prints has two.
    pub pictures: usize,
    /// Prints without a picture.
    pub missing: usize,
    /// Pictures that no print takes, which are not on the sheet.
    pub extra: usize,
    /// Size of the file in bytes.
    pub bytes: u64,
}

/// Why no contact sheet was written.
#[derive(Debug, thiserror::Error)]
pub enum ContactError {
    /// The brief has mistakes.
    #[error("the brief has mistakes")]
    Mistakes(Vec<Problem>),
    /// The name is not that of a page.
    #[error("{}: a contact sheet is an HTML page; write --into {}", .0.display(), .0.with_extension("html").display())]
    NoPage(PathBuf),
    /// The pictures cannot be checked.
    #[error(transparent)]
    Check(#[from] CheckError),
    /// The brief has no print, so that nothing would be on the sheet.
    #[error("the brief has no prints, so nothing would be on the sheet; write [[print]] for each print")]
    Nothing,
    /// The file exists already.
    #[error("{} already exists; name a new file", .0.display())]
    Exists(PathBuf),
    /// The file cannot be written.
    #[error("{}: {}; nothing was written", into.display(), write_error_words(error))]
    Unwritten {
        /// The file.
        into: PathBuf,
        /// The system's error.
        error: io::Error,
    },
}

/// Checks the pictures of an order and writes its contact sheet.
///
/// # Errors
/// The brief has mistakes, the folder cannot be read, or the file exists or cannot be written.
pub fn write(request: &ContactRequest<'_>, watch: &dyn CheckObserver) -> Result<ContactReceipt, ContactError> {
    let failed = |error: io::Error| match error.kind() {
        io::ErrorKind::AlreadyExists => ContactError::Exists(request.into.to_owned()),
        _ => ContactError::Unwritten { into: request.into.to_owned(), error },
    };
    let extension = request.into.extension().unwrap_or_default();
    if !["html", "htm"].iter().any(|html| extension.eq_ignore_ascii_case(html)) {
        return Err(ContactError::NoPage(request.into.to_owned()));
    }
    // Before the pictures are read, which takes longer.
    check_place(request.into).map_err(failed)?;
    let order = Order::read(request.brief).map_err(ContactError::Mistakes)?;
    let target = CheckTarget::Folder(request.folder.to_owned());
    let checked = CheckedPictures::check(&order, &target, SpillContents::Thumbnails, &request.check, watch)?;
    checked.check_complete()?;
    let max_side_px = if request.grid == Grid::SIX { SIX_THUMBNAIL_PX } else { NINE_THUMBNAIL_PX };
    let small = |row: &Row| thumbnail::of(checked.file(row.key.picture.as_ref()?)?, max_side_px);
    let sheets = ContactSheets::of(&checked.report, request.grid, request.states);
    if sheets.pages.is_empty() {
        return Err(ContactError::Nothing);
    }
    let mut bytes = 0;
    atomic::create_with(request.into, |file| {
        sheets.write(file, &small)?;
        bytes = file.metadata()?.len();
        Ok(())
    })
    .map_err(failed)?;
    let totals = &checked.report.totals;
    let pictures = sheets.rows.iter().filter(|row| row.state != RowState::Missing).count();
    Ok(ContactReceipt { sheets: sheets.pages.len(), pictures, missing: totals.missing, extra: totals.extra, bytes })
}

/// Checks that a new file can be written there.
fn check_place(into: &Path) -> io::Result<()> {
    match into.symlink_metadata() {
        Ok(_) => Err(io::ErrorKind::AlreadyExists.into()),
        Err(_) if !parent_folder(into).is_dir() => Err(io::ErrorKind::NotFound.into()),
        Err(_) => Ok(()),
    }
}

/// Describes what was written.
pub fn receipt_lines(receipt: &ContactReceipt, into: &Path) -> Vec<Line> {
    let count = |count, one, many| show::count(count, one, many);
    let sheets = count(receipt.sheets, "sheet", "sheets");
    let of = format!("{}, {}", count(receipt.pictures, "picture", "pictures"), show::bytes(receipt.bytes));
    let mut lines = vec![format!("{sheets} written to {}: {of}", visible(&into.to_string_lossy()))];
    if receipt.missing > 0 {
        let prints = count(receipt.missing, "print has", "prints have");
        lines.push(format!("{prints} no picture yet: an empty frame is there instead"));
    }
    if receipt.extra > 0 {
        let pictures = count(receipt.extra, "picture", "pictures");
        lines.push(format!("not on it: {pictures} that no print takes"));
    }
    lines.push("open it in a browser to print it, or send the file: it needs no other".to_owned());
    lines.into_iter().map(Line::plain).collect()
}

/// A whole contact sheet before it is rendered.
struct ContactSheets<'a> {
    title: String,
    from: String,
    made: String,
    grid: Grid,
    states: bool,
    /// The rows that are on it.
    rows: Vec<&'a Row>,
    pages: Vec<Vec<Place>>,
}

/// The values of the page's beginning.
#[derive(Serialize)]
struct Beginning<'a> {
    title: &'a str,
    columns: usize,
    rows: usize,
}

/// One page. Foreign text is escaped.
#[derive(Serialize)]
struct SheetPage<'a> {
    title: &'a str,
    from: &'a str,
    made: &'a str,
    states: bool,
    number: usize,
    of: usize,
    places: Vec<PlaceOnPage>,
}

/// A picture on a page, or a page of the book without one.
#[derive(Default, Serialize)]
struct PlaceOnPage {
    /// Place in the grid, from 1.
    column: usize,
    row: usize,
    span: usize,
    /// The class of the side on which it faces another page; empty if it faces none.
    side: &'static str,
    /// The page that has no picture in this order; empty otherwise.
    empty_page: String,
    name: String,
    page: String,
    size: String,
    /// The file's name; empty if there is no picture.
    file: String,
    /// The state with its findings; empty if it is not shown.
    state: String,
    /// The JPEG as a `data:` URL; empty if there is none.
    small: String,
    size_px: [u32; 2],
    /// The words in place of a picture.
    blank: &'static str,
}

impl<'a> ContactSheets<'a> {
    fn of(report: &'a CheckReport, grid: Grid, states: bool) -> ContactSheets<'a> {
        let brief = &report.brief;
        let text = |text: Option<&str>| visible(text.unwrap_or_default()).into_owned();
        let rows: Vec<&Row> = report.rows.iter().filter(|row| row.key.print.is_some()).collect();
        let pages: Vec<Option<Pages>> = rows.iter().map(|row| row.page).collect();
        ContactSheets {
            title: text(brief.title.as_deref().or(Some(UNTITLED))),
            from: text(brief.from.as_deref()),
            made: days::in_words(&report.made),
            grid,
            states,
            rows,
            pages: arrange(&pages, grid),
        }
    }

    /// Writes the sheet page by page, so that only the thumbnails of one are in memory.
    fn write(&self, to: &mut dyn Write, small: &dyn Fn(&Row) -> Option<JpegThumbnail>) -> io::Result<()> {
        let Grid { columns, rows } = self.grid;
        let beginning = Beginning { title: &self.title, columns, rows };
        to.write_all(&render(&TEMPLATES, "begin", &beginning).map_err(io::Error::other)?)?;
        for number in 1..=self.pages.len() {
            to.write_all(&render(&TEMPLATES, "sheet", &self.page(number, small)).map_err(io::Error::other)?)?;
        }
        to.write_all(END)
    }

    /// Returns the page of a number, from 1.
    fn page(&self, number: usize, small: &dyn Fn(&Row) -> Option<JpegThumbnail>) -> SheetPage<'_> {
        let places = self.pages.get(number - 1).into_iter().flatten();
        SheetPage {
            title: &self.title,
            from: &self.from,
            made: &self.made,
            states: self.states,
            number,
            of: self.pages.len(),
            places: places.filter_map(|place| self.place(place, small)).collect(),
        }
    }

    fn place(&self, place: &Place, small: &dyn Fn(&Row) -> Option<JpegThumbnail>) -> Option<PlaceOnPage> {
        let there = PlaceOnPage {
            column: place.column + 1,
            row: place.row + 1,
            span: place.span,
            side: class(place.side),
            ..Default::default()
        };
        let row = match place.content {
            Content::EmptyPage(page) => {
                let empty_page = Pages::one(page).words();
                return Some(PlaceOnPage { empty_page, ..there });
            }
            Content::Picture(at) => *self.rows.get(at)?,
        };
        let small = small(row);
        Some(PlaceOnPage {
            name: visible(&row.name_with_version()).into_owned(),
            page: row.page.map(Pages::words).unwrap_or_default(),
            size: row.placement.as_ref().map(|placement| placement.finished.show()).unwrap_or_default(),
            file: row.key.picture.as_ref().map(ToString::to_string).unwrap_or_default(),
            state: if self.states { state_words(row) } else { String::new() },
            size_px: small.as_ref().map(|small| small.size_px.into()).unwrap_or_default(),
            small: small.map(|small| small.data_url()).unwrap_or_default(),
            blank: if row.state == RowState::Missing { "no picture yet" } else { "this picture cannot be shown" },
            ..there
        })
    }
}

/// Returns the class of a side.
const fn class(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
        Side::Alone => "",
    }
}

/// Formats a row's state with its findings that change it, as in the live table: `FIX: 214 ppi, no bleed`.
fn state_words(row: &Row) -> String {
    if row.state == RowState::Missing {
        return String::new();
    }
    let shorts: Vec<&str> =
        row.findings.iter().filter(|one| one.level > Level::Note).map(|one| one.short.as_str()).collect();
    let state = row.state.word();
    if shorts.is_empty() { state.to_owned() } else { format!("{state}: {}", visible(&shorts.join(", "))) }
}

#[cfg(test)]
mod tests;
