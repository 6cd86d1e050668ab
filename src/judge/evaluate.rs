//! Checks one picture for one print against every rule.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::brief::requirements::Level;
use crate::brief::{Print, key_table};
use crate::judge::acceptance;
use crate::judge::metrics::last_measured::{LastMetrics, PrintMeasurement};
use crate::judge::metrics::part_edges::PartEdges;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::finding::Finding;
use crate::judge::model::row::{NotChecked, Row, RowKey, RowState, WithinTolerance};
use crate::judge::model::rule::Rule;
use crate::judge::model::submission::{HeaderState, Pixels, Submission};
use crate::judge::model::test_print::TestPrint;
use crate::judge::rules::{self, CHECKS};
use crate::picture::{FaultKind, PictureKey};

/// Returns the row of a picture for a print, before the rules of the whole order. `last` holds the picture's
/// measurements for the previous print, used again where this print has the same requirements.
pub fn judge_row(print: &Print, submission: &Submission, last: Option<&LastMetrics>) -> Row {
    let key = RowKey { print: Some(print.id.clone()), picture: Some(submission.key.clone()) };
    let evidence = submission.evidence();
    let evidence = evidence.as_deref();
    let mut row = with_file(empty_row(key, Some(print)), submission);
    if evidence.is_none() {
        // The evidence is lost: the picture counts as not read yet.
        (row.sha256, row.pixel_digest, row.impression) = (None, None, None);
    }
    let measured = PrintMeasurement::of(print, submission, evidence, last);
    let case = Case::of(print, submission, evidence, &measured);
    let mut outcomes = Outcomes::default();
    for &(rule, check) in CHECKS {
        let level = effective_level(rule, &print.requirements.levels);
        if level == Level::Off {
            continue;
        }
        let outcome = match (check, &case) {
            (RuleCheck::File(ask), _) => ask(submission, print),
            (RuleCheck::Row(ask) | RuleCheck::RowAndOrder(ask, _), Some(case)) => ask(case),
            (RuleCheck::Row(_) | RuleCheck::RowAndOrder(..), None) => {
                RuleOutcome::NotChecked("its header is not read".to_owned())
            }
            (RuleCheck::Order(_) | RuleCheck::Pairing, _) => continue,
        };
        outcomes.add(rule, level, outcome, &submission.key, print);
    }
    drop_silenced(&mut outcomes.findings);
    outcomes.put_in(&mut row);
    (row.metrics, row.tones, row.lost_colours) = (measured.metrics, measured.tones, measured.lost_colours);
    (row.subject, row.crop) = (measured.subject, measured.crop);
    acceptance::split_accepted(&mut row, &submission.acceptances);
    row.test_print =
        TestPrint::of(print, &submission.test_print_remarks, (row.sha256.as_deref(), row.pixel_digest.as_deref()));
    row.edges =
        evidence.filter(|_| print.group.is_some()).and_then(|e| PartEdges::of(&measured.placement, e)).map(Arc::new);
    row.placement = Some(measured.placement);
    row.state = state_so_far(&row, submission);
    update_state(&mut row);
    row
}

/// Returns the row of a picture that no print wants; only the rules of the whole order check it.
pub fn extra_row(submission: &Submission, pairing_note: String) -> Row {
    let key = RowKey { print: None, picture: Some(submission.key.clone()) };
    Row { state: RowState::Extra, pairing_note, ..with_file(empty_row(key, None), submission) }
}

/// Returns a row of which nothing is known yet.
pub fn empty_row(key: RowKey, print: Option<&Print>) -> Row {
    Row {
        key,
        print_name: print.map(|print| print.name.clone()).unwrap_or_default(),
        version: print.and_then(|print| Some(print.version.as_ref()?.name.clone())),
        page: print.and_then(|print| print.page),
        group: print.and_then(|print| print.group.clone()),
        copies: print.map_or(0, |print| print.copies),
        paper_profile: print.and_then(acceptance::profile_of),
        ..Row::default()
    }
}

/// Returns the level of a rule: the brief's, else its own. The rule about unreadable files always keeps its own.
pub fn effective_level(rule: &Rule, levels: &BTreeMap<String, Level>) -> Level {
    if rule.uses.is_unreadable { rule.level } else { levels.get(rule.id).copied().unwrap_or(rule.level) }
}

/// Returns the values of the brief's keys that a rule uses, as a print has them; `None` where it uses none.
fn limit_words(rule: &Rule, print: &Print) -> Option<String> {
    let value = |path: &&str| {
        let key = key_table::find(path)?;
        let value = key.of_requirements(&print.requirements).or_else(|| key.of_print(print))?;
        Some(format!("{path} = {value}"))
    };
    let values: Vec<String> = rule.keys.iter().filter_map(value).collect();
    (!values.is_empty()).then(|| values.join(", "))
}

/// Returns a breach as a finding.
pub fn finding_from(rule: &'static Rule, level: Level, pictures: Vec<PictureKey>, breach: Breach) -> Finding {
    let numbers = breach.numbers;
    // Frees unused capacity: an order keeps the texts of thousands of findings.
    let fitted = |mut words: String| {
        words.shrink_to_fit();
        words
    };
    Finding {
        rule,
        about: breach.about,
        level: breach.at_most.map_or(level, |most| most.min(level)),
        pictures,
        measured: numbers.map(|(measured, _)| measured),
        required: numbers.map(|(_, wanted)| wanted),
        limits: None,
        unit: numbers.map_or("", |_| breach.unit.unwrap_or(rule.unit)),
        short: breach.short,
        found: fitted(breach.found),
        fix: fitted(breach.fix),
        fix_numbers: breach.fix_numbers,
        cause: fitted(breach.cause),
        is_fixed_by_export: breach.is_fixed_by_export,
        lapsed: None,
    }
}

/// Updates the state of a row from its findings, and sorts them.
pub fn update_state(row: &mut Row) {
    sort_findings(&mut row.findings);
    row.accepted.sort_by_key(|one| (std::cmp::Reverse(one.finding.level), rules::position(one.finding.rule)));
    if matches!(row.state, RowState::Pass | RowState::Warn | RowState::Checking) {
        row.state = worse_state(&row.findings, row.state);
    }
}

/// Sorts findings in reading order: the highest level first, and within a level in the order of the rules.
pub fn sort_findings(findings: &mut [Arc<Finding>]) {
    findings.sort_by_cached_key(|finding| (std::cmp::Reverse(finding.level), rules::position(finding.rule)));
}

fn with_file(row: Row, submission: &Submission) -> Row {
    let evidence_handle = submission.evidence_handle();
    Row {
        facts: submission.facts().cloned(),
        sha256: evidence_handle.map(|handle| handle.sha256.clone()),
        pixel_digest: evidence_handle.map(|handle| handle.pixel_digest.clone()),
        impression: evidence_handle.and_then(|handle| handle.impression.clone()),
        modified_ns: submission.modified_ns,
        ..row
    }
}

/// The outcomes of the rules so far.
#[derive(Default)]
struct Outcomes {
    findings: Vec<Arc<Finding>>,
    within_tolerance: Vec<WithinTolerance>,
    passed: Vec<&'static Rule>,
    not_checked: Vec<NotChecked>,
}

impl Outcomes {
    fn add(&mut self, rule: &'static Rule, level: Level, outcome: RuleOutcome, picture: &PictureKey, print: &Print) {
        match outcome {
            RuleOutcome::Passed => self.passed.push(rule),
            RuleOutcome::WithinTolerance(found) => {
                self.passed.push(rule);
                self.within_tolerance.push(WithinTolerance { rule, what: found });
            }
            RuleOutcome::Failed(breaches) => {
                let found = breaches.into_iter().map(|breach| {
                    let found = finding_from(rule, level, vec![picture.clone()], breach);
                    let limits = found.required.is_none().then(|| limit_words(rule, print)).flatten();
                    Finding { limits, ..found }
                });
                self.findings.extend(found.map(Arc::new));
            }
            RuleOutcome::NotChecked(reason) => {
                self.not_checked.push(NotChecked { rule, reason, brief_lacks_it: false });
            }
            RuleOutcome::BriefLacks(reason) => {
                self.not_checked.push(NotChecked { rule, reason, brief_lacks_it: true });
            }
            RuleOutcome::NotRequired => {}
        }
    }

    fn put_in(self, row: &mut Row) {
        row.findings = self.findings;
        row.findings.shrink_to_fit();
        row.within_tolerance = self.within_tolerance;
        (row.passed, row.not_checked) = (self.passed.into(), self.not_checked.into());
    }
}

/// Drops findings that repeat another rule's: of the same side if that rule names sides, otherwise of any. A finding is
/// dropped only for one of the same or a higher level, so that silencing never improves the state.
fn drop_silenced(findings: &mut Vec<Arc<Finding>>) {
    let all: Vec<(&Rule, String, Level)> =
        findings.iter().map(|finding| (finding.rule, finding.about.clone(), finding.level)).collect();
    let silenced = |finding: &Finding| {
        all.iter()
            .filter(|(rule, ..)| rule.silences.contains(&finding.rule))
            .any(|(_, about, level)| *level >= finding.level && (about.is_empty() || *about == finding.about))
    };
    findings.retain(|finding| !silenced(finding));
}

/// Returns the state as far as it is known from the row itself: a failing `must` is final, all else waits for the
/// pixels.
fn state_so_far(row: &Row, submission: &Submission) -> RowState {
    match (&submission.header, &submission.pixels) {
        (HeaderState::Waiting { is_arriving: true }, _) => RowState::Arriving,
        (HeaderState::Waiting { is_arriving: false }, _) => RowState::Checking,
        (HeaderState::Read(_), Pixels::Waiting) => unmeasured_state(row),
        (HeaderState::Read(_), Pixels::Read(_)) if row.pixel_digest.is_none() => unmeasured_state(row),
        (HeaderState::Read(_), Pixels::Fault(fault)) if fault.kind == FaultKind::Internal => RowState::Fix,
        _ => worse_state(&row.findings, RowState::Pass),
    }
}

/// Returns the state of a row whose pixels are not measured.
fn unmeasured_state(row: &Row) -> RowState {
    match worse_state(&row.findings, RowState::Checking) {
        RowState::Fix => RowState::Fix,
        _ => RowState::Checking,
    }
}

/// Returns the worse of a state and the state that the findings give.
fn worse_state(findings: &[Arc<Finding>], state: RowState) -> RowState {
    let has = |level: Level| findings.iter().any(|finding| finding.level == level);
    if has(Level::Must) {
        RowState::Fix
    } else if has(Level::Should) && state != RowState::Checking {
        RowState::Warn
    } else {
        state
    }
}

#[cfg(test)]
mod tests {
    use crate::judge::testing::{brief, ids, sound_submission};
    use crate::judge::{RowState, judge};

    #[test]
    fn the_finding_that_decides_the_state_comes_first() {
        let text = "[[print]]\nsize = \"8 x 10 in\"\npicture = \"a*\"";
        let row = judge(&brief(text), &[sound_submission("a b.jpg", 1400, 1750), sound_submission("a.jpg", 1, 1)])
            .rows
            .swap_remove(0);
        let levels: Vec<_> = row.findings.iter().map(|finding| finding.level).collect();
        assert_eq!((row.state, ids(&row)), (RowState::Fix, vec!["density.minimum", "set.versions", "file.name"]));
        assert!(levels.is_sorted_by(|a, b| a >= b), "{levels:?}");
    }

    #[test]
    fn a_finding_silences_none_of_a_higher_level() {
        let judged = |rules: &str| {
            let text = format!("{rules}[[print]]\nsize = \"8 x 10 in\"");
            judge(&brief(&text), &[sound_submission("a.jpg", 1400, 1750)]).rows.swap_remove(0)
        };
        let usual = judged("");
        assert_eq!((usual.state, ids(&usual)), (RowState::Fix, vec!["density.minimum"]));
        let lowered = judged("[rules]\n\"density.minimum\" = \"note\"\n");
        assert_eq!((lowered.state, ids(&lowered)), (RowState::Warn, vec!["density.target", "density.minimum"]));
    }
}
