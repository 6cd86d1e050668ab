//! The jobs of a worker, and their results.

use std::path::PathBuf;
use std::sync::Arc;

use crate::judge::EvidenceHandle;
use crate::measure::{Evidence, Thumbnail};
use crate::picture::{Facts, Fault, PictureKey};

use super::inspect::UprightThumbnail;
use super::proof::ProofRequest;
use super::scan::Stamp;

/// Identifies certain bytes of a file. A result whose ticket is no longer the file's is discarded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ticket {
    /// The picture.
    pub key: PictureKey,
    /// The file's path.
    pub path: PathBuf,
    /// Identifies the bytes.
    pub stamp: Stamp,
    /// Increases over the whole table: no two contents have the same.
    pub version: u64,
}

/// A worker's report about a job.
#[derive(Clone, Debug)]
pub enum WorkerEvent {
    /// The job began.
    Began(Ticket, JobKind),
    /// The job is done, or was written off.
    Done(Ticket, JobResult),
}

/// Kinds of work, the most urgent first: jobs of a millisecond that are waited for, then headers, then pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JobKind {
    /// Converting a thumbnail for the screen, from memory.
    ConvertThumbnail,
    /// Making a proof of a thumbnail, from memory.
    Proof,
    /// Reading the preview in the file.
    Preview,
    /// Reading the header.
    Header,
    /// Reading the pixels of the selected picture once more: its thumbnail is no longer in memory.
    RereadPixels,
    /// Evaluating a new brief's colour requirements for a picture that was read.
    Colours,
    /// Reading the pixels.
    Pixels,
}

impl JobKind {
    /// All kinds.
    pub const ALL: [JobKind; 7] = [
        JobKind::ConvertThumbnail,
        JobKind::Proof,
        JobKind::Preview,
        JobKind::Header,
        JobKind::RereadPixels,
        JobKind::Colours,
        JobKind::Pixels,
    ];

    /// True if it takes milliseconds and hardly any memory.
    pub const fn is_light(self) -> bool {
        matches!(self, JobKind::ConvertThumbnail | JobKind::Proof | JobKind::Preview | JobKind::Header)
    }

    /// True if it is only for the selected picture.
    pub const fn is_for_show(self) -> bool {
        matches!(self, JobKind::ConvertThumbnail | JobKind::Proof | JobKind::Preview | JobKind::RereadPixels)
    }
}

/// A piece of work on one file.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// The file.
    pub ticket: Ticket,
    /// The work to do.
    pub task: Task,
}

/// The work to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// See [`JobKind::ConvertThumbnail`].
    ConvertThumbnail(Arc<Facts>, Arc<Thumbnail>),
    /// See [`JobKind::Proof`].
    Proof(Arc<Facts>, Arc<Thumbnail>, ProofRequest),
    /// See [`JobKind::Preview`].
    Preview(Arc<Facts>),
    /// See [`JobKind::Header`].
    Header,
    /// See [`JobKind::RereadPixels`].
    RereadPixels(Arc<Facts>),
    /// See [`JobKind::Colours`]; the number is the brief's.
    Colours(Arc<Facts>, Arc<EvidenceHandle>, u64),
    /// See [`JobKind::Pixels`].
    Pixels(Arc<Facts>),
}

impl Job {
    /// Returns its kind.
    pub const fn kind(&self) -> JobKind {
        match self.task {
            Task::ConvertThumbnail(..) => JobKind::ConvertThumbnail,
            Task::Proof(..) => JobKind::Proof,
            Task::Preview(_) => JobKind::Preview,
            Task::Header => JobKind::Header,
            Task::RereadPixels(_) => JobKind::RereadPixels,
            Task::Colours(..) => JobKind::Colours,
            Task::Pixels(_) => JobKind::Pixels,
        }
    }
}

/// The reason why a job has no result.
#[derive(Clone, Debug, PartialEq)]
pub enum JobError {
    /// The file is at fault, or this program is.
    Fault(Fault),
    /// The file is no longer the one on the ticket.
    Changed,
}

/// A picture whose pixels were read.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadPicture {
    /// The evidence.
    pub evidence_handle: Arc<EvidenceHandle>,
    /// Its thumbnail; empty where it was kept from an earlier reading.
    pub thumbnail: Arc<Thumbnail>,
}

impl ReadPicture {
    /// Returns one whose evidence stays in memory: briefly, as where only the thumbnail is wanted.
    pub fn in_memory(evidence: Evidence) -> ReadPicture {
        let thumbnail = evidence.thumbnail.clone();
        ReadPicture { evidence_handle: Arc::new(EvidenceHandle::in_memory(evidence)), thumbnail }
    }
}

/// The result of a job.
#[derive(Clone, Debug, PartialEq)]
pub enum JobResult {
    /// The facts.
    Header(Result<Arc<Facts>, JobError>),
    /// The evidence and the thumbnail.
    Pixels(Result<ReadPicture, JobError>),
    /// The colour requirements of the brief with this number are evaluated; the answers are kept with the evidence.
    Colours(Result<u64, JobError>),
    /// A thumbnail for the screen.
    Drawn {
        /// The thumbnail, if there is one.
        upright: Option<UprightThumbnail>,
        /// True if it is the file's own preview.
        is_preview: bool,
    },
    /// A proof.
    Proofed {
        /// The proof asked for; `None` if its worker failed, so that this is unknown.
        request: Option<ProofRequest>,
        /// The proof; `None` where none can be made.
        upright: Option<UprightThumbnail>,
    },
}

impl JobResult {
    /// Returns the result of a job of this kind that failed.
    pub fn failed(kind: JobKind, trouble: JobError) -> JobResult {
        match kind {
            JobKind::Header => JobResult::Header(Err(trouble)),
            JobKind::RereadPixels | JobKind::Pixels => JobResult::Pixels(Err(trouble)),
            JobKind::Colours => JobResult::Colours(Err(trouble)),
            JobKind::Proof => JobResult::Proofed { request: None, upright: None },
            JobKind::ConvertThumbnail | JobKind::Preview => {
                JobResult::Drawn { upright: None, is_preview: kind == JobKind::Preview }
            }
        }
    }
}
