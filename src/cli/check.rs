//! `plateside check`: a folder or some pictures, checked once.

use std::path::PathBuf;

use color_eyre::eyre::{Result, WrapErr};

use crate::cli::args::{CheckArgs, CheckFormat};
use crate::cli::output::{check_options, complain_with_fix, report_problems, say, with_progress, write_bytes};
use crate::decisions::order::Order;
use crate::delivery::page;
use crate::reading::batch::CheckTarget;
use crate::reading::checked::CheckedPictures;
use crate::reading::evidence_spill::SpillContents;
use crate::report::{Exit, csv, json, text};
use crate::units::words::visible;

/// Checks, and writes the findings.
pub fn check(args: &CheckArgs) -> Result<Exit> {
    let order = match Order::read(&args.brief) {
        Ok(order) => order,
        Err(problems) => return Ok(report_problems(&problems)),
    };
    let Some(target) = target(&args.pictures) else { return Ok(Exit::CouldNot) };
    let keeps = if args.format == CheckFormat::Html { SpillContents::Thumbnails } else { SpillContents::Numbers };
    let options = check_options(args.work);
    let checked = with_progress(|progress| CheckedPictures::check(&order, &target, keeps, &options, &progress))?;
    let report = &checked.report;
    match args.format {
        CheckFormat::Text => say(&text::lines(report), args.text.colour)?,
        CheckFormat::Json => write_bytes(&json::write(report))?,
        CheckFormat::Csv => write_bytes(&csv::write(report))?,
        CheckFormat::Html => write_bytes(&page::page(&checked).wrap_err("the page cannot be made")?)?,
    };
    checked.check_complete()?;
    Ok(Exit::of_report(report, args.strictness.into()))
}

/// Returns the target of the check: one folder, or pictures. Complains of a mixture of both.
fn target(paths: &[PathBuf]) -> Option<CheckTarget> {
    match paths {
        [folder] if folder.is_dir() => Some(CheckTarget::Folder(folder.clone())),
        files => match files.iter().find(|path| path.is_dir()) {
            Some(folder) => {
                let what = format!("{} is a folder among several names", visible(&folder.to_string_lossy()));
                complain_with_fix(&what, "name one folder, or pictures only");
                None
            }
            None => Some(CheckTarget::Files(files.to_vec())),
        },
    }
}
