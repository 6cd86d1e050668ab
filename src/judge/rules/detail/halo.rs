//! detail.halo: over-sharpened edges.

use crate::brief::Print;
use crate::brief::requirements::{Level, Sharpened};
use crate::judge::metrics::detail::{HIDDEN_MM, distance_factor};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::risk::Risk;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::detail::noise;
use crate::judge::rules::phrases::{self, seen_from};
use crate::measure::evidence::Swing;
use crate::units::{Share, show};

/// Overshoot that deserves a note. Source: ours; none of 32 photographs reaches it as it is or saved as JPEG.
const NOTE_PERCENT: i128 = 17;
/// Width on paper from which a halo is plainly wide, mm. Source: a sharpening handbook (Fraser 2006): proper print
/// sharpening is 1/100 to 1/50 in wide, 0.25 to 0.51 mm.
const WIDE_MM: f64 = 0.51;
/// Sharpening radii in an inch of paper: one is enough.
const RADII_PER_INCH: f64 = 200.0;

pub static RULE: Rule = Rule {
    id: "detail.halo",
    group: RuleGroup::Detail,
    title: "Halos along edges",
    question: "Is it sharpened without halos?",
    level: Level::Should,
    why: "paper shows what a screen hides: light and dark seams, harsh edges",
    page: "How far tones overshoot at edges is measured as a share of the edge's step, in two ways, and the larger \
           counts: the median over strong isolated edges; and how far tones swing beside the steepest edges, against \
           unsharpened photographs whose edges are as steep and as far apart in tone. Above 17 % it is a note. Over \
           detail.halo in the brief (usual: 25 %) it is a should; so it is above 17 % where the halo is wider than \
           0.51 mm on paper, or where the printer sharpens. A halo narrower than 0.12 mm is never more than a note. \
           Both widths grow with the viewing distance beyond 30 cm. Texture, whose tones swing equally far away from \
           edges, is left out.",
    fix: "Sharpen less, last of all and at the printed size; judge it on a test print, since proper print sharpening \
          looks crunchy on screen at 100 %. Where the printer sharpens, send it without sharpening.",
    misses: "A picture that was soft before can be sharpened too much and still pass. With too few strong edges there \
             is no answer.",
    keys: &["detail.halo", "detail.sharpened", "density.distance"],
    source: "widths: a sharpening handbook (Fraser 2006); no published limit of overshoot for prints was found: ours, \
             from photographs",
    samples: RuleExamples { passes: "4 % overshoot", fails: "28 % overshoot, 0.25 mm wide on paper" },
    // Sharpening raises the grain with the edges.
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[&noise::RULE],
    uses: RuleUses {
        wants_test_print: true,
        risk: Some(Risk::Edges),
        export_setting: Some(export_setting),
        ..RuleUses::NONE
    },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn export_setting(print: &Print) -> Option<ExportSetting> {
    let value = match print.requirements.detail.sharpened {
        Sharpened::ByThePrinter => "none: the printer sharpens".to_owned(),
        Sharpened::ByPhotographer => format!("last of all, at the final pixels, for {}", phrases::paper_name(print)),
    };
    Some(ExportSetting::of(print, "detail.sharpened", "sharpening", value))
}

fn check(case: &Case) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let (Some(halo), Some(width_mm)) = (evidence.detail.halo, case.metrics.halo_mm) else {
        return RuleOutcome::NotChecked("too few strong edges to measure".to_owned());
    };
    let (share, note) = (Share::measured(halo.share()), Share::percent(NOTE_PERCENT));
    let required = &case.print.requirements.detail;
    if share <= note.min(required.halo) {
        return RuleOutcome::Passed;
    }
    let distance = distance_factor(case.print.requirements.density.distance);
    let is_over = share > required.halo;
    let (limit, condition, at_most) = if is_over {
        (required.halo, String::new(), None)
    } else if required.sharpened == Sharpened::ByThePrinter {
        (note, " where the printer sharpens".to_owned(), None)
    } else if width_mm > WIDE_MM * distance {
        let wide = show::hundredths_mm(WIDE_MM * distance);
        (note, format!(" where a halo is wider than {wide}, seen {}", seen_from(case.print)), None)
    } else {
        (note, String::new(), Some(Level::Note))
    };
    let (shown, limit_shown) = show::shares_apart(share, limit);
    let words = format!("at most {limit_shown}{condition}");
    let limit_words =
        if is_over { phrases::limit_words(case.print, "detail.halo", &words) } else { format!("usual: {words}") };
    let hidden = (width_mm < HIDDEN_MM * distance).then_some(Level::Note);
    let found = ExceededLimit { share, limit, shown, limit_words, width_mm, swing: halo.larger_swing() };
    RuleOutcome::failed(breach(case, &found, at_most.or(hidden)))
}

/// An overshoot above a limit.
struct ExceededLimit {
    share: Share,
    limit: Share,
    /// The overshoot, so that it differs from its limit.
    shown: String,
    /// The limit.
    limit_words: String,
    width_mm: f64,
    /// The swing of tones that shows it, where it is not isolated edges.
    swing: Option<Swing>,
}

fn breach(case: &Case, found: &ExceededLimit, at_most: Option<Level>) -> Breach {
    let (shown, limit_words) = (&found.shown, &found.limit_words);
    let width = show::hundredths_mm(found.width_mm);
    let overshoot = match found.swing {
        Some(swing) => format!(
            "tones beside its steepest edges swing {} times as far as in unsharpened pictures: halos of {shown} of \
             the step, {width} wide on paper",
            show::measured(swing.times, "")
        ),
        None => format!("edges overshoot by {shown} of their step, {width} wide on paper"),
    };
    let radius = case.metrics.effective_ppi.map_or(String::new(), |ppi| {
        format!(", with a radius of about {}", show::measured(ppi / RADII_PER_INCH, "px"))
    });
    let fix = match case.print.requirements.detail.sharpened {
        Sharpened::ByThePrinter => "send it without sharpening".to_owned(),
        Sharpened::ByPhotographer => format!(
            "sharpen less, last of all and at the printed size{radius}\nthen reduce local contrast effects, if halos \
             remain"
        ),
    };
    Breach {
        at_most,
        numbers: Some((found.share.as_f64(), found.limit.as_f64())),
        short: format!("halo {shown}"),
        found: format!("{overshoot}; {limit_words}"),
        fix,
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;
    use crate::measure::evidence::{Halo, Overshoot};

    fn outcome_of(brief: &str, halo: Halo) -> RuleOutcome {
        RuleBench::new(&format!("{brief}[[print]]\nsize = \"8 x 10 in\""))
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
    fn the_larger_sign_is_reported_in_its_own_words() {
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
            "tones beside its steepest edges swing 1.6 times as far as in unsharpened pictures: halos of 30 % of \
             the step, 0.17 mm wide on paper; usual: at most 25 %"
        );
        let isolated = |share: u32| {
            format!("edges overshoot by {share} % of their step, 0.13 mm wide on paper; usual: at most 25 %")
        };
        assert_eq!(said(0.31, 1.6, 0.94), isolated(31));
        assert_eq!(said(0.26, 1.6, 0.95), isolated(26), "a texture, which goes on");
    }

    #[test]
    fn without_strong_edges_there_is_no_answer() {
        assert!(matches!(RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotChecked(_)));
    }
}
