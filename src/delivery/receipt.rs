//! The result of a delivery: a receipt of what was written, or why nothing was.

use std::io;
use std::path::PathBuf;

use crate::brief::Problem;
use crate::decisions::KeepError;
use crate::judge::{Row, Totals};
use crate::picture::PictureKey;
use crate::reading::among_exports::AmongExports;
use crate::reading::check_report::CheckReport;
use crate::reading::checked::CheckError;
use crate::report::Exit;

use super::ordered::warnings_to_tell;
use super::plan::PlannedPicture;
use super::since::{Comparison, EarlierError};
use super::verify::VerifyError;
use super::write::WriteError;

/// A record of what was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Receipt {
    /// The folder of the delivery.
    pub into: PathBuf,
    /// The folder's contents.
    pub written: Written,
    /// The archive beside the folder, if one was requested.
    pub archive: Option<PathBuf>,
    /// Why the delivery is not in the log, if it could not be kept there.
    pub unlogged: Option<KeepError>,
}

/// The part of a delivery that was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Written {
    /// The whole delivery.
    Delivery {
        /// Picture count.
        pictures: usize,
        /// Size in bytes.
        bytes: u64,
        /// Remarks on the delivery.
        notices: DeliveryNotices,
    },
    /// Nothing but the archive: the same delivery was already there, intact.
    ArchiveAlone,
    /// Nothing: the printer has all of it from this earlier delivery, in words.
    NothingNew(String),
}

/// Points worth knowing about a delivery, before and after it is written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DeliveryNotices {
    /// Count of rows with warnings.
    pub warned: usize,
    /// Count of rows of which the note tells the printer a warning.
    pub told: usize,
    /// Count of accepted findings.
    pub accepted: usize,
    /// The number of prints that require a test print which nobody has looked at.
    pub untested: usize,
    /// The number of prints whose test print was seen, but of an earlier export, where the brief requires none.
    pub seen_earlier: usize,
    /// True if the note gives no contact.
    pub names_nobody: bool,
    /// Pictures that are not sent because they belong to no print.
    pub extra: Vec<PictureKey>,
    /// Names that the printer has and must not print any more.
    pub withdrawn: Vec<String>,
    /// Pictures of which the printer must not print some print any more: each with its prints, in words.
    pub withdrawn_prints: Vec<String>,
    /// What the order's terms that differ from the earlier delivery's are about.
    pub changed: Vec<&'static str>,
}

/// Why nothing was written.
#[derive(Debug, thiserror::Error)]
pub enum Refusal {
    /// The brief or the decisions have mistakes.
    #[error("the brief or its decisions file has mistakes")]
    Mistakes(Vec<Problem>),
    /// Parts of the order must be fixed or are missing; each reason in words, which may hold foreign text.
    #[error("{}", .0.join("; "))]
    NotReady(Vec<String>),
    /// The copies would be taken for pictures of the order.
    #[error(transparent)]
    AmongExports(#[from] AmongExports),
    /// An archive of that name exists.
    #[error("{}: already exists; move it or name a new folder", .0.display())]
    ArchiveExists(PathBuf),
    /// Something of that name exists.
    #[error("{}: already exists, and a delivery is never overwritten; name a new folder", .0.display())]
    AlreadyExists(PathBuf),
    /// A different delivery is already there.
    #[error("{}: already exists and is a different delivery; name a new folder", .0.display())]
    Differs(PathBuf),
    /// The same delivery is already there, but its files have changed since.
    #[error(
        "{at}: already exists and has changed since it was written; see plateside verify {at}, and name a new folder",
        at = .0.display()
    )]
    Damaged(PathBuf),
    /// The pictures cannot be checked.
    #[error(transparent)]
    Check(#[from] CheckError),
    /// No delivery is in the log.
    #[error(
        "no delivery of this order is remembered yet; leave out --since last, or name the folder of an earlier delivery"
    )]
    NothingSent,
    /// It is no longer what was shown to be delivered.
    #[error("something changed while everything was checked once more: nothing was written; look at what goes now")]
    NotAsShown,
    /// Nobody wants it any more.
    #[error("stopped; nothing was written")]
    Stopped,
    /// The earlier delivery cannot be read.
    #[error(transparent)]
    Earlier(#[from] EarlierError),
    /// The delivery already there cannot be verified.
    #[error(transparent)]
    Verify(#[from] VerifyError),
    /// The template of the note is wrong.
    #[error("the note cannot be written")]
    Note(#[from] minijinja::Error),
    /// The order changed since it was checked.
    #[error(
        "{}: the brief, its list or the decisions changed while the pictures were checked; nothing was written; \
         deliver again",
        .0.display()
    )]
    Changed(PathBuf),
    /// The files cannot be written.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// The folder was written, but its archive cannot be.
    #[error("the delivery is written, but its archive cannot be; run the same command again to make it")]
    Archive(#[source] io::Error),
}

impl Receipt {
    /// Returns the exit code for this receipt: a delivery that the log does not have is not all that was asked for.
    pub fn exit(&self) -> Exit {
        Exit::could_not_if(self.unlogged.is_some())
    }
}

impl Refusal {
    /// Returns the exit code for this refusal.
    pub fn exit(&self) -> Exit {
        let to_fix = matches!(self, Refusal::NotReady(_));
        Exit::to_fix_if(to_fix).max(Exit::could_not_if(!to_fix))
    }
}

impl DeliveryNotices {
    /// Collects remarks on sent pictures and on those without a print.
    pub(super) fn of(report: &CheckReport, sent: &[&PlannedPicture], extra: &[PictureKey]) -> DeliveryNotices {
        let rows = || sent.iter().flat_map(|sent| &sent.rows).map(|at| &report.rows[*at]);
        let totals = Totals::of(rows());
        let prints = report.prints();
        let is_told = |row: &&Row| {
            prints.get(row.key.print.as_ref()).is_some_and(|one| warnings_to_tell(row, one).next().is_some())
        };
        DeliveryNotices {
            warned: totals.warn,
            told: rows().filter(is_told).count(),
            accepted: totals.accepted,
            seen_earlier: rows().filter(|row| row.test_print.is_of_earlier_export()).count(),
            untested: rows().filter(|row| row.test_print.is_open()).count(),
            names_nobody: report.brief.from.is_none(),
            extra: extra.to_vec(),
            ..DeliveryNotices::default()
        }
    }

    /// Adds what the note says of an earlier delivery.
    pub(super) fn since(self, comparison: Option<&Comparison>, sent: &[&PlannedPicture]) -> DeliveryNotices {
        let Some(comparison) = comparison else { return self };
        let changed = comparison.terms.iter().map(|term| term.about).collect();
        let withdrawn_prints = comparison.withdrawn_prints(sent);
        DeliveryNotices { withdrawn: comparison.withdrawn.clone(), withdrawn_prints, changed, ..self }
    }
}
