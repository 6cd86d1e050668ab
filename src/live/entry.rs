//! One file of the folder, as the live table knows it: still arriving, being read, or read.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use crate::judge::{EvidenceHandle, HeaderState, Pixels, Submission};
use crate::live::limits;
use crate::live::rows::PictureStatus;
use crate::picture::{Fault, FaultKind, PictureKey};

use crate::decisions::Decisions;
use crate::reading::job::{Job, Task, Ticket};
use crate::reading::scan::{ScannedFile, Stamp, WriteNotice};

/// The stage a file has reached.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Phase {
    /// Still growing, or not known to be finished.
    Arriving,
    /// Finished; waiting for its header or pixels to be read.
    Waiting,
    /// Truncated when read; to be read again at this time.
    Retrying(Duration),
    /// Read as far as it can be.
    Settled,
}

/// The state of one file.
#[derive(Clone, Debug)]
pub struct FileEntry {
    /// The file's path.
    pub path: PathBuf,
    /// True if its name is entirely UTF-8.
    pub name_is_utf8: bool,
    /// Identifies the bytes it holds.
    pub stamp: Stamp,
    /// Number of its content; no two contents on the table share one.
    pub version: u64,
    /// The stage it has reached.
    pub phase: Phase,
    /// Its header.
    pub header: HeaderState,
    /// Its pixels, without the thumbnail (`thumbnails.rs`).
    pub pixels: Pixels,
    /// Time when it was first seen with these bytes.
    since: Duration,
    /// True if it was complete before the table was opened: it need not wait.
    was_there_before: bool,
    last_notice: WriteNotice,
    /// Number of scans that found it with these bytes.
    times_seen: u32,
    /// Number of times that it was read again because it was truncated.
    retries: usize,
    /// Time when it is read again although settled: the system refused access.
    reread_at: Option<Duration>,
}

impl FileEntry {
    /// Creates a file seen for the first time, or with other bytes than before. `was_there_before`: it was complete
    /// before the table was opened.
    pub fn new(scanned: &ScannedFile, version: u64, was_there_before: bool, now: Duration) -> FileEntry {
        FileEntry {
            path: scanned.path.clone(),
            name_is_utf8: scanned.name_is_utf8,
            stamp: scanned.stamp,
            version,
            phase: Phase::Arriving,
            header: HeaderState::Waiting { is_arriving: true },
            pixels: Pixels::Waiting,
            since: now,
            was_there_before,
            last_notice: scanned.last_notice,
            times_seen: 1,
            retries: 0,
            reread_at: None,
        }
    }

    /// Notes that the file was seen again with the same bytes.
    pub fn seen_again(&mut self, scanned: &ScannedFile) {
        self.last_notice = scanned.last_notice;
        self.times_seen = self.times_seen.saturating_add(1);
    }

    /// Renames the file, its content unchanged. Any reading under way is lost with the old name.
    pub fn moved_to(&mut self, scanned: &ScannedFile, now: Duration) {
        self.schedule_rereading(now);
        self.path.clone_from(&scanned.path);
        self.name_is_utf8 = scanned.name_is_utf8;
        self.stamp = scanned.stamp;
    }

    /// Returns how long its bytes must stay the same before it is ready.
    fn quiet_time(&self) -> Duration {
        match (self.last_notice, self.stamp.bytes) {
            (WriteNotice::Open, _) => limits::QUIET_WHILE_OPEN,
            (WriteNotice::Closed, 1..) => limits::QUIET_AFTER_CLOSE,
            // An empty file that was closed is often opened again to be filled.
            (WriteNotice::Closed, 0) | (WriteNotice::None, _) => limits::QUIET_WITHOUT_NOTICE,
        }
    }

    /// Returns when it will be ready if it does not change.
    pub fn ready_at(&self) -> Duration {
        if self.was_there_before { self.since } else { self.since + self.quiet_time() }
    }

    /// True if it was seen unchanged for long enough.
    pub fn is_ready(&self, now: Duration) -> bool {
        self.was_there_before || (self.times_seen >= 2 && now >= self.ready_at())
    }

    /// Marks the growing file as finished; returns the first job for it.
    pub fn finish_arriving(&mut self, key: &PictureKey) -> Job {
        self.phase = Phase::Waiting;
        self.header = HeaderState::Waiting { is_arriving: false };
        self.job(key, Task::Header)
    }

    /// Starts again as if the file were just seen, because a result was lost. A settled file that was being read again
    /// keeps its verdict, and is read again later.
    pub fn restart(&mut self, now: Duration) {
        if self.phase == Phase::Settled {
            self.schedule_rereading(now);
        } else {
            self.phase = Phase::Arriving;
            self.header = HeaderState::Waiting { is_arriving: true };
            (self.since, self.was_there_before, self.times_seen) = (now, false, 0);
        }
    }

    /// Returns a job on this file.
    pub fn job(&self, key: &PictureKey, task: Task) -> Job {
        Job {
            ticket: Ticket { key: key.clone(), path: self.path.clone(), stamp: self.stamp, version: self.version },
            task,
        }
    }

    /// Records a fault that reading ended in. A young file that is truncated is read again soon; any other is settled,
    /// and read again later if the system refused access: a mount that fails for a moment changes no file's record.
    pub fn record_fault(&mut self, fault: &Fault, now: Duration) {
        let young = !self.was_there_before && now.saturating_sub(self.since) < limits::YOUNG_FOR;
        match limits::RETRY_AFTER.get(self.retries) {
            Some(wait) if young && fault.kind == FaultKind::Truncated => {
                self.retries += 1;
                self.phase = Phase::Retrying(now + *wait);
            }
            _ => self.phase = Phase::Settled,
        }
        self.reread_at = (fault.kind == FaultKind::Unreachable).then(|| now + limits::UNREACHABLE_AGAIN);
    }

    /// Schedules another reading if the system refused access before.
    fn schedule_rereading(&mut self, now: Duration) {
        if self.fault_kind() == Some(&FaultKind::Unreachable) {
            self.reread_at.get_or_insert(now + limits::UNREACHABLE_AGAIN);
        }
    }

    /// Returns when it is to be read again, if it is.
    pub fn retry_at(&self) -> Option<Duration> {
        match self.phase {
            Phase::Retrying(at) => Some(at),
            Phase::Settled => self.reread_at,
            Phase::Arriving | Phase::Waiting => None,
        }
    }

    /// Reads the file again now if the system refused access before, or reading failed inside the program or never
    /// ended; returns true if so.
    pub fn retry_now(&mut self, now: Duration) -> bool {
        let again = matches!(self.fault_kind(), Some(FaultKind::Unreachable | FaultKind::Internal));
        if again {
            self.reread_at = Some(now);
        }
        again
    }

    /// True if reading it ended in a fault.
    pub fn has_failed(&self) -> bool {
        self.fault_kind().is_some()
    }

    /// Returns the fault that its reading ended in, if any.
    fn fault_kind(&self) -> Option<&FaultKind> {
        match (&self.header, &self.pixels) {
            (HeaderState::Fault(fault), _) | (_, Pixels::Fault(fault)) if self.phase == Phase::Settled => {
                Some(&fault.kind)
            }
            _ => None,
        }
    }

    /// Returns the job of a retry that is due. A settled file keeps its verdict until it has been read.
    pub fn take_retry_job(&mut self, key: &PictureKey) -> Job {
        self.reread_at = None;
        if self.phase != Phase::Settled {
            self.phase = Phase::Waiting;
        }
        match &self.header {
            HeaderState::Read(facts) => self.job(key, Task::Pixels(facts.clone())),
            HeaderState::Waiting { .. } | HeaderState::Fault(_) => self.job(key, Task::Header),
        }
    }

    /// Returns its evidence, once its pixels were read.
    pub fn evidence_handle(&self) -> Option<&Arc<EvidenceHandle>> {
        self.pixels.evidence_handle()
    }

    /// Returns the job that a new brief's colour requirements need, if the file was read.
    pub fn colours_job(&self, key: &PictureKey, number: u64) -> Option<Job> {
        let (facts, evidence_handle) = (self.facts()?.clone(), self.evidence_handle()?.clone());
        Some(self.job(key, Task::Colours(facts, evidence_handle, number)))
    }

    /// Returns the file as judging sees it; the positions of its subjects' boxes are found later (`carried_boxes.rs`).
    pub fn submission(&self, key: &PictureKey, decisions: &Decisions) -> Submission {
        let sha256 = self.evidence_handle().map(|evidence_handle| evidence_handle.sha256.as_str());
        Submission {
            key: key.clone(),
            name_is_utf8: self.name_is_utf8,
            bytes: self.stamp.bytes,
            modified_ns: self.stamp.identity.modified_ns,
            header: self.header.clone(),
            pixels: self.pixels.clone(),
            subjects: Arc::default(),
            acceptances: decisions.findings_of(key, sha256),
            test_print_remarks: decisions.test_print_remarks_of(key, sha256),
        }
    }

    /// Returns the status that its row shows besides the verdict.
    pub fn status(&self) -> PictureStatus {
        PictureStatus {
            version: self.version,
            arriving_bytes: self.arriving_bytes(),
            has_failed: self.has_failed(),
            is_overtaken: false,
        }
    }

    /// Returns the bytes received so far, while it is still growing.
    pub fn arriving_bytes(&self) -> Option<u64> {
        (self.phase == Phase::Arriving).then_some(self.stamp.bytes)
    }

    /// Returns the facts, if the header was read.
    pub fn facts(&self) -> Option<&Arc<crate::picture::Facts>> {
        match &self.header {
            HeaderState::Read(facts) => Some(facts),
            HeaderState::Waiting { .. } | HeaderState::Fault(_) => None,
        }
    }
}
