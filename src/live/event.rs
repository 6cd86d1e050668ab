//! Everything that can happen to a live table.

use std::sync::Arc;
use std::time::Duration;

use crate::brief::{Brief, Problem};
use crate::judge::{Judgement, Row};

use super::snapshot::{LiveCommand, Watching};
use crate::decisions::{DecisionChange, Decisions, KeepError};
use crate::reading::job::{JobKind, JobResult, Ticket, WorkerEvent};
use crate::reading::scan::Scan;

/// One thing that happened.
#[derive(Clone, Debug)]
pub enum Event {
    /// The folder was looked at, and is watched so.
    Scanned(Scan, Watching),
    /// The folder cannot be looked at; why.
    FolderAway(Watching),
    /// The brief or its picture list changed on disk and was read.
    BriefRead(Result<Arc<Brief>, Vec<Problem>>),
    /// `NAME.accepted.toml` changed on disk and was read.
    AcceptedRead(Result<Arc<Decisions>, Vec<Problem>>),
    /// These decisions were kept, or could not be.
    Kept(Vec<DecisionChange>, Result<Arc<Decisions>, KeepError>),
    /// A screen asks.
    Asked(LiveCommand),
    /// A worker began.
    Began(Ticket, JobKind),
    /// A worker is done.
    Worked(Ticket, JobResult),
    /// Everyone who reads pixels hangs, and no other takes their place.
    AllHang,
    /// A question was answered.
    Judged {
        /// The number of the question.
        number: u64,
        /// The judgement, or what the panic said that ended it.
        result: Result<Judgement<Arc<Row>>, Arc<str>>,
        /// How long it took.
        took: Duration,
    },
    /// Time went by.
    Tick,
}

impl From<WorkerEvent> for Event {
    fn from(event: WorkerEvent) -> Event {
        match event {
            WorkerEvent::Began(ticket, kind) => Event::Began(ticket, kind),
            WorkerEvent::Done(ticket, done) => Event::Worked(ticket, done),
        }
    }
}
