//! The judging thread: it takes the newest request, and sends its judgement as an event. The thread that takes commands
//! never waits for it.
//!
//! Rows are judged in parallel (`judge.rs`). A newer request makes it abandon the current one between two rows.

use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

use crossbeam_channel::{Receiver, Sender, bounded};
use parking_lot::Mutex;
use tracing::debug;

use crate::brief::Brief;
use crate::decisions::Decisions;
use crate::judge::{FolderContents, IsSuperseded, Judgement, Row, RowMemo, judge_unless_superseded};
use crate::reading::fence::panic_message;
use crate::reading::threads::ThreadGroup;

use super::carried_boxes::CarriedBoxes;
use super::event::Event;

/// A request for a judgement: everything known at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgeRequest {
    /// Increases with each request; a judgement carries its request's number.
    pub number: u64,
    /// The brief.
    pub brief: Arc<Brief>,
    /// The user's decisions.
    pub decisions: Arc<Decisions>,
    /// The files; the judging thread finds the positions of the subjects' boxes in them.
    pub contents: FolderContents,
}

/// Judges one request after another, remembering rows between them; returns `None` if a newer request superseded it.
pub type Judge = Box<dyn FnMut(JudgeRequest, IsSuperseded) -> Option<Judgement<Arc<Row>>> + Send>;

/// Makes the judging function: once at the start, and again after a panic.
pub type MakeJudge = Arc<dyn Fn() -> Judge + Send + Sync>;

/// Returns the usual judging of `judge.rs`, with its memory of rows and boxes.
pub fn usual_judge() -> MakeJudge {
    Arc::new(|| {
        let (mut memo, mut boxes) = (RowMemo::default(), CarriedBoxes::default());
        Box::new(move |mut request, is_superseded| {
            boxes.carry(&mut request.contents.files, &request.decisions, is_superseded);
            if is_superseded() {
                return None;
            }
            judge_unless_superseded(&request.brief, &request.contents, &mut memo, is_superseded)
        })
    })
}

/// The judging thread, and the means to send it requests.
pub struct JudgeThread {
    pending: Arc<PendingRequest>,
    /// Dropped to end the thread. Room for one: a second wake-up adds nothing.
    wake: Sender<()>,
    threads: ThreadGroup,
}

/// The waiting request: only the newest, since it covers everything in an older one.
#[derive(Default)]
struct PendingRequest {
    waiting: Mutex<Option<JudgeRequest>>,
    /// The number of the newest request; checked between rows while judging.
    newest: AtomicU64,
}

impl JudgeThread {
    /// Starts the thread. It sends [`Event::Judged`].
    ///
    /// # Errors
    /// If the system cannot start a thread.
    pub fn start(make: MakeJudge, events: Sender<Event>) -> io::Result<JudgeThread> {
        let (wake, woken) = bounded(1);
        let (pending, threads) = (Arc::<PendingRequest>::default(), ThreadGroup::default());
        let shared = Arc::clone(&pending);
        threads.spawn("judge".to_owned(), move || run(&shared, &woken, &make, &events))?;
        Ok(JudgeThread { pending, wake, threads })
    }

    /// Sends a request, replacing any that waits. Never waits itself.
    pub fn ask(&self, request: JudgeRequest) {
        self.pending.newest.store(request.number, Ordering::Relaxed);
        *self.pending.waiting.lock() = Some(request);
        // Full: the thread is already being woken.
        let _ = self.wake.try_send(());
    }

    /// Ends the thread: no judgement is wanted any more. Returns the thread to wait for.
    pub fn end(self) -> ThreadGroup {
        self.pending.newest.store(u64::MAX, Ordering::Relaxed);
        *self.pending.waiting.lock() = None;
        self.threads
    }
}

/// Judges until the sender of requests or the receiver of events is gone.
fn run(pending: &PendingRequest, woken: &Receiver<()>, make: &MakeJudge, events: &Sender<Event>) {
    let mut judge = make();
    while woken.recv().is_ok() {
        let Some(request) = pending.waiting.lock().take() else { continue };
        let number = request.number;
        let is_superseded = || pending.newest.load(Ordering::Relaxed) != number;
        let begin = Instant::now();
        let judged = catch_unwind(AssertUnwindSafe(|| judge(request, &is_superseded)));
        let result = match judged {
            Ok(None) => {
                debug!(number, took = ?begin.elapsed(), "judging superseded");
                continue;
            }
            Ok(Some(judgement)) => {
                debug!(number, rows = judgement.rows.len(), took = ?begin.elapsed(), "judged");
                Ok(judgement)
            }
            Err(panic) => {
                // Its state after a panic is not to be trusted.
                judge = make();
                Err(panic_message(panic.as_ref()).into())
            }
        };
        if events.send(Event::Judged { number, result, took: begin.elapsed() }).is_err() {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::testing::{BRIEF, brief};
    use std::sync::atomic::AtomicUsize;
    use std::time::Duration;

    const PATIENCE: Duration = Duration::from_secs(15);

    fn request(number: u64) -> JudgeRequest {
        JudgeRequest {
            number,
            brief: Arc::new(brief(BRIEF)),
            decisions: Arc::default(),
            contents: FolderContents::default(),
        }
    }

    fn judgement(events: &Receiver<Event>) -> (u64, Result<Judgement<Arc<Row>>, Arc<str>>) {
        match events.recv_timeout(PATIENCE).unwrap() {
            Event::Judged { number, result, .. } => (number, result),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn only_the_newest_request_is_judged() {
        let (begin, begun) = bounded(1);
        let make: MakeJudge = Arc::new(move || {
            let begin = begin.clone();
            Box::new(move |request, is_superseded| {
                if request.number > 1 {
                    return Some(Judgement::default());
                }
                begin.send(()).unwrap();
                let since = Instant::now();
                while !is_superseded() {
                    assert!(since.elapsed() < PATIENCE, "it is never superseded");
                    std::thread::yield_now();
                }
                None
            })
        });
        let (sender, events) = bounded(4);
        let judging = JudgeThread::start(make, sender).unwrap();
        judging.ask(request(1));
        begun.recv_timeout(PATIENCE).unwrap();
        judging.ask(request(2));
        judging.ask(request(3));
        let (mut number, _) = judgement(&events);
        // The second may have been taken before the third was sent.
        if number == 2 {
            number = judgement(&events).0;
        }
        assert_eq!(number, 3);
        assert!(judging.end().wait_until(Instant::now() + PATIENCE));
        assert!(events.recv().is_err(), "nothing more is told");
    }

    #[test]
    fn a_panic_is_reported_and_the_next_request_finds_a_new_judge() {
        let made = Arc::new(AtomicUsize::new(0));
        let counted = made.clone();
        let make: MakeJudge = Arc::new(move || {
            counted.fetch_add(1, Ordering::SeqCst);
            Box::new(
                |request, _| if request.number == 1 { panic!("row {} of 8", 9) } else { Some(Judgement::default()) },
            )
        });
        let (sender, events) = bounded(4);
        let judging = JudgeThread::start(make, sender).unwrap();
        judging.ask(request(1));
        assert_eq!(judgement(&events), (1, Err("row 9 of 8".into())));
        judging.ask(request(2));
        assert_eq!(judgement(&events), (2, Ok(Judgement::default())));
        assert_eq!(made.load(Ordering::SeqCst), 2);
    }

    #[test]
    fn the_thread_ends_while_a_judgement_is_under_way() {
        let make: MakeJudge = Arc::new(|| {
            Box::new(|_, is_superseded| {
                let since = Instant::now();
                while !is_superseded() && since.elapsed() < PATIENCE {
                    std::thread::yield_now();
                }
                None
            })
        });
        let (sender, _events) = bounded(4);
        let judging = JudgeThread::start(make, sender).unwrap();
        judging.ask(request(1));
        assert!(judging.end().wait_until(Instant::now() + PATIENCE / 2));
    }
}
