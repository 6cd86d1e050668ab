//! The pictures of an order from which test prints may be made: all, ranked by the reasons for each, or only those
//! named.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use crate::brief::{PrintId, Problem, SeveralPrints};
use crate::decisions::order::Order;
use crate::decisions::{Decisions, KeepError};
use crate::judge::Row;
use crate::picture::PictureKey;
use crate::reading::among_exports::AmongExports;
use crate::reading::batch::{CheckTarget, Progress};
use crate::reading::check_report::CheckReport;
use crate::reading::checked::{CheckError, CheckOptions, CheckedPictures};
use crate::reading::evidence_spill::SpillContents;
use crate::reading::naming::{NamingError, key_of};
use crate::units::show;
use crate::units::words::visible;

use super::ranking::{RankedRow, find_reasons, may_be_tested, rank, to_fix_first};
use super::sheets::SheetError;

/// An order, and a choice of its pictures.
#[derive(Clone, Debug)]
pub struct CandidateRequest<'a> {
    /// The brief's file.
    pub brief: &'a Path,
    /// The folder of exports.
    pub folder: &'a Path,
    /// The named pictures, with or without a reason; if empty, all pictures.
    pub pictures: &'a [PathBuf],
    /// A print's name or id; if set, only the row for this print.
    pub print: Option<&'a str>,
    /// Options of the check.
    pub check: CheckOptions,
}

/// A checked order and the pictures chosen from it.
pub struct Candidates<'a> {
    pub(super) request: CandidateRequest<'a>,
    pub(super) decisions: Decisions,
    pub(super) checked: CheckedPictures,
    /// The named pictures; may be empty.
    pub(super) chosen: Vec<PictureKey>,
    /// The named print, if one is named; a word that the brief does not know may be the id of a print that it once had.
    pub(super) print: Option<PrintId>,
}

/// Why test prints cannot be ranked, written or remarked on.
#[derive(Debug, thiserror::Error)]
pub enum TestPrintError {
    /// The brief or the decisions have mistakes.
    #[error("the brief or its decisions file has mistakes")]
    Mistakes(Vec<Problem>),
    /// The pictures cannot be checked.
    #[error(transparent)]
    Check(#[from] CheckError),
    /// A picture's name cannot be worked out.
    #[error(transparent)]
    Unnamed(#[from] NamingError),
    /// A named picture does not exist.
    #[error("{picture}: no such picture in {folder}")]
    NoPicture {
        /// The picture.
        picture: PictureKey,
        /// The folder, as typed.
        folder: String,
    },
    /// The print's name is that of several.
    #[error(transparent)]
    SeveralPrints(#[from] SeveralPrints),
    /// A picture has no row for the named print.
    #[error("{picture}: is not for the print \"{print}\"")]
    NotForPrint {
        /// The picture.
        picture: PictureKey,
        /// The print, as typed.
        print: String,
    },
    /// The folder holds no picture.
    #[error("no pictures in this folder yet")]
    NoPictures,
    /// No picture needs a test print.
    #[error("{0}; name some with --only")]
    Nobody(String),
    /// The sheets would be taken for pictures of the order.
    #[error(transparent)]
    AmongExports(#[from] AmongExports),
    /// The sheets cannot be made.
    #[error(transparent)]
    Sheets(#[from] SheetError),
    /// The folder cannot be written; holds the reason in words.
    #[error("{0}")]
    Unwritten(String),
    /// A remark has no words.
    #[error("say what you saw: --seen \"shadows open, greens a little dull\"")]
    NothingSaid,
    /// The picture's pixels are unknown.
    #[error("{0}: its pixels cannot be read, so nobody would know later which export was printed")]
    NoPixels(PictureKey),
    /// The picture has no row for this print.
    #[error("{0}: is not for this print")]
    NoRow(PictureKey),
    /// There is no remark to withdraw.
    #[error("{0}: no remark on its test print to withdraw")]
    NoRemark(PictureKey),
    /// The remark applies to particular prints.
    #[error("{picture}: the remark is for one print alone; add --print {prints}")]
    OtherPrint {
        /// The picture.
        picture: PictureKey,
        /// The prints, in words.
        prints: String,
    },
    /// The decisions cannot be saved.
    #[error("nothing was recorded")]
    NotKept(#[source] KeepError),
}

impl<'a> Candidates<'a> {
    /// Reads and checks the order. `progress` is called after each picture, from any worker.
    ///
    /// # Errors
    /// Returns an error if the order cannot be read or checked, or a named picture does not exist.
    pub fn read(
        request: CandidateRequest<'a>,
        progress: &(dyn Fn(Progress) + Sync),
    ) -> Result<Candidates<'a>, TestPrintError> {
        let order = Order::read(request.brief).map_err(TestPrintError::Mistakes)?;
        let print = request.print.map(|word| order.brief.print_id_of(word)).transpose()?;
        let target = CheckTarget::Folder(request.folder.to_owned());
        let checked = CheckedPictures::check(&order, &target, SpillContents::Thumbnails, &request.check, &progress)?;
        let keys = request.pictures.iter().map(|path| key_within(path, request.folder));
        let chosen: Vec<PictureKey> = keys.collect::<Result<_, _>>()?;
        let rows_of = checked.report.rows_of();
        if let Some(picture) = chosen.iter().find(|key| !rows_of.contains_key(key)) {
            let (picture, folder) = (picture.clone(), checked.report.folder.clone());
            return Err(TestPrintError::NoPicture { picture, folder });
        }
        Ok(Candidates { request, decisions: order.decisions, checked, chosen, print })
    }

    /// Returns the report of the check.
    pub fn report(&self) -> &CheckReport {
        &self.checked.report
    }

    /// Returns the rows, most in need of a test print first; named pictures keep their given order.
    ///
    /// # Errors
    /// Returns an error if a picture is not for the named print.
    pub fn rank(&self) -> Result<Vec<RankedRow>, TestPrintError> {
        if !self.chosen.is_empty() {
            return self.rank_named();
        }
        let prints = self.report().prints();
        Ok(rank(&self.report().rows, &|row: &Row| prints.get(row.key.print.as_ref())))
    }

    /// Returns the rows of the named pictures, each for its first print or for the named one.
    fn rank_named(&self) -> Result<Vec<RankedRow>, TestPrintError> {
        let (report, rows_of) = (self.report(), self.report().rows_of());
        let prints = report.prints();
        let of = |key: &PictureKey| {
            let print = || self.request.print.unwrap_or_default().to_owned();
            let missing = || TestPrintError::NotForPrint { picture: key.clone(), print: print() };
            let at = self.place_of(&rows_of, key).ok_or_else(missing)?;
            let row = &report.rows[at];
            let own = || prints.get(row.key.print.as_ref()).map(|print| find_reasons(row, print)).unwrap_or_default();
            Ok(RankedRow { row: at, reasons: to_fix_first(row).map_or_else(own, |reason| vec![reason]) })
        };
        self.chosen.iter().map(of).collect()
    }

    /// Returns the index of a picture's row, for its first print or for the named one.
    pub(super) fn place_of(&self, rows_of: &HashMap<&PictureKey, Vec<usize>>, key: &PictureKey) -> Option<usize> {
        let is_meant = |at: &usize| self.print.is_none() || self.report().rows[*at].key.print == self.print;
        rows_of.get(key)?.iter().copied().find(is_meant)
    }

    /// Names a row by its picture and print; foreign text is escaped.
    pub fn name(&self, one: &RankedRow) -> String {
        let row = &self.report().rows[one.row];
        let picture = row.key.picture.as_ref().map(PictureKey::to_string).unwrap_or_default();
        format!("{picture} for {}", visible(&row.name_with_version()))
    }

    /// True if the folder holds a picture.
    pub(super) fn has_pictures(&self) -> bool {
        self.report().rows.iter().any(|row| row.key.picture.is_some())
    }

    /// Explains that no picture needs a test print, and how many must be fixed first.
    pub fn none_needed_words(&self) -> String {
        if !self.has_pictures() {
            return TestPrintError::NoPictures.to_string();
        }
        let rows = self.report().rows.iter();
        let fix = rows.filter(|row| row.key.picture.is_some() && !may_be_tested(row)).count();
        let first = match fix {
            0 => String::new(),
            _ => format!("; {} fixing first", show::count(fix, "picture needs", "pictures need")),
        };
        format!("no picture needs a test print{first}")
    }
}

/// Resolves a path as typed, relative to here or to the folder, to a picture in the folder.
fn key_within(path: &Path, folder: &Path) -> Result<PictureKey, TestPrintError> {
    let within = folder.join(path);
    let found = key_of(if path.exists() || !within.exists() { path } else { &within }, Some(folder), false);
    match found {
        Ok((key, _)) => Ok(key),
        // The folder is named already, and this command has no other option for it.
        Err(NamingError::Elsewhere { .. }) => {
            let folder = visible(&folder.to_string_lossy()).into_owned();
            Err(TestPrintError::NoPicture { picture: PictureKey::of(path).0, folder })
        }
        Err(other) => Err(other.into()),
    }
}
