//! How a delivery ended: a receipt of what was written, or why nothing was.

use std::io;
use std::path::PathBuf;

use crate::brief::Problem;
use crate::judge::Totals;
use crate::picture::PictureKey;
use crate::report::checked::CheckError;
use crate::report::{Exit, Report};

use super::plan::DeliveredPicture;
use super::since::EarlierError;
use super::verify::VerifyError;
use super::write::WriteError;

/// What was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// The folder of the delivery.
    pub into: PathBuf,
    /// What is in it.
    pub written: Written,
    /// The archive beside it, where one was asked for.
    pub archive: Option<PathBuf>,
}

/// What of a delivery was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Written {
    /// All of it.
    Delivery {
        /// Pictures.
        pictures: usize,
        /// Their bytes.
        bytes: u64,
        /// What somebody should know of them.
        remarks: Remarks,
    },
    /// Nothing: the same delivery lies there as it was written, and only its archive was missing.
    ArchiveAlone,
    /// Nothing: the printer has all of it from this earlier delivery.
    NothingNew(PathBuf),
}

/// What somebody should know of a delivery, before and after it is written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Remarks {
    /// Rows with warnings.
    pub warned: usize,
    /// Accepted findings.
    pub accepted: usize,
    /// Prints that were to be seen on a test print first, and were not.
    pub untested: usize,
    /// Whether the note names nobody to ask.
    pub names_nobody: bool,
    /// Pictures that are not sent, since no print wants them.
    pub extra: Vec<PictureKey>,
}

/// Why nothing was written.
#[derive(Debug, thiserror::Error)]
pub enum Refusal {
    /// The brief or the decisions have mistakes.
    #[error("the brief, or what was decided about it, has mistakes")]
    Mistakes(Vec<Problem>),
    /// Something of the order is to be mended or missing, each reason in words; may hold foreign text.
    #[error("{}", .0.join("; "))]
    NotReady(Vec<String>),
    /// Copies would be taken for pictures of the order.
    #[error(
        "{}: lies among the exports, where its copies would be taken for pictures of the order: name a folder outside \
         {}",
        into.display(), folder.display()
    )]
    AmongExports {
        /// The folder of the delivery.
        into: PathBuf,
        /// The folder of the exports.
        folder: PathBuf,
    },
    /// An archive of that name is there.
    #[error("{}: is there already", .0.display())]
    ArchiveThere(PathBuf),
    /// Something of that name is there.
    #[error("{}: is there already; a handover is never written over another", .0.display())]
    There(PathBuf),
    /// Another delivery is there.
    #[error("{}: is there already and is not what would be handed over now: name a new folder", .0.display())]
    Differs(PathBuf),
    /// The same delivery is there, and its files are not what was written.
    #[error(
        "{at}: is there already and no longer as it was laid: plateside verify {at} says what differs; name a new \
         folder",
        at = .0.display()
    )]
    Damaged(PathBuf),
    /// The pictures cannot be checked.
    #[error(transparent)]
    Check(#[from] CheckError),
    /// The earlier delivery cannot be read.
    #[error(transparent)]
    Earlier(#[from] EarlierError),
    /// The delivery that is there cannot be verified.
    #[error(transparent)]
    Verify(#[from] VerifyError),
    /// The template of the note does not fit.
    #[error("the note cannot be made")]
    Note(#[from] minijinja::Error),
    /// The order is another one than was checked.
    #[error(
        "{}: the brief, its list or what was decided changed while the pictures were checked; nothing was laid: hand \
         over again",
        .0.display()
    )]
    Changed(PathBuf),
    /// The files cannot be written.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// The folder is written, and its archive cannot be.
    #[error("the handover lies there, but its archive cannot be written; the same command makes it once it can be")]
    Archive(#[source] io::Error),
}

impl Refusal {
    /// How a command ends that is refused so.
    pub fn exit(&self) -> Exit {
        let to_mend = matches!(self, Refusal::NotReady(_));
        Exit::to_mend_if(to_mend).max(Exit::could_not_if(!to_mend))
    }
}

impl Remarks {
    /// Of pictures that are sent, and those that no print wants.
    pub(super) fn of(report: &Report, sent: &[&DeliveredPicture], extra: &[PictureKey]) -> Remarks {
        let rows = || sent.iter().flat_map(|sent| &sent.rows).map(|at| &report.rows[*at]);
        let totals = Totals::of(rows());
        Remarks {
            warned: totals.warn,
            accepted: totals.accepted,
            untested: rows().filter(|row| row.test_print.is_open()).count(),
            names_nobody: report.brief.from.is_none(),
            extra: extra.to_vec(),
        }
    }
}
