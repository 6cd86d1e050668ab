//! Reactions to boxes being drawn, and to decisions made elsewhere.

use std::collections::HashMap;
use std::sync::Arc;
use std::time::Duration;

use crate::brief::{PrintId, Problem};
use crate::decisions::{BoxChange, DecisionChange, Decisions, FindingChange, KeepError, problem_words};
use crate::judge::acceptance::Acceptance;
use crate::judge::subject::{Area, DrawnBox};
use crate::judge::{Finding, RowKey};
use crate::live::effect::Effect;
use crate::live::snapshot::{AcceptRequest, ShownRow};
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

    /// Accepts a finding of some rows, or withdraws that.
    pub(crate) fn accept(&mut self, required: &AcceptRequest, effects: &mut Vec<Effect>) {
        let rows = self.rows.in_order().clone();
        let shown: HashMap<&RowKey, &ShownRow> = required.rows.iter().map(|shown| (&shown.key, shown)).collect();
        let mut changes = Vec::new();
        for row in rows.iter().map(|row| &row.row) {
            let (Some(shown), Some(picture)) = (shown.get(&row.key), &row.key.picture) else { continue };
            if shown.sha256.is_some() && shown.sha256 != row.sha256 {
                self.say(format!("{picture} was exported again meanwhile: look at its finding again"));
                continue;
            }
            let findings = row.findings.iter().chain(row.accepted.iter().map(|one| &one.finding));
            let is_meant = |finding: &&Arc<Finding>| {
                (finding.rule.id, &finding.about) == (required.rule.as_str(), &required.about)
            };
            for finding in findings.filter(is_meant) {
                let acceptance = match required.said.clone().map(|said| Acceptance::of(finding, row, said)) {
                    None => None,
                    Some(Ok(acceptance)) => Some(Box::new(acceptance)),
                    Some(Err(why)) => {
                        self.say(format!("{picture}: {why}"));
                        continue;
                    }
                };
                changes.push(DecisionChange::Finding(FindingChange {
                    picture: self.decisions.good.findings.name(picture, row.sha256.as_deref()).clone(),
                    print: row.key.print.clone(),
                    rule: required.rule.clone(),
                    about: required.about.clone(),
                    acceptance,
                }));
            }
        }
        if !changes.is_empty() {
            effects.push(Effect::Keep(changes));
        }
    }

    pub(crate) fn take_kept(
        &mut self,
        changes: Vec<DecisionChange>,
        kept: Result<Arc<Decisions>, KeepError>,
        now: Duration,
    ) {
        match kept {
            Ok(accepted) => {
                self.decisions.problems = Vec::new().into();
                self.decisions.good = accepted;
                for change in changes {
                    match change {
                        DecisionChange::Box(change) => self.judging.since.happened.drawn.push(change.picture),
                        DecisionChange::Finding(change) if change.acceptance.is_some() => {
                            self.judging.since.happened.accepted += 1
                        }
                        DecisionChange::Finding(_) => self.judging.since.happened.taken_back += 1,
                        // The live table never makes one itself.
                        DecisionChange::Seen(_) => {}
                    }
                }
                self.judge_instead(now);
            }
            Err(KeepError::Broken(problems)) => self.accepted_is_broken(problems),
            Err(unwritten) => self.say(format!("not saved: {unwritten}")),
        }
    }
}
