//! Accepts a finding of a picture, which is checked for that, or withdraws an acceptance; keeps the decision.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::brief::{Problem, SeveralPrints};
use crate::decisions::order::Order;
use crate::decisions::{self, DecisionChange, Decisions, FindingChange, KeepError};
use crate::files;
use crate::judge::acceptance::{Acceptance, AcceptanceReason, NotAcceptable};
use crate::judge::model::rule::Dependence;
use crate::judge::{Finding, Row, rules};
use crate::picture::PictureKey;
use crate::units::words;

use super::batch::{CheckTarget, Progress};
use super::checked::{CheckOptions, check_order};
use super::evidence_spill::SpillContents;
use super::naming::{NamingError, key_of};

/// Identifies a finding.
#[derive(Clone, Copy, Debug)]
pub struct FindingTarget<'a> {
    /// The brief.
    pub brief: &'a Path,
    /// The picture's path.
    pub picture: &'a Path,
    /// The folder of exports; by default the picture's own.
    pub folder: Option<&'a Path>,
    /// A print's name or id; by default every print of the picture.
    pub print: Option<&'a str>,
    /// The rule's id.
    pub rule: &'a str,
    /// Which of the rule's findings; empty where the rule has only one.
    pub about: &'a str,
}

/// The kept changes.
#[derive(Clone, Debug)]
pub struct KeptFindings {
    /// The changes made.
    pub changes: Vec<DecisionChange>,
    /// All decisions now in force.
    pub decisions: Decisions,
}

/// The reason why nothing was changed.
#[derive(Debug, thiserror::Error)]
pub enum AcceptError {
    /// The brief or the decisions file has mistakes.
    #[error("the brief or its decisions file has mistakes")]
    Mistakes(Vec<Problem>),
    /// The picture is not there.
    #[error("{}: {}", .0.display(), words::no_such_picture(.0))]
    Gone(PathBuf),
    /// The print's name is that of several.
    #[error(transparent)]
    SeveralPrints(#[from] SeveralPrints),
    /// The picture's name in the order is not known.
    #[error(transparent)]
    Unnamed(#[from] NamingError),
    /// The picture, or the folder, cannot be read.
    #[error("{}: cannot be checked", picture.display())]
    Unchecked {
        /// The picture.
        picture: PathBuf,
        /// The system's error.
        source: io::Error,
    },
    /// The finding cannot be accepted.
    #[error("{}: {rule}", picture.display())]
    NotAcceptable {
        /// The picture.
        picture: PathBuf,
        /// The rule's id.
        rule: String,
        /// The reason.
        source: NotAcceptable,
    },
    /// The rule has several findings, and none was specified.
    #[error("{}: {rule} has several findings; name one: {which}", picture.display())]
    Several {
        /// The picture.
        picture: PathBuf,
        /// The rule's id.
        rule: String,
        /// The text to type for each.
        which: String,
    },
    /// The picture has no such finding.
    #[error("{}: no finding {finding}; it has {there}", picture.display())]
    NoFinding {
        /// The picture.
        picture: PathBuf,
        /// The finding as it was typed.
        finding: String,
        /// The findings that it has.
        there: String,
    },
    /// No such finding is accepted.
    #[error("{picture}: no finding {rule} is accepted; plateside accept BRIEF --list shows what is")]
    NothingAccepted {
        /// The picture.
        picture: PictureKey,
        /// The rule's id.
        rule: String,
    },
    /// The decisions cannot be written.
    #[error(transparent)]
    NotKept(KeepError),
}

impl<'a> FindingTarget<'a> {
    /// Splits a typed rule and finding, either as typed, `margins.trim:left`, or as in a report, `margins.trim (left)`.
    pub fn parse_rule(typed: &'a str) -> (&'a str, &'a str) {
        let as_printed = || typed.strip_suffix(')')?.split_once(" (");
        typed.split_once(':').or_else(as_printed).unwrap_or((typed, ""))
    }
}

/// Accepts the finding in each row of the picture that has it, or in the row of one print; `progress` is called after
/// each picture is read.
///
/// # Errors
/// The picture cannot be read or has no such finding, or the finding cannot be accepted or kept.
pub fn accept(
    target: &FindingTarget<'_>,
    reason: &AcceptanceReason,
    options: &CheckOptions,
    progress: &(dyn Fn(Progress) + Sync),
) -> Result<KeptFindings, AcceptError> {
    let order = Order::read(target.brief).map_err(AcceptError::Mistakes)?;
    let picture = target.picture;
    if fs::metadata(picture).is_err_and(|error| error.kind() == io::ErrorKind::NotFound) {
        return Err(AcceptError::Gone(picture.to_owned()));
    }
    let print = target.print.map(|word| order.brief.print_id_of(word)).transpose()?;
    let key = key_of(picture, target.folder, order.brief.reads_subfolders())?.0;
    let checked = check_order(&order, &check_target(target), SpillContents::Numbers, options, &progress)
        .map_err(|source| AcceptError::Unchecked { picture: picture.to_owned(), source })?;
    let is_of_print = |row: &Row| print.is_none() || row.key.print == print;
    let is_of = |row: &&Row| row.key.picture.as_ref() == Some(&key) && is_of_print(row);
    let rows: Vec<&Row> = checked.judgement.rows.iter().filter(is_of).collect();
    let sha256 = rows.first().and_then(|row| row.sha256.as_deref());
    let stored = order.decisions.findings.stored_name(&key, sha256);
    let accept = |acceptance| DecisionChange::Finding(FindingChange::accept(stored, acceptance));
    let changes = acceptances(&rows, target, reason)?.into_iter().map(accept).collect();
    // The decisions are read once more to be changed; a long file need not be in memory twice.
    drop(order);
    keep(target.brief, changes)
}

/// Withdraws an acceptance; the picture need not exist any more.
///
/// # Errors
/// No such finding is accepted, or the change cannot be kept.
pub fn withdraw(target: &FindingTarget<'_>) -> Result<KeptFindings, AcceptError> {
    let order = Order::read(target.brief).map_err(AcceptError::Mistakes)?;
    let key = key_of(target.picture, target.folder, order.brief.reads_subfolders())?.0;
    let print = target.print.map(|word| order.brief.print_id_of(word)).transpose()?;
    let is_meant = |one: &Acceptance| {
        let of_print = print.is_none() || one.print == print;
        (one.rule.as_str(), one.about.as_str()) == (target.rule, target.about) && of_print
    };
    // The picture may have been renamed since, or be gone.
    let sha256 = files::sha256(target.picture).ok();
    let stored = order.decisions.findings.stored_name(&key, sha256.as_deref());
    let meant = order.decisions.all().filter(|(of, one)| *of == stored && is_meant(one));
    let withdraw = |(picture, one): (&PictureKey, &Acceptance)| {
        DecisionChange::Finding(FindingChange::withdraw(picture, one.print.as_ref(), &one.rule, &one.about))
    };
    let changes: Vec<DecisionChange> = meant.map(withdraw).collect();
    if changes.is_empty() {
        return Err(AcceptError::NothingAccepted { picture: key, rule: target.rule.to_owned() });
    }
    drop(order);
    keep(target.brief, changes)
}

fn keep(brief: &Path, changes: Vec<DecisionChange>) -> Result<KeptFindings, AcceptError> {
    let decisions = decisions::keep(brief, &changes).map_err(|error| match error {
        KeepError::Broken(problems) => AcceptError::Mistakes(problems),
        other => AcceptError::NotKept(other),
    })?;
    Ok(KeptFindings { changes, decisions })
}

/// Returns what to check for the finding: the picture alone, or its whole folder where the rule requires that.
fn check_target(target: &FindingTarget<'_>) -> CheckTarget {
    let folder = target.folder.or_else(|| target.picture.parent()).filter(|folder| !folder.as_os_str().is_empty());
    let needs_folder = rules::find(target.rule).is_some_and(|rule| rule.depends_on == Dependence::Folder);
    if target.folder.is_some() || needs_folder {
        CheckTarget::Folder(folder.unwrap_or(Path::new(".")).to_owned())
    } else {
        CheckTarget::Files(vec![target.picture.to_owned()])
    }
}

/// Returns all findings of a row, open and accepted.
fn findings<'a>(row: &&'a Row) -> impl Iterator<Item = &'a Finding> + use<'a> {
    row.findings.iter().chain(row.accepted.iter().map(|one| &one.finding)).map(AsRef::as_ref)
}

/// Returns the acceptance for each row.
fn acceptances(
    rows: &[&Row],
    target: &FindingTarget<'_>,
    reason: &AcceptanceReason,
) -> Result<Vec<Acceptance>, AcceptError> {
    let (rule, picture) = (target.rule, || target.picture.to_owned());
    let mut found = Vec::new();
    let mut others = BTreeSet::new();
    // If no finding was specified and the rule has only one, that one is meant.
    let abouts: BTreeSet<&str> =
        rows.iter().flat_map(findings).filter(|one| one.rule.id == rule).map(|one| one.about.as_str()).collect();
    let about = abouts.first().filter(|_| target.about.is_empty() && abouts.len() == 1).copied();
    let about = about.unwrap_or(target.about);
    for row in rows {
        for finding in findings(row) {
            if (finding.rule.id, finding.about.as_str()) == (rule, about) {
                let acceptance = Acceptance::of(finding, row, reason.clone());
                let wrong = |source| AcceptError::NotAcceptable { picture: picture(), rule: rule.to_owned(), source };
                found.push(acceptance.map_err(wrong)?);
            } else {
                others.insert(typed(finding.rule.id, &finding.about));
            }
        }
    }
    if found.is_empty() && about.is_empty() && abouts.len() > 1 {
        let which: Vec<String> = abouts.iter().map(|about| format!("\"{rule}:{about}\"")).collect();
        return Err(AcceptError::Several { picture: picture(), rule: rule.to_owned(), which: which.join(" or ") });
    }
    if found.is_empty() {
        let there: Vec<String> = others.into_iter().collect();
        let there = if there.is_empty() { "no findings".to_owned() } else { there.join(", ") };
        return Err(AcceptError::NoFinding { picture: picture(), finding: typed(rule, about), there });
    }
    Ok(found)
}

/// Returns a finding as it is typed.
fn typed(rule: &str, about: &str) -> String {
    if about.is_empty() { rule.to_owned() } else { format!("{rule}:{about}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_finding_is_named_as_it_is_typed_or_as_a_report_prints_it() {
        assert_eq!(FindingTarget::parse_rule("margins.trim:left"), ("margins.trim", "left"));
        assert_eq!(FindingTarget::parse_rule("margins.trim (left)"), ("margins.trim", "left"));
        assert_eq!(FindingTarget::parse_rule("tone.shadows"), ("tone.shadows", ""));
    }
}
