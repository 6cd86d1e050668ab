//! proof.testprint: remarks on the picture's test print.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::model::test_print::best_of;
use crate::units::words::visible;

pub static RULE: Rule = Rule {
    id: "proof.testprint",
    group: RuleGroup::Proof,
    title: "Test print not good",
    question: "Was its test print good enough?",
    level: Level::Must,
    why: "a fault on a cheap print is larger on the expensive one",
    page: "It is checked once somebody has looked at a test print of these very pixels and noted what was seen with \
           `plateside testprint --seen`. With `--not-good` it fails, until the picture is exported with other pixels \
           or the note is withdrawn. Of several notes the latest counts.",
    fix: "Correct what the test print showed, export the picture again and look at another test print.",
    misses: "A test print is judged by eye, and shows no more than the eye noticed. It is not a contract proof.",
    keys: &[],
    source: "common practice; nothing published",
    samples: RuleExamples { passes: "\"shadows hold\"", fails: "\"greens dull\", with --not-good" },
    unit: "",
    depends_on: Dependence::Print,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(evidence_handle) = case.submission.evidence_handle() else { return RuleOutcome::NotRequired };
    let (sha256, pixels) = (Some(evidence_handle.sha256.as_str()), Some(evidence_handle.pixel_digest.as_str()));
    let seen = best_of(&case.submission.test_print_remarks, &case.print.id, (sha256, pixels));
    let Some(seen) = seen.filter(|seen| seen.is_of(sha256, pixels)) else { return RuleOutcome::NotRequired };
    if seen.is_approved {
        return RuleOutcome::Passed;
    }
    RuleOutcome::failed(Breach {
        short: "test print bad".to_owned(),
        found: format!("its test print was not good enough: {}", visible(&seen.words())),
        fix: "correct what it showed and export the picture again\nor take the note back: plateside testprint BRIEF \
              FOLDER --only PICTURE --withdraw"
            .to_owned(),
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::model::test_print::TestPrintRemark;
    use crate::judge::testing::{brief, sound_submission, with_sha256};
    use crate::judge::{RowState, judge};

    fn seen(is_approved: bool, sha256: &str) -> TestPrintRemark {
        let (saw, by, when) = ("greens dull".to_owned(), "Maren".to_owned(), "2026-11-26T10:00:00Z".to_owned());
        TestPrintRemark {
            print: None,
            saw,
            is_approved,
            by,
            when,
            sha256: sha256.to_owned(),
            pixel_digest: String::new(),
        }
    }

    #[test]
    fn a_picture_with_a_bad_test_print_fails_until_exported_again() {
        let brief = brief("[[print]]\nsize = \"8 x 10 in\"");
        let state = |seen: TestPrintRemark| {
            let mut file = with_sha256(sound_submission("a.jpg", 2400, 3000), "abc");
            file.test_print_remarks = [seen.into()].into();
            let row = judge(&brief, &[file]).rows.remove(0);
            (row.state, row.findings.iter().any(|finding| *finding.rule == RULE))
        };
        assert_eq!(state(seen(false, "abc")), (RowState::Fix, true));
        assert_eq!(state(seen(true, "abc")), (RowState::Pass, false));
        assert_eq!(state(seen(false, "an earlier one")), (RowState::Pass, false));
    }
}
