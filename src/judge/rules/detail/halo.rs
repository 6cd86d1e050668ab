//! detail.halo: over-sharpened edges.

use crate::brief::requirements::{Level, Sharpened};
use crate::judge::metrics::detail::{HIDDEN_MM, distance_factor};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::risk::Risk;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::detail::noise;
use crate::judge::rules::phrases::seen_from;
use crate::measure::evidence::Swing;
use crate::units::{Share, show};

/// Overshoot that deserves a note. Source: ours; none of 32 photographs reaches it as it is or saved as JPEG.
const NOTE_PERCENT: i128 = 17;
/// Width on paper from which a halo is plainly wide, mm. Source: a sharpening handbook (Fraser 2006): proper print
/// sharpening is 1/100 to 1/50 in wide, 0.25 to 0.51 mm.
const WIDE_MM: f64 = 0.51;

pub static RULE: Rule = Rule {
    id: "detail.halo",
    group: RuleGroup::Detail,
    title: "",
    question: "Is it sharpened without halos?",
    level: Level::Should,
    why: "a screen hides what paper shows: light and dark seams along edges make food look crisp and dry",
    page: "How far edges overshoot, as a share of their step, by two signs, of which the larger counts: the \
           median over strong isolated edges; and how far tones swing beside the steepest edges, against what \
           is usual in unsharpened photographs whose edges are as steep and as far apart in tone. From 17 % it \
           is a note; over the brief's halo (25 %), or from 17 % where it is wider than 0.51 mm, a should. \
           Narrower than 0.12 mm it is never more than a note: the paper hides it. Widths grow with the viewing \
           distance beyond 30 cm. Where the printer sharpens, 17 % is a should already: two sharpenings add up. \
           Right print sharpening looks crunchy on screen at 100 %: judge it on a test print. What it misses \
           was soft before. A \
           texture, which swings as far further out, is none. Too few strong edges give no answer.",
    fix: "",
    misses: "",
    keys: &["detail.halo", "detail.sharpened", "density.distance"],
    source: "widths: a sharpening handbook (Fraser 2006); no published limit of overshoot for prints was found: ours, \
             from photographs",
    samples: RuleExamples { holds: "4 % overshoot", fails: "28 % overshoot, 0.25 mm wide on paper" },
    // Sharpening raises the grain with the edges.
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[&noise::RULE],
    uses: RuleUses { asks_test_print: true, risk: Some(Risk::Edges), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let evidence = match case.evidence() {
        Ok(evidence) => evidence,
        Err(outcome) => return outcome,
    };
    let (Some(halo), Some(width_mm)) = (evidence.detail.halo, case.metrics.halo_mm) else {
        return RuleOutcome::NotChecked("too few strong edges to tell".to_owned());
    };
    let (share, note) = (Share::measured(halo.share()), Share::percent(NOTE_PERCENT));
    let required = &case.print.requirements.detail;
    if share <= note.min(required.halo) {
        return RuleOutcome::Passed;
    }
    let distance = distance_factor(case.print.requirements.density.distance);
    let theirs = required.sharpened == Sharpened::ByThePrinter;
    let (limit, because) = if share > required.halo {
        (required.halo, String::new())
    } else if theirs {
        (note, " where the printer sharpens".to_owned())
    } else if width_mm > WIDE_MM * distance {
        (
            note,
            format!(
                " where it is wider than {}, seen {}",
                show::hundredths_mm(WIDE_MM * distance),
                seen_from(case.print)
            ),
        )
    } else {
        let found =
            ExceededLimit { share, limit: note, limits: " is worth a look", width_mm, swing: halo.larger_swing() };
        return RuleOutcome::failed(breach(case, &found, Some(Level::Note)));
    };
    let at_most = (width_mm < HIDDEN_MM * distance).then_some(Level::Note);
    let limits = format!(" may be{because}");
    let found = ExceededLimit { share, limit, limits: &limits, width_mm, swing: halo.larger_swing() };
    RuleOutcome::failed(breach(case, &found, at_most))
}

/// An overshoot above a limit.
struct ExceededLimit<'a> {
    share: Share,
    limit: Share,
    /// Words that explain the limit.
    limits: &'a str,
    width_mm: f64,
    /// The swing of tones that shows it, where it is not isolated edges.
    swing: Option<Swing>,
}

fn breach(case: &Case, found: &ExceededLimit, at_most: Option<Level>) -> Breach {
    let (shown, limit_shown) = show::shares_apart(found.share, found.limit);
    let width = show::hundredths_mm(found.width_mm);
    let told = match found.swing {
        Some(swing) => format!(
            "beside its steepest edges tones swing {} times as far as they do unsharpened: seams of {shown} of the \
             step, reaching {width} on paper",
            show::measured(swing.times, "")
        ),
        None => format!("edges overshoot by {shown} of their step, {width} wide on paper"),
    };
    let whose = match case.print.requirements.detail.sharpened {
        Sharpened::ByThePrinter => "send it unsharpened: the printer sharpens for the paper",
        Sharpened::ByPhotographer => {
            "sharpen less, last of all and at the printed size; a radius of about a two-hundredth of the printed ppi \
             is enough; undo clarity and structure sliders first"
        }
    };
    Breach {
        at_most,
        numbers: Some((found.share.as_f64(), found.limit.as_f64())),
        short: format!("halo {shown}"),
        found: format!("{told}; {limit_shown}{}", found.limits),
        fix: whose.to_owned(),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;
    use crate::measure::evidence::{Halo, Overshoot};

    fn outcome_of(brief: &str, halo: Halo) -> RuleOutcome {
        Bench::new(&format!("{brief}[[print]]\nsize = \"8 x 10 in\""))
            .evidence(|e| e.detail.halo = Some(halo))
            .ask(check)
    }

    /// 300 ppi: 6.1 px are wider than 0.51 mm, 1.4 px narrower than 0.12 mm (arithmetic).
    fn halo(brief: &str, share: f64, width_px: f64) -> Option<Option<Level>> {
        let isolated = Some(Overshoot { share, p90: share, width_px, edges: 100 });
        match outcome_of(brief, Halo { isolated, swing: None }) {
            RuleOutcome::Passed => None,
            RuleOutcome::Failed(breaches) => Some(breaches[0].at_most),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn seventeen_per_cent_is_a_note_and_twenty_five_a_should() {
        assert_eq!(halo("", 0.17, 2.0), None);
        assert_eq!(halo("", 0.171, 2.0), Some(Some(Level::Note)));
        assert_eq!(halo("", 0.25, 2.0), Some(Some(Level::Note)));
        assert_eq!(halo("", 0.251, 2.0), Some(None));
    }

    #[test]
    fn a_wide_halo_is_a_should_and_a_hidden_one_never() {
        assert_eq!(halo("", 0.18, 6.1), Some(None));
        assert_eq!(halo("", 0.18, 6.0), Some(Some(Level::Note)));
        assert_eq!(halo("", 0.30, 1.4), Some(Some(Level::Note)));
        assert_eq!(halo("[density]\ndistance = \"60 cm\"\n", 0.18, 6.1), Some(Some(Level::Note)));
    }

    #[test]
    fn the_brief_moves_the_limit_and_says_whose_job_it_is() {
        assert_eq!(halo("[detail]\nhalo = \"20 %\"\n", 0.21, 2.0), Some(None));
        assert_eq!(halo("[detail]\nhalo = \"5 %\"\n", 0.06, 2.0), Some(None));
        assert_eq!(halo("[detail]\nsharpened = \"by the printer\"\n", 0.18, 2.0), Some(None));
    }

    #[test]
    fn the_sign_that_says_more_is_told_in_its_own_words() {
        let said = |isolated: f64, times: f64, beyond: f64| {
            let isolated = Some(Overshoot { share: isolated, p90: isolated, width_px: 1.5, edges: 100 });
            let swing = Some(Swing { codes: 90.0, times, beyond, reach_px: 2.0 });
            match outcome_of("", Halo { isolated, swing }) {
                RuleOutcome::Failed(breaches) => breaches[0].found.clone(),
                other => panic!("{other:?}"),
            }
        };
        // Source: arithmetic: half of what is beyond the usual; 2 px at 300 ppi are 0.17 mm, 1.5 px 0.13 mm.
        assert_eq!(
            said(0.1, 1.6, 0.94),
            "beside its steepest edges tones swing 1.6 times as far as they do unsharpened: seams of 30 % of the step, \
             reaching 0.17 mm on paper; 25 % may be"
        );
        let isolated =
            |share: u32| format!("edges overshoot by {share} % of their step, 0.13 mm wide on paper; 25 % may be");
        assert_eq!(said(0.31, 1.6, 0.94), isolated(31));
        assert_eq!(said(0.26, 1.6, 0.95), isolated(26), "a texture, which goes on");
    }

    #[test]
    fn without_strong_edges_there_is_no_answer() {
        assert!(matches!(Bench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotChecked(_)));
    }
}
