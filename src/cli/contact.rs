//! `plateside contact`: a contact sheet for the client or the designer.

use color_eyre::eyre::Result;

use crate::cli::args::{ColourChoice, ContactArgs};
use crate::cli::output::{check_options, report_problems, say, with_progress};
use crate::report::Exit;
use crate::report::contact::{ContactError, ContactRequest, receipt_lines, write};

/// Writes the sheet.
pub fn contact(args: &ContactArgs) -> Result<Exit> {
    let request = ContactRequest {
        brief: &args.brief,
        folder: &args.folder,
        into: &args.into,
        grid: args.per_page,
        states: args.states,
        check: check_options(args.work),
    };
    match with_progress(|progress| write(&request, &progress)) {
        Ok(receipt) => say(&receipt_lines(&receipt, &args.into), ColourChoice::Auto),
        Err(ContactError::Mistakes(problems)) => Ok(report_problems(&problems)),
        Err(other) => Err(other.into()),
    }
}
