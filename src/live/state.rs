//! What the desk knows, and what follows from whatever happens: `update(event, now)` gives orders for others to carry
//! out. Does no I/O, has no thread and no clock; `now` is the time since the desk was opened.
//!
//! Orders are only ever given for what a picture's bytes make necessary: a new brief is judged without reading.

use std::collections::{HashMap, HashSet};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use crate::brief::{Brief, Problem};
use crate::judge::model::row::Totals;
use crate::judge::{Finding, FolderContents, Judgement, Row};
use crate::live::limits;
use crate::picture::PictureKey;
use crate::picture::unlisted::Unlisted;

use pending_brief::PendingBrief;

use super::effect::Effect;
use super::entries::Entries;
use super::entry::{FileEntry, Phase};
use super::event::Event;
use super::notice::{RecentEvents, words};
use super::rows::{ChangedStates, LiveRows, PictureStatus};
use super::snapshot::{LiveCommand, Notice, Snapshot, Watching, WorkProgress};
use super::thumbnails::Thumbnails;
use crate::decisions::Decisions;
use crate::live::proofs::Proofs;
use crate::reading::job::{JobKind, Ticket};

mod folder;
mod pending_brief;
mod reading;
mod subject;
#[cfg(test)]
mod tests;

/// The whole desk without its hands.
#[derive(Debug)]
pub struct LiveState {
    folder: PathBuf,
    brief: Arc<Brief>,
    problems: Arc<[Problem]>,
    accepted: Arc<Decisions>,
    accepted_problems: Arc<[Problem]>,
    watching: Watching,
    cut_off: bool,
    unlisted: Arc<Unlisted>,
    entries: Entries,
    versions: u64,
    scanned: bool,
    /// Whether there are rows to be shown at all.
    has_judged: bool,
    rows: LiveRows,
    order_findings: Arc<[Arc<Finding>]>,
    totals: Totals,
    gallery: Thumbnails,
    proofs: Proofs,
    /// A new brief that asks more of colours, while the workers find that out.
    expected: Option<PendingBrief>,
    /// Such briefs so far.
    briefs: u64,
    selected: Option<PictureKey>,
    reading: Vec<(PictureKey, u64)>,
    done: usize,
    /// Pictures read since the rows were judged last: their verdict is still waited for.
    unjudged: usize,
    newest: Option<PictureKey>,
    happened: RecentEvents,
    /// A person asked to look at the folder, and it was not looked at since.
    asked_to_look: bool,
    /// Pictures that arrived before the last judgement, and when the last of them did.
    arrivals: (usize, Duration),
    moved: HashMap<PictureKey, PictureKey>,
    /// Pictures that got other bytes since the judgement that is under way began.
    overtaken: HashSet<PictureKey>,
    notice: Option<Notice>,
    judge_at: Option<Duration>,
    judge_not_before: Duration,
    /// The same once no picture waits to be read.
    judge_no_sooner: Duration,
    judging: bool,
    /// When the first of the pictures that are to be read again is due.
    retry_at: Option<Duration>,
    /// Nor is it looked for those sooner than this.
    retry_not_before: Duration,
    generation: u64,
    fresh: bool,
    /// Whether all that lay there at the opening was read: what turns before is no news.
    opened: bool,
}

impl LiveState {
    /// A desk that has not looked at its folder yet.
    pub fn new(brief: Arc<Brief>, folder: PathBuf) -> LiveState {
        LiveState {
            folder,
            brief,
            problems: Vec::new().into(),
            accepted: Arc::default(),
            accepted_problems: Vec::new().into(),
            watching: Watching::Notified,
            cut_off: false,
            unlisted: Arc::default(),
            entries: Entries::default(),
            versions: 0,
            scanned: false,
            has_judged: false,
            rows: LiveRows::default(),
            order_findings: Vec::new().into(),
            totals: Totals::default(),
            gallery: Thumbnails::default(),
            proofs: Proofs::default(),
            expected: None,
            briefs: 0,
            selected: None,
            reading: Vec::new(),
            done: 0,
            unjudged: 0,
            newest: None,
            happened: RecentEvents::default(),
            asked_to_look: false,
            arrivals: (0, Duration::ZERO),
            moved: HashMap::new(),
            overtaken: HashSet::new(),
            notice: None,
            judge_at: None,
            judge_not_before: Duration::ZERO,
            judge_no_sooner: Duration::ZERO,
            judging: false,
            retry_at: None,
            retry_not_before: Duration::ZERO,
            generation: 0,
            fresh: true,
            opened: false,
        }
    }

    /// Takes in what happened; gives what is to be done.
    pub fn update(&mut self, event: Event, now: Duration) -> Vec<Effect> {
        let mut orders = Vec::new();
        match event {
            Event::Scanned(scan, watching) => {
                self.scanned(scan, watching, now, &mut orders);
                self.expect_what_is_there(now);
            }
            Event::FolderAway(why) => {
                self.folder_away(why, now, &mut orders);
                // Nothing is worked out of a folder that is away.
                self.expected.iter_mut().for_each(|expected| expected.left.clear());
                self.take_expected(now);
            }
            Event::BriefRead(read) => self.brief_read(read, now, &mut orders),
            Event::Asked(LiveCommand::Look { selected, visible, proof }) => {
                self.proofs.want(selected.as_ref(), proof);
                self.look(selected, visible, &mut orders);
            }
            Event::AcceptedRead(read) => self.accepted_read(read, now),
            Event::Kept(changes, kept) => self.kept(changes, kept, now),
            Event::Asked(LiveCommand::DrawSubject { picture, print, area }) => {
                self.draw_subject(picture, print, area, &mut orders);
            }
            Event::Asked(LiveCommand::Accept(asked)) => self.accept(&asked, &mut orders),
            Event::Asked(LiveCommand::Rescan) => self.rescan(now, &mut orders),
            Event::Asked(LiveCommand::Quit) => orders.push(Effect::Quit),
            Event::Began(ticket, kind) => {
                if kind == JobKind::Pixels && self.current(&ticket).is_some() {
                    self.reading.push((ticket.key, ticket.version));
                    self.fresh = true;
                }
            }
            Event::Worked(ticket, done) => self.worked(&ticket, done, now, &mut orders),
            Event::Judged(judgement, took) => self.judged(judgement, took, now, &mut orders),
            Event::AllHang => {
                self.say("reading hangs: the rest waits until the folder answers; r reads it then".to_owned())
            }
            Event::Tick => {}
        }
        self.retries(now, &mut orders);
        self.judge_if_due(now, &mut orders);
        self.want_proof(&mut orders);
        orders
    }

    /// When something is due by itself, if anything is.
    pub fn next_wake(&self) -> Option<Duration> {
        let retry_at = self.retry_at.map(|at| at.max(self.retry_not_before));
        retry_at.into_iter().chain(self.judge_at.filter(|_| !self.judging)).min()
    }

    /// The desk as it is now, if it is not what it was when last asked.
    pub fn take_snapshot(&mut self) -> Option<Snapshot> {
        let says_something = self.generation == 0 || self.has_judged || self.watching.is_away();
        if !says_something || !std::mem::take(&mut self.fresh) {
            return None;
        }
        self.generation += 1;
        let reading: Vec<PictureKey> = self.reading.iter().map(|(key, _)| key.clone()).collect();
        let asked = self.expected.as_ref().map_or(0, |expected| expected.left.len());
        let waiting = self.entries.waiting().saturating_sub(reading.len()) + self.unjudged + asked;
        if waiting == 0 && reading.is_empty() {
            self.done = 0;
        }
        Some(Snapshot {
            generation: self.generation,
            brief: self.brief.clone(),
            brief_problems: self.problems.clone(),
            accepted_problems: self.accepted_problems.clone(),
            folder: self.folder.clone(),
            watching: self.watching.clone(),
            cut_off: self.cut_off,
            rows: self.rows.in_order().clone(),
            order_findings: self.order_findings.clone(),
            totals: self.totals,
            work: WorkProgress { reading, waiting, done: self.done.saturating_sub(self.unjudged) },
            newest: self.newest.clone(),
            notice: self.notice.clone(),
        })
    }

    fn brief_read(&mut self, read: Result<Arc<Brief>, Vec<Problem>>, now: Duration, orders: &mut Vec<Effect>) {
        // Whatever was read before is no longer what is asked.
        if self.expected.take().is_some() {
            orders.push(Effect::Expect(self.brief.clone()));
            self.fresh = true;
        }
        match read {
            Ok(brief) => {
                let mended = !self.problems.is_empty();
                if !mended && brief == self.brief {
                    return;
                }
                self.problems = Vec::new().into();
                // Rows of the very same brief need not be asked again.
                let brief = if brief == self.brief { self.brief.clone() } else { brief };
                self.expect(brief, now, orders);
            }
            Err(problems) => {
                if *self.problems == *problems {
                    return;
                }
                self.say(super::notice::brief_is_broken(problems.len()));
                self.problems = problems.into();
            }
        }
        self.fresh = true;
    }

    fn judged(&mut self, judgement: Judgement<Arc<Row>>, took: Duration, now: Duration, orders: &mut Vec<Effect>) {
        self.read_what_is_lost(&judgement, orders);
        (self.judging, self.has_judged) = (false, true);
        self.judge_no_sooner = now + limits::JUDGE_PACE.max(took);
        self.judge_not_before = now + limits::JUDGE_PACE.max(took * limits::JUDGE_SHARE);
        if *self.order_findings != *judgement.order_findings {
            self.order_findings = judgement.order_findings.clone().into();
        }
        let (entries, overtaken) = (&self.entries, &self.overtaken);
        let turned = self.rows.lay(judgement, &std::mem::take(&mut self.moved), |key| {
            let entry = entries.get(key);
            PictureStatus {
                version: entry.map_or(0, |entry| entry.version),
                arriving_bytes: entry.and_then(FileEntry::arriving_bytes),
                failed: entry.is_some_and(FileEntry::has_failed),
                is_overtaken: overtaken.contains(key),
            }
        });
        self.totals = self.rows.totals();
        let turned = if self.opened { turned } else { ChangedStates::default() };
        self.opened |= self.unjudged == 0 && self.entries.waiting() == 0;
        let happened = self.happened_lately(now);
        if let Some(words) = words(&happened, &turned) {
            self.say(words);
        }
        self.fresh = true;
    }

    /// What happened since the last judgement, with how many pictures arrived just before: a folder that is copied in
    /// arrives in many pieces.
    fn happened_lately(&mut self, now: Duration) -> RecentEvents {
        let mut happened = std::mem::take(&mut self.happened);
        if !happened.arrived.is_empty() {
            let (count, last) = self.arrivals;
            if now.saturating_sub(last) < limits::NEWS_ADD_UP_FOR {
                happened.arrived_before = count;
            }
            self.arrivals = (happened.arrived_before + happened.arrived.len(), now);
        }
        happened
    }

    /// The entry that a ticket speaks of, unless it holds other bytes by now.
    fn current(&self, ticket: &Ticket) -> Option<&FileEntry> {
        self.entries.get(&ticket.key).filter(|entry| entry.version == ticket.version)
    }

    /// Reads again what is due. Goes through the pictures only then: this is asked after every event.
    fn retries(&mut self, now: Duration, orders: &mut Vec<Effect>) {
        if self.retry_at.is_none_or(|at| now < at.max(self.retry_not_before)) {
            return;
        }
        (self.retry_at, self.retry_not_before) = (None, now + limits::RETRY_PACE);
        self.entries.change_all(|key, entry| {
            let Some(at) = entry.retry_at() else { return };
            if at <= now {
                self.fresh |= matches!(entry.phase, Phase::Retrying(_));
                orders.push(Effect::Read(entry.retry(key)));
            } else {
                self.retry_at = Some(self.retry_at.map_or(at, |soonest| soonest.min(at)));
            }
        });
    }

    /// Remembers when a picture is to be read again, if it is.
    fn expect_retry(&mut self, key: &PictureKey) {
        let at = self.entries.get(key).and_then(FileEntry::retry_at);
        self.retry_at = [self.retry_at, at].into_iter().flatten().min();
    }

    /// A picture was read as far as it can be.
    fn one_more_done(&mut self) {
        self.done += 1;
        self.unjudged += 1;
    }

    fn judge_soon(&mut self, now: Duration) {
        let soon = now + limits::JUDGE_FOLD;
        let at = *self.judge_at.get_or_insert(soon.max(self.judge_not_before));
        // Once nothing more comes the last rows need not wait for the others' share of the time.
        if at > soon && self.entries.waiting() == 0 {
            self.judge_at = Some(soon.max(self.judge_no_sooner));
        }
    }

    fn judge_if_due(&mut self, now: Duration, orders: &mut Vec<Effect>) {
        if self.scanned && !self.judging && self.judge_at.is_some_and(|at| at <= now) {
            self.judge_at = None;
            self.judging = true;
            self.unjudged = 0;
            self.overtaken.clear();
            let mut files = Vec::new();
            self.entries.change_all(|key, entry| files.push(entry.delivered(key, &self.accepted)));
            orders.push(Effect::Judge(self.brief.clone(), FolderContents { files, unlisted: self.unlisted.clone() }));
        }
    }

    fn say(&mut self, words: String) {
        let number = self.notice.as_ref().map_or(0, |notice| notice.number) + 1;
        self.notice = Some(Notice { number, words });
        self.fresh = true;
    }
}
