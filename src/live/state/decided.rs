//! Reactions to decisions: boxes, accepted findings, and what the decisions file says.

use std::collections::HashMap;
use std::mem;
use std::sync::Arc;

use crate::brief::{PrintId, Problem};
use crate::decisions::{BoxChange, DecisionChange, Decisions, FindingChange, KeepError, problem_words};
use crate::judge::RowKey;
use crate::judge::acceptance::{Acceptance, AcceptanceReason};
use crate::judge::subject::{Area, DrawnBox};
use crate::live::effect::Effect;
use crate::live::entry::FileEntry;
use crate::live::notice;
use crate::live::snapshot::{AcceptRequest, ShownFinding, TableRow};
use crate::picture::PictureKey;

use super::LiveState;

impl LiveState {
    pub(crate) fn take_decisions(&mut self, read: Result<Arc<Decisions>, Vec<Problem>>) {
        match read {
            Ok(decisions) => {
                if !self.decisions.problems.is_empty() {
                    self.decisions.problems = Vec::new().into();
                    self.has_changed = true;
                }
                if *decisions != *self.decisions.last_valid {
                    self.decisions.last_valid = decisions;
                    self.judge_superseding();
                }
            }
            Err(problems) => self.report_broken_decisions(problems),
        }
    }

    /// Reports a broken file: earlier decisions still count; the broken file is never overwritten.
    fn report_broken_decisions(&mut self, problems: Vec<Problem>) {
        self.say(format!("nothing is saved until this is fixed: {}", problem_words(&problems)));
        self.decisions.problems = problems.into();
    }

    pub(crate) fn draw_subject(&mut self, picture: PictureKey, print: Option<PrintId>, area: Option<Area>) {
        let handle = self.entries.get(&picture).and_then(FileEntry::evidence_handle);
        let change = match area {
            None => {
                let sha256 = handle.map(|handle| handle.sha256.as_str());
                let picture = self.decisions.last_valid.boxes.stored_name(&picture, sha256).clone();
                BoxChange { picture, print, drawn: None }
            }
            Some(area) => {
                let Some(evidence) = handle.and_then(|handle| handle.evidence()) else {
                    return self.say(format!("{picture} is not read yet; draw the box again once it is"));
                };
                let Some(drawn) = DrawnBox::on(&evidence, area) else {
                    return self.say(format!("{picture}: the box is too small to save"));
                };
                BoxChange { picture, print, drawn: Some(drawn) }
            }
        };
        self.effects.push(Effect::WriteDecisions(vec![DecisionChange::Box(change)]));
    }

    /// Accepts a finding of some rows, or withdraws its acceptance. A row that is no longer as it was shown is left
    /// out.
    pub(crate) fn accept(&mut self, request: &AcceptRequest) {
        let rows = self.rows.in_order().clone();
        let rows: HashMap<&RowKey, &TableRow> = rows.iter().map(|row| (&row.row.key, row.as_ref())).collect();
        let (mut changes, mut left_out) = (Vec::new(), Vec::new());
        for shown in &request.rows {
            match self.finding_change(shown, rows.get(&shown.key).copied(), request.reason.as_ref()) {
                Ok(change) => changes.push(DecisionChange::Finding(change)),
                Err(why) => left_out.push(why),
            }
        }
        let left_out = notice::left_out(&left_out, request.left_out_new_rows);
        if changes.is_empty() {
            let done = if request.reason.is_some() { "accepted" } else { "withdrawn" };
            left_out.into_iter().for_each(|words| self.say(format!("nothing is {done}: {words}")));
            return;
        }
        self.decisions.left_out.extend(left_out);
        self.effects.push(Effect::WriteDecisions(changes));
    }

    /// Returns the change for a row, which is `current` now, or why there is none, in words. Without a reason the
    /// acceptance is withdrawn.
    fn finding_change(
        &self,
        shown: &ShownFinding,
        current: Option<&TableRow>,
        reason: Option<&AcceptanceReason>,
    ) -> Result<FindingChange, String> {
        let rule = shown.finding.rule.id;
        let Some(picture) = &shown.key.picture else { return Err("a print without a picture".to_owned()) };
        let current = current.ok_or_else(|| format!("{picture} is gone"))?;
        let row = &current.row;
        if current.is_outdated || !shown.is_of_same_file(row) {
            return Err(format!("{picture} was exported again meanwhile"));
        }
        let mut findings = row.findings.iter().chain(row.accepted.iter().map(|accepted| &accepted.finding));
        let finding = findings.find(|finding| finding.is_same_as(&shown.finding));
        let finding = finding.ok_or_else(|| format!("{picture}: {rule} is no longer found"))?;
        if !finding.says_the_same_as(&shown.finding) {
            return Err(format!("{picture}: {rule} has changed meanwhile"));
        }
        let stored = self.decisions.last_valid.findings.stored_name(picture, row.sha256.as_deref());
        match reason {
            Some(reason) => Acceptance::of(finding, row, reason.clone())
                .map(|acceptance| FindingChange::accept(stored, acceptance))
                .map_err(|why| format!("{picture}: {why}")),
            None => Ok(FindingChange::withdraw(stored, row.key.print.as_ref(), rule, &finding.about)),
        }
    }

    pub(crate) fn take_written(&mut self, changes: Vec<DecisionChange>, kept: Result<Arc<Decisions>, KeepError>) {
        let left_out = mem::take(&mut self.decisions.left_out);
        match kept {
            Ok(decisions) => {
                self.decisions.problems = Vec::new().into();
                self.decisions.last_valid = decisions;
                self.judging.since.happened.record(changes, left_out);
                self.judge_superseding();
            }
            Err(KeepError::Broken(problems)) => self.report_broken_decisions(problems),
            Err(error) => self.say(format!("not saved: {error}")),
        }
    }
}
