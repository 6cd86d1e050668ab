//! Facts and evidence against the brief: placement, answers, rules, findings, states.
//!
//! Pure: no clock, no disk of its own (`counted.rs` may fetch from one), no threads, no screen. The same brief and
//! pictures give the same rows in the same order.

pub mod acceptance;
mod alike;
pub mod answers;
pub mod asking;
pub mod counted;
pub mod delivered;
mod density;
mod exposure;
pub mod finding;
pub mod folder;
pub mod impression;
pub mod lines;
mod memo;
mod near;
pub mod pairing;
mod phrases;
pub mod placement;
#[cfg(test)]
mod properties;
pub mod reach;
pub mod row;
pub mod rule;
pub mod rules;
pub mod sizes;
pub mod subject;
pub mod test_print;
#[cfg(test)]
pub mod testing;

pub use counted::{Counted, Whole};
pub use delivered::{Delivered, Header, Pixels};
pub use finding::Finding;
pub use folder::Folder;
pub use memo::Memo;
pub use row::{Row, RowKey, State, Totals};

use std::collections::HashMap;
use std::sync::Arc;

use crate::brief::asked::Level;
use crate::brief::{Brief, Print, PrintsById};
use crate::judge::near::Near;
use crate::judge::pairing::pair;
use crate::judge::rule::{Ask, Order, OrderBreach, Rule};
use crate::judge::rules::{RULES, set_extra, set_missing, set_rows};
use crate::picture::PictureKey;
use crate::picture::unlisted::Unlisted;

/// All rows of an order, and what is found about the order as a whole. Rows of a desk are shared, since most of them
/// are those of the judgement before.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Judgement<R = Row> {
    /// Prints in the brief's order, then pictures that no print wants, by name.
    pub rows: Vec<R>,
    /// Findings about the order as a whole.
    pub order_findings: Vec<Arc<Finding>>,
}

/// Judges files against the brief: those of a folder of which nothing was passed over, in the order of their keys.
pub fn judge(brief: &Brief, files: &[Delivered]) -> Judgement {
    alone(judged(brief, files, &Unlisted::default(), &mut Memo::default()))
}

/// Judges a folder against the brief.
pub fn judge_folder(brief: &Brief, folder: &Folder) -> Judgement {
    alone(judged(brief, &folder.files, &folder.unlisted, &mut Memo::default()))
}

/// Says what [`judge_folder`] says, without asking rows again of which nothing new is known.
pub fn judge_again(brief: &Arc<Brief>, folder: &Folder, memo: &mut Memo) -> Judgement<Arc<Row>> {
    memo.begin(brief);
    judged(brief, &folder.files, &folder.unlisted, memo)
}

/// A judgement whose rows nobody else holds.
fn alone(judgement: Judgement<Arc<Row>>) -> Judgement {
    let Judgement { rows, order_findings } = judgement;
    Judgement { rows: rows.into_iter().map(Arc::unwrap_or_clone).collect(), order_findings }
}

fn judged(brief: &Brief, folder: &[Delivered], unlisted: &Unlisted, memo: &mut Memo) -> Judgement<Arc<Row>> {
    memo.look_at(folder);
    let paired = pair(brief, folder);
    let mut rows: Vec<Arc<Row>> = Vec::with_capacity(folder.len());
    let near = Near::of(brief, folder, &paired);
    for (number, (print, pictures)) in brief.prints.iter().zip(&paired.of_print).enumerate() {
        if pictures.is_empty() {
            let near = near.picture_of.get(&number).map(|&at| &folder[at].key);
            rows.push(Arc::new(missing(print, near)));
        }
        rows.extend(pictures.iter().map(|&at| memo.row(print, &folder[at])));
    }
    for (at, leftover) in &paired.extra {
        let print = near.print_of.get(at).map(|&number| &brief.prints[number]);
        rows.push(memo.extra(&folder[*at], set_extra::remark(brief, folder, leftover, print)));
    }
    let mut order_findings = ask_order(&Order { brief, rows: &rows, unlisted }, memo);
    let level = set_rows::RULE.level;
    let cut = paired.cut.map(|cut| asking::finding(&set_rows::RULE, level, Vec::new(), set_rows::breach(cut)));
    order_findings.extend(cut.map(Arc::new));
    asking::in_order(&mut order_findings);
    memo.end(&mut rows);
    Judgement { rows, order_findings }
}

/// Asks the rules of the whole order: gives what it finds of the order, and tells the memo what it finds of rows.
fn ask_order(order: &Order, memo: &mut Memo) -> Vec<Arc<Finding>> {
    let brief = order.brief;
    let mut of_order = Vec::new();
    let prints = PrintsById::of(brief);
    for rule in RULES {
        let (Ask::Order(ask) | Ask::RowAndOrder(_, ask)) = rule.ask else { continue };
        let of_brief = asking::level(rule, &brief.asked.levels);
        ask(order, &mut |OrderBreach { rows: carriers, pictures, breach }| {
            let at_most = breach.at_most;
            let found = Arc::new(asking::finding(rule, of_brief, pictures, breach));
            if carriers.is_empty() && of_brief != Level::Off {
                of_order.push(found.clone());
            }
            // Rows of the same rank share it: it may name many pictures of an order.
            let mut otherwise: HashMap<Level, Arc<Finding>> = HashMap::new();
            for key in &carriers {
                // A print may rank the rule otherwise than its brief does.
                let print = prints.get(key.print.as_ref());
                let level = print.map_or(of_brief, |print| asking::level(rule, &print.asked.levels));
                let ranked = || {
                    let level = at_most.map_or(level, |most| most.min(level));
                    Arc::new(Finding { level, ..Finding::clone(&found) })
                };
                match level {
                    Level::Off => {}
                    level if level == of_brief => memo.tell(key, found.clone()),
                    level => memo.tell(key, otherwise.entry(level).or_insert_with(ranked).clone()),
                }
            }
        });
    }
    of_order
}

fn missing(print: &Print, near: Option<&PictureKey>) -> Row {
    Row {
        state: State::Missing,
        placement: Some(std::sync::Arc::new(placement::Placement::of_print(print))),
        remark: set_missing::remark(print, near),
        ..asking::empty(RowKey { print: Some(print.id.clone()), picture: None }, Some(print))
    }
}

/// Ids of the rules that a brief may rank: all but those that are a row's state and file.readable, without which
/// nothing else can be said.
pub fn ranked_ids() -> Vec<&'static str> {
    let may = |rule: &&&Rule| !matches!(rule.ask, Ask::State | Ask::File(_));
    RULES.iter().filter(may).map(|rule| rule.id).collect()
}
