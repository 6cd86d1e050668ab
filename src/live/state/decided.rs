//! Reactions to boxes being drawn, and to decisions made elsewhere.

use std::collections::HashMap;
use std::mem;
use std::sync::Arc;
use std::time::Duration;

use crate::brief::{PrintId, Problem};
use crate::decisions::{BoxChange, DecisionChange, Decisions, FindingChange, KeepError, problem_words};
use crate::judge::RowKey;
use crate::judge::acceptance::Acceptance;
use crate::judge::subject::{Area, DrawnBox};
use crate::live::effect::Effect;
use crate::live::notice;
use crate::live::snapshot::{AcceptRequest, ShownRow, TableRow};
use crate::picture::PictureKey;

use super::LiveState;

impl LiveState {
    pub(crate) fn accepted_read(&mut self, read: Result<Arc<Decisions>, Vec<Problem>>, now: Duration) {
        match read {
            Ok(accepted) => {
                if !self.decisions.problems.is_empty() {
                    self.decisions.problems = Vec::new().into();
                    self.fresh = true;
                }
                if *accepted != *self.decisions.good {
                    self.decisions.good = accepted;
                    self.judge_instead(now);
                }
            }
            Err(problems) => self.accepted_is_broken(problems),
        }
    }

    /// Reports a broken file: earlier decisions still count; the broken file is never overwritten.
    fn accepted_is_broken(&mut self, problems: Vec<Problem>) {
        self.say(format!("nothing is saved until this is fixed: {}", problem_words(&problems)));
        self.decisions.problems = problems.into();
    }

    pub(crate) fn draw_subject(
        &mut self,
        picture: PictureKey,
        print: Option<PrintId>,
        area: Option<Area>,
        effects: &mut Vec<Effect>,
    ) {
        let evidence_handle = self.entries.get(&picture).and_then(|entry| entry.evidence_handle());
        let Some(area) = area else {
            let sha256 = evidence_handle.map(|evidence_handle| evidence_handle.sha256.as_str());
            let picture = self.decisions.good.boxes.name(&picture, sha256).clone();
            effects.push(Effect::Keep(vec![DecisionChange::Box(BoxChange { picture, print, drawn: None })]));
            return;
        };
        match evidence_handle
            .and_then(|evidence_handle| evidence_handle.evidence())
            .map(|evidence| DrawnBox::on(&evidence, area))
        {
            Some(Some(drawn)) => {
                effects.push(Effect::Keep(vec![DecisionChange::Box(BoxChange { picture, print, drawn: Some(drawn) })]))
            }
            Some(None) => self.say(format!("{picture}: the box is too small to save")),
            None => self.say(format!("{picture} is not read yet; draw the box again once it is")),
        }
    }

    /// Accepts a finding of some rows, or withdraws that. A row that is no longer as it was shown is left out.
    pub(crate) fn accept(&mut self, required: &AcceptRequest, effects: &mut Vec<Effect>) {
        let rows = self.rows.in_order().clone();
        let rows: HashMap<&RowKey, &TableRow> = rows.iter().map(|row| (&row.row.key, row.as_ref())).collect();
        let (mut changes, mut left_out) = (Vec::new(), Vec::new());
        for shown in &required.rows {
            match self.change(shown, rows.get(&shown.key).copied(), required) {
                Ok(change) => changes.push(DecisionChange::Finding(change)),
                Err(why) => left_out.push(why),
            }
        }
        let left_out = notice::left_out(&left_out, required.came);
        if changes.is_empty() {
            let done = if required.said.is_some() { "accepted" } else { "withdrawn" };
            left_out.into_iter().for_each(|words| self.say(format!("nothing is {done}: {words}")));
            return;
        }
        self.decisions.left_out.extend(left_out);
        effects.push(Effect::Keep(changes));
    }

    /// Returns the change for a row, or why there is none, in words.
    fn change(
        &self,
        shown: &ShownRow,
        now: Option<&TableRow>,
        required: &AcceptRequest,
    ) -> Result<FindingChange, String> {
        let rule = &required.rule;
        let Some(picture) = &shown.key.picture else { return Err("a print without a picture".to_owned()) };
        let now = now.ok_or_else(|| format!("{picture} is gone"))?;
        let row = &now.row;
        if now.dimmed || !shown.is_of_file_of(row) {
            return Err(format!("{picture} was exported again meanwhile"));
        }
        let mut findings = row.findings.iter().chain(row.accepted.iter().map(|one| &one.finding));
        let finding = findings.find(|finding| finding.is_same_as(&shown.finding));
        let finding = finding.ok_or_else(|| format!("{picture}: {rule} is no longer found"))?;
        if !finding.says_the_same_as(&shown.finding) {
            return Err(format!("{picture}: {rule} has changed meanwhile"));
        }
        let acceptance = required.said.clone().map(|said| Acceptance::of(finding, row, said)).transpose();
        Ok(FindingChange {
            picture: self.decisions.good.findings.name(picture, row.sha256.as_deref()).clone(),
            print: row.key.print.clone(),
            rule: rule.clone(),
            about: required.about.clone(),
            acceptance: acceptance.map_err(|why| format!("{picture}: {why}"))?.map(Box::new),
        })
    }

    pub(crate) fn take_kept(
        &mut self,
        changes: Vec<DecisionChange>,
        kept: Result<Arc<Decisions>, KeepError>,
        now: Duration,
    ) {
        let left_out = mem::take(&mut self.decisions.left_out);
        match kept {
            Ok(accepted) => {
                self.decisions.problems = Vec::new().into();
                self.decisions.good = accepted;
                self.judging.since.happened.left_out.extend(left_out);
                for change in changes {
                    match change {
                        DecisionChange::Box(change) => self.judging.since.happened.drawn.push(change.picture),
                        DecisionChange::Finding(change) if change.acceptance.is_some() => {
                            self.judging.since.happened.accepted += 1
                        }
                        DecisionChange::Finding(_) => self.judging.since.happened.taken_back += 1,
                        // The live table never makes one itself.
                        DecisionChange::Seen(_) | DecisionChange::Delivery(_) | DecisionChange::Sent(_) => {}
                    }
                }
                self.judge_instead(now);
            }
            Err(KeepError::Broken(problems)) => self.accepted_is_broken(problems),
            Err(unwritten) => self.say(format!("not saved: {unwritten}")),
        }
    }
}
