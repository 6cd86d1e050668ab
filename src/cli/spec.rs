//! `plateside spec`: what to export for each print, before there is a file.

use color_eyre::eyre::Result;

use crate::cli::args::{OutputFormat, SpecArgs};
use crate::cli::output::{read_brief, report_problems, say, write_bytes};
use crate::report::{Exit, spec};

/// Writes what to export for the prints of a brief.
pub fn spec(args: &SpecArgs) -> Result<Exit> {
    let brief = match read_brief(&args.brief) {
        Ok(brief) => brief,
        Err(problems) => return Ok(report_problems(&problems)),
    };
    match args.format {
        OutputFormat::Text => say(&spec::lines(&brief), args.text.colour),
        OutputFormat::Json => write_bytes(&spec::json(&brief)),
        OutputFormat::Csv => write_bytes(&spec::csv(&brief)),
    }
}
