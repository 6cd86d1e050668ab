//! Events in, effects out.

use crate::judge::acceptance::AcceptanceReason;
use crate::live::limits;
use crate::live::snapshot::{AcceptRequest, ShownProof, ShownRow};
use std::sync::Arc;
use std::time::Duration;

use super::LiveState;
use crate::brief::Brief;
use crate::brief::key::BriefKey;
use crate::brief::key_table;
use crate::colour::{ProofPaper, ProofRendering};

use crate::files::os::FileIdentity;
use crate::judge::subject::{Area, BoxOrigin, Subject};
use crate::judge::{EvidenceHandle, EvidenceSource, Pixels, RowKey, RowState};
use crate::live::effect::Effect;
use crate::live::event::Event;
use crate::live::judge_thread::{JudgeRequest, usual_judge};
use crate::live::snapshot::{LiveCommand, Snapshot, TableRow, Watching};
use crate::measure::Evidence;
use crate::picture::unlisted::NotListed;
use crate::picture::{Fault, FaultKind, PictureKey};
use crate::reading::job::{Job, JobError, JobKind, JobResult, ReadPicture, Task, Ticket};
use crate::reading::scan::{Scan, ScannedFile, Stamp, WriteNotice};
use crate::reading::testing;
use crate::reading::testing::BRIEF;

mod again;
mod briefs;
mod decided;
mod expected;
mod judging;
mod many;
mod shown;
mod written_again;

/// Returns the answer of judging to a question.
fn answer_to(request: &JudgeRequest, took: Duration) -> Event {
    let judgement = usual_judge()()(request.clone(), &|| false).expect("nothing supersedes it");
    Event::Judged { number: request.number, result: Ok(judgement), took }
}

/// Returns the question to judge among these effects, if any.
fn question_in(effects: Vec<Effect>) -> Option<JudgeRequest> {
    effects.into_iter().find_map(|effect| if let Effect::Judge(request) = effect { Some(request) } else { None })
}

/// A live table whose folder and workers are controlled by the test.
struct Bench {
    state: LiveState,
    now: Duration,
    files: Scan,
    snapshot: Option<Snapshot>,
    judged: usize,
    judging_takes: Duration,
}

impl Bench {
    fn new() -> Bench {
        Bench::of(testing::brief(BRIEF))
    }

    fn of(brief: Brief) -> Bench {
        let state = LiveState::new(Arc::new(brief), "exports".into());
        let files = Scan { taken_ns: 1_000_000_000_000, ..Scan::default() };
        Bench { state, now: Duration::from_secs(1), files, snapshot: None, judged: 0, judging_takes: Duration::ZERO }
    }

    /// A live table that has scanned an empty folder.
    fn empty() -> Bench {
        let mut bench = Bench::new();
        bench.look();
        bench.pass(500);
        bench
    }

    /// Adds a file: its size, its inode number, its time in seconds.
    fn put(&mut self, name: &str, bytes: u64, inode: u64, modified_s: i128, last_notice: WriteNotice) {
        let (modified_ns, created_ns) = (modified_s * 1_000_000_000, inode.into());
        let identity = FileIdentity { modified_ns, changed_ns: 0, created_ns, inode, device: 1 };
        let stamp = Stamp { bytes, identity };
        let scanned = ScannedFile { path: name.into(), name_is_utf8: true, stamp, last_notice };
        self.files.files.insert(PictureKey::from_text(name), scanned);
    }

    /// Takes in one event; requested judgements are made at once.
    fn event(&mut self, event: Event) -> Vec<Effect> {
        let mut orders = self.state.update(event, self.now);
        while let Some(at) = orders.iter().position(|order| matches!(order, Effect::Judge(..))) {
            let Effect::Judge(request) = orders.remove(at) else { unreachable!() };
            self.judged += 1;
            orders.extend(self.state.update(answer_to(&request, self.judging_takes), self.now));
        }
        self.snapshot = self.state.take_snapshot().or(self.snapshot.take());
        orders
    }

    fn look(&mut self) -> Vec<Effect> {
        self.event(Event::Scanned(self.files.clone(), Watching::Notified))
    }

    /// Lets time pass.
    fn pass(&mut self, ms: u64) -> Vec<Effect> {
        self.now += Duration::from_millis(ms);
        self.event(Event::Tick)
    }

    /// Answers a job as sound; returns the effects that follow.
    fn answer(&mut self, job: &Job, width_px: u32) -> Vec<Effect> {
        self.event(Event::Began(job.ticket.clone(), job.kind()));
        let sha256 = format!("{} {width_px}", job.ticket.version);
        let done = match job.kind() {
            JobKind::Header => JobResult::Header(Ok(Arc::new(testing::facts(width_px, 3000)))),
            JobKind::Colours => {
                let Task::Colours(_, _, number) = job.task else { unreachable!() };
                JobResult::Colours(Ok(number))
            }
            _ => JobResult::Pixels(Ok(ReadPicture::in_memory(testing::evidence(&sha256)))),
        };
        self.event(Event::Worked(job.ticket.clone(), done))
    }

    /// Reads header and pixels for every read requested in these effects, and lets the result be judged.
    fn read_all(&mut self, orders: &[Effect], width_px: u32) {
        let mut waiting = jobs(orders);
        while let Some(job) = waiting.pop() {
            waiting.extend(jobs(&self.answer(&job, width_px)));
        }
        self.pass(500);
    }

    /// A live table with one sound, judged picture.
    fn with_one(width_px: u32) -> Bench {
        Bench::of_one(testing::brief(BRIEF), width_px)
    }

    /// The same state under another brief.
    fn of_one(brief: Brief, width_px: u32) -> Bench {
        let mut bench = Bench::of(brief);
        bench.put("a.jpg", 100, 7, 10, WriteNotice::None);
        let orders = bench.look();
        bench.read_all(&orders, width_px);
        bench
    }

    /// A live table that has scanned `count` pictures and read none; also returns the jobs it requests.
    fn with_many(count: usize) -> (Bench, Vec<Job>) {
        let mut bench = Bench::new();
        for at in 0..count {
            bench.put(&format!("{at}.jpg"), 100, at as u64, 10, WriteNotice::None);
        }
        let headers = jobs(&bench.look());
        (bench, headers)
    }

    /// Exports the picture again, and reads it.
    fn export_again(&mut self, width_px: u32) {
        self.put("a.jpg", u64::from(width_px), 7, 999, WriteNotice::Closed);
        self.look();
        self.pass(500);
        let orders = self.look();
        self.read_all(&orders, width_px);
    }

    fn row(&self) -> &TableRow {
        &self.snapshot.as_ref().unwrap().rows[0]
    }

    fn notice(&self) -> &str {
        self.snapshot.as_ref().unwrap().notice.as_ref().map_or("", |notice| &notice.words)
    }
}

fn jobs(orders: &[Effect]) -> Vec<Job> {
    let job = |order: &Effect| match order {
        Effect::Read(job) => Some(job.clone()),
        _ => None,
    };
    orders.iter().filter_map(job).collect()
}

fn kinds(orders: &[Effect]) -> Vec<JobKind> {
    jobs(orders).iter().map(Job::kind).collect()
}

#[test]
fn what_lay_there_is_read_at_once_and_judged() {
    let bench = Bench::with_one(2400);
    assert_eq!(bench.row().state_now(), RowState::Pass);
    let snapshot = bench.snapshot.as_ref().unwrap();
    assert!(snapshot.is_quiet() && snapshot.totals.pass == 1 && snapshot.newest.is_none());
}

#[test]
fn what_cannot_be_listed_is_found_of_the_order_as_long_as_it_is_there() {
    let mut bench = Bench::with_one(2400);
    let mut found = |unlisted: &[(PictureKey, NotListed)]| {
        bench.files.unlisted = unlisted.iter().cloned().collect();
        bench.look();
        bench.pass(500);
        bench.snapshot.as_ref().unwrap().order_findings.iter().map(|one| one.rule.id).collect::<Vec<_>>()
    };
    let dead = [(PictureKey::from_text("b.jpg"), NotListed::DeadLink)];
    assert_eq!((found(&dead), found(&[])), (vec!["set.unlisted"], vec![]));
}

#[test]
fn rows_wait_for_judgings_share_of_the_time_unless_nothing_more_comes() {
    let mut bench = Bench { judging_takes: Duration::from_secs(1), ..Bench::new() };
    for (name, inode) in [("a.jpg", 7), ("b.jpg", 8), ("c.jpg", 9)] {
        bench.put(name, 100, inode, 10, WriteNotice::None);
    }
    let headers = jobs(&bench.look());
    let pixels: Vec<Job> = headers.iter().flat_map(|job| jobs(&bench.answer(job, 2400))).collect();
    bench.answer(&pixels[0], 2400);
    bench.pass(10_000);
    let judged = bench.judged;
    bench.answer(&pixels[1], 2400);
    bench.pass(1_000);
    assert_eq!(bench.judged, judged, "the third may come any moment");
    bench.answer(&pixels[2], 2400);
    bench.pass(100);
    assert_eq!((bench.judged, bench.snapshot.as_ref().unwrap().totals.pass), (judged + 1, 3));
}

#[test]
fn a_picture_is_read_again_once_what_was_counted_of_it_is_lost() {
    /// A failing disk.
    #[derive(Debug)]
    struct Lost;
    impl EvidenceSource for Lost {
        fn evidence(&self) -> Option<Arc<Evidence>> {
            None
        }
    }
    let mut bench = Bench::with_one(2400);
    let before = bench.row().row.clone();
    let evidence = testing::evidence(&before.sha256.clone().unwrap());
    let lost = Pixels::Read(Arc::new(EvidenceHandle::stored(&evidence, Arc::new(Lost))));
    bench.state.entries.change(&PictureKey::from_text("a.jpg"), |entry| entry.pixels = lost).unwrap();
    bench.event(Event::BriefRead(Ok(Arc::new(testing::brief("[[print]]\nsize = \"8 x 10 in\"\n\n")))));
    let orders = bench.pass(500);
    assert_eq!((kinds(&orders), bench.row().state_now()), (vec![JobKind::Pixels], RowState::Checking));
    assert_eq!(bench.snapshot.as_ref().unwrap().work.waiting, 1);
    bench.read_all(&orders, 2400);
    assert_eq!((&bench.row().row, bench.judged), (&before, 3));
}

#[test]
fn a_brief_of_the_same_bytes_whose_profile_changed_is_judged_anew() {
    let mut bench = Bench::with_one(2400);
    let (judged, mut brief) = (bench.judged, Brief::clone(&bench.state.brief.good));
    bench.event(Event::BriefRead(Ok(Arc::new(brief.clone()))));
    bench.pass(500);
    assert_eq!(bench.judged, judged, "nothing is asked that was not asked before");
    // The profile determines how dense the paper's black is.
    Arc::make_mut(&mut brief.prints[0].requirements).paper.dmax = 1.0;
    bench.event(Event::BriefRead(Ok(Arc::new(brief))));
    bench.pass(500);
    assert_eq!(bench.judged, judged + 1);
}

#[test]
fn a_growing_file_is_arriving_and_is_read_once_its_writer_closed_it() {
    let mut bench = Bench::empty();
    for bytes in [10, 20, 30] {
        bench.put("a.jpg", bytes, 7, 1_000, WriteNotice::Open);
        assert_eq!(kinds(&bench.look()), []);
        bench.pass(500);
        assert_eq!((bench.row().state_now(), bench.row().arriving_bytes), (RowState::Arriving, Some(bytes)));
    }
    bench.put("a.jpg", 30, 7, 1_000, WriteNotice::Closed);
    let orders = bench.look();
    assert_eq!(kinds(&orders), [JobKind::Header]);
    assert_eq!(kinds(&bench.look()), [], "it is read once");
    bench.read_all(&orders, 2400);
    assert_eq!(bench.row().state_now(), RowState::Pass);
    assert_eq!(bench.snapshot.as_ref().unwrap().newest, Some(PictureKey::from_text("a.jpg")));
}

#[test]
fn how_long_a_file_must_lie_still_depends_on_what_is_known_of_its_writer() {
    for (word, bytes, quiet) in [
        (WriteNotice::Closed, 9, limits::QUIET_AFTER_CLOSE),
        (WriteNotice::Closed, 0, limits::QUIET_WITHOUT_NOTICE),
        (WriteNotice::None, 9, limits::QUIET_WITHOUT_NOTICE),
        (WriteNotice::Open, 9, limits::QUIET_WHILE_OPEN),
    ] {
        let mut bench = Bench::empty();
        bench.put("a.jpg", bytes, 7, 1_000, word);
        let orders = bench.look();
        assert!(orders.contains(&Effect::ScanAfter(quiet)), "{word:?}: {orders:?}");
        bench.now += quiet - Duration::from_millis(1);
        assert_eq!(kinds(&bench.look()), [], "{word:?}");
        bench.now += Duration::from_millis(1);
        assert_eq!(kinds(&bench.look()), [JobKind::Header], "{word:?}");
    }
}

#[test]
fn the_old_verdict_stays_dimmed_until_the_new_one_is_there_and_the_row_knows_both() {
    let mut bench = Bench::with_one(1400);
    assert_eq!(bench.row().row.state, RowState::Fix);
    bench.put("a.jpg", 200, 7, 999, WriteNotice::Closed);
    bench.look();
    bench.pass(500);
    assert_eq!((bench.row().row.state, bench.row().state_now()), (RowState::Fix, RowState::Arriving));
    let orders = bench.look();
    let orders = bench.answer(&jobs(&orders)[0], 2400);
    bench.pass(500);
    assert_eq!((bench.row().row.state, bench.row().dimmed), (RowState::Fix, true));
    assert_eq!(bench.row().row.facts.as_ref().unwrap().width_px, 2400, "facts show at once");
    bench.read_all(&orders, 2400);
    let before = bench.row().export_change.clone().unwrap();
    assert_eq!((bench.row().row.state, bench.row().dimmed), (RowState::Pass, false));
    assert_eq!((before.state_before, before.first_state), (RowState::Fix, RowState::Pass));
    assert_eq!(before.density, Some(["175 ppi", "300 ppi"].map(str::to_owned)));
    assert!(before.fixed.iter().any(|finding| finding.rule.id == "density.minimum") && before.new.is_empty());
    assert_eq!(bench.notice(), "a.jpg: FIX changed to PASS");
}

#[test]
fn a_result_for_other_bytes_is_thrown_away() {
    let mut bench = Bench::new();
    bench.put("a.jpg", 100, 7, 10, WriteNotice::None);
    let old = jobs(&bench.look()).remove(0);
    bench.put("a.jpg", 101, 7, 11, WriteNotice::Closed);
    bench.look();
    assert_eq!(kinds(&bench.answer(&old, 2400)), []);
    bench.pass(500);
    assert_eq!(bench.row().state_now(), RowState::Arriving);
    assert!(bench.row().row.facts.is_none());
}

#[test]
fn a_file_that_changed_while_it_was_read_is_looked_at_again_and_not_at_fault() {
    let mut bench = Bench::new();
    bench.put("a.jpg", 100, 7, 10, WriteNotice::None);
    let job = jobs(&bench.look()).remove(0);
    let orders = bench.event(Event::Worked(job.ticket, JobResult::Header(Err(JobError::Changed))));
    assert!(orders.contains(&Effect::ScanAfter(Duration::ZERO)));
    bench.pass(500);
    assert_eq!(bench.row().state_now(), RowState::Arriving);
}

#[test]
fn another_name_for_the_same_content_is_not_read_again() {
    let mut bench = Bench::with_one(2400);
    bench.files.files.clear();
    bench.put("b.jpg", 100, 7, 10, WriteNotice::Closed);
    let mut orders = bench.look();
    orders.extend(bench.pass(500));
    assert_eq!(kinds(&orders), []);
    assert_eq!(bench.row().row.key.picture, Some(PictureKey::from_text("b.jpg")));
    assert_eq!(bench.row().state_now(), RowState::Pass);
    assert_eq!(bench.notice(), "a.jpg renamed to b.jpg");
}

#[test]
fn the_progress_never_counts_more_pictures_than_there_are() {
    let mut bench = Bench::new();
    for number in 0..10 {
        bench.put(&format!("{number}.jpg"), 100, number, 10, WriteNotice::None);
    }
    let mut waiting = jobs(&bench.look());
    while let Some(job) = waiting.pop() {
        waiting.extend(jobs(&bench.answer(&job, 2400)));
        let work = &bench.snapshot.as_ref().unwrap().work;
        assert!(work.done + work.waiting + work.reading.len() <= 10, "{work:?}");
        bench.now += Duration::from_millis(3);
    }
}

#[test]
fn a_folder_that_is_copied_in_arrives_as_one() {
    let mut bench = Bench::empty();
    for number in 0..5 {
        bench.put(&format!("{number}.jpg"), 100, number, 1_000, WriteNotice::Closed);
        bench.look();
        bench.pass(500);
    }
    assert_eq!(bench.notice(), "5 pictures arrived");
    bench.pass(60_000);
    bench.put("late.jpg", 100, 99, 1_000, WriteNotice::Closed);
    bench.look();
    bench.pass(500);
    assert_eq!(bench.notice(), "late.jpg arrived");
}

#[test]
fn a_look_that_was_asked_for_says_that_it_found_nothing_new() {
    let mut bench = Bench::with_one(2400);
    bench.event(Event::Asked(LiveCommand::Rescan));
    bench.look();
    assert_eq!(bench.notice(), "folder read again: nothing new");
    bench.event(Event::Asked(LiveCommand::Rescan));
    bench.put("b.jpg", 100, 8, 1_000, WriteNotice::Closed);
    bench.look();
    bench.pass(500);
    assert_eq!(bench.notice(), "b.jpg arrived");
}

#[test]
fn a_file_deleted_and_written_again_finds_its_earlier_verdict() {
    let mut bench = Bench::with_one(1400);
    let there = std::mem::take(&mut bench.files.files);
    bench.look();
    bench.pass(500);
    bench.files.files = there;
    bench.put("a.jpg", 222, 9, 1_000, WriteNotice::Closed);
    bench.look();
    bench.pass(200);
    let orders = bench.look();
    bench.read_all(&orders, 2400);
    assert_eq!(bench.row().export_change.as_ref().map(|before| before.state_before), Some(RowState::Fix));
}

#[test]
fn results_that_stream_in_are_judged_together() {
    let mut bench = Bench::new();
    for n in 0..200 {
        bench.put(&format!("{n}.jpg"), 100, n, 10, WriteNotice::None);
    }
    let orders = bench.look();
    let begin = bench.now;
    for job in jobs(&orders) {
        bench.now += Duration::from_millis(1);
        bench.answer(&job, 2400);
    }
    let most = (bench.now - begin).as_millis() / limits::JUDGE_PACE.as_millis() + 1;
    assert!(bench.judged as u128 <= most, "judged {} times", bench.judged);
}

#[test]
fn an_unchanged_row_is_the_very_same_one() {
    let mut bench = Bench::with_one(2400);
    let first = bench.snapshot.as_ref().unwrap().rows[0].clone();
    bench.put("b.jpg", 5, 8, 1_000, WriteNotice::Open);
    bench.look();
    bench.pass(500);
    let rows = &bench.snapshot.as_ref().unwrap().rows;
    assert!(rows.len() == 2 && rows.iter().any(|row| Arc::ptr_eq(row, &first)));
}
