//! `plateside accept`: findings that may stay as they are.

use color_eyre::eyre::Result;

use crate::brief::Problem;
use crate::cli::args::AcceptArgs;
use crate::cli::output::{check_options, now, report_problems, say, with_progress};
use crate::decisions::order::Order;
use crate::judge::acceptance::AcceptanceReason;
use crate::reading::accepting::{self, AcceptError, FindingTarget, KeptFindings};
use crate::report::{Exit, accepted_words};
use crate::user::identity;
use crate::user::settings::Settings;

/// Accepts a finding, withdraws that, or lists the accepted findings.
pub fn accept(args: &AcceptArgs) -> Result<Exit> {
    let lines = match (&args.picture, &args.rule) {
        (Some(picture), Some(rule)) => {
            let (rule, about) = FindingTarget::parse_rule(rule);
            let (folder, print) = (args.folder.as_deref(), args.print.as_deref());
            let target = FindingTarget { brief: &args.brief, picture, folder, print, rule, about };
            change(args, &target)?.map(|kept| accepted_words::change_lines(&kept.changes, &kept.decisions, &args.brief))
        }
        _ => Order::read(&args.brief).map(|order| accepted_words::list(&order.decisions)),
    };
    match lines {
        Ok(lines) => say(&lines, args.text.colour),
        Err(problems) => Ok(report_problems(&problems)),
    }
}

/// Makes the change; returns it, or the mistakes of the brief or of its decisions.
fn change(args: &AcceptArgs, target: &FindingTarget<'_>) -> Result<Result<KeptFindings, Vec<Problem>>> {
    let kept = match args.withdraw {
        true => accepting::withdraw(target),
        false => {
            let by = identity::name(args.by.as_deref(), &Settings::read()?)?;
            let reason = args.reason.clone().unwrap_or_default();
            let (allowed_by, is_on_note) = (args.allowed_by.clone(), args.on_note);
            let reason = AcceptanceReason { reason, by, allowed_by, when: now(), is_on_note };
            let options = check_options(args.work);
            with_progress(|progress| accepting::accept(target, &reason, &options, progress))
        }
    };
    match kept {
        Err(AcceptError::Mistakes(problems)) => Ok(Err(problems)),
        other => Ok(Ok(other?)),
    }
}
