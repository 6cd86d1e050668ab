//! `plateside testprint`: ranking pictures for test prints, the sheets, and remarks on them.

use color_eyre::eyre::Result;

use crate::cli::args::TestPrintArgs;
use crate::cli::output::{check_options, report_problems, say, with_progress};
use crate::report::Exit;
use crate::testprint::candidates::{CandidateRequest, Candidates, TestPrintError};
use crate::testprint::remarks::NewRemark;
use crate::testprint::sheets::{SheetKind, SheetRequest};
use crate::testprint::words;
use crate::units::styled::Line;
use crate::user::identity;
use crate::user::settings::Settings;

/// Ranks pictures, writes sheets, or keeps and withdraws remarks.
pub fn test_print(args: &TestPrintArgs) -> Result<Exit> {
    let request = CandidateRequest {
        brief: &args.brief,
        folder: &args.folder,
        pictures: &args.only,
        print: args.print.as_deref(),
        check: check_options(args.work),
    };
    // Looked up before the pictures are read, which takes longer.
    let by = match args.seen {
        Some(_) => identity::name(args.by.as_deref(), &Settings::read()?)?,
        None => String::new(),
    };
    let answer =
        with_progress(|progress| Candidates::read(request, progress)).and_then(|found| answer(args, &found, by));
    match answer {
        Ok(lines) => say(&lines, args.text.colour),
        Err(TestPrintError::Mistakes(problems)) => Ok(report_problems(&problems)),
        Err(other) => Err(other.into()),
    }
}

fn answer(args: &TestPrintArgs, candidates: &Candidates<'_>, by: String) -> Result<Vec<Line>, TestPrintError> {
    if let Some(saw) = &args.seen {
        let remark = NewRemark { saw: saw.clone(), is_approved: !args.not_good, by };
        let count = candidates.keep_remark(&remark)?;
        return Ok(words::lines_of_kept(count, remark.is_approved, &args.brief));
    }
    if args.withdraw {
        return Ok(words::lines_of_withdrawn(candidates.withdraw_remark()?, &args.brief));
    }
    let Some(into) = &args.into else { return Ok(words::ranking(candidates, &candidates.rank()?)) };
    let kind = if args.whole { SheetKind::Whole } else { SheetKind::Strips };
    let request = SheetRequest { onto: args.onto, kind };
    let receipt = candidates.write_sheets(request, args.most.into(), into)?;
    Ok(words::sheets(candidates, &receipt, into))
}
