//! `plateside brief`: new briefs, a brief's requirements, and the points it leaves open.

use std::path::Path;

use color_eyre::eyre::Result;

use crate::brief::Brief;
use crate::brief::new_brief;
use crate::brief::new_brief::{NewBrief, NewBriefError};
use crate::cli::args::{ColourChoice, NewBriefArgs, TextOptions};
use crate::cli::output::{complain_with_fix, read_brief, report_problems, say, write_bytes};
use crate::judge::configurable_ids;
use crate::report::{Exit, brief_words};
use crate::units::styled::Line;
use crate::units::words::visible;

/// Writes a new brief, or lists the starters.
pub fn new(args: &NewBriefArgs) -> Result<Exit> {
    match (&args.starter, args.like.as_ref().or(args.from.as_ref()), &args.into) {
        (None, None, None) => return say(&brief_words::starters(), ColourChoice::Auto),
        (None, None, Some(into)) => {
            let what = format!("{} was not written: no starter is named", visible(&into.to_string_lossy()));
            complain_with_fix(&what, "plateside brief new lists the starters; --from LIST takes a picture list");
            return Ok(Exit::CouldNot);
        }
        _ => {}
    }
    let new = NewBrief {
        starter: args.starter.as_deref(),
        like: args.like.as_deref(),
        list: args.from.as_deref(),
        list_sheet: args.sheet.as_deref(),
        into: args.into.as_deref(),
    };
    let (text, suits) = match new_brief::text(new, &configurable_ids()) {
        Err(NewBriefError::Mistakes(problems)) => return Ok(report_problems(&problems)),
        other => other?,
    };
    let into = args.into.clone().unwrap_or(suits);
    if into == Path::new("-") {
        return write_bytes(text.as_bytes());
    }
    new_brief::write(&into, &text)?;
    let into = visible(&into.to_string_lossy()).into_owned();
    let needs_prints = args.like.is_some() && args.from.is_none();
    let prints = needs_prints.then(|| Line::plain("write its prints at its end: a [[print]] with a size for each"));
    let next = Line::plain(format!("plateside brief ask {into} lists the questions that it leaves open"));
    let lines: Vec<Line> =
        [Line::plain(format!("{into} is written"))].into_iter().chain(prints).chain([next]).collect();
    say(&lines, ColourChoice::Auto)
}

/// Writes some lines about a brief.
pub fn say_about_brief(path: &Path, words: fn(&Brief) -> Vec<Line>, text: TextOptions) -> Result<Exit> {
    match read_brief(path) {
        Ok(brief) => say(&words(&brief), text.colour),
        Err(problems) => Ok(report_problems(&problems)),
    }
}
