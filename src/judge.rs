//! Judging: facts and evidence checked against the brief, giving placement, findings and states.
//!
//! Pure: no clock, no disk of its own (`EvidenceSource` may fetch from one), no screen. Rows are judged in parallel and
//! come out in order: the same brief and pictures give the same rows in the same order.

pub mod acceptance;
pub mod evaluate;
pub mod export_spec;
pub mod matching;
pub mod metrics;
pub mod model;
pub mod placement;
#[cfg(test)]
mod properties;
mod row_memo;
pub mod rules;
pub mod sizes;
pub mod subject;
#[cfg(test)]
pub mod testing;
pub mod to_do;

pub use model::evidence_handle::{EvidenceHandle, EvidenceSource};
pub use model::finding::Finding;
pub use model::folder::FolderContents;
pub use model::row::{Row, RowKey, RowState, Totals};
pub use model::rule::{Rule, RuleGroup};
pub use model::submission::{HeaderState, Pixels, Submission};
pub use row_memo::RowMemo;
pub use rules::configurable_ids;

use std::collections::HashMap;
use std::sync::Arc;

use rayon::prelude::*;

use crate::brief::requirements::Level;
use crate::brief::{Brief, Print, PrintsById};
use crate::judge::matching::name_suggestions::NameSuggestions;
use crate::judge::matching::pairing::{Pairing, pair};
use crate::judge::matching::shared_file;
use crate::judge::metrics::last_measured::LastMetrics;
use crate::judge::model::check::{JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::placement::Placement;
use crate::judge::rules::CHECKS;
use crate::judge::rules::set::{extra, missing, rows};
use crate::picture::PictureKey;
use crate::picture::unlisted::Unlisted;

/// All rows of an order, and the findings about the order as a whole. A live table shares its rows, since most are
/// those of the previous judgement.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement<R = Row> {
    /// Prints in the brief's order, then pictures that no print wants, by name.
    pub rows: Vec<R>,
    /// Findings about the order as a whole.
    pub order_findings: Vec<Arc<Finding>>,
}

impl<R> Default for Judgement<R> {
    /// Returns a judgement without rows.
    fn default() -> Judgement<R> {
        Judgement { rows: Vec::new(), order_findings: Vec::new() }
    }
}

/// Returns true once a newer request has replaced the one in progress. Called from several threads.
pub type IsSuperseded<'a> = &'a (dyn Fn() -> bool + Sync);

/// Used where no newer request can replace this one.
const NEVER: IsSuperseded<'static> = &|| false;

/// Judges files against the brief: those of a folder from which nothing was left out, in the order of their keys.
pub fn judge(brief: &Brief, files: &[Submission]) -> Judgement {
    unshared(judge_all(brief, files, &Unlisted::default(), &mut RowMemo::default(), NEVER))
}

/// Judges a folder against the brief.
pub fn judge_folder(brief: &Brief, folder: &FolderContents) -> Judgement {
    unshared(judge_all(brief, &folder.files, &folder.unlisted, &mut RowMemo::default(), NEVER))
}

/// Returns what [`judge_folder`] returns, but judges again only the rows whose file, print or brief has
/// changed; `None` if a newer request replaces it. Rows judged by then are kept in the memo.
pub fn judge_unless_superseded(
    brief: &Arc<Brief>,
    folder: &FolderContents,
    memo: &mut RowMemo,
    is_superseded: IsSuperseded,
) -> Option<Judgement<Arc<Row>>> {
    memo.begin(brief);
    judge_all(brief, &folder.files, &folder.unlisted, memo, is_superseded)
}

/// Returns a judgement that was not superseded, with rows of its own instead of shared ones.
fn unshared(judgement: Option<Judgement<Arc<Row>>>) -> Judgement {
    let Judgement { rows, order_findings } = judgement.unwrap_or_default();
    Judgement { rows: rows.into_iter().map(Arc::unwrap_or_clone).collect(), order_findings }
}

/// Pairs files with prints, judges the rows and checks the order's rules; `None` if superseded meanwhile.
fn judge_all(
    brief: &Brief,
    files: &[Submission],
    unlisted: &Unlisted,
    memo: &mut RowMemo,
    is_superseded: IsSuperseded,
) -> Option<Judgement<Arc<Row>>> {
    memo.compare_files(files);
    let paired = pair(brief, files);
    let near = NameSuggestions::of(brief, files, &paired);
    let mut uses = vec![0_usize; files.len()];
    paired.of_print.iter().flatten().for_each(|&at| uses[at] += 1);
    // Measurements shared by several prints of a picture; `None` for a picture of one print.
    let last: Vec<Option<LastMetrics>> = uses.iter().map(|&uses| (uses > 1).then(LastMetrics::default)).collect();
    let mut rows = Vec::with_capacity(files.len());
    for wanted in wanted_rows(brief, files, &paired, &near, &last).chunks(ROWS_AT_ONCE) {
        judge_rows(wanted, memo, &mut rows, is_superseded);
    }
    if is_superseded() {
        memo.abandon(rows);
        return None;
    }
    shared_file::remark_on(&mut rows, brief);
    for leftover in &paired.extra {
        let print = near.print_of.get(&leftover.0).map(|&number| &brief.prints[number]);
        rows.push(memo.extra_row(&files[leftover.0], extra::remark(brief, files, leftover, print)));
    }
    let mut order_findings = check_order_rules(&JudgedOrder { brief, rows: &rows, files, unlisted }, memo);
    let level = rows::RULE.level;
    let cut = paired.cut_rows.map(|cut| evaluate::finding_from(&rows::RULE, level, Vec::new(), rows::breach(cut)));
    order_findings.extend(cut.map(Arc::new));
    evaluate::sort_findings(&mut order_findings);
    memo.finish(&mut rows);
    Some(Judgement { rows, order_findings })
}

/// Rows judged at the same time: enough for every processor, and few enough to be held twice. Own choice.
const ROWS_AT_ONCE: usize = 4_096;

/// A finished row, or what it is judged from.
enum WantedRow<'a> {
    Known(Arc<Row>),
    ToJudge(&'a Print, &'a Submission, Option<&'a LastMetrics>),
}

/// Returns the rows of the brief's prints, in its order.
fn wanted_rows<'a>(
    brief: &'a Brief,
    folder: &'a [Submission],
    paired: &Pairing,
    near: &NameSuggestions,
    last: &'a [Option<LastMetrics>],
) -> Vec<WantedRow<'a>> {
    let mut wanted = Vec::with_capacity(folder.len());
    for (number, (print, pictures)) in brief.prints.iter().zip(&paired.of_print).enumerate() {
        if pictures.is_empty() {
            let near = near.picture_of.get(&number).map(|&at| &folder[at].key);
            wanted.push(WantedRow::Known(Arc::new(missing_row(print, near))));
        }
        wanted.extend(pictures.iter().map(|&at| WantedRow::ToJudge(print, &folder[at], last[at].as_ref())));
    }
    wanted
}

/// Judges, on all processors, the rows that the memo does not hold. Adds all rows in their order, except those not yet
/// judged when a newer request came: the caller must then discard them.
fn judge_rows(wanted: &[WantedRow], memo: &mut RowMemo, rows: &mut Vec<Arc<Row>>, is_superseded: IsSuperseded) {
    let known: Vec<Option<Arc<Row>>> = wanted
        .iter()
        .map(|row| match row {
            WantedRow::Known(row) => Some(row.clone()),
            WantedRow::ToJudge(print, file, _) => memo.reuse_row(print, file),
        })
        .collect();
    let judged_now = wanted.par_iter().zip(&known).map(|(row, known)| match (row, known) {
        (WantedRow::ToJudge(print, file, last), None) if !is_superseded() => {
            Some(evaluate::judge_row(print, file, *last))
        }
        _ => None,
    });
    let judged_now: Vec<Option<Row>> = judged_now.collect();
    let all = known.into_iter().zip(judged_now);
    rows.extend(all.filter_map(|(known, judged)| known.or_else(|| judged.map(|row| memo.add_row(row)))));
}

/// Runs the rules of the whole order: returns its findings about the order and adds those about rows to the memo.
fn check_order_rules(order: &JudgedOrder, memo: &mut RowMemo) -> Vec<Arc<Finding>> {
    let brief = order.brief;
    let mut of_order = Vec::new();
    let prints = PrintsById::of(brief);
    for &(rule, check) in CHECKS {
        let (RuleCheck::Order(ask) | RuleCheck::RowAndOrder(_, ask)) = check else { continue };
        let of_brief = evaluate::effective_level(rule, &brief.requirements.levels);
        ask(order, &mut |OrderBreach { rows: carriers, pictures, breach }| {
            let at_most = breach.at_most;
            let found = Arc::new(evaluate::finding_from(rule, of_brief, pictures, breach));
            if carriers.is_empty() && of_brief != Level::Off {
                of_order.push(found.clone());
            }
            // Rows of the same level share one finding, which may name many pictures of an order.
            let mut otherwise: HashMap<Level, Arc<Finding>> = HashMap::new();
            for key in &carriers {
                // A print may set another level than its brief.
                let print = prints.get(key.print.as_ref());
                let level = print.map_or(of_brief, |print| evaluate::effective_level(rule, &print.requirements.levels));
                let at_level = || {
                    let level = at_most.map_or(level, |most| most.min(level));
                    Arc::new(Finding { level, ..Finding::clone(&found) })
                };
                match level {
                    Level::Off => {}
                    level if level == of_brief => memo.add_order_finding(key, found.clone()),
                    level => memo.add_order_finding(key, otherwise.entry(level).or_insert_with(at_level).clone()),
                }
            }
        });
    }
    of_order
}

fn missing_row(print: &Print, near: Option<&PictureKey>) -> Row {
    Row {
        state: RowState::Missing,
        placement: Some(Arc::new(Placement::of_print(print))),
        pairing_note: missing::remark(print, near),
        export: export_spec::summary(print),
        ..evaluate::empty_row(RowKey { print: Some(print.id.clone()), picture: None }, Some(print))
    }
}
