//! A summary of a delivery before it is checked again, and a free folder for it.

use std::path::{Path, PathBuf};

use crate::brief::Problem;
use crate::decisions;
use crate::decisions::sent::SentLog;
use crate::reading::check_report::CheckReport;

use super::lists;
use super::log::{self, SentBefore};
use super::ordered::orders_of;
use super::plan::{DeliveryPlan, DeliverySelection, ListedFiles, plan};
use super::receipt::DeliveryNotices;
use super::since::{Comparison, pictures_to_send};

/// Most folders tried until one is free. Own choice.
const MAX_TRIED: usize = 1_000;

/// A summary of a delivery.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeliverySummary {
    /// The number of pictures.
    pub pictures: usize,
    /// The number of prints.
    pub prints: usize,
    /// False if the printer has all of it.
    pub is_news: bool,
    /// What was sent before; `None` if nothing was.
    pub before: Option<SentBefore>,
    /// Remarks on the delivery.
    pub notices: DeliveryNotices,
    /// Tells this delivery from any other: the same text for the same pictures, orders and words to the printer.
    pub identity: String,
}

/// A delivery of an order before it is made, each part as a summary, or why nothing may be sent.
#[derive(Clone, Debug)]
pub struct OrderPreview {
    /// All of the order.
    pub everything: Result<DeliverySummary, Vec<String>>,
    /// What changed since all that was sent; `None` if nothing was.
    pub changed: Option<Result<DeliverySummary, Vec<String>>>,
    /// A free folder for it.
    pub into: PathBuf,
}

/// Returns the preview of delivering an order whose exports are in `folder`. Reads the brief's decisions.
///
/// # Errors
/// The decisions have mistakes.
pub fn preview_order(brief: &Path, folder: &Path, report: &CheckReport) -> Result<OrderPreview, Vec<Problem>> {
    let log = decisions::read(brief)?.sent;
    let keys = report.rows.iter().filter_map(|row| row.key.picture.clone());
    // Names that are not UTF-8 are refused when the folder is read again.
    let files: ListedFiles = keys.map(|key| (key.clone(), (folder.join(key.as_str()), true))).collect();
    Ok(OrderPreview {
        everything: preview(report, &files, &log, false),
        changed: (!log.deliveries.is_empty()).then(|| preview(report, &files, &log, true)),
        into: free_folder(brief, report.made.get(..10).unwrap_or_default()),
    })
}

/// Summarises the delivery of an order from its report: of all of it, or of what changed since all that was sent.
///
/// # Errors
/// Why nothing may be sent, each reason in words; may hold foreign text.
fn preview(
    report: &CheckReport,
    files: &ListedFiles,
    log: &SentLog,
    since_last: bool,
) -> Result<DeliverySummary, Vec<String>> {
    let plan = plan(report, files, &DeliverySelection::default())?;
    let log_comparison = log::held_by_printer(log).map(|held| held.compare(report, &plan));
    let comparison = log_comparison.as_ref().filter(|_| since_last);
    let sent = pictures_to_send(&plan, comparison);
    Ok(DeliverySummary {
        pictures: sent.len(),
        prints: sent.iter().map(|sent| sent.rows.len()).sum(),
        is_news: comparison.is_none_or(Comparison::is_news),
        before: SentBefore::of(log, log_comparison.as_ref(), !since_last),
        notices: DeliveryNotices::of(report, &sent, &plan.extra).since(comparison, &sent),
        identity: identity(report, &plan, comparison),
    })
}

/// Returns a text that tells a delivery from any other.
pub(super) fn identity(report: &CheckReport, plan: &DeliveryPlan, comparison: Option<&Comparison>) -> String {
    let prints = report.prints();
    let mut parts: Vec<String> = Vec::new();
    for one in pictures_to_send(plan, comparison) {
        parts.extend([one.name.clone(), one.sha256.clone()]);
        parts.extend(orders_of(report, &prints, &one.rows).into_iter().map(|order| order.words));
    }
    parts.extend(comparison.iter().flat_map(|comparison| comparison.withdrawn.iter().cloned()));
    parts.extend(comparison.iter().flat_map(|comparison| comparison.changed_terms()));
    lists::digest(parts.join("\n").as_bytes())
}

/// Returns a folder beside the brief that does not exist yet, named after it and the day. Reads the disk.
fn free_folder(brief: &Path, day: &str) -> PathBuf {
    let mut names = (1..MAX_TRIED).map(|number| numbered_folder(brief, day, number));
    names.find(|path| path.symlink_metadata().is_err()).unwrap_or_else(|| numbered_folder(brief, day, MAX_TRIED))
}

fn numbered_folder(brief: &Path, day: &str, number: usize) -> PathBuf {
    let stem = brief.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    match number {
        1 => brief.with_file_name(format!("{stem}-delivery-{day}")),
        _ => brief.with_file_name(format!("{stem}-delivery-{day}-{number}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::RowState;
    use crate::report::sample;

    #[test]
    fn what_would_go_is_counted_or_the_reasons_are_given() {
        let mut report = sample::report();
        let preview = |report: &CheckReport| preview(report, &sample::files(report), &SentLog::default(), false);
        assert!(!preview(&report).unwrap_err().is_empty());
        report.order_findings.clear();
        report.rows.retain(|row| matches!(row.state, RowState::Pass | RowState::Warn | RowState::Extra));
        let preview = preview(&report).unwrap();
        let extra = report.rows.iter().filter(|row| row.state == RowState::Extra).count();
        assert_eq!((preview.prints, preview.notices.extra.len()), (report.rows.len() - extra, extra));
        assert!(preview.pictures > 0 && preview.notices.warned > 0 && preview.notices.names_nobody);
    }

    #[test]
    fn a_folder_that_is_there_is_passed_over() {
        let room = tempfile::tempdir().unwrap();
        let brief = room.path().join("low-water.toml");
        assert_eq!(free_folder(&brief, "2026-11-26"), room.path().join("low-water-delivery-2026-11-26"));
        std::fs::create_dir(room.path().join("low-water-delivery-2026-11-26")).unwrap();
        assert_eq!(free_folder(&brief, "2026-11-26"), room.path().join("low-water-delivery-2026-11-26-2"));
    }
}
