//! A folder checked once, for everything that is done at the prompt.

use std::collections::HashMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::brief::Brief;
use crate::decisions;
use crate::decisions::Decisions;
use crate::judge::{Submission, Totals};
use crate::picture::PictureKey;
use crate::reading::batch::{CheckTarget, FinishedCheck, Progress, check};
use crate::reading::evidence_spill::{EvidenceSpill, SpillContents};
use crate::reading::inspect::FileInspector;
use crate::reading::scan::cut_off_words;
use crate::report::{Exit, Report, Strictness, csv, json, text};
use color_eyre::eyre::{Result, WrapErr, eyre};
use indicatif::ProgressBar;

use crate::cli::args::{CheckArgs, CheckFormat, WorkOptions};
use crate::cli::deliver;
use crate::cli::output::{means, now, out, progress_bar, read_brief, refused, say};
use crate::user::directories;

/// The brief and what was decided by hand about it, or nothing once their mistakes were said.
pub fn read_order(path: &Path) -> Option<(Brief, Decisions)> {
    let brief = read_brief(path)?;
    // A box that cannot be read must not pass in silence.
    let accepted = decisions::read(path).map_err(|problems| refused(&problems)).ok()?;
    Some((brief, accepted))
}

/// Reads and judges, with a bar on standard error.
///
/// # Errors
/// When the folder or a named file cannot be found.
pub fn checked(
    brief: &Brief,
    accepted: &Decisions,
    target: &CheckTarget,
    holds: SpillContents,
    work: WorkOptions,
) -> io::Result<FinishedCheck> {
    let bar = progress_bar();
    let checked = check(brief, accepted, target, means(work), &FileInspector::maker(), &drawer(holds), &onto(&bar));
    bar.finish_and_clear();
    checked
}

/// An empty drawer on the disk of the person's cache.
pub fn drawer(holds: SpillContents) -> Arc<EvidenceSpill> {
    EvidenceSpill::new(holds, directories::cache("").as_deref())
}

/// Shows progress on a bar.
pub fn onto(bar: &ProgressBar) -> impl Fn(Progress) + Sync {
    |progress| {
        bar.set_length(progress.of as u64);
        bar.set_position(progress.done as u64);
    }
}

/// The same of every picture of a folder.
///
/// # Errors
/// When it cannot be read; says which.
pub fn folder(brief: &Brief, accepted: &Decisions, folder: &Path, work: WorkOptions) -> Result<FinishedCheck> {
    checked(brief, accepted, &CheckTarget::Folder(folder.to_owned()), SpillContents::Thumbnails, work)
        .wrap_err_with(|| format!("{}: the folder cannot be read", folder.display()))
}

/// What was found, as plain values.
pub fn report(brief: Brief, folder: String, checked: &FinishedCheck) -> Report {
    Report {
        brief: Arc::new(brief),
        folder,
        totals: Totals::of(&checked.judgement.rows),
        rows: checked.judgement.rows.clone(),
        order_findings: checked.judgement.order_findings.clone(),
        made: now(),
    }
}

/// The checked files by their keys.
pub fn by_key(checked: &FinishedCheck) -> HashMap<&PictureKey, &Submission> {
    checked.files.iter().map(|file| (&file.key, file)).collect()
}

/// `plateside check`
pub fn check_once(args: &CheckArgs) -> Result<Exit> {
    let Some((brief, accepted)) = read_order(&args.brief) else { return Ok(Exit::CouldNot) };
    let (target, folder) = target(&args.pictures)?;
    let holds = if args.format == CheckFormat::Html { SpillContents::Thumbnails } else { SpillContents::Numbers };
    let checked = checked(&brief, &accepted, &target, holds, args.work);
    let checked = match target {
        CheckTarget::Folder(_) => checked.wrap_err_with(|| format!("{folder}: the folder cannot be read")),
        CheckTarget::Files(_) => checked
            .wrap_err("no folder and no picture has this name; name the folder that you export into, or pictures"),
    }?;
    let report = report(brief, folder, &checked);
    match args.format {
        CheckFormat::Text => say(&text::lines(&report), args.text.colour)?,
        CheckFormat::Json => out(&json::write(&report))?,
        CheckFormat::Csv => out(&csv::write(&report))?,
        CheckFormat::Html => out(&deliver::page(&report, &checked)?)?,
    };
    if checked.cut_off {
        let (what, remedy) = cut_off_words();
        return Err(eyre!("{}: {what}; {remedy}", report.folder));
    }
    Ok(Exit::of_report(&report, Strictness { strict: args.strictness.strict, complete: args.strictness.complete }))
}

/// What to check, and the folder as the report names it.
fn target(paths: &[PathBuf]) -> Result<(CheckTarget, String)> {
    let shown = |path: &Path| path.to_string_lossy().into_owned();
    match paths {
        [folder] if folder.is_dir() => Ok((CheckTarget::Folder(folder.clone()), shown(folder))),
        files => match files.iter().find(|path| path.is_dir()) {
            Some(folder) => Err(eyre!("{}: is a folder; name one folder, or only pictures", folder.display())),
            None => {
                let parent = files.first().and_then(|file| file.parent()).map(shown).unwrap_or_default();
                Ok((CheckTarget::Files(files.to_vec()), if parent.is_empty() { ".".to_owned() } else { parent }))
            }
        },
    }
}
