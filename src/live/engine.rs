//! The live table: one thread that receives events and commands, lets the state decide, and carries out its effects. It
//! waits for nothing else: reading, watching, judging and writing have their own threads (DEVELOPERS.md, "Threads and
//! channels").

use std::mem;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant};

use crossbeam_channel::{Receiver, Sender, bounded, select};
use parking_lot::Mutex;

use crate::brief::Problem;
use crate::live::limits;
use crate::reading;
use crate::reading::evidence_cache::EvidenceCache;
use crate::reading::evidence_spill::{EvidenceSpill, SpillContents};
use crate::reading::inspect::{FileInspector, MakeInspector};
use crate::reading::threads::ThreadGroup;
use crate::reading::work_limits::WorkLimits;
use crate::reading::worker::{EvidenceStores, Pool};
use crate::units::words::of_system;

use super::brief_file::BriefFile;
use super::decision_writer::{DecisionWriter, LostDecisions, PendingDecisions};
use super::decisions_file::DecisionsFile;
use super::effect::Effect;
use super::event::Event;
use super::judge_thread::{JudgeThread, MakeJudge, usual_judge};
use super::snapshot::{LiveCommand, ShownProof, ShownThumbnail, Snapshot};
use super::state::LiveState;
use super::watch::WatchThread;

/// The options of a live table.
#[derive(Clone)]
pub struct LiveTableOptions {
    /// The brief's path.
    pub brief: PathBuf,
    /// The folder of exports.
    pub folder: PathBuf,
    /// Pictures decoded at the same time; 0 for as many as there are processors.
    pub jobs: usize,
    /// Memory for pictures that are decoded at the same time, in bytes.
    pub memory_bytes: u64,
    /// Scan the folder at intervals even where the system reports changes.
    pub must_poll: bool,
    /// Where evidence is kept, so that a folder opens quickly next time; `None` to keep nothing.
    pub evidence: Option<PathBuf>,
    /// Makes the inspectors that read pictures.
    pub inspectors: MakeInspector,
    /// Makes the function that judges rows.
    pub judge: MakeJudge,
}

impl LiveTableOptions {
    /// Returns the usual options.
    pub fn new(brief: &Path, folder: &Path) -> LiveTableOptions {
        LiveTableOptions {
            brief: brief.to_owned(),
            folder: folder.to_owned(),
            jobs: 0,
            memory_bytes: reading::limits::MEMORY_BYTES,
            must_poll: false,
            evidence: None,
            inspectors: FileInspector::maker(),
            judge: usual_judge(),
        }
    }
}

/// The reason why a live table cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// The brief cannot be used.
    #[error("the brief cannot be used")]
    Brief(Vec<Problem>),
    /// The folder is missing or not a folder.
    #[error("{}: {}; name the folder that the exports go to", folder.display(), of_system(error))]
    Folder {
        /// The path that was tried.
        folder: PathBuf,
        /// The system's error.
        error: std::io::Error,
    },
    /// The system cannot start a thread.
    #[error("no thread can be started: {}; close other programs and try again", of_system(.0))]
    Threads(std::io::Error),
}

/// A brief and a folder, watched. Dropping it ends it.
pub struct LiveTable {
    shared: Arc<EngineShared>,
    wake: Receiver<()>,
    engine: Option<ThreadGroup>,
}

/// Shared by the engine's thread and the holder of the table. Locks are held for memory operations only, never while
/// waiting.
struct EngineShared {
    snapshot: Mutex<Arc<Snapshot>>,
    thumbnail: Mutex<Option<Arc<ShownThumbnail>>>,
    proof: Mutex<ShownProof>,
    inbox: Mutex<Inbox>,
    pending_decisions: Arc<PendingDecisions>,
    wake_engine: Sender<()>,
}

/// Commands that the engine has not handled yet.
#[derive(Default)]
struct Inbox {
    /// Only the newest [`LiveCommand::ShowRows`].
    shown_rows: Option<LiveCommand>,
    is_rescan_requested: bool,
    /// Decisions to write; a newer box of the same picture and print replaces an older one.
    decisions: Vec<LiveCommand>,
    is_quit_requested: bool,
}

impl Inbox {
    /// Takes all commands out, in the order in which they are handled.
    fn drain(&mut self) -> impl Iterator<Item = LiveCommand> + use<> {
        let Inbox { shown_rows, is_rescan_requested, decisions, is_quit_requested } = mem::take(self);
        let (rescan, quit) =
            (is_rescan_requested.then_some(LiveCommand::Rescan), is_quit_requested.then_some(LiveCommand::Quit));
        shown_rows.into_iter().chain(decisions).chain(rescan).chain(quit)
    }
}

impl LiveTable {
    /// Reads the brief, and starts watching and reading.
    ///
    /// # Errors
    /// When the brief is wrong, the folder is not there, or a thread cannot be started.
    pub fn open(options: LiveTableOptions) -> Result<LiveTable, OpenError> {
        let brief = BriefFile::open(&options.brief).map_err(OpenError::Brief)?;
        let folder = options.folder;
        if let Err(error) = std::fs::read_dir(&folder) {
            return Err(OpenError::Folder { folder, error });
        }
        let mut state = LiveState::new(brief.last_good().clone(), folder.clone());
        let (decisions_file, decisions) = DecisionsFile::open(&options.brief);
        state.update(Event::DecisionsRead(decisions), Duration::ZERO);
        let first = state.take_snapshot().expect("a new state has never been shown");
        let (event_sender, events) = bounded(reading::limits::MAX_EVENTS);
        // Room for one in both: a second wake-up adds nothing.
        let (wake_engine, commands_waiting) = bounded(1);
        let (screen_wake, wake) = bounded(1);
        let shared = Arc::new(EngineShared {
            snapshot: Mutex::new(Arc::new(first)),
            thumbnail: Mutex::default(),
            proof: Mutex::default(),
            inbox: Mutex::default(),
            pending_decisions: Arc::default(),
            wake_engine,
        });
        let decision_writer =
            DecisionWriter::start(options.brief, event_sender.clone(), Arc::clone(&shared.pending_decisions));
        let decision_writer = decision_writer.map_err(OpenError::Threads)?;
        let jobs = match options.jobs {
            0 => thread::available_parallelism().map_or(1, usize::from),
            jobs => jobs,
        };
        let spill = EvidenceSpill::new(SpillContents::Numbers, options.evidence.as_deref());
        let stores =
            EvidenceStores { cache: EvidenceCache::open(options.evidence, reading::limits::CACHE_BYTES), spill };
        let pool = Pool::start(
            WorkLimits { jobs, memory_bytes: options.memory_bytes, has_lower_priority: true },
            options.inspectors,
            stores,
            event_sender.clone(),
        );
        pool.set_brief(brief.last_good());
        let judging = JudgeThread::start(options.judge, event_sender.clone()).map_err(OpenError::Threads)?;
        let watch = WatchThread::start(folder, brief, decisions_file, options.must_poll, event_sender)
            .map_err(OpenError::Threads)?;
        let engine = Engine {
            shared: shared.clone(),
            decision_writer,
            state,
            pool,
            watch,
            judging,
            events,
            commands_waiting,
            screen_wake,
            opened: Instant::now(),
            old_snapshots: Vec::new(),
        };
        let threads = ThreadGroup::default();
        threads.spawn("live table".to_owned(), move || engine.run()).map_err(OpenError::Threads)?;
        Ok(LiveTable { shared, wake, engine: Some(threads) })
    }

    /// Returns the current table. Never waits.
    pub fn snapshot(&self) -> Arc<Snapshot> {
        self.shared.snapshot.lock().clone()
    }

    /// Returns the selected picture's thumbnail, as soon as there is one. Never waits.
    pub fn thumbnail(&self) -> Option<Arc<ShownThumbnail>> {
        self.shared.thumbnail.lock().clone()
    }

    /// Returns the proof being viewed, as soon as there is one. Never waits.
    pub fn proof(&self) -> ShownProof {
        self.shared.proof.lock().clone()
    }

    /// Sends a command. Never waits.
    pub fn send(&self, command: LiveCommand) {
        let mut inbox = self.shared.inbox.lock();
        match command {
            LiveCommand::ShowRows { .. } => inbox.shown_rows = Some(command),
            LiveCommand::DrawSubject { .. } | LiveCommand::Accept(_) => {
                let count = inbox.decisions.len();
                inbox.decisions.retain(|other| !is_same_box(other, &command));
                self.shared.pending_decisions.subtract(count - inbox.decisions.len());
                self.shared.pending_decisions.add(decision_count(&command));
                inbox.decisions.push(command);
            }
            LiveCommand::Rescan => inbox.is_rescan_requested = true,
            LiveCommand::Quit => inbox.is_quit_requested = true,
        }
        drop(inbox);
        // Full: the engine is already being woken.
        let _ = self.shared.wake_engine.try_send(());
    }

    /// Returns the number of decisions requested and not written yet. Never waits.
    pub fn pending_decisions(&self) -> usize {
        self.shared.pending_decisions.waiting()
    }

    /// Ends the table once decisions are written; returns those that are not, because that took too long or failed.
    pub fn end(&mut self) -> Option<LostDecisions> {
        let engine = self.engine.take()?;
        let patience =
            if self.pending_decisions() > 0 { limits::DECISIONS_WAIT } else { reading::limits::SHUTDOWN_WAIT };
        self.send(LiveCommand::Quit);
        engine.wait_until(Instant::now() + patience);
        self.shared.pending_decisions.give_up()
    }

    /// Signals that a new snapshot or thumbnail can be fetched. Closed once the engine has ended.
    pub fn wake(&self) -> &Receiver<()> {
        &self.wake
    }
}

impl Drop for LiveTable {
    fn drop(&mut self) {
        self.end();
    }
}

struct Engine {
    shared: Arc<EngineShared>,
    decision_writer: DecisionWriter,
    state: LiveState,
    pool: Pool,
    watch: WatchThread,
    judging: JudgeThread,
    events: Receiver<Event>,
    commands_waiting: Receiver<()>,
    screen_wake: Sender<()>,
    opened: Instant,
    /// Snapshots that the screen may still hold.
    old_snapshots: Vec<Arc<Snapshot>>,
}

impl Engine {
    fn run(mut self) {
        loop {
            let mut events = self.next_events();
            let written_off = self.pool.write_off_if_due(Instant::now());
            let all_hang = !written_off.is_empty() && self.pool.responsive_workers() == 0;
            events.extend(written_off.into_iter().map(Event::from));
            events.extend(all_hang.then_some(Event::AllHang));
            events.push(Event::Tick);
            for event in events {
                if !self.apply(event) {
                    self.end();
                    return;
                }
            }
            if let Some(snapshot) = self.state.take_snapshot() {
                self.publish(Arc::new(snapshot));
            }
        }
    }

    /// Ends all threads, waiting for what is being written, and then briefly for the rest.
    fn end(mut self) {
        // Each of them may be waiting for room to send an event.
        drop(self.events);
        let threads = [self.pool.end(), self.watch.end(), self.judging.end()];
        self.decision_writer.end();
        let deadline = Instant::now() + reading::limits::SHUTDOWN_WAIT;
        for group in threads {
            group.wait_until(deadline);
        }
    }

    /// Waits for an event or command; also takes those that have arrived by then.
    fn next_events(&self) -> Vec<Event> {
        let due = self.state.next_wake().map(|at| at.saturating_sub(self.opened.elapsed()));
        let wait = due.unwrap_or(Duration::MAX).min(reading::limits::OVERDUE_POLL);
        let mut events = Vec::new();
        select! {
            recv(self.events) -> event => events.extend(event),
            recv(self.commands_waiting) -> _ => {},
            default(wait) => {},
        }
        while events.len() < limits::MAX_EVENTS_A_TURN
            && let Ok(event) = self.events.try_recv()
        {
            events.push(event);
        }
        events.extend(self.shared.inbox.lock().drain().map(Event::Command));
        events
    }

    /// Lets the state decide on an event and carries out the effects; returns false to end.
    fn apply(&mut self, event: Event) -> bool {
        let decisions = if let Event::Command(command) = &event { decision_count(command) } else { 0 };
        for effect in self.state.update(event, self.opened.elapsed()) {
            match effect {
                Effect::Read(job) => self.pool.push(job),
                Effect::Forget(key) => self.pool.forget(&key),
                Effect::Prefer { selected, first } => self.pool.prefer(selected.as_ref(), first),
                Effect::UseBrief(brief) => self.pool.set_brief(&brief),
                Effect::ScanAfter(wait) => self.watch.scan_after(wait),
                Effect::Judge(request) => self.judging.ask(request),
                Effect::ShowThumbnail(thumbnail) => {
                    *self.shared.thumbnail.lock() = thumbnail;
                    self.wake();
                }
                Effect::ShowProof(proof) => {
                    *self.shared.proof.lock() = proof;
                    self.wake();
                }
                Effect::WriteDecisions(changes) => self.decision_writer.keep(changes),
                Effect::Quit => return false,
            }
        }
        // The requested decisions are queued for writing by now, or there was nothing to write.
        self.shared.pending_decisions.subtract(decisions);
        true
    }

    /// Publishes a snapshot to the screen. Freeing thousands of rows takes time: that is done here, never by the screen
    /// and never while it waits for the lock.
    fn publish(&mut self, snapshot: Arc<Snapshot>) {
        let old = mem::replace(&mut *self.shared.snapshot.lock(), snapshot);
        self.old_snapshots.push(old);
        self.wake();
        self.old_snapshots.retain(|snapshot| Arc::strong_count(snapshot) > 1);
    }

    fn wake(&self) {
        // Full: the screen is already being woken.
        let _ = self.screen_wake.try_send(());
    }
}

/// Returns the number of decisions that a command makes, one for each row.
fn decision_count(command: &LiveCommand) -> usize {
    match command {
        LiveCommand::DrawSubject { .. } => 1,
        LiveCommand::Accept(request) => request.rows.len(),
        LiveCommand::ShowRows { .. } | LiveCommand::Rescan | LiveCommand::Quit => 0,
    }
}

/// True if two commands draw the same box.
fn is_same_box(one: &LiveCommand, other: &LiveCommand) -> bool {
    let box_of = |command: &LiveCommand| match command {
        LiveCommand::DrawSubject { picture, print, .. } => Some((picture.clone(), print.clone())),
        LiveCommand::ShowRows { .. } | LiveCommand::Accept(_) | LiveCommand::Rescan | LiveCommand::Quit => None,
    };
    box_of(one).is_some() && box_of(one) == box_of(other)
}

#[cfg(test)]
mod tests;
