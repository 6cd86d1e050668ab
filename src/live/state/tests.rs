//! Events in, effects out.

use crate::judge::acceptance::AcceptanceReason;
use crate::live::limits;
use crate::live::snapshot::{AcceptRequest, ShownFinding, ShownProof};
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
struct SteppedTable {
    state: LiveState,
    now: Duration,
    files: Scan,
    snapshot: Option<Snapshot>,
    judged: usize,
    judging_takes: Duration,
}

impl SteppedTable {
    fn new() -> SteppedTable {
        SteppedTable::of(testing::brief(BRIEF))
    }

    fn of(brief: Brief) -> SteppedTable {
        let state = LiveState::new(Arc::new(brief), "exports".into());
        let files = Scan { taken_ns: 1_000_000_000_000, ..Scan::default() };
        SteppedTable {
            state,
            now: Duration::from_secs(1),
            files,
            snapshot: None,
            judged: 0,
            judging_takes: Duration::ZERO,
        }
    }

    /// A live table that has scanned an empty folder.
    fn empty() -> SteppedTable {
        let mut table = SteppedTable::new();
        table.look();
        table.pass(500);
        table
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
        self.event(Event::JobDone(job.ticket.clone(), done))
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
    fn with_one(width_px: u32) -> SteppedTable {
        SteppedTable::of_one(testing::brief(BRIEF), width_px)
    }

    /// The same state under another brief.
    fn of_one(brief: Brief, width_px: u32) -> SteppedTable {
        let mut table = SteppedTable::of(brief);
        table.put("a.jpg", 100, 7, 10, WriteNotice::None);
        let orders = table.look();
        table.read_all(&orders, width_px);
        table
    }

    /// A live table that has scanned `count` pictures and read none; also returns the jobs it requests.
    fn with_many(count: usize) -> (SteppedTable, Vec<Job>) {
        let mut table = SteppedTable::new();
        for at in 0..count {
            table.put(&format!("{at}.jpg"), 100, at as u64, 10, WriteNotice::None);
        }
        let headers = jobs(&table.look());
        (table, headers)
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
    let table = SteppedTable::with_one(2400);
    assert_eq!(table.row().state_now(), RowState::Pass);
    let snapshot = table.snapshot.as_ref().unwrap();
    assert!(snapshot.is_quiet() && snapshot.totals.pass == 1 && snapshot.newest.is_none());
}

#[test]
fn what_cannot_be_listed_is_found_of_the_order_as_long_as_it_is_there() {
    let mut table = SteppedTable::with_one(2400);
    let mut found = |unlisted: &[(PictureKey, NotListed)]| {
        table.files.unlisted = unlisted.iter().cloned().collect();
        table.look();
        table.pass(500);
        table.snapshot.as_ref().unwrap().order_findings.iter().map(|one| one.rule.id).collect::<Vec<_>>()
    };
    let dead = [(PictureKey::from_text("b.jpg"), NotListed::DeadLink)];
    assert_eq!((found(&dead), found(&[])), (vec!["set.unlisted"], vec![]));
}

#[test]
fn rows_wait_for_judgings_share_of_the_time_unless_nothing_more_comes() {
    let mut table = SteppedTable { judging_takes: Duration::from_secs(1), ..SteppedTable::new() };
    for (name, inode) in [("a.jpg", 7), ("b.jpg", 8), ("c.jpg", 9)] {
        table.put(name, 100, inode, 10, WriteNotice::None);
    }
    let headers = jobs(&table.look());
    let pixels: Vec<Job> = headers.iter().flat_map(|job| jobs(&table.answer(job, 2400))).collect();
    table.answer(&pixels[0], 2400);
    table.pass(10_000);
    let judged = table.judged;
    table.answer(&pixels[1], 2400);
    table.pass(1_000);
    assert_eq!(table.judged, judged, "the third may come any moment");
    table.answer(&pixels[2], 2400);
    table.pass(100);
    assert_eq!((table.judged, table.snapshot.as_ref().unwrap().totals.pass), (judged + 1, 3));
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
    let mut table = SteppedTable::with_one(2400);
    let before = table.row().row.clone();
    let evidence = testing::evidence(&before.sha256.clone().unwrap());
    let lost = Pixels::Read(Arc::new(EvidenceHandle::stored(&evidence, Arc::new(Lost))));
    table.state.entries.change(&PictureKey::from_text("a.jpg"), |entry| entry.pixels = lost).unwrap();
    table.event(Event::BriefRead(Ok(Arc::new(testing::brief("[[print]]\nsize = \"8 x 10 in\"\n\n")))));
    let orders = table.pass(500);
    assert_eq!((kinds(&orders), table.row().state_now()), (vec![JobKind::Pixels], RowState::Checking));
    assert_eq!(table.snapshot.as_ref().unwrap().work.waiting, 1);
    table.read_all(&orders, 2400);
    assert_eq!((&table.row().row, table.judged), (&before, 3));
}

#[test]
fn a_brief_of_the_same_bytes_whose_profile_changed_is_judged_anew() {
    let mut table = SteppedTable::with_one(2400);
    let (judged, mut brief) = (table.judged, Brief::clone(&table.state.brief.last_valid));
    table.event(Event::BriefRead(Ok(Arc::new(brief.clone()))));
    table.pass(500);
    assert_eq!(table.judged, judged, "nothing is asked that was not asked before");
    // The profile determines how dense the paper's black is.
    Arc::make_mut(&mut brief.prints[0].requirements).paper.dmax = 1.0;
    table.event(Event::BriefRead(Ok(Arc::new(brief))));
    table.pass(500);
    assert_eq!(table.judged, judged + 1);
}

#[test]
fn a_growing_file_is_arriving_and_is_read_once_its_writer_closed_it() {
    let mut table = SteppedTable::empty();
    for bytes in [10, 20, 30] {
        table.put("a.jpg", bytes, 7, 1_000, WriteNotice::Open);
        assert_eq!(kinds(&table.look()), []);
        table.pass(500);
        assert_eq!((table.row().state_now(), table.row().arriving_bytes), (RowState::Arriving, Some(bytes)));
    }
    table.put("a.jpg", 30, 7, 1_000, WriteNotice::Closed);
    let orders = table.look();
    assert_eq!(kinds(&orders), [JobKind::Header]);
    assert_eq!(kinds(&table.look()), [], "it is read once");
    table.read_all(&orders, 2400);
    assert_eq!(table.row().state_now(), RowState::Pass);
    assert_eq!(table.snapshot.as_ref().unwrap().newest, Some(PictureKey::from_text("a.jpg")));
}

#[test]
fn how_long_a_file_must_lie_still_depends_on_what_is_known_of_its_writer() {
    for (word, bytes, quiet) in [
        (WriteNotice::Closed, 9, limits::QUIET_AFTER_CLOSE),
        (WriteNotice::Closed, 0, limits::QUIET_WITHOUT_NOTICE),
        (WriteNotice::None, 9, limits::QUIET_WITHOUT_NOTICE),
        (WriteNotice::Open, 9, limits::QUIET_WHILE_OPEN),
    ] {
        let mut table = SteppedTable::empty();
        table.put("a.jpg", bytes, 7, 1_000, word);
        let orders = table.look();
        assert!(orders.contains(&Effect::ScanAfter(quiet)), "{word:?}: {orders:?}");
        table.now += quiet - Duration::from_millis(1);
        assert_eq!(kinds(&table.look()), [], "{word:?}");
        table.now += Duration::from_millis(1);
        assert_eq!(kinds(&table.look()), [JobKind::Header], "{word:?}");
    }
}

#[test]
fn the_old_verdict_stays_dimmed_until_the_new_one_is_there_and_the_row_knows_both() {
    let mut table = SteppedTable::with_one(1400);
    assert_eq!(table.row().row.state, RowState::Fix);
    table.put("a.jpg", 200, 7, 999, WriteNotice::Closed);
    table.look();
    table.pass(500);
    assert_eq!((table.row().row.state, table.row().state_now()), (RowState::Fix, RowState::Arriving));
    let orders = table.look();
    let orders = table.answer(&jobs(&orders)[0], 2400);
    table.pass(500);
    assert_eq!((table.row().row.state, table.row().is_outdated), (RowState::Fix, true));
    assert_eq!(table.row().row.facts.as_ref().unwrap().width_px, 2400, "facts show at once");
    table.read_all(&orders, 2400);
    let before = table.row().export_change.clone().unwrap();
    assert_eq!((table.row().row.state, table.row().is_outdated), (RowState::Pass, false));
    assert_eq!((before.state_before, before.first_state), (RowState::Fix, RowState::Pass));
    assert_eq!(before.density, Some(["175 ppi", "300 ppi"].map(str::to_owned)));
    assert!(before.fixed.iter().any(|finding| finding.rule.id == "density.minimum") && before.new.is_empty());
    assert_eq!(table.notice(), "a.jpg: FIX changed to PASS");
}

#[test]
fn a_result_for_other_bytes_is_thrown_away() {
    let mut table = SteppedTable::new();
    table.put("a.jpg", 100, 7, 10, WriteNotice::None);
    let old = jobs(&table.look()).remove(0);
    table.put("a.jpg", 101, 7, 11, WriteNotice::Closed);
    table.look();
    assert_eq!(kinds(&table.answer(&old, 2400)), []);
    table.pass(500);
    assert_eq!(table.row().state_now(), RowState::Arriving);
    assert!(table.row().row.facts.is_none());
}

#[test]
fn a_file_that_changed_while_it_was_read_is_looked_at_again_and_not_at_fault() {
    let mut table = SteppedTable::new();
    table.put("a.jpg", 100, 7, 10, WriteNotice::None);
    let job = jobs(&table.look()).remove(0);
    let orders = table.event(Event::JobDone(job.ticket, JobResult::Header(Err(JobError::Changed))));
    assert!(orders.contains(&Effect::ScanAfter(Duration::ZERO)));
    table.pass(500);
    assert_eq!(table.row().state_now(), RowState::Arriving);
}

#[test]
fn another_name_for_the_same_content_is_not_read_again() {
    let mut table = SteppedTable::with_one(2400);
    table.files.files.clear();
    table.put("b.jpg", 100, 7, 10, WriteNotice::Closed);
    let mut orders = table.look();
    orders.extend(table.pass(500));
    assert_eq!(kinds(&orders), []);
    assert_eq!(table.row().row.key.picture, Some(PictureKey::from_text("b.jpg")));
    assert_eq!(table.row().state_now(), RowState::Pass);
    assert_eq!(table.notice(), "a.jpg renamed to b.jpg");
}

#[test]
fn the_progress_never_counts_more_pictures_than_there_are() {
    let mut table = SteppedTable::new();
    for number in 0..10 {
        table.put(&format!("{number}.jpg"), 100, number, 10, WriteNotice::None);
    }
    let mut waiting = jobs(&table.look());
    while let Some(job) = waiting.pop() {
        waiting.extend(jobs(&table.answer(&job, 2400)));
        let work = &table.snapshot.as_ref().unwrap().work;
        assert!(work.done + work.waiting + work.reading.len() <= 10, "{work:?}");
        table.now += Duration::from_millis(3);
    }
}

#[test]
fn a_folder_that_is_copied_in_arrives_as_one() {
    let mut table = SteppedTable::empty();
    for number in 0..5 {
        table.put(&format!("{number}.jpg"), 100, number, 1_000, WriteNotice::Closed);
        table.look();
        table.pass(500);
    }
    assert_eq!(table.notice(), "5 pictures arrived");
    table.pass(60_000);
    table.put("late.jpg", 100, 99, 1_000, WriteNotice::Closed);
    table.look();
    table.pass(500);
    assert_eq!(table.notice(), "late.jpg arrived");
}

#[test]
fn a_look_that_was_asked_for_says_that_it_found_nothing_new() {
    let mut table = SteppedTable::with_one(2400);
    table.event(Event::Command(LiveCommand::Rescan));
    table.look();
    assert_eq!(table.notice(), "folder read again: nothing new");
    table.event(Event::Command(LiveCommand::Rescan));
    table.put("b.jpg", 100, 8, 1_000, WriteNotice::Closed);
    table.look();
    table.pass(500);
    assert_eq!(table.notice(), "b.jpg arrived");
}

#[test]
fn a_file_deleted_and_written_again_finds_its_earlier_verdict() {
    let mut table = SteppedTable::with_one(1400);
    let there = std::mem::take(&mut table.files.files);
    table.look();
    table.pass(500);
    table.files.files = there;
    table.put("a.jpg", 222, 9, 1_000, WriteNotice::Closed);
    table.look();
    table.pass(200);
    let orders = table.look();
    table.read_all(&orders, 2400);
    assert_eq!(table.row().export_change.as_ref().map(|before| before.state_before), Some(RowState::Fix));
}

#[test]
fn results_that_stream_in_are_judged_together() {
    let mut table = SteppedTable::new();
    for n in 0..200 {
        table.put(&format!("{n}.jpg"), 100, n, 10, WriteNotice::None);
    }
    let orders = table.look();
    let begin = table.now;
    for job in jobs(&orders) {
        table.now += Duration::from_millis(1);
        table.answer(&job, 2400);
    }
    let most = (table.now - begin).as_millis() / limits::JUDGE_PACE.as_millis() + 1;
    assert!(table.judged as u128 <= most, "judged {} times", table.judged);
}

#[test]
fn an_unchanged_row_is_the_very_same_one() {
    let mut table = SteppedTable::with_one(2400);
    let first = table.snapshot.as_ref().unwrap().rows[0].clone();
    table.put("b.jpg", 5, 8, 1_000, WriteNotice::Open);
    table.look();
    table.pass(500);
    let rows = &table.snapshot.as_ref().unwrap().rows;
    assert!(rows.len() == 2 && rows.iter().any(|row| Arc::ptr_eq(row, &first)));
}
