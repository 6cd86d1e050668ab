//! What a worker may be asked to do, and what it answers.

use std::path::PathBuf;
use std::sync::Arc;

use crate::judge::EvidenceHandle;
use crate::measure::{Evidence, Thumbnail};
use crate::picture::{Facts, Fault, PictureKey};

use super::inspect::UprightThumbnail;
use super::proof::ProofRequest;
use super::scan::Stamp;

/// Which bytes of which file are meant. A result whose ticket is no longer the file's is thrown away.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ticket {
    /// The picture.
    pub key: PictureKey,
    /// Where it lies.
    pub path: PathBuf,
    /// Which bytes.
    pub stamp: Stamp,
    /// Counts up over the whole table: no two contents have the same.
    pub version: u64,
}

/// What a worker tells of a job.
#[derive(Clone, Debug)]
pub enum WorkerEvent {
    /// It began.
    Began(Ticket, JobKind),
    /// It is done, or was written off.
    Done(Ticket, JobResult),
}

/// Kinds of work, the most urgent first: what takes a millisecond and is waited for, then headers, then pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JobKind {
    /// A thumbnail for the screen, from memory.
    Show,
    /// A proof of a thumbnail, from memory.
    Proof,
    /// The preview in the file.
    Preview,
    /// The header.
    Header,
    /// The pixels of the selected picture once more: its thumbnail is no longer in memory.
    Again,
    /// What a new brief asks of the colours of a picture that was read.
    Colours,
    /// The pixels.
    Pixels,
}

impl JobKind {
    /// All of them.
    pub const ALL: [JobKind; 7] = [
        JobKind::Show,
        JobKind::Proof,
        JobKind::Preview,
        JobKind::Header,
        JobKind::Again,
        JobKind::Colours,
        JobKind::Pixels,
    ];

    /// Whether it takes milliseconds and hardly any memory.
    pub const fn is_light(self) -> bool {
        matches!(self, JobKind::Show | JobKind::Proof | JobKind::Preview | JobKind::Header)
    }

    /// Whether only the selected picture wants it.
    pub const fn is_for_show(self) -> bool {
        matches!(self, JobKind::Show | JobKind::Proof | JobKind::Preview | JobKind::Again)
    }
}

/// One piece of work.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// Of which file.
    pub ticket: Ticket,
    /// What to do.
    pub task: Task,
}

/// What to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// See [`JobKind::Show`].
    Show(Arc<Facts>, Arc<Thumbnail>),
    /// See [`JobKind::Proof`].
    Proof(Arc<Facts>, Arc<Thumbnail>, ProofRequest),
    /// See [`JobKind::Preview`].
    Preview(Arc<Facts>),
    /// See [`JobKind::Header`].
    Header,
    /// See [`JobKind::Again`].
    Again(Arc<Facts>),
    /// See [`JobKind::Colours`]; the number of the brief that asks.
    Colours(Arc<Facts>, Arc<EvidenceHandle>, u64),
    /// See [`JobKind::Pixels`].
    Pixels(Arc<Facts>),
}

impl Job {
    /// Its kind.
    pub const fn kind(&self) -> JobKind {
        match self.task {
            Task::Show(..) => JobKind::Show,
            Task::Proof(..) => JobKind::Proof,
            Task::Preview(_) => JobKind::Preview,
            Task::Header => JobKind::Header,
            Task::Again(_) => JobKind::Again,
            Task::Colours(..) => JobKind::Colours,
            Task::Pixels(_) => JobKind::Pixels,
        }
    }
}

/// Why a job has no result.
#[derive(Clone, Debug, PartialEq)]
pub enum JobError {
    /// The file is at fault, or we are.
    Fault(Fault),
    /// The file is no longer the one that the ticket names.
    Changed,
}

/// A picture whose pixels were read.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadPicture {
    /// What was counted.
    pub evidence_handle: Arc<EvidenceHandle>,
    /// Its thumbnail; empty where it was kept from an earlier reading.
    pub thumbnail: Arc<Thumbnail>,
}

impl ReadPicture {
    /// One whose evidence stays in memory: for a moment, as where only the thumbnail is wanted.
    pub fn here(evidence: Evidence) -> ReadPicture {
        let thumbnail = evidence.thumbnail.clone();
        ReadPicture { evidence_handle: Arc::new(EvidenceHandle::here(evidence)), thumbnail }
    }
}

/// What a job gave.
#[derive(Clone, Debug, PartialEq)]
pub enum JobResult {
    /// The facts.
    Header(Result<Arc<Facts>, JobError>),
    /// What was counted.
    Pixels(Result<ReadPicture, JobError>),
    /// What the brief of this number asks of colours is answered; the answers lie with what was counted.
    Colours(Result<u64, JobError>),
    /// A thumbnail for the screen.
    Drawn {
        /// The thumbnail, if there is one.
        upright: Option<UprightThumbnail>,
        /// Whether it is the file's own preview.
        preview: bool,
    },
    /// A proof.
    Proofed {
        /// Which; `None` where its worker came to grief, so that nobody knows.
        asked: Option<ProofRequest>,
        /// The proof; `None` where none can be made.
        upright: Option<UprightThumbnail>,
    },
}

impl JobResult {
    /// The answer of a job of this kind that came to grief.
    pub fn trouble(kind: JobKind, trouble: JobError) -> JobResult {
        match kind {
            JobKind::Header => JobResult::Header(Err(trouble)),
            JobKind::Again | JobKind::Pixels => JobResult::Pixels(Err(trouble)),
            JobKind::Colours => JobResult::Colours(Err(trouble)),
            JobKind::Proof => JobResult::Proofed { asked: None, upright: None },
            JobKind::Show | JobKind::Preview => JobResult::Drawn { upright: None, preview: kind == JobKind::Preview },
        }
    }
}
