//! The thread that writes decisions, so that nothing else waits while another plateside writes beside the brief. No
//! waiting decision is forgotten: their number is shown, also when the table ends before they are written.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread::{self, JoinHandle};

use crossbeam_channel::{Receiver, Sender, bounded};
use parking_lot::Mutex;

use super::event::Event;
use crate::decisions;
use crate::decisions::{DecisionChange, Decisions, KeepError};
use crate::files::atomic;

/// Decisions that were made and are not in the file.
#[derive(Debug, Default)]
pub struct PendingDecisions {
    waiting: AtomicUsize,
    /// Decisions refused since the last successful write.
    refused: Mutex<Option<LostDecisions>>,
    /// True once the table no longer waits: decisions not written by now stay unwritten.
    given_up: AtomicBool,
}

/// Decisions that could not be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LostDecisions {
    /// Their number.
    pub decisions: usize,
    /// The reason, and what to do.
    pub why: String,
}

impl PendingDecisions {
    /// Returns the number of decisions being written or waiting for it.
    pub fn waiting(&self) -> usize {
        self.waiting.load(Ordering::Relaxed)
    }

    /// Adds to the number waiting.
    pub fn add(&self, decisions: usize) {
        self.waiting.fetch_add(decisions, Ordering::Relaxed);
    }

    /// Subtracts from the number waiting.
    pub fn subtract(&self, decisions: usize) {
        self.waiting.fetch_sub(decisions, Ordering::Relaxed);
    }

    /// Stops waiting; returns the decisions lost.
    pub fn give_up(&self) -> Option<LostDecisions> {
        self.given_up.store(true, Ordering::Relaxed);
        let refused = self.refused.lock().clone();
        match (self.waiting(), refused) {
            (0, refused) => refused,
            (waiting, None) => Some(LostDecisions { decisions: waiting, why: STILL_WRITTEN.to_owned() }),
            (waiting, Some(lost)) => Some(LostDecisions { decisions: waiting + lost.decisions, ..lost }),
        }
    }

    fn record_outcome(&self, decisions: usize, kept: &Result<Arc<Decisions>, KeepError>) {
        let mut refused = self.refused.lock();
        let before = refused.take().map_or(0, |lost| lost.decisions);
        *refused = kept.as_ref().err().map(|why| LostDecisions { decisions: before + decisions, why: why.to_string() });
    }
}

/// The reason why decisions are lost that are waiting when the table ends.
const STILL_WRITTEN: &str =
    "another plateside was still saving its decisions for this brief: close it, then decide again";

/// Writes decisions, those that wait together in one go.
pub struct DecisionWriter {
    /// Unbounded: a user makes decisions one at a time, and none may be lost.
    waiting: Arc<Mutex<Vec<DecisionChange>>>,
    /// Dropped to end the thread once it has written everything. Room for one: a second wake-up adds nothing.
    something_waits: Option<Sender<()>>,
    pending_decisions: Arc<PendingDecisions>,
    thread: Option<JoinHandle<()>>,
}

impl DecisionWriter {
    /// Starts the thread. It reports every write with [`Event::DecisionsWritten`].
    ///
    /// # Errors
    /// If the system cannot start a thread.
    pub fn start(
        brief: PathBuf,
        events: Sender<Event>,
        pending_decisions: Arc<PendingDecisions>,
    ) -> std::io::Result<DecisionWriter> {
        let (something_waits, waits) = bounded(1);
        let waiting = Arc::new(Mutex::default());
        let work = WriteJob {
            brief,
            waiting: Arc::clone(&waiting),
            events,
            pending_decisions: Arc::clone(&pending_decisions),
        };
        let thread = thread::Builder::new().name("decisions".to_owned()).spawn(move || work.run(&waits))?;
        Ok(DecisionWriter { waiting, something_waits: Some(something_waits), pending_decisions, thread: Some(thread) })
    }

    /// Takes decisions to be written. Never waits.
    pub fn keep(&self, changes: Vec<DecisionChange>) {
        self.pending_decisions.add(changes.len());
        self.waiting.lock().extend(changes);
        // Full: the thread is already being woken.
        let _woken = self.something_waits.as_ref().map(|wakes| wakes.try_send(()));
    }

    /// Waits until everything is written, or given up.
    pub fn end(&mut self) {
        self.something_waits = None;
        let _panicked = self.thread.take().map(JoinHandle::join);
    }
}

struct WriteJob {
    brief: PathBuf,
    waiting: Arc<Mutex<Vec<DecisionChange>>>,
    events: Sender<Event>,
    pending_decisions: Arc<PendingDecisions>,
}

impl WriteJob {
    fn run(self, waits: &Receiver<()>) {
        // Leftovers of a program that was killed while it wrote.
        atomic::remove_abandoned(&atomic::parent_folder(&self.brief));
        loop {
            let ended = waits.recv().is_err();
            let changes = std::mem::take(&mut *self.waiting.lock());
            if !changes.is_empty() && !self.write(changes) {
                return;
            }
            if ended {
                return;
            }
        }
    }

    /// Writes, however long others write; returns false once writing is given up.
    fn write(&self, changes: Vec<DecisionChange>) -> bool {
        let is_wanted = || !self.pending_decisions.given_up.load(Ordering::Relaxed);
        let kept = loop {
            match decisions::keep_or_busy(&self.brief, &changes, &is_wanted) {
                Err(KeepError::Busy { .. }) if is_wanted() => {}
                Err(KeepError::Busy { .. }) => return false,
                kept => break kept.map(Arc::new),
            }
        };
        let decisions = changes.len();
        self.pending_decisions.record_outcome(decisions, &kept);
        self.pending_decisions.subtract(decisions);
        // After the table has ended, the event has no receiver; refused decisions are recorded in `pending_decisions`.
        let _told = self.events.send(Event::DecisionsWritten(changes, kept));
        true
    }
}
