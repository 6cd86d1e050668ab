//! The thread that writes decisions, so that nothing else waits where another plateside writes beside the brief.
//! Nothing that waits here is forgotten: how many there are is shown, also when the table ends before they are written.

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

/// Decisions that were made and do not stand in the file.
#[derive(Debug, Default)]
pub struct Unwritten {
    waiting: AtomicUsize,
    /// Refused since something was written last.
    refused: Mutex<Option<LostDecisions>>,
    /// Nobody waits any longer: what is not written by now stays unwritten.
    given_up: AtomicBool,
}

/// Decisions that are not written in the end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LostDecisions {
    /// How many.
    pub decisions: usize,
    /// Why, and what to do.
    pub why: String,
}

impl Unwritten {
    /// Decisions that are being written or wait for it.
    pub fn waiting(&self) -> usize {
        self.waiting.load(Ordering::Relaxed)
    }

    /// So many more wait.
    pub fn add(&self, decisions: usize) {
        self.waiting.fetch_add(decisions, Ordering::Relaxed);
    }

    /// So many wait no more.
    pub fn take(&self, decisions: usize) {
        self.waiting.fetch_sub(decisions, Ordering::Relaxed);
    }

    /// Ends the waiting; what is lost.
    pub fn give_up(&self) -> Option<LostDecisions> {
        self.given_up.store(true, Ordering::Relaxed);
        let refused = self.refused.lock().clone();
        match (self.waiting(), refused) {
            (0, refused) => refused,
            (waiting, None) => Some(LostDecisions { decisions: waiting, why: STILL_WRITTEN.to_owned() }),
            (waiting, Some(lost)) => Some(LostDecisions { decisions: waiting + lost.decisions, ..lost }),
        }
    }

    fn were_kept(&self, decisions: usize, kept: &Result<Arc<Decisions>, KeepError>) {
        let mut refused = self.refused.lock();
        let before = refused.take().map_or(0, |lost| lost.decisions);
        *refused = kept.as_ref().err().map(|why| LostDecisions { decisions: before + decisions, why: why.to_string() });
    }
}

/// Why decisions are lost that wait when the table ends.
const STILL_WRITTEN: &str =
    "another plateside was writing beside the brief and did not end: close it, then decide again";

/// Writes decisions, those that wait at the same time at once.
pub struct DecisionWriter {
    /// Without a bound: a person makes them one at a time, and none may be lost.
    waiting: Arc<Mutex<Vec<DecisionChange>>>,
    /// Dropped to end the thread once it has written what waits. Room for one: a second waking says nothing new.
    something_waits: Option<Sender<()>>,
    unwritten: Arc<Unwritten>,
    thread: Option<JoinHandle<()>>,
}

impl DecisionWriter {
    /// Starts the thread. It tells of everything with [`Event::Kept`].
    ///
    /// # Errors
    /// If the system gives no thread.
    pub fn start(brief: PathBuf, events: Sender<Event>, unwritten: Arc<Unwritten>) -> std::io::Result<DecisionWriter> {
        let (something_waits, waits) = bounded(1);
        let waiting = Arc::new(Mutex::default());
        let work = WriteJob { brief, waiting: Arc::clone(&waiting), events, unwritten: Arc::clone(&unwritten) };
        let thread = thread::Builder::new().name("decisions".to_owned()).spawn(move || work.run(&waits))?;
        Ok(DecisionWriter { waiting, something_waits: Some(something_waits), unwritten, thread: Some(thread) })
    }

    /// Takes decisions to be written. Never waits.
    pub fn keep(&self, changes: Vec<DecisionChange>) {
        self.unwritten.add(changes.len());
        self.waiting.lock().extend(changes);
        // Full: the thread is being woken already.
        let _woken = self.something_waits.as_ref().map(|wakes| wakes.try_send(()));
    }

    /// Waits until everything is written, or nobody waits for it any more.
    pub fn end(&mut self) {
        self.something_waits = None;
        let _panicked = self.thread.take().map(JoinHandle::join);
    }
}

struct WriteJob {
    brief: PathBuf,
    waiting: Arc<Mutex<Vec<DecisionChange>>>,
    events: Sender<Event>,
    unwritten: Arc<Unwritten>,
}

impl WriteJob {
    fn run(self, waits: &Receiver<()>) {
        // What one that was killed left while it wrote.
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

    /// Writes, however long others write; whether there is anything left to do for.
    fn write(&self, changes: Vec<DecisionChange>) -> bool {
        let is_wanted = || !self.unwritten.given_up.load(Ordering::Relaxed);
        let kept = loop {
            match decisions::keep_in_turn(&self.brief, &changes, &is_wanted) {
                Err(KeepError::Busy { .. }) if is_wanted() => {}
                Err(KeepError::Busy { .. }) => return false,
                kept => break kept.map(Arc::new),
            }
        };
        let decisions = changes.len();
        self.unwritten.were_kept(decisions, &kept);
        self.unwritten.take(decisions);
        // Where the table has ended, nobody takes the event; what was refused is known to `unwritten`.
        let _told = self.events.send(Event::Kept(changes, kept));
        true
    }
}
