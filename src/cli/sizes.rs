//! `plateside sizes`: the print sizes that pictures have enough pixels for.

use color_eyre::eyre::Result;

use crate::cli::args::{OutputFormat, SizesArgs};
use crate::cli::output::{complain, read_brief, report_problems, say, write_bytes};
use crate::report::{self, Exit};

/// Lists the print sizes of pictures.
pub fn sizes(args: &SizesArgs) -> Result<Exit> {
    let brief = match args.brief.as_deref().map(read_brief).transpose() {
        Ok(brief) => brief,
        Err(problems) => return Ok(report_problems(&problems)),
    };
    let mut exit = Exit::Clean;
    let found = report::sizes::of_files(&args.pictures, brief.as_ref(), &mut |words| {
        complain(&format!("plateside: {words}"));
        exit = exit.max(Exit::could_not_if(true));
    })?;
    let written = match args.format {
        OutputFormat::Text => say(&report::sizes::lines(&found), args.text.colour),
        OutputFormat::Json => write_bytes(&report::sizes::json(&found)),
        OutputFormat::Csv => write_bytes(&report::sizes::csv(&found)),
    };
    Ok(written?.max(exit))
}
