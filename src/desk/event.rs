//! Everything that can happen to the desk.

use std::sync::Arc;
use std::time::Duration;

use crate::brief::{Brief, Problem};
use crate::judge::{Judgement, Row};

use super::accepted::{Accepted, Change, NotKept};
use super::job::{Done, Kind, Ticket};
use super::scan::Scan;
use super::snapshot::{Command, Watching};

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
    AcceptedRead(Result<Arc<Accepted>, Vec<Problem>>),
    /// These decisions were kept, or could not be.
    Kept(Vec<Change>, Result<Arc<Accepted>, NotKept>),
    /// A screen asks.
    Asked(Command),
    /// A worker began.
    Began(Ticket, Kind),
    /// A worker is done.
    Worked(Ticket, Done),
    /// Everyone who reads pixels hangs, and no other takes their place.
    AllHang,
    /// The rows were judged, which took so long.
    Judged(Judgement<Arc<Row>>, Duration),
    /// Time went by.
    Tick,
}
