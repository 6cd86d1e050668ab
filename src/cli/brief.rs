//! `plateside brief`: new briefs, a brief's requirements, and the points it leaves open.

use std::path::Path;

use color_eyre::eyre::Result;

use crate::brief::Brief;
use crate::brief::new_brief;
use crate::brief::new_brief::NewBriefError;
use crate::cli::args::{ColourChoice, NewBriefArgs, TextOptions};
use crate::cli::output::{complain_with_fix, read_brief, report_problems, say, write_bytes};
use crate::report::{Exit, brief_words};
use crate::units::styled::Line;
use crate::units::words::visible;

/// Writes a new brief, or lists the starters.
pub fn new(args: &NewBriefArgs) -> Result<Exit> {
    match (&args.starter, &args.from, &args.into) {
        (None, None, None) => return say(&brief_words::starters(), ColourChoice::Auto),
        (None, None, Some(into)) => {
            let what = format!("{} was not written: no starter is named", visible(&into.to_string_lossy()));
            complain_with_fix(&what, "plateside brief new lists the starters; --from LIST takes a picture list");
            return Ok(Exit::CouldNot);
        }
        _ => {}
    }
    let list = args.from.as_deref().map(|list| (list, args.sheet.as_deref()));
    let (text, suits) = match new_brief::text(args.starter.as_deref(), list, args.into.as_deref()) {
        Err(NewBriefError::Mistakes(problems)) => return Ok(report_problems(&problems)),
        other => other?,
    };
    let into = args.into.clone().unwrap_or(suits);
    if into == Path::new("-") {
        return write_bytes(text.as_bytes());
    }
    new_brief::write(&into, &text)?;
    say(
        &[
            Line::plain(format!("{} is written", into.display())),
            Line::plain(format!("plateside brief ask {} lists the questions that it leaves open", into.display())),
        ],
        ColourChoice::Auto,
    )
}

/// Writes some lines about a brief.
pub fn say_about_brief(path: &Path, words: fn(&Brief) -> Vec<Line>, text: TextOptions) -> Result<Exit> {
    match read_brief(path) {
        Ok(brief) => say(&words(&brief), text.colour),
        Err(problems) => Ok(report_problems(&problems)),
    }
}
