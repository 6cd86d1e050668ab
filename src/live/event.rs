//! All events of a live table.

use std::sync::Arc;
use std::time::Duration;

use crate::brief::{Brief, Problem};
use crate::decisions::{DecisionChange, Decisions, KeepError};
use crate::judge::{Judgement, Row};
use crate::reading::job::{JobKind, JobResult, Ticket, WorkerEvent};
use crate::reading::scan::Scan;

use super::snapshot::{LiveCommand, Watching};

/// An event of the live table.
#[derive(Clone, Debug)]
pub enum Event {
    /// The folder was scanned, and is watched this way.
    Scanned(Scan, Watching),
    /// The folder cannot be scanned, with the reason.
    FolderAway(Watching),
    /// The brief or its picture list changed on disk and was read.
    BriefRead(Result<Arc<Brief>, Vec<Problem>>),
    /// `NAME.decisions.toml` changed on disk and was read.
    DecisionsRead(Result<Arc<Decisions>, Vec<Problem>>),
    /// These decisions were written, or could not be.
    DecisionsWritten(Vec<DecisionChange>, Result<Arc<Decisions>, KeepError>),
    /// A screen sent a command.
    Command(LiveCommand),
    /// A worker began a job.
    Began(Ticket, JobKind),
    /// A worker finished a job.
    JobDone(Ticket, JobResult),
    /// All workers that read pixels hang, and no other replaces them.
    AllHang,
    /// The rows were judged.
    Judged {
        /// The number of the request.
        number: u64,
        /// The judgement, or the message of the panic that ended it.
        result: Result<Judgement<Arc<Row>>, Arc<str>>,
        /// Time that judging took.
        took: Duration,
    },
    /// Time has passed.
    Tick,
}

impl From<WorkerEvent> for Event {
    fn from(event: WorkerEvent) -> Event {
        match event {
            WorkerEvent::Began(ticket, kind) => Event::Began(ticket, kind),
            WorkerEvent::Done(ticket, done) => Event::JobDone(ticket, done),
        }
    }
}
