//! The pool of workers: threads that take jobs from the queue, each picture under a memory permit and a panic fence.
//! One more thread takes light jobs only, so that a new export's facts never wait for another picture's pixels.
//!
//! Workers know nothing of rows, and of a brief only its colour requirements. A job that runs too long is written off
//! (`roster.rs`): its result is discarded.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use crossbeam_channel::Sender;
use parking_lot::{Condvar, Mutex};
use tracing::debug;

use crate::brief::Brief;
use crate::files::os;
use crate::judge::EvidenceHandle;
use crate::judge::metrics::changes::ColourChanges;
use crate::judge::metrics::lost_colours::ColourRequest;
use crate::picture::{Facts, Fault, FaultKind, PictureKey};
use crate::reading::limits;
use crate::units::show;

use super::evidence_cache::EvidenceCache;
use super::evidence_spill::EvidenceSpill;
use super::fence::{WORKER_NAME, catch_panic};
use super::inspect::{Inspector, MakeInspector};
use super::job::{Job, JobError, JobResult, ReadPicture, Task, Ticket, WorkerEvent};
use super::memory_budget::{MemoryBudget, Permit};
use super::queue::Queue;
use super::roster::{JobEnd, WorkerRole, WorkerRoster};
use super::scan::Stamp;
use super::threads::ThreadGroup;
use super::work_limits::WorkLimits;

/// The workers and their queue.
pub struct Pool {
    shared: Arc<PoolShared>,
    threads: ThreadGroup,
    /// Number of workers started so far; used in their names.
    started: usize,
    has_lower_priority: bool,
    /// When overdue jobs were looked for last.
    overdue_check: Option<Instant>,
}

struct PoolShared {
    queue: Mutex<Queue>,
    something_waits: Condvar,
    closed: AtomicBool,
    roster: Mutex<WorkerRoster>,
    permits: MemoryBudget,
    make_inspector: MakeInspector,
    stores: EvidenceStores,
    /// The brief's colour requirements, evaluated on the workers, where nothing waits for them.
    colours: Mutex<Arc<[ColourRequest]>>,
    /// Sends an event about a job; false once the receiver is gone.
    send_event: Box<dyn Fn(WorkerEvent) -> bool + Send + Sync>,
}

/// The stores for measured evidence.
pub struct EvidenceStores {
    /// Kept from run to run.
    pub cache: EvidenceCache,
    /// Kept for as long as the program runs.
    pub spill: Arc<EvidenceSpill>,
}

impl Pool {
    /// Starts the given number of workers, and one for light jobs.
    pub fn start<E>(
        work_limits: WorkLimits,
        make_inspector: MakeInspector,
        stores: EvidenceStores,
        events: Sender<E>,
    ) -> Pool
    where
        E: From<WorkerEvent> + Send + 'static,
    {
        let jobs = work_limits.jobs.clamp(1, limits::MAX_JOBS);
        let shared = Arc::new(PoolShared {
            queue: Mutex::new(Queue::default()),
            something_waits: Condvar::new(),
            closed: AtomicBool::new(false),
            roster: Mutex::new(WorkerRoster::new(jobs)),
            permits: MemoryBudget::new(work_limits.memory_bytes),
            stores,
            colours: Mutex::new(Arc::default()),
            make_inspector,
            send_event: Box::new(move |event| events.send(event.into()).is_ok()),
        });
        let mut pool = Pool {
            shared,
            threads: ThreadGroup::default(),
            started: 0,
            has_lower_priority: work_limits.has_lower_priority,
            overdue_check: None,
        };
        pool.start_worker(WorkerRole::LightOnly);
        for _ in 0..jobs {
            pool.start_worker(WorkerRole::Any);
        }
        pool
    }

    /// Sets the brief whose colour requirements are evaluated from now on.
    pub fn set_brief(&self, brief: &Brief) {
        *self.shared.colours.lock() = ColourRequest::of_all(brief).into();
    }

    /// Adds a job to the queue.
    pub fn push(&self, job: Job) {
        self.shared.queue.lock().push(job);
        self.shared.something_waits.notify_all();
    }

    /// Drops the waiting jobs of a picture.
    pub fn forget(&self, key: &PictureKey) {
        self.shared.queue.lock().forget(key);
    }

    /// Reads these pictures first.
    pub fn prefer(&self, selected: Option<&PictureKey>, first: Vec<PictureKey>) {
        self.shared.queue.lock().prefer(selected, first);
    }

    /// Writes off jobs that have run too long; returns a fault for each. Call often: it looks for them once in
    /// [`limits::OVERDUE_POLL`].
    pub fn write_off_if_due(&mut self, now: Instant) -> Vec<WorkerEvent> {
        let last = *self.overdue_check.get_or_insert(now);
        if now.duration_since(last) < limits::OVERDUE_POLL {
            return Vec::new();
        }
        self.overdue_check = Some(now);
        self.write_off(now)
    }

    fn write_off(&mut self, now: Instant) -> Vec<WorkerEvent> {
        let overdue = self.shared.roster.lock().write_off(now);
        let mut events = Vec::with_capacity(overdue.len());
        for (job, is_replaced) in overdue {
            if is_replaced {
                self.start_worker(job.role);
            }
            let what = format!(
                "reading it took longer than {}",
                show::count(limits::WRITTEN_OFF_AFTER.as_secs() as usize, "second", "seconds")
            );
            let trouble = JobError::Fault(Fault::new(FaultKind::Internal, what));
            events.push(WorkerEvent::Done(job.ticket, JobResult::failed(job.kind, trouble)));
        }
        events
    }

    /// Returns the number of workers for any job that are not hanging.
    pub fn responsive_workers(&self) -> usize {
        self.shared.roster.lock().responsive_workers()
    }

    /// Takes no more jobs. Returns the threads to wait for: a thread that is decoding goes on until its picture is
    /// read.
    pub fn end(self) -> ThreadGroup {
        self.shared.closed.store(true, Ordering::SeqCst);
        {
            // While the queue is locked no worker is between checking `closed` and waiting.
            let _queue = self.shared.queue.lock();
            self.shared.something_waits.notify_all();
        }
        self.threads
    }

    fn start_worker(&mut self, role: WorkerRole) {
        let shared = self.shared.clone();
        let name = format!("{WORKER_NAME} {}", self.started);
        let lower_priority = self.has_lower_priority && role == WorkerRole::Any;
        let work = move || {
            if lower_priority {
                os::lower_priority(limits::PRIORITY_STEPS);
            }
            shared.work(role);
        };
        self.started += 1;
        self.shared.roster.lock().add(role);
        // A thread that cannot be started is not counted; the others go on.
        if self.threads.spawn(name, work).is_err() {
            self.shared.roster.lock().remove(role);
        }
    }
}

impl PoolShared {
    /// Runs a worker.
    fn work(&self, role: WorkerRole) {
        let mut inspector = None;
        while let Some(job) = self.next(role, &mut inspector) {
            if !self.run_job(job, role, &mut inspector) {
                return;
            }
        }
    }

    /// Waits for a job, releasing memory that only reading needs first; `None` at the end.
    fn next(&self, role: WorkerRole, inspector: &mut Option<Box<dyn Inspector>>) -> Option<Job> {
        let mut queue = self.queue.lock();
        if !queue.holds_heavy() {
            drop(queue);
            inspector.iter_mut().for_each(|inspector| inspector.release_buffers());
            queue = self.queue.lock();
        }
        loop {
            if self.closed.load(Ordering::SeqCst) {
                return None;
            }
            if let Some(job) = queue.next(role == WorkerRole::LightOnly) {
                return Some(job);
            }
            self.something_waits.wait(&mut queue);
        }
    }

    /// Runs one job. Returns true if the worker may take another: not once the receiver is gone, or the worker was
    /// replaced because the job was written off.
    fn run_job(&self, job: Job, role: WorkerRole, inspector: &mut Option<Box<dyn Inspector>>) -> bool {
        let kind = job.kind();
        let permit = self.permit(&job, inspector);
        if !(self.send_event)(WorkerEvent::Began(job.ticket.clone(), kind)) {
            return false;
        }
        let ticket = job.ticket.clone();
        let begun = Instant::now();
        let number = self.roster.lock().begin(ticket.clone(), kind, role, permit, begun);
        let (make, helpers) = (&self.make_inspector, self.others_are_idle());
        let done = catch_panic(|| Ok(self.carry_out(&job, inspector.get_or_insert_with(|| make()).as_mut(), helpers)));
        let done = done.unwrap_or_else(|fault| {
            // Its state after a panic is not to be trusted.
            *inspector = None;
            JobResult::failed(kind, JobError::Fault(fault))
        });
        let ended = self.roster.lock().end(number, role);
        debug!(picture = ?ticket.key.as_str(), ?kind, took = ?begun.elapsed(), ?ended, "job done");
        match ended {
            JobEnd::InTime => (self.send_event)(WorkerEvent::Done(ticket, done)),
            JobEnd::NeededAgain => true,
            JobEnd::Replaced => false,
        }
    }

    /// True if other workers are idle and no picture is waiting.
    fn others_are_idle(&self) -> bool {
        self.roster.lock().some_are_idle() && !self.queue.lock().holds_heavy()
    }

    /// Returns the memory permit that a job needs; light jobs need none worth counting.
    fn permit(&self, job: &Job, inspector: &mut Option<Box<dyn Inspector>>) -> Option<Permit> {
        match &job.task {
            Task::Pixels(facts) | Task::RereadPixels(facts) => {
                let make = &self.make_inspector;
                let wanted = catch_panic(|| Ok(inspector.get_or_insert_with(|| make()).memory_bytes(facts)));
                Some(self.permits.wait_for(wanted.unwrap_or(limits::MEMORY_BYTES)))
            }
            Task::ConvertThumbnail(..) | Task::Proof(..) | Task::Preview(_) | Task::Header | Task::Colours(..) => None,
        }
    }

    /// Carries out a job's task. `helpers` allows one more thread: other workers are idle.
    fn carry_out(&self, job: &Job, inspector: &mut dyn Inspector, may_use_second_thread: bool) -> JobResult {
        let path = &job.ticket.path;
        match &job.task {
            // Thumbnails in memory come from the bytes that were read, even if the file has changed since.
            Task::ConvertThumbnail(facts, thumbnail) => {
                JobResult::Drawn { upright: inspector.to_screen(path, thumbnail, facts), is_preview: false }
            }
            Task::Proof(facts, thumbnail, request) => {
                let upright = inspector.on_paper(path, thumbnail, facts, request);
                JobResult::Proofed { request: Some(request.clone()), upright }
            }
            Task::Colours(facts, evidence_handle, number) => {
                self.evaluate_colours(&job.ticket, facts, evidence_handle);
                JobResult::Colours(Ok(*number))
            }
            Task::Header => {
                if_unchanged(job, || JobResult::Header(inspector.facts(path).map(Arc::new).map_err(JobError::Fault)))
            }
            Task::Preview(facts) => {
                if_unchanged(job, || JobResult::Drawn { upright: inspector.preview(path, facts), is_preview: true })
            }
            Task::RereadPixels(facts) => if_unchanged(job, || {
                JobResult::Pixels(
                    inspector
                        .evidence(path, facts, may_use_second_thread)
                        .map(ReadPicture::in_memory)
                        .map_err(JobError::Fault),
                )
            }),
            Task::Pixels(facts) => if_unchanged(job, || {
                JobResult::Pixels(self.read_pixels(&job.ticket, facts, inspector, may_use_second_thread))
            }),
        }
    }

    /// Returns the evidence kept from an earlier run, or else measures the pixels.
    fn read_pixels(
        &self,
        ticket: &Ticket,
        facts: &Facts,
        inspector: &mut dyn Inspector,
        may_use_second_thread: bool,
    ) -> Result<ReadPicture, JobError> {
        let EvidenceStores { cache, spill } = &self.stores;
        let evidence = match cache.evidence(ticket) {
            Some(evidence) => evidence,
            None => inspector.evidence(&ticket.path, facts, may_use_second_thread).map_err(JobError::Fault)?,
        };
        check_unchanged(ticket)?;
        cache.keep_evidence(ticket, &evidence);
        let thumbnail = evidence.thumbnail.clone();
        let evidence_handle = spill.put(evidence);
        self.evaluate_colours(ticket, facts, &evidence_handle);
        Ok(ReadPicture { evidence_handle: Arc::new(evidence_handle), thumbnail })
    }

    /// Evaluates the brief's colour requirements for a picture, where not already done.
    fn evaluate_colours(&self, ticket: &Ticket, facts: &Facts, evidence_handle: &EvidenceHandle) {
        // Lost evidence is read again once the picture is judged.
        let Some(evidence) = evidence_handle.evidence() else { return };
        let requests = self.colours.lock().clone();
        for question in requests.iter().flat_map(|request| request.questions(facts, &evidence)) {
            if evidence_handle.has_changes(&question) {
                continue;
            }
            let changes = self.stores.cache.changes(ticket, &question).unwrap_or_else(|| {
                let changes = ColourChanges::of(&question, &evidence);
                self.stores.cache.keep_changes(ticket, &question, &changes);
                changes
            });
            evidence_handle.store_changes(&question, Arc::new(changes));
        }
    }
}

/// Returns the result of reading a file, if the file holds the ticket's bytes before and after.
fn if_unchanged(job: &Job, read: impl FnOnce() -> JobResult) -> JobResult {
    let read = check_unchanged(&job.ticket).map(|()| read());
    let done = read.and_then(|done| check_unchanged(&job.ticket).map(|()| done));
    done.unwrap_or_else(|trouble| JobResult::failed(job.kind(), trouble))
}

/// Checks that the file still holds the ticket's bytes.
fn check_unchanged(ticket: &Ticket) -> Result<(), JobError> {
    match Stamp::of(&ticket.path) {
        Ok(stamp) if stamp == ticket.stamp => Ok(()),
        // The file's record could not be read when the folder was scanned, and cannot be read now.
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(JobError::Fault(error.into())),
        Ok(_) | Err(_) => Err(JobError::Changed),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::evidence_spill::SpillContents;
    use crate::reading::testing::{Reads, inspectors};
    use crossbeam_channel::{Receiver, bounded};
    use std::time::Duration;

    fn header(folder: &tempfile::TempDir, name: &str, text: &str) -> Job {
        let path = folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        let (stamp, key) = (Stamp::of(&path).unwrap(), PictureKey::from_text(name));
        Job { ticket: Ticket { key, path, stamp, version: 1 }, task: Task::Header }
    }

    fn no_stores() -> EvidenceStores {
        EvidenceStores { cache: EvidenceCache::none(), spill: EvidenceSpill::new(SpillContents::Numbers, None) }
    }

    fn pixels(folder: &tempfile::TempDir, name: &str, text: &str) -> Job {
        let facts = Arc::new(crate::reading::testing::facts(2400, 3000));
        Job { task: Task::Pixels(facts), ..header(folder, name, text) }
    }

    /// Starts a pool without stores; returns it with its events.
    fn start(jobs: usize, memory_bytes: u64, reads: &Arc<Reads>) -> (Pool, Receiver<WorkerEvent>) {
        let (events, happening) = bounded(100);
        let work_limits = WorkLimits { jobs, memory_bytes, has_lower_priority: false };
        (Pool::start(work_limits, inspectors(reads), no_stores(), events), happening)
    }

    /// Writes off as many hanging jobs, which must soon count as running: a job reports that it has begun a moment
    /// before.
    fn write_off(pool: &mut Pool, jobs: usize) -> Vec<WorkerEvent> {
        let until = Instant::now() + Duration::from_secs(10);
        let mut written_off = Vec::new();
        while written_off.len() < jobs {
            assert!(Instant::now() < until, "{} of {jobs} are written off", written_off.len());
            written_off.extend(pool.write_off(Instant::now() + 2 * limits::WRITTEN_OFF_AFTER));
            std::thread::yield_now();
        }
        written_off
    }

    fn end(pool: Pool) {
        pool.end().wait_until(Instant::now() + limits::SHUTDOWN_WAIT);
    }

    fn begun(events: &Receiver<WorkerEvent>) {
        assert!(matches!(events.recv_timeout(Duration::from_secs(10)).unwrap(), WorkerEvent::Began(..)));
    }

    fn done(events: &Receiver<WorkerEvent>) -> JobResult {
        loop {
            if let WorkerEvent::Done(_, done) = events.recv_timeout(Duration::from_secs(10)).unwrap() {
                return done;
            }
        }
    }

    #[test]
    fn a_job_that_hangs_is_written_off_and_another_worker_goes_on() {
        let folder = tempfile::tempdir().unwrap();
        let (mut pool, happening) = start(1, 1_000, &Arc::default());
        // One hangs in the worker for light jobs and one in the other: no worker is left.
        for name in ["a.jpg", "b.jpg"] {
            pool.push(header(&folder, name, "hang"));
            begun(&happening);
        }
        assert!(pool.write_off(Instant::now()).is_empty(), "not yet");
        let written_off = write_off(&mut pool, 2);
        let is_fault =
            |event: &WorkerEvent| matches!(event, WorkerEvent::Done(_, JobResult::Header(Err(JobError::Fault(_)))));
        assert!(written_off.len() == 2 && written_off.iter().all(is_fault));
        pool.push(header(&folder, "c.jpg", "2400 3000"));
        assert!(matches!(done(&happening), JobResult::Header(Ok(_))));
        let begin = Instant::now();
        end(pool);
        assert!(begin.elapsed() < limits::SHUTDOWN_WAIT * 3, "the end does not wait for what hangs");
    }

    #[test]
    fn memory_of_a_job_that_is_written_off_is_free_again() {
        let folder = tempfile::tempdir().unwrap();
        // Each of these pictures needs 1 byte.
        let (mut pool, happening) = start(1, 1, &Arc::default());
        pool.push(pixels(&folder, "a.jpg", "hang"));
        begun(&happening);
        write_off(&mut pool, 1);
        pool.push(pixels(&folder, "b.jpg", "2400 3000"));
        assert!(matches!(done(&happening), JobResult::Pixels(Ok(_))));
        end(pool);
    }

    #[test]
    fn a_picture_is_read_however_many_jobs_hang() {
        let folder = tempfile::tempdir().unwrap();
        let (mut pool, happening) = start(2, 100, &Arc::default());
        for number in 0..3 * limits::MAX_WRITTEN_OFF {
            pool.push(pixels(&folder, &format!("{number}.jpg"), "hang"));
            begun(&happening);
            write_off(&mut pool, 1);
        }
        pool.push(pixels(&folder, "sound.jpg", "2400 3000"));
        assert!(matches!(done(&happening), JobResult::Pixels(Ok(_))));
        end(pool);
    }

    #[test]
    fn a_worker_that_hung_works_on_where_no_other_replaced_it() {
        let folder = tempfile::tempdir().unwrap();
        let (mut pool, happening) = start(1, 1, &Arc::default());
        let names: Vec<String> = (0..=limits::MAX_HANGING).map(|number| format!("{number}.jpg")).collect();
        for name in &names {
            pool.push(pixels(&folder, name, "hang"));
            begun(&happening);
            write_off(&mut pool, 1);
        }
        assert_eq!(pool.responsive_workers(), 0);
        // The folder is back: the hanging reads end.
        names.iter().for_each(|name| std::fs::write(folder.path().join(name), "2400 3000").unwrap());
        pool.push(pixels(&folder, "sound.jpg", "2400 3000"));
        assert!(matches!(done(&happening), JobResult::Pixels(Ok(_))));
        assert_eq!(pool.responsive_workers(), 1);
        end(pool);
    }

    #[test]
    fn buffers_are_kept_while_pictures_wait_and_released_when_none_does() {
        let folder = tempfile::tempdir().unwrap();
        let reads = Arc::new(Reads::default());
        let (pool, happening) = start(1, 1, &reads);
        // Others wait while the first is read, and the last of them hangs: the worker has not rested between them.
        pool.prefer(None, vec![PictureKey::from_text("b.jpg")]);
        pool.push(pixels(&folder, "a.jpg", "hang"));
        begun(&happening);
        ["b.jpg", "c.jpg"]
            .iter()
            .zip(["2400 3000", "hang"])
            .for_each(|(name, text)| pool.push(pixels(&folder, name, text)));
        std::fs::write(folder.path().join("a.jpg"), "2400 3000").unwrap();
        assert!(matches!(done(&happening), JobResult::Pixels(Err(JobError::Changed))));
        assert!(matches!(done(&happening), JobResult::Pixels(Ok(_))));
        begun(&happening);
        assert_eq!(reads.rests(), 0);
        std::fs::write(folder.path().join("c.jpg"), "2400 3000").unwrap();
        assert!(matches!(done(&happening), JobResult::Pixels(Err(JobError::Changed))));
        let until = Instant::now() + Duration::from_secs(10);
        while reads.rests() == 0 {
            assert!(Instant::now() < until, "the worker holds on to it");
            std::thread::yield_now();
        }
        end(pool);
    }

    #[test]
    fn a_file_that_changed_since_the_scan_gives_no_result() {
        let folder = tempfile::tempdir().unwrap();
        let (pool, happening) = start(1, 1_000, &Arc::default());
        let job = header(&folder, "a.jpg", "2400 3000");
        std::fs::write(folder.path().join("a.jpg"), "24 30").unwrap();
        pool.push(job);
        assert_eq!(done(&happening), JobResult::Header(Err(JobError::Changed)));
        end(pool);
    }
}
