//! The state of the live table, and its reaction to each event: `update(event, now)` returns effects for others to
//! carry out. Does no I/O, has no thread and no clock; `now` is the time since the table was opened.
//!
//! Under `state/` there is a file for each part: types with rules of their own, and the reactions of [`LiveState`] to
//! one kind of event. Pictures are read only where their bytes make it necessary: a new brief is judged without
//! reading.

use std::mem;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use crate::brief::{Brief, Problem};
use crate::decisions::Decisions;
use crate::judge::{FolderContents, Judgement, Row};
use crate::picture::PictureKey;
use crate::picture::unlisted::Unlisted;
use crate::reading::job::{JobKind, Ticket};
use crate::units::words::visible;

use super::effect::Effect;
use super::entries::Entries;
use super::entry::{FileEntry, Phase};
use super::event::Event;
use super::judge_thread::JudgeRequest;
use super::rows::LiveRows;
use super::snapshot::{JudgingStatus, LiveCommand, Snapshot, Watching, WorkProgress};

use brief_in_use::BriefInUse;
use judge_schedule::{JudgeSchedule, UnderWay};
use news::News;
use progress::ReadingProgress;
use retries::RetrySchedule;
use selection::Selection;

mod brief_in_use;
mod briefs;
mod decided;
mod folder;
mod judge_schedule;
mod news;
mod progress;
mod reading;
mod retries;
mod selection;
#[cfg(test)]
mod tests;

/// The whole state of the live table.
#[derive(Debug)]
pub struct LiveState {
    folder: FolderInUse,
    brief: BriefInUse,
    decisions: DecisionsInUse,
    entries: Entries,
    rows: LiveRows,
    judging: JudgeSchedule,
    retries: RetrySchedule,
    progress: ReadingProgress,
    selection: Selection,
    news: News,
    /// Time of the event being handled, since the table was opened.
    now: Duration,
    /// The effects requested so far by the event being handled.
    effects: Vec<Effect>,
    /// The number of the last snapshot.
    generation: u64,
    /// True if something changed since the last snapshot.
    has_changed: bool,
}

/// The folder, as of the last scan.
#[derive(Debug)]
struct FolderInUse {
    path: PathBuf,
    watching: Watching,
    /// True if it holds more files than are examined.
    is_cut_off: bool,
    unlisted: Arc<Unlisted>,
    /// True if it was scanned.
    is_scanned: bool,
    /// True if the user requested a scan that has not been done yet.
    is_rescan_requested: bool,
}

/// The decisions in use, and the problems of their file.
#[derive(Debug)]
struct DecisionsInUse {
    /// The last that could be read.
    last_valid: Arc<Decisions>,
    /// Problems in the file on disk.
    problems: Arc<[Problem]>,
    /// The rows that decisions being written leave out, in words.
    left_out: Vec<String>,
}

impl LiveState {
    /// Creates a live table that has not scanned its folder yet.
    pub fn new(brief: Arc<Brief>, folder: PathBuf) -> LiveState {
        LiveState {
            folder: FolderInUse {
                path: folder,
                watching: Watching::Notified,
                is_cut_off: false,
                unlisted: Arc::default(),
                is_scanned: false,
                is_rescan_requested: false,
            },
            brief: BriefInUse::new(brief),
            decisions: DecisionsInUse { last_valid: Arc::default(), problems: Vec::new().into(), left_out: Vec::new() },
            entries: Entries::default(),
            rows: LiveRows::default(),
            judging: JudgeSchedule::default(),
            retries: RetrySchedule::default(),
            progress: ReadingProgress::default(),
            selection: Selection::default(),
            news: News::default(),
            now: Duration::ZERO,
            effects: Vec::new(),
            generation: 0,
            has_changed: true,
        }
    }

    /// Handles an event; returns the effects to carry out.
    pub fn update(&mut self, event: Event, now: Duration) -> Vec<Effect> {
        self.now = now;
        match event {
            Event::Scanned(scan, watching) => {
                self.take_scan(scan, watching);
                self.stop_waiting_for_gone();
            }
            Event::FolderAway(why) => {
                self.take_folder_away(why);
                // Colours are not evaluated in a folder that is away.
                self.brief.retain(|_, _| false);
                self.use_ready_brief();
            }
            Event::BriefRead(read) => self.take_brief(read),
            Event::Command(LiveCommand::ShowRows { selected, visible, proof }) => {
                self.selection.proofs.want(selected.as_ref(), proof);
                self.show_rows(selected, visible);
            }
            Event::DecisionsRead(read) => self.take_decisions(read),
            Event::DecisionsWritten(changes, kept) => self.take_written(changes, kept),
            Event::Command(LiveCommand::DrawSubject { picture, print, area }) => {
                self.draw_subject(picture, print, area);
            }
            Event::Command(LiveCommand::Accept(request)) => self.accept(&request),
            Event::Command(LiveCommand::Rescan) => self.rescan(),
            Event::Command(LiveCommand::Quit) => self.effects.push(Effect::Quit),
            Event::Began(ticket, kind) => {
                if kind == JobKind::Pixels && self.current(&ticket).is_some() {
                    self.progress.begin(&ticket);
                    self.has_changed = true;
                }
            }
            Event::JobDone(ticket, done) => self.take_job_result(&ticket, done),
            Event::Judged { number, result, took } => self.take_judgement(number, result, took),
            Event::AllHang => {
                self.say("the folder does not respond: reading waits for it; once it does, press r".to_owned())
            }
            Event::Tick => {}
        }
        self.start_due_retries();
        self.judge_if_due();
        self.update_proof();
        mem::take(&mut self.effects)
    }

    /// Returns when something is next due by itself, if anything is.
    pub fn next_wake(&self) -> Option<Duration> {
        self.retries.next().into_iter().chain(self.judging.next_begin()).min()
    }

    /// Returns the current live table, if it has changed since the last call.
    pub fn take_snapshot(&mut self) -> Option<Snapshot> {
        let has_rows = self.rows.are_judged() || self.judging.failed().is_some();
        let has_news = self.generation == 0 || has_rows || self.folder.watching.is_away();
        if !has_news || !mem::take(&mut self.has_changed) {
            return None;
        }
        self.generation += 1;
        let (reading, unjudged) = (self.progress.reading(), self.judging.unjudged());
        let waiting = self.entries.waiting().saturating_sub(reading.len()) + unjudged + self.brief.waiting_pictures();
        if waiting == 0 && reading.is_empty() {
            self.progress.done = 0;
        }
        Some(Snapshot {
            generation: self.generation,
            brief: self.brief.last_valid.clone(),
            brief_problems: self.brief.problems.clone(),
            decisions_problems: self.decisions.problems.clone(),
            folder: self.folder.path.clone(),
            watching: self.folder.watching.clone(),
            is_cut_off: self.folder.is_cut_off,
            rows: self.rows.in_order().clone(),
            order_findings: self.rows.order_findings().clone(),
            totals: self.rows.totals(),
            work: WorkProgress { reading, waiting, done: self.progress.done.saturating_sub(unjudged) },
            judging: JudgingStatus { is_busy: self.judging.is_busy(), failed: self.judging.failed().cloned() },
            newest: self.news.newest.clone(),
            notice: self.news.notice.clone(),
        })
    }

    /// Takes in the result of a judgement, unless a newer request superseded it.
    fn take_judgement(&mut self, number: u64, result: Result<Judgement<Arc<Row>>, Arc<str>>, took: Duration) {
        let failed = result.as_ref().err().cloned();
        let Some(ended) = self.judging.end(number, failed, took, self.now) else { return };
        self.has_changed = true;
        match result {
            Ok(judgement) => self.show(judgement, ended),
            Err(words) => self.say(format!(
                "checking failed inside plateside: {}; the rows keep their last results until something changes",
                visible(&words)
            )),
        }
    }

    /// Takes in the rows of a judgement.
    fn show(&mut self, judgement: Judgement<Arc<Row>>, ended: UnderWay) {
        self.reread_lost(&judgement, &ended);
        let entries = &self.entries;
        let changed = self
            .rows
            .update(judgement, &ended.events.moved, |key| ended.status(key, entries.get(key).map(FileEntry::status)));
        let all_read = self.judging.since.read == 0 && self.entries.waiting() == 0;
        self.news.report(ended.events.happened, changed, all_read, self.now);
    }

    /// Returns a ticket's entry, unless it holds other bytes by now.
    fn current(&self, ticket: &Ticket) -> Option<&FileEntry> {
        self.entries.get(&ticket.key).filter(|entry| entry.version == ticket.version)
    }

    /// Starts the retries that are due. Called after every event, so it iterates only when one is due.
    fn start_due_retries(&mut self) {
        if !self.retries.take_due(self.now) {
            return;
        }
        self.entries.change_all(|key, entry| match entry.retry_at() {
            Some(at) if at <= self.now => {
                self.has_changed |= matches!(entry.phase, Phase::Retrying(_));
                self.effects.push(Effect::Read(entry.take_retry_job(key)));
            }
            later => self.retries.expect(later),
        });
    }

    /// Remembers when a picture is to be read again, if it is.
    fn expect_retry(&mut self, key: &PictureKey) {
        self.retries.expect(self.entries.get(key).and_then(FileEntry::retry_at));
    }

    /// Counts a picture that was read as far as it can be.
    fn count_done(&mut self) {
        self.progress.done += 1;
        self.judging.since.read += 1;
    }

    /// Schedules a judgement once the one under way has ended.
    fn judge_soon(&mut self) {
        self.judging.want(self.now, self.entries.waiting() == 0);
    }

    /// Schedules a judgement that supersedes the one under way: the user changed what the rows are judged by.
    fn judge_superseding(&mut self) {
        self.judging.want_superseding(self.now, self.entries.waiting() == 0);
    }

    fn judge_if_due(&mut self) {
        if !self.folder.is_scanned {
            return;
        }
        let Some(number) = self.judging.begin(self.now) else { return };
        let decisions = self.decisions.last_valid.clone();
        let files = self.entries.iter().map(|(key, entry)| entry.submission(key, &decisions)).collect();
        let contents = FolderContents { files, unlisted: self.folder.unlisted.clone() };
        self.effects.push(Effect::Judge(JudgeRequest {
            number,
            brief: self.brief.last_valid.clone(),
            decisions,
            contents,
        }));
        self.has_changed = true;
    }

    fn say(&mut self, words: String) {
        self.news.say(words);
        self.has_changed = true;
    }
}
