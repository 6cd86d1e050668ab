//! `plateside brief`: new briefs, a brief's requirements, and the points it leaves open.

use std::path::Path;

use color_eyre::eyre::Result;

use crate::brief::new_brief;
use crate::brief::new_brief::{NewBrief, NewBriefError};
use crate::brief::unfinished::{UnfinishedBrief, read_unfinished};
use crate::cli::args::{AskArgs, BriefArgs, ColourChoice, NewBriefArgs};
use crate::cli::output::{complain_with_fix, report_problems, say, write_bytes};
use crate::judge::configurable_ids;
use crate::report::{Exit, answering, brief_words};
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
    let is_by_default = args.starter.is_none() && args.like.is_none();
    let starter = is_by_default.then(|| {
        Line::plain(format!(
            "its usual values are those of the starter {}; plateside brief new lists the others, and \
             plateside brief new STARTER --from LIST takes one",
            new_brief::STARTER_OF_LISTS
        ))
    });
    let next = Line::plain(format!("plateside brief ask {into} lists the questions that it leaves open"));
    let lines: Vec<Line> =
        [Line::plain(format!("{into} is written"))].into_iter().chain(starter).chain(prints).chain([next]).collect();
    say(&lines, ColourChoice::Auto)
}

/// Writes every value of a brief, also of one whose sheet or prints are missing.
pub fn show(args: &BriefArgs) -> Result<Exit> {
    let unfinished = match read_unfinished(&args.brief, &configurable_ids()) {
        Ok(unfinished) => unfinished,
        Err(problems) => return Ok(report_problems(&problems)),
    };
    let exit = say_what_is_missing(&unfinished, "show lists the values of the order as a whole");
    Ok(exit.max(say(&brief_words::brief_lines(&unfinished.into_brief()), args.text.colour)?))
}

/// Writes the open questions of a brief, also of one whose sheet or prints are missing.
pub fn ask(args: &AskArgs) -> Result<Exit> {
    let unfinished = match read_unfinished(&args.brief.brief, &configurable_ids()) {
        Ok(unfinished) => unfinished,
        Err(problems) => return Ok(report_problems(&problems)),
    };
    let exit = say_what_is_missing(&unfinished, "these are the questions about the order as a whole");
    let words = if args.message { answering::mail } else { brief_words::open_questions };
    Ok(exit.max(say(&words(&unfinished.into_asking()), args.brief.text.colour)?))
}

/// Says on standard error what a brief has not yet, and what follows where that are its prints. A sheet that it names
/// and that is not there is something to fix.
fn say_what_is_missing(brief: &UnfinishedBrief, without_prints: &str) -> Exit {
    if let Some(problem) = &brief.missing_sheet {
        report_problems(std::slice::from_ref(problem));
    }
    if brief.has_no_print {
        let fix = "add the prints at its end: [[print]] on one line, size = \"8 x 10 in\" on the next";
        complain_with_fix(&format!("the brief has no print yet: {without_prints}"), fix);
    }
    Exit::to_fix_if(brief.missing_sheet.is_some())
}
