//! What is decided by hand at the prompt: findings that may stand.

use std::collections::BTreeSet;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use crate::brief::Brief;
use crate::decisions;
use crate::decisions::{DecisionChange, Decisions, FindingChange, KeepError};
use crate::judge::acceptance::{Acceptance, AcceptanceReason};
use crate::judge::{Finding, Row};
use crate::picture::PictureKey;
use crate::reading::batch::CheckTarget;
use crate::reading::evidence_spill::SpillContents;
use crate::reading::naming::key_of;
use crate::report::{Exit, accepted_words};
use crate::units::words;
use color_eyre::eyre::{Result, WrapErr, eyre};

use crate::cli::args::AcceptArgs;
use crate::cli::check;
use crate::cli::output::{now, refused, say};
use crate::user::identity;
use crate::user::settings::Settings;

/// Rules that ask the whole folder.
const OF_FOLDER: &str = "set.";

/// Lets a finding stand, takes it back, or lists what stands.
pub fn accept(args: &AcceptArgs) -> Result<Exit> {
    let Some((brief, accepted)) = check::read_order(&args.brief) else { return Ok(Exit::CouldNot) };
    let (Some(picture), Some(rule)) = (&args.picture, &args.rule) else {
        return say(&accepted_words::list(&accepted), args.text.colour);
    };
    let (rule, about) = rule_and_about(rule);
    let changes = if args.withdraw {
        taken_back(args, &brief, &accepted, picture, (rule, about))?
    } else {
        if fs::metadata(picture).is_err_and(|error| error.kind() == ErrorKind::NotFound) {
            return Err(eyre!("{}: {}", picture.display(), words::no_such_picture(picture)));
        }
        let by = identity::name(args.by.as_deref(), &Settings::read()?)?;
        let said = AcceptanceReason {
            reason: args.reason.clone().unwrap_or_default(),
            by,
            allowed_by: args.allowed_by.clone(),
            when: now(),
        };
        let key = key_of(picture, args.folder.as_deref(), brief.subfolders)?.0;
        let rows = rows(args, &brief, &accepted, (picture, &key), rule)?;
        let found = found(&rows, picture, (rule, about), &said)?;
        found.into_iter().map(|acceptance| change(&key, acceptance)).collect()
    };
    // The file is read once more to be changed; a long one need not be held twice.
    drop(accepted);
    match decisions::keep(&args.brief, &changes) {
        Ok(now) => say(&accepted_words::changed(&changes, &now, &args.brief), args.text.colour),
        Err(KeepError::Broken(problems)) => Ok(refused(&problems)),
        Err(unwritten) => Err(unwritten.into()),
    }
}

/// A rule and which of its findings, as it is typed, `margins.trim:left`, or as a report has it, `margins.trim (left)`.
fn rule_and_about(typed: &str) -> (&str, &str) {
    let as_printed = || typed.strip_suffix(')')?.split_once(" (");
    typed.split_once(':').or_else(as_printed).unwrap_or((typed, ""))
}

fn change(picture: &PictureKey, acceptance: Acceptance) -> DecisionChange {
    DecisionChange::Finding(FindingChange {
        picture: picture.clone(),
        print: acceptance.print.clone(),
        rule: acceptance.rule.clone(),
        about: acceptance.about.clone(),
        acceptance: Some(Box::new(acceptance)),
    })
}

/// The picture's rows, of the print that was named or of all; the whole folder is read where the rule asks it.
fn rows(
    args: &AcceptArgs,
    brief: &Brief,
    accepted: &Decisions,
    (picture, key): (&Path, &PictureKey),
    rule: &str,
) -> Result<Vec<Row>> {
    let folder = args.folder.clone().or_else(|| picture.parent().map(Path::to_owned));
    let folder = folder.filter(|folder| !folder.as_os_str().is_empty()).unwrap_or_else(|| PathBuf::from("."));
    let target = match args.folder.is_some() || rule.starts_with(OF_FOLDER) {
        true => CheckTarget::Folder(folder),
        false => CheckTarget::Files(vec![picture.to_owned()]),
    };
    let checked = check::checked(brief, accepted, &target, SpillContents::Numbers, args.work)
        .wrap_err_with(|| format!("{}: cannot be checked", picture.display()))?;
    let is_of =
        |row: &Row| row.key.picture.as_ref() == Some(key) && args.print.as_deref().is_none_or(|word| row.is_for(word));
    Ok(checked.judgement.rows.into_iter().filter(is_of).collect())
}

/// All findings of a row, open and accepted.
fn findings(row: &Row) -> impl Iterator<Item = &Finding> {
    row.findings.iter().chain(row.accepted.iter().map(|one| &one.finding)).map(AsRef::as_ref)
}

/// The finding in each row, accepted.
fn found(
    rows: &[Row],
    picture: &Path,
    (rule, about): (&str, &str),
    said: &AcceptanceReason,
) -> Result<Vec<Acceptance>> {
    let mut found = Vec::new();
    let mut others: Vec<String> = Vec::new();
    // Where nothing is said of which, and the rule has one alone, it is meant.
    let abouts: BTreeSet<&str> =
        rows.iter().flat_map(findings).filter(|one| one.rule == rule).map(|one| one.about.as_str()).collect();
    let about = abouts.first().filter(|_| about.is_empty() && abouts.len() == 1).copied().unwrap_or(about);
    for row in rows {
        for finding in findings(row) {
            if (finding.rule, finding.about.as_str()) == (rule, about) {
                let acceptance = Acceptance::of(finding, row, said.clone());
                found.push(acceptance.wrap_err_with(|| format!("{}: {rule}", picture.display()))?);
            } else {
                let about = if finding.about.is_empty() { String::new() } else { format!(":{}", finding.about) };
                others.push(format!("{}{about}", finding.rule));
            }
        }
    }
    others.sort();
    others.dedup();
    let there = if others.is_empty() { "nothing".to_owned() } else { others.join(", ") };
    if found.is_empty() && about.is_empty() && abouts.len() > 1 {
        let which: Vec<String> = abouts.iter().map(|about| format!("\"{rule}:{about}\"")).collect();
        return Err(eyre!("{}: {rule} has several findings; say which: {}", picture.display(), which.join(" or ")));
    }
    if found.is_empty() {
        let shown = if about.is_empty() { rule.to_owned() } else { format!("{rule}:{about}") };
        return Err(eyre!("{}: has no finding {shown}; it has {there}", picture.display()));
    }
    Ok(found)
}

/// The changes that take a finding back; the picture need not be there any more.
fn taken_back(
    args: &AcceptArgs,
    brief: &Brief,
    accepted: &Decisions,
    picture: &Path,
    (rule, about): (&str, &str),
) -> Result<Vec<DecisionChange>> {
    let key = key_of(picture, args.folder.as_deref(), brief.subfolders)?.0;
    let prints = brief.prints.iter().filter(|print| args.print.as_deref() == Some(&print.name));
    let named: Vec<_> = prints.map(|print| &*print.id.0).chain(args.print.as_deref()).collect();
    let is_meant = |one: &Acceptance| {
        let print = one.print.as_ref().map(|print| &*print.0);
        let of_print = args.print.is_none() || print.is_some_and(|print| named.contains(&print));
        (one.rule.as_str(), one.about.as_str()) == (rule, about) && of_print
    };
    let meant = accepted.all().filter(|(of, one)| **of == key && is_meant(one));
    let changes: Vec<DecisionChange> = meant
        .map(|(of, one)| {
            DecisionChange::Finding(FindingChange {
                picture: of.clone(),
                print: one.print.clone(),
                rule: one.rule.clone(),
                about: one.about.clone(),
                acceptance: None,
            })
        })
        .collect();
    if changes.is_empty() {
        return Err(eyre!("{key}: nothing of {rule} stands accepted; plateside accept BRIEF --list says what does"));
    }
    Ok(changes)
}
