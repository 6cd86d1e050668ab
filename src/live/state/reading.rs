//! What follows from results of the workers, and from what the screen looks at.

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

impl LiveState {
    pub(crate) fn look(&mut self, selected: Option<RowKey>, visible: Vec<RowKey>, orders: &mut Vec<Effect>) {
        let selected = selected.and_then(|row| row.picture);
        let mut first: Vec<PictureKey> = selected.iter().cloned().collect();
        first.extend(visible.into_iter().filter_map(|row| row.picture).filter(|key| Some(key) != selected.as_ref()));
        orders.push(Effect::Prefer { selected: selected.clone(), first });
        if self.selected != selected {
            self.selected = selected;
            let is_other = self.gallery.shown().is_some_and(|shown| Some(&shown.picture) != self.selected.as_ref());
            if is_other && self.gallery.show_nothing() {
                orders.push(Effect::Show(None));
            }
        }
        self.want_thumbnail(orders);
    }

    /// Asks for the selected picture's thumbnail, as far as it is not there yet.
    fn want_thumbnail(&mut self, orders: &mut Vec<Effect>) {
        let Some(key) = &self.selected else { return };
        let Some(entry) = self.entries.get(key) else { return };
        let Some(facts) = entry.facts().cloned() else { return };
        let shown = self.gallery.shown().filter(|shown| shown.version == entry.version && shown.picture == *key);
        let (nothing_yet, all_there) = (shown.is_none(), shown.is_some_and(|shown| !shown.preview));
        if all_there {
            return;
        }
        if let Some(thumbnail) = self.gallery.get(entry.version) {
            orders.push(Effect::Read(entry.job(key, Task::Show(facts, thumbnail))));
            return;
        }
        if nothing_yet {
            orders.push(Effect::Read(entry.job(key, Task::Preview(facts.clone()))));
        }
        if matches!(entry.pixels, Pixels::Read(_)) {
            orders.push(Effect::Read(entry.job(key, Task::Again(facts))));
        }
    }

    /// Asks for the proof that is looked at, as far as it is not there yet, and shows it when it is.
    pub(crate) fn want_proof(&mut self, orders: &mut Vec<Effect>) {
        if let Some(key) = &self.selected
            && let Some(entry) = self.entries.get(key)
            && let Some(facts) = entry.facts()
            && let Some(thumbnail) = self.gallery.get(entry.version)
            && let Some(asked) = self.proofs.missing(&self.brief, key, entry.version)
        {
            orders.push(Effect::Read(entry.job(key, Task::Proof(facts.clone(), thumbnail, asked))));
        }
        if let Some(proof) = self.proofs.turned(self.selected.as_ref()) {
            orders.push(Effect::ShowProof(proof));
        }
    }

    pub(crate) fn worked(&mut self, ticket: &Ticket, done: JobResult, now: Duration, orders: &mut Vec<Effect>) {
        let count = self.reading.len();
        if matches!(done, JobResult::Pixels(_)) {
            self.reading.retain(|(key, version)| (key, *version) != (&ticket.key, ticket.version));
            self.fresh |= self.reading.len() != count;
        }
        if self.current(ticket).is_none() {
            return;
        }
        match done {
            JobResult::Header(result) => self.header_read(&ticket.key, result, now, orders),
            JobResult::Pixels(result) => self.pixels_read(ticket, result, now, orders),
            JobResult::Colours(answered) => self.colours_answered(ticket, answered.ok(), now),
            JobResult::Drawn { upright: Some(upright), preview } => self.drawn(ticket, upright, preview, orders),
            JobResult::Proofed { asked: Some(asked), upright: Some(UprightThumbnail { width_px, height_px, rgb }) } => {
                let by_profile = matches!(asked.paper, ProofPaper::Printer(_));
                let proof = Some(Proof { manner: asked.manner, by_profile });
                let (picture, version) = (ticket.key.clone(), ticket.version);
                let shown = ShownThumbnail { picture, version, width_px, height_px, rgb, preview: false, proof };
                self.proofs.made(&asked, Arc::new(shown));
            }
            JobResult::Proofed { asked, .. } => self.proofs.failed(asked.as_ref(), &ticket.key, ticket.version),
            JobResult::Drawn { upright: None, .. } => {}
        }
    }

    fn header_read(
        &mut self,
        key: &PictureKey,
        result: Result<Arc<Facts>, JobError>,
        now: Duration,
        orders: &mut Vec<Effect>,
    ) {
        let Some(entry) = self.entries.get(key) else { return };
        // The header was asked for twice, since the folder was away meanwhile, and the pixels are read already.
        if matches!(entry.pixels, Pixels::Read(_)) {
            return;
        }
        let again = entry.phase == Phase::Settled;
        match result {
            Ok(facts) => {
                orders.push(Effect::Read(entry.job(key, Task::Pixels(facts.clone()))));
                self.entries.change(key, |entry| {
                    (entry.header, entry.phase) = (HeaderState::Read(facts), Phase::Waiting);
                });
                if self.selected.as_ref() == Some(key) {
                    self.want_thumbnail(orders);
                }
            }
            Err(JobError::Fault(fault)) => {
                let settled = self.entries.change(key, |entry| {
                    entry.fault(&fault, now);
                    let settled = entry.phase == Phase::Settled;
                    if settled {
                        entry.header = HeaderState::Fault(fault);
                    }
                    settled
                });
                if settled == Some(true) && !again {
                    self.one_more_done();
                }
                self.expect_retry(key);
            }
            Err(JobError::Changed) => {
                self.entries.change(key, |entry| entry.doubt(now));
                self.expect_retry(key);
                orders.push(Effect::LookAgain(Duration::ZERO));
            }
        }
        self.judge_soon(now);
    }

    fn pixels_read(
        &mut self,
        ticket: &Ticket,
        result: Result<ReadPicture, JobError>,
        now: Duration,
        orders: &mut Vec<Effect>,
    ) {
        let key = &ticket.key;
        let Some(entry) = self.entries.get(key) else { return };
        // The folder was away meanwhile: once the header is read again, so are the pixels.
        if matches!(entry.header, HeaderState::Waiting { .. }) {
            return;
        }
        let had = matches!(entry.pixels, Pixels::Read(_));
        let again = entry.phase == Phase::Settled;
        match result {
            Ok(ReadPicture { counted, thumbnail }) => {
                // What was kept of an earlier reading has none; it is read again if somebody looks at it.
                if !thumbnail.samples.is_empty() {
                    self.gallery.keep(ticket.version, thumbnail);
                }
                if !had {
                    self.entries.change(key, |entry| {
                        (entry.pixels, entry.phase) = (Pixels::Read(counted), Phase::Settled);
                    });
                }
                if self.selected.as_ref() == Some(key) {
                    self.want_thumbnail(orders);
                }
            }
            // The picture was read before and only its thumbnail was wanted again.
            Err(_) if had => return,
            Err(JobError::Fault(fault)) => self.pixels_fault(key, fault, now),
            Err(JobError::Changed) => {
                self.entries.change(key, |entry| entry.doubt(now));
                self.expect_retry(key);
                orders.push(Effect::LookAgain(Duration::ZERO));
            }
        }
        if had {
            return;
        }
        let is_settled = self.entries.get(key).is_some_and(|entry| entry.phase == Phase::Settled);
        if is_settled && !again {
            self.one_more_done();
        }
        self.judge_soon(now);
    }

    /// Reads pictures again whose verdict could not be found, since what was counted of them is lost.
    pub(crate) fn read_what_is_lost(&mut self, judgement: &Judgement<Arc<Row>>, orders: &mut Vec<Effect>) {
        let uncounted = judgement.rows.iter().filter(|row| row.pixels.is_none() && row.key.print.is_some());
        for key in uncounted.filter_map(|row| row.key.picture.as_ref()) {
            let Some(entry) = self.entries.get(key) else { continue };
            // Nothing happens to an entry while rows are judged: what was counted is there, and was not to be had.
            let lost = entry.counted().is_some();
            if let Some(facts) = entry.facts().cloned().filter(|_| lost) {
                orders.push(Effect::Read(entry.job(key, Task::Pixels(facts))));
                self.entries.change(key, |entry| {
                    (entry.pixels, entry.phase) = (Pixels::Waiting, Phase::Waiting);
                });
            }
        }
    }

    fn pixels_fault(&mut self, key: &PictureKey, fault: Fault, now: Duration) {
        self.entries.change(key, |entry| {
            entry.fault(&fault, now);
            if entry.phase == Phase::Settled {
                entry.pixels = Pixels::Fault(fault);
            }
        });
        self.expect_retry(key);
    }

    fn drawn(&mut self, ticket: &Ticket, upright: UprightThumbnail, preview: bool, orders: &mut Vec<Effect>) {
        let real_is_there = self.gallery.shown().is_some_and(|shown| shown.version == ticket.version && !shown.preview);
        if self.selected.as_ref() == Some(&ticket.key) && !(preview && real_is_there) {
            let shown = self.gallery.show(ticket.key.clone(), ticket.version, upright, preview);
            orders.push(Effect::Show(Some(shown)));
        }
    }
}
