//! Findings in JSON, open or accepted.

use std::borrow::Cow;

use serde::Serialize;

use crate::brief::{BriefFinding, Origins};
use crate::judge::acceptance::{Acceptance, AcceptedFinding};
use crate::judge::{Finding, Rule};

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
    /// Where the values come from that its rule compares with.
    origins: Vec<OriginOut>,
    accepted: Option<AcceptedOut<'a>>,
}

/// Where the value of a key of the brief comes from.
#[derive(Serialize)]
pub struct OriginOut {
    key: &'static str,
    from: String,
}

impl OriginOut {
    fn of_rule(rule: &'static Rule, origins: &Origins) -> Vec<OriginOut> {
        rule.keys.iter().map(|key| OriginOut { key, from: origins.of(key).words() }).collect()
    }
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
    /// Returns an accepted finding; `origins` are those of the values of its print.
    pub fn accepted(one: &'a AcceptedFinding, origins: &Origins) -> FindingOut<'a> {
        FindingOut { accepted: Some(AcceptedOut::of(&one.acceptance, None)), ..FindingOut::of(&one.finding, origins) }
    }

    /// Returns a finding on a value of the brief that cannot be used, with its key in place of a rule.
    pub fn of_brief(remark: &'a BriefFinding) -> FindingOut<'a> {
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
            origins: Vec::new(),
            fix: vec![&remark.problem.fix],
            accepted: None,
        }
    }

    /// Returns an open finding; `origins` are those of the values of its print, or of the order.
    pub fn of(finding: &'a Finding, origins: &Origins) -> FindingOut<'a> {
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
            origins: OriginOut::of_rule(finding.rule, origins),
            fix: finding.fix.lines().collect(),
            accepted: finding.lapsed.as_ref().map(|again| AcceptedOut::of(&again.acceptance, Some(&again.why))),
        }
    }
}
