//! A summary of a delivery before it is checked again, and a free folder for it.

use std::path::{Path, PathBuf};

use crate::report::Report;

use super::plan::{DeliverySelection, ListedFiles, plan};
use super::receipt::Remarks;

/// Most folders tried until one is free. Own choice.
const MOST_TRIED: usize = 1_000;

/// A summary of a delivery.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeliverySummary {
    /// The number of pictures.
    pub pictures: usize,
    /// The number of prints.
    pub prints: usize,
    /// Remarks on the delivery.
    pub remarks: Remarks,
}

/// Summarises the delivery of a whole order from its report.
///
/// # Errors
/// Why nothing may be sent, each reason in words; may hold foreign text.
pub fn preview(report: &Report, files: &ListedFiles) -> Result<DeliverySummary, Vec<String>> {
    let plan = plan(report, files, &DeliverySelection::default())?;
    Ok(DeliverySummary {
        pictures: plan.sent.len(),
        prints: plan.sent.iter().map(|sent| sent.rows.len()).sum(),
        remarks: Remarks::of(report, &plan.sent.iter().collect::<Vec<_>>(), &plan.extra),
    })
}

/// Returns a folder beside the brief that does not exist yet, named after it and the day. Reads the disk.
pub fn free_folder(brief: &Path, day: &str) -> PathBuf {
    let mut names = (1..MOST_TRIED).map(|number| numbered(brief, day, number));
    names.find(|path| path.symlink_metadata().is_err()).unwrap_or_else(|| numbered(brief, day, MOST_TRIED))
}

fn numbered(brief: &Path, day: &str, number: usize) -> PathBuf {
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
        assert!(!preview(&report, &sample::files(&report)).unwrap_err().is_empty());
        report.order_findings.clear();
        report.rows.retain(|row| matches!(row.state, RowState::Pass | RowState::Warn | RowState::Extra));
        let preview = preview(&report, &sample::files(&report)).unwrap();
        let extra = report.rows.iter().filter(|row| row.state == RowState::Extra).count();
        assert_eq!((preview.prints, preview.remarks.extra.len()), (report.rows.len() - extra, extra));
        assert!(preview.pictures > 0 && preview.remarks.warned > 0 && preview.remarks.names_nobody);
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
