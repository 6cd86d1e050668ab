//! What follows from boxes that are drawn, and from what was decided elsewhere.

use std::collections::HashSet;
use std::sync::Arc;
use std::time::Duration;

use crate::brief::{PrintId, Problem};
use crate::desk::accepted::{Accepted, BoxChange, Change, FindingChange, NotKept, problem_words};
use crate::desk::order::Order;
use crate::desk::snapshot::Accepting;
use crate::judge::acceptance::Acceptance;
use crate::judge::subject::{Area, Drawn};
use crate::judge::{Finding, RowKey};
use crate::picture::PictureKey;

use super::State;

impl State {
    pub(super) fn accepted_read(&mut self, read: Result<Arc<Accepted>, Vec<Problem>>, now: Duration) {
        match read {
            Ok(accepted) => {
                if !self.accepted_problems.is_empty() {
                    self.accepted_problems = Vec::new().into();
                    self.fresh = true;
                }
                if *accepted != *self.accepted {
                    self.accepted = accepted;
                    self.judge_soon(now);
                }
            }
            Err(problems) => self.accepted_is_broken(problems),
        }
    }

    /// What was decided before still counts; nothing is written over the broken file.
    fn accepted_is_broken(&mut self, problems: Vec<Problem>) {
        self.say(format!("nothing is kept until this is mended: {}", problem_words(&problems)));
        self.accepted_problems = problems.into();
    }

    pub(super) fn draw_subject(
        &mut self,
        picture: PictureKey,
        print: Option<PrintId>,
        area: Option<Area>,
        orders: &mut Vec<Order>,
    ) {
        let counted = self.entries.get(&picture).and_then(|entry| entry.counted());
        let Some(area) = area else {
            let sha256 = counted.map(|counted| counted.sha256.as_str());
            let picture = self.accepted.boxes.name(&picture, sha256).clone();
            orders.push(Order::Keep(vec![Change::Box(BoxChange { picture, print, drawn: None })]));
            return;
        };
        match counted.and_then(|counted| counted.evidence()).map(|evidence| Drawn::on(&evidence, area)) {
            Some(Some(drawn)) => {
                orders.push(Order::Keep(vec![Change::Box(BoxChange { picture, print, drawn: Some(drawn) })]))
            }
            Some(None) => self.say(format!("{picture}: the box is too small to be kept")),
            None => self.say(format!("{picture} is not read yet; draw again once it is")),
        }
    }

    /// Lets a finding of some rows stand, or takes it back.
    pub(super) fn accept(&mut self, asked: &Accepting, orders: &mut Vec<Order>) {
        let rows = self.rows.in_order().clone();
        let asked_for: HashSet<&RowKey> = asked.rows.iter().collect();
        let wanted = rows.iter().filter(|row| asked_for.contains(&row.row.key));
        let mut changes = Vec::new();
        for row in wanted.map(|row| &row.row) {
            let Some(picture) = &row.key.picture else { continue };
            let findings = row.findings.iter().chain(row.accepted.iter().map(|one| &one.finding));
            let is_meant =
                |finding: &&Arc<Finding>| (finding.rule, &finding.about) == (asked.rule.as_str(), &asked.about);
            for finding in findings.filter(is_meant) {
                let acceptance = match asked.said.clone().map(|said| Acceptance::of(finding, row, said)) {
                    None => None,
                    Some(Ok(acceptance)) => Some(Box::new(acceptance)),
                    Some(Err(why)) => {
                        self.say(format!("{picture}: {why}"));
                        continue;
                    }
                };
                changes.push(Change::Finding(FindingChange {
                    picture: self.accepted.findings.name(picture, row.sha256.as_deref()).clone(),
                    print: row.key.print.clone(),
                    rule: asked.rule.clone(),
                    about: asked.about.clone(),
                    acceptance,
                }));
            }
        }
        if !changes.is_empty() {
            orders.push(Order::Keep(changes));
        }
    }

    pub(super) fn kept(&mut self, changes: Vec<Change>, kept: Result<Arc<Accepted>, NotKept>, now: Duration) {
        match kept {
            Ok(accepted) => {
                self.accepted_problems = Vec::new().into();
                self.accepted = accepted;
                for change in changes {
                    match change {
                        Change::Box(change) => self.happened.drawn.push(change.picture),
                        Change::Finding(change) if change.acceptance.is_some() => self.happened.accepted += 1,
                        Change::Finding(_) => self.happened.taken_back += 1,
                        // The desk itself records none.
                        Change::Seen(_) => {}
                    }
                }
                self.judge_soon(now);
            }
            Err(NotKept::Broken(problems)) => self.accepted_is_broken(problems),
            Err(unwritten) => self.say(format!("not kept: {unwritten}")),
        }
    }
}
