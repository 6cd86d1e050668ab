//! Accepting findings: what an acceptance is bound to, and when the finding is open again.
//!
//! Pure, like all judging: who, why and when are passed in.

use std::sync::Arc;

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::finding::{Finding, LapsedAcceptance};
use crate::judge::model::row::Row;
use crate::judge::model::rule::Rule;
use crate::units::show;

pub use crate::judge::model::acceptance::{Acceptance, AcceptanceReason, AcceptedValues, NotAcceptable, day};
pub use crate::judge::model::finding::AcceptedFinding;

/// A box that moved by less than this share of the picture is the same box: twice the step of the four decimals stored.
const SAME_BOX: f64 = 0.000_2;
/// Numbers closer than this are equal: stored numbers have this many decimals.
const SAME_NUMBER: f64 = 1e-9;

impl AcceptedValues {
    /// Returns the values that a finding of a row is bound to now.
    ///
    /// # Errors
    /// The picture cannot be read, or is not read yet.
    pub fn of(finding: &Finding, row: &Row) -> Result<AcceptedValues, NotAcceptable> {
        if finding.rule.uses.is_unreadable {
            return Err(NotAcceptable::Unreadable);
        }
        let (Some(sha256), Some(pixels)) = (&row.sha256, &row.pixel_digest) else {
            return Err(NotAcceptable::Unchecked);
        };
        Ok(AcceptedValues {
            level: Some(finding.level),
            measured: finding.measured,
            required: finding.required,
            limits: finding.limits.clone(),
            unit: finding.unit.to_owned(),
            sha256: sha256.clone(),
            pixel_digest: pixels.clone(),
            subject: row.subject.map(|subject| subject.area.sides()),
            profile: row.paper_profile.clone(),
        })
    }
}

impl Acceptance {
    /// Accepts a finding of a row, on behalf of a person.
    ///
    /// # Errors
    /// The finding cannot be accepted, or not without a reason or somebody who allowed it.
    pub fn of(finding: &Finding, row: &Row, statement: AcceptanceReason) -> Result<Acceptance, NotAcceptable> {
        let bound = AcceptedValues::of(finding, row)?;
        let said_something = |text: &Option<String>| text.as_ref().is_some_and(|text| !text.trim().is_empty());
        if statement.reason.trim().is_empty() {
            return Err(NotAcceptable::WithoutReason);
        }
        if statement.by.trim().is_empty() {
            return Err(NotAcceptable::WithoutName);
        }
        if finding.level == Level::Must && !said_something(&statement.allowed_by) {
            return Err(NotAcceptable::WithoutLeave);
        }
        Ok(Acceptance {
            print: row.key.print.clone(),
            rule: finding.rule.id.to_owned(),
            about: finding.about.clone(),
            reason: statement.reason.trim().to_owned(),
            by: statement.by,
            allowed_by: statement.allowed_by.filter(|text| !text.trim().is_empty()),
            when: statement.when,
            is_on_note: statement.is_on_note,
            bound,
        })
    }

    /// True if this acceptance is of this finding.
    fn is_of(&self, finding: &Finding) -> bool {
        (self.rule.as_str(), &self.about) == (finding.rule.id, &finding.about)
    }

    /// Returns why the acceptance no longer counts; `None` while it does.
    fn why_lapsed(&self, rule: &Rule, now: &AcceptedValues) -> Option<String> {
        let then = &self.bound;
        let number =
            |value: Option<f64>| value.map_or("no number".to_owned(), |value| show::measured(value, &now.unit));
        let same = |one: Option<f64>, other: Option<f64>| match (one, other) {
            (Some(one), Some(other)) => (one - other).abs() <= SAME_NUMBER * one.abs().max(1.0),
            (one, other) => one.is_none() && other.is_none(),
        };
        let carried = rule.depends_on.is_same_of_same_pixels() && then.pixel_digest == now.pixel_digest;
        if then.level < now.level {
            return Some("the brief now gives it a higher level".to_owned());
        }
        if then.unit != now.unit || !same(then.required, now.required) {
            return Some(format!("the limit was {} and is now {}", number(then.required), number(now.required)));
        }
        if let (Some(was), Some(is)) = (&then.limits, &now.limits)
            && was != is
        {
            return Some(format!("the brief had {was} and now has {is}"));
        }
        let beyond = |value: Option<f64>| value.zip(now.required).map_or(0.0, |(value, limit)| (value - limit).abs());
        if !same(then.measured, now.measured) && beyond(now.measured) > beyond(then.measured) {
            return Some(format!("it was {} and is now {}", number(then.measured), number(now.measured)));
        }
        if then.sha256 != now.sha256 && !carried {
            return Some("the file has been exported again".to_owned());
        }
        let same_box = match (then.subject, now.subject) {
            (Some(one), Some(other)) => is_same_box(one, other),
            (one, other) => one.is_none() && other.is_none(),
        };
        if !same_box {
            return Some("the subject's box has changed".to_owned());
        }
        (then.profile != now.profile).then(|| "the paper's profile has changed".to_owned())
    }
}

/// True if two boxes are the same but for rounding.
pub fn is_same_box(one: [f64; 4], other: [f64; 4]) -> bool {
    one.iter().zip(other).all(|(a, b)| (a - b).abs() <= SAME_BOX)
}

/// Separates the findings of a row into accepted ones and open ones; an open one that was accepted before carries the
/// lapsed acceptance. The picture's acceptances are in the order of their prints.
pub fn split_accepted(row: &mut Row, acceptances: &[Arc<Acceptance>]) {
    if acceptances.is_empty() {
        return;
    }
    let print = row.key.print.as_ref();
    // A picture may have thousands of prints, each with its acceptances.
    let from = acceptances.partition_point(|one| one.print.as_ref() < print);
    let acceptances = &acceptances[from..];
    let acceptances = &acceptances[..acceptances.partition_point(|one| one.print.as_ref() == print)];
    for mut finding in std::mem::take(&mut row.findings) {
        let known = acceptances.iter().find(|one| one.is_of(&finding));
        match known.zip(AcceptedValues::of(&finding, row).ok()) {
            Some((known, now)) => match known.why_lapsed(finding.rule, &now) {
                None => row.accepted.push(AcceptedFinding { finding, acceptance: Arc::clone(known) }),
                Some(why) => {
                    Arc::make_mut(&mut finding).lapsed = Some(LapsedAcceptance { acceptance: Arc::clone(known), why });
                    row.findings.push(finding);
                }
            },
            None => row.findings.push(finding),
        }
    }
}

/// Returns the digest of the paper's profile.
pub fn profile_of(print: &Print) -> Option<String> {
    print.requirements.paper.printer.as_deref().map(|printer| printer.facts().sha256.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::rules::file::readable;
    use crate::judge::testing::{brief, ids, sound_submission};
    use crate::judge::{RowState, Submission, judge};

    fn said() -> AcceptanceReason {
        AcceptanceReason {
            reason: "meant".to_owned(),
            by: "Maren".to_owned(),
            allowed_by: None,
            when: "2026-11-26".to_owned(),
            is_on_note: false,
        }
    }

    /// A picture of 250 ppi where the target is 300 and the minimum 180.
    fn soft(acceptances: Vec<Acceptance>) -> Submission {
        let acceptances: Vec<Arc<Acceptance>> = acceptances.into_iter().map(Arc::new).collect();
        Submission { acceptances: acceptances.into(), ..sound_submission("a.jpg", 2000, 2500) }
    }

    const BRIEF: &str = "[[print]]\nsize = \"8 x 10 in\"";

    fn row(text: &str, submission: Submission) -> Row {
        judge(&brief(text), &[submission]).rows.swap_remove(0)
    }

    fn accepted() -> Acceptance {
        let row = row(BRIEF, soft(vec![]));
        assert_eq!((row.state, ids(&row)), (RowState::Warn, vec!["density.target"]));
        Acceptance::of(&row.findings[0], &row, said()).unwrap()
    }

    #[test]
    fn a_finding_without_a_number_is_accepted_for_what_was_required_then() {
        let text = |space: &str| format!("[colour]\nspace = \"{space}\"\n{BRIEF}");
        let file = |acceptances: Vec<Acceptance>| {
            let acceptances: Vec<Arc<Acceptance>> = acceptances.into_iter().map(Arc::new).collect();
            let mut file = Submission { acceptances: acceptances.into(), ..sound_submission("a.jpg", 2400, 3000) };
            if let crate::judge::HeaderState::Read(facts) = &mut file.header {
                Arc::make_mut(facts).profile = crate::picture::facts::EmbeddedProfile::None;
            }
            file
        };
        let first = row(&text("srgb"), file(vec![]));
        let said = AcceptanceReason { allowed_by: Some("the client".to_owned()), ..said() };
        let accepted = Acceptance::of(&first.findings[0], &first, said).unwrap();
        assert_eq!(row(&text("srgb"), file(vec![accepted.clone()])).accepted.len(), 1);
        let now = row(&text("display p3"), file(vec![accepted]));
        let why = now.findings[0].lapsed.as_ref().map(|again| again.why.as_str());
        assert!(
            now.accepted.is_empty() && why.is_some_and(|why| why.contains("Display P3") || why.contains("display p3")),
            "{why:?}"
        );
    }

    #[test]
    fn thousands_of_prints_of_one_picture_each_find_what_was_accepted_of_them() {
        let order = |count: usize| {
            let prints: String = (0..count)
                .map(|at| format!("[[print]]\nid = \"p{at:06}\"\npicture = \"a*\"\nsize = \"8 x 10 in\"\n"))
                .collect();
            let brief = brief(&prints);
            let open = judge(&brief, &[soft(vec![])]).rows;
            let all = open.iter().map(|row| Acceptance::of(&row.findings[0], row, said()).unwrap()).collect();
            (brief, soft(all))
        };
        crate::units::growth::grows_less_than_square(500, order, |(brief, file)| {
            assert!(judge(&brief, &[file]).rows.iter().all(|row| row.accepted.len() == 1));
        });
    }

    #[test]
    fn a_loss_accepted_at_two_sides_is_not_accepted_at_the_other_two() {
        let text = |size: &str| format!("[[print]]\nsize = \"{size}\"");
        let first = row(&text("6 x 4 in"), wide());
        let (loss, acceptance) = (&first.findings[0], Acceptance::of(&first.findings[0], &first, said()).unwrap());
        assert_eq!((loss.rule.id, loss.about.as_str()), ("size.aspect", "top and bottom"));
        let file = || Submission { acceptances: vec![Arc::new(acceptance.clone())].into(), ..wide() };
        assert_eq!(row(&text("6 x 4 in"), file()).state, RowState::Pass);
        let sides = row(&text("5 x 4.22 in"), file());
        assert_eq!((sides.state, sides.findings[0].about.as_str()), (RowState::Warn, "left and right"));
    }

    fn wide() -> Submission {
        sound_submission("a.jpg", 2400, 1800)
    }

    #[test]
    fn an_accepted_finding_is_kept_apart_and_leaves_the_row_alone() {
        let row = row(BRIEF, soft(vec![accepted()]));
        assert_eq!((row.state, row.findings.len(), row.accepted.len()), (RowState::Pass, 0, 1));
        assert_eq!(row.accepted[0].acceptance.reason, "meant");
    }

    #[test]
    fn worse_or_changed_findings_are_open_again_and_better_ones_are_not() {
        let again = |text: &str, acceptance: Acceptance| {
            let row = row(text, soft(vec![acceptance]));
            row.findings.first().and_then(|finding| finding.lapsed.as_ref().map(|again| again.why.clone()))
        };
        assert_eq!(again(BRIEF, accepted()), None);
        let stricter = format!("[rules]\n\"density.target\" = \"must\"\n{BRIEF}");
        assert!(again(&stricter, accepted()).unwrap().contains("higher"));
        let wants_more = format!("[density]\ntarget = \"310 ppi\"\n{BRIEF}");
        assert_eq!(again(&wants_more, accepted()).unwrap(), "the limit was 300 ppi and is now 310 ppi");
        let of = |change: fn(&mut AcceptedValues)| {
            let mut acceptance = accepted();
            change(&mut acceptance.bound);
            again(BRIEF, acceptance)
        };
        assert_eq!(of(|bound| bound.measured = Some(260.0)).unwrap(), "it was 260 ppi and is now 250 ppi");
        assert_eq!(of(|bound| bound.measured = Some(245.0)), None, "it got better");
        // A new export of the same pixels keeps an acceptance that is about pixels.
        assert_eq!(of(|bound| bound.sha256 = "other".to_owned()), None);
        let other_pixels = of(|bound| (bound.sha256, bound.pixel_digest) = ("other".to_owned(), "other".to_owned()));
        assert!(other_pixels.unwrap().contains("exported again"));
        assert!(of(|bound| bound.subject = Some([0.0, 0.0, 1.0, 1.0])).unwrap().contains("box"));
        assert!(of(|bound| bound.profile = Some("other".to_owned())).unwrap().contains("profile"));
    }

    #[test]
    fn accepting_a_must_requires_a_name_and_every_acceptance_a_reason() {
        let must = row(&format!("[rules]\n\"density.target\" = \"must\"\n{BRIEF}"), soft(vec![]));
        let of = |said| Acceptance::of(&must.findings[0], &must, said).map(|_| ());
        assert_eq!(of(said()), Err(NotAcceptable::WithoutLeave));
        assert_eq!(of(AcceptanceReason { allowed_by: Some("Corrow Lane".to_owned()), ..said() }), Ok(()));
        let silent = AcceptanceReason { reason: " ".to_owned(), ..said() };
        assert_eq!(of(silent), Err(NotAcceptable::WithoutReason));
        let nobody = AcceptanceReason { by: String::new(), ..said() };
        assert_eq!(of(nobody), Err(NotAcceptable::WithoutName));
        assert_eq!(
            AcceptedValues::of(&Finding { rule: &readable::RULE, ..Finding::clone(&must.findings[0]) }, &must),
            Err(NotAcceptable::Unreadable)
        );
        let unread = Row { pixel_digest: None, ..must.clone() };
        assert_eq!(AcceptedValues::of(&unread.findings[0], &unread), Err(NotAcceptable::Unchecked));
    }
}
