//! Findings in JSON, open or accepted.

use std::borrow::Cow;

use serde::Serialize;

use crate::brief::Remark;
use crate::judge::Finding;
use crate::judge::acceptance::{Acceptance, AcceptedFinding};

/// A finding.
#[derive(Serialize)]
pub struct FindingOut<'a> {
    rule: &'static str,
    about: Cow<'a, str>,
    pictures: Vec<&'a str>,
    level: &'static str,
    measured: Option<f64>,
    required: Option<f64>,
    unit: Option<&'static str>,
    found: &'a str,
    fix: Vec<&'a str>,
    why: &'a str,
    accepted: Option<AcceptedOut<'a>>,
}

/// The acceptance of a finding: by whom, when and why, and at which numbers.
#[derive(Serialize)]
pub struct AcceptedOut<'a> {
    by: &'a str,
    allowed_by: Option<&'a str>,
    reason: &'a str,
    when: &'a str,
    value: Option<f64>,
    limit: Option<f64>,
    /// Why the finding is open again; `null` while it is accepted.
    reopened: Option<&'a str>,
}

impl<'a> AcceptedOut<'a> {
    fn of(acceptance: &'a Acceptance, reopened: Option<&'a str>) -> AcceptedOut<'a> {
        AcceptedOut {
            by: &acceptance.by,
            allowed_by: acceptance.allowed_by.as_deref(),
            reason: &acceptance.reason,
            when: &acceptance.when,
            value: acceptance.bound.measured,
            limit: acceptance.bound.required,
            reopened,
        }
    }
}

impl<'a> FindingOut<'a> {
    /// Returns an accepted finding.
    pub fn accepted(one: &'a AcceptedFinding) -> FindingOut<'a> {
        FindingOut { accepted: Some(AcceptedOut::of(&one.acceptance, None)), ..FindingOut::of(&one.finding) }
    }

    /// Returns a finding on a value of the brief that cannot be used, with its key in place of a rule.
    pub fn of_brief(remark: &'a Remark) -> FindingOut<'a> {
        FindingOut {
            rule: remark.key,
            about: Cow::Owned(remark.problem.place()),
            pictures: Vec::new(),
            level: remark.level.word(),
            measured: None,
            required: None,
            unit: None,
            found: &remark.problem.what,
            why: "",
            fix: vec![&remark.problem.fix],
            accepted: None,
        }
    }

    /// Returns an open finding.
    pub fn of(finding: &'a Finding) -> FindingOut<'a> {
        FindingOut {
            rule: finding.rule.id,
            about: Cow::Borrowed(&finding.about),
            pictures: finding.pictures.iter().map(|picture| picture.as_str()).collect(),
            level: finding.level.word(),
            measured: finding.measured,
            required: finding.required,
            unit: Some(finding.unit).filter(|unit| !unit.is_empty()),
            found: &finding.found,
            why: finding.rule.why,
            fix: finding.fix.lines().collect(),
            accepted: finding.again.as_ref().map(|again| AcceptedOut::of(&again.acceptance, Some(&again.why))),
        }
    }
}
