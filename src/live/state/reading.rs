//! Reactions to results of the workers, and to the rows viewed on screen.

use std::sync::Arc;
use std::time::Duration;

use crate::colour::ProofPaper;
use crate::judge::{HeaderState, Judgement, Pixels, Row, RowKey};
use crate::live::effect::Effect;
use crate::live::entry::Phase;
use crate::live::snapshot::{Proof, ShownThumbnail};
use crate::picture::{Facts, Fault, PictureKey};
use crate::reading::inspect::UprightThumbnail;
use crate::reading::job::{JobError, JobResult, ReadPicture, Task, Ticket};

use super::LiveState;
use super::judge_schedule::UnderWay;

impl LiveState {
    pub(crate) fn show_rows(&mut self, selected: Option<RowKey>, visible: Vec<RowKey>) {
        let selected = selected.and_then(|row| row.picture);
        let mut first: Vec<PictureKey> = selected.iter().cloned().collect();
        first.extend(visible.into_iter().filter_map(|row| row.picture).filter(|key| Some(key) != selected.as_ref()));
        self.effects.push(Effect::Prefer { selected: selected.clone(), first });
        self.effects.extend(self.selection.select(selected));
        self.read_thumbnail();
    }

    /// Requests the selected picture's thumbnail, if not there yet.
    fn read_thumbnail(&mut self) {
        self.effects.extend(self.selection.thumbnail_jobs(&self.entries).into_iter().map(Effect::Read));
    }

    /// Requests the proof being viewed, if not there yet, and shows it when it is.
    pub(crate) fn update_proof(&mut self) {
        self.effects.extend(self.selection.proof_job(&self.brief.last_valid, &self.entries).map(Effect::Read));
        self.effects.extend(self.selection.take_changed_proof().map(Effect::ShowProof));
    }

    pub(crate) fn take_job_result(&mut self, ticket: &Ticket, done: JobResult) {
        if matches!(done, JobResult::Pixels(_)) {
            self.has_changed |= self.progress.end(ticket);
        }
        if self.current(ticket).is_none() {
            return;
        }
        match done {
            JobResult::Header(result) => self.take_header(&ticket.key, result),
            JobResult::Pixels(result) => self.take_pixels(ticket, result),
            JobResult::Colours(answered) => self.take_colours(ticket, answered.ok()),
            JobResult::Drawn { upright: Some(upright), is_preview } => {
                self.effects.extend(self.selection.take_drawn(ticket, upright, is_preview));
            }
            JobResult::Proofed {
                request: Some(request),
                upright: Some(UprightThumbnail { width_px, height_px, rgb }),
            } => {
                let is_by_profile = matches!(request.paper, ProofPaper::Printer(_));
                let proof = Some(Proof { rendering: request.rendering, is_by_profile });
                let (picture, version) = (ticket.key.clone(), ticket.version);
                let shown = ShownThumbnail { picture, version, width_px, height_px, rgb, is_preview: false, proof };
                self.selection.proofs.store(&request, Arc::new(shown));
            }
            JobResult::Proofed { request, .. } => {
                self.selection.proofs.mark_failed(request.as_ref(), &ticket.key, ticket.version);
            }
            JobResult::Drawn { upright: None, .. } => {}
        }
    }

    fn take_header(&mut self, key: &PictureKey, result: Result<Arc<Facts>, JobError>) {
        let Some(entry) = self.entries.get(key) else { return };
        // The header was requested twice, since the folder was away meanwhile, and the pixels are already read.
        if matches!(entry.pixels, Pixels::Read(_)) {
            return;
        }
        let again = entry.phase == Phase::Settled;
        match result {
            Ok(facts) => {
                self.effects.push(Effect::Read(entry.job(key, Task::Pixels(facts.clone()))));
                self.entries.change(key, |entry| {
                    (entry.header, entry.phase) = (HeaderState::Read(facts), Phase::Waiting);
                });
                if self.selection.is(key) {
                    self.read_thumbnail();
                }
            }
            Err(JobError::Fault(fault)) => {
                let settled = self.entries.change(key, |entry| {
                    entry.record_fault(&fault, self.now);
                    let settled = entry.phase == Phase::Settled;
                    if settled {
                        entry.header = HeaderState::Fault(fault);
                    }
                    settled
                });
                if settled == Some(true) && !again {
                    self.count_done();
                }
                self.expect_retry(key);
            }
            Err(JobError::Changed) => {
                self.entries.change(key, |entry| entry.restart(self.now));
                self.expect_retry(key);
                self.effects.push(Effect::ScanAfter(Duration::ZERO));
            }
        }
        self.judge_soon();
    }

    fn take_pixels(&mut self, ticket: &Ticket, result: Result<ReadPicture, JobError>) {
        let key = &ticket.key;
        let Some(entry) = self.entries.get(key) else { return };
        // The folder was away meanwhile: once the header is read again, so are the pixels.
        if matches!(entry.header, HeaderState::Waiting { .. }) {
            return;
        }
        let had = matches!(entry.pixels, Pixels::Read(_));
        let again = entry.phase == Phase::Settled;
        match result {
            Ok(ReadPicture { evidence_handle, thumbnail }) => {
                // Evidence kept from an earlier reading has no thumbnail; the picture is read again when viewed.
                if !thumbnail.samples.is_empty() {
                    self.selection.thumbnails.keep(ticket.version, thumbnail);
                }
                if !had {
                    self.entries.change(key, |entry| {
                        (entry.pixels, entry.phase) = (Pixels::Read(evidence_handle), Phase::Settled);
                    });
                    self.judging.note_read(key);
                }
                if self.selection.is(key) {
                    self.read_thumbnail();
                }
            }
            // The picture was read before and only its thumbnail was requested again.
            Err(_) if had => return,
            Err(JobError::Fault(fault)) => self.take_pixels_fault(key, fault),
            Err(JobError::Changed) => {
                self.entries.change(key, |entry| entry.restart(self.now));
                self.expect_retry(key);
                self.effects.push(Effect::ScanAfter(Duration::ZERO));
            }
        }
        if had {
            return;
        }
        let is_settled = self.entries.get(key).is_some_and(|entry| entry.phase == Phase::Settled);
        if is_settled && !again {
            self.count_done();
        }
        self.judge_soon();
    }

    /// Reads pictures again that could not be judged, since their evidence is lost.
    pub(crate) fn reread_lost(&mut self, judgement: &Judgement<Arc<Row>>, ended: &UnderWay) {
        let uncounted = judgement.rows.iter().filter(|row| row.pixel_digest.is_none() && row.key.print.is_some());
        for key in uncounted.filter_map(|row| row.key.picture.as_ref()) {
            let Some(entry) = self.entries.get(key) else { continue };
            // The evidence was there when the judgement began, and could not be fetched.
            let lost = entry.evidence_handle().is_some() && !ended.knew_less_of(key);
            if let Some(facts) = entry.facts().cloned().filter(|_| lost) {
                self.effects.push(Effect::Read(entry.job(key, Task::Pixels(facts))));
                self.entries.change(key, |entry| {
                    (entry.pixels, entry.phase) = (Pixels::Waiting, Phase::Waiting);
                });
            }
        }
    }

    fn take_pixels_fault(&mut self, key: &PictureKey, fault: Fault) {
        self.entries.change(key, |entry| {
            entry.record_fault(&fault, self.now);
            if entry.phase == Phase::Settled {
                entry.pixels = Pixels::Fault(fault);
            }
        });
        self.expect_retry(key);
    }
}
