//! `plateside subject`: the box of a picture's subject, drawn, shown or removed.

use color_eyre::eyre::Result;

use crate::cli::args::SubjectArgs;
use crate::cli::output::{read_brief, report_problems, say};
use crate::reading::inspect::FileInspector;
use crate::reading::subject_box::{self, BoxError, BoxTarget};
use crate::report::{Exit, subject_words};

/// Draws, shows or removes a box.
pub fn subject(args: &SubjectArgs) -> Result<Exit> {
    let brief = match read_brief(&args.brief) {
        Ok(brief) => brief,
        Err(problems) => return Ok(report_problems(&problems)),
    };
    let (folder, print) = (args.folder.as_deref(), args.print.as_deref());
    let target = BoxTarget { brief: &brief, picture: &args.picture, folder, print };
    let mut inspector = FileInspector::default();
    let lines = match &args.area {
        _ if args.remove => subject_box::remove(&target, &mut inspector)
            .map(|(picture, reopened)| subject_words::removed_lines(picture.as_str(), reopened)),
        Some(area) => subject_box::draw(&target, area, &mut inspector).map(|boxes| subject_words::lines(&boxes)),
        None => subject_box::show(&target, &mut inspector).map(|boxes| subject_words::lines(&boxes)),
    };
    match lines {
        Ok(lines) => say(&lines, args.text.colour),
        Err(BoxError::Broken(problems)) => Ok(report_problems(&problems)),
        Err(error) => Err(error.into()),
    }
}
