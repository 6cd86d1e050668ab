//! tone.shadows: detail lost in the paper's black.

use crate::brief::requirements::Level;
use crate::judge::metrics::tones::PaperBlack;
use crate::judge::metrics::{ToneLoss, whereabouts};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::risk::Risk;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::{self, paper};
use crate::measure::evidence::Tone;
use crate::units::{Share, show};

/// Share that deserves a note, where the brief allows that much or more. Source: ours.
const NOTE_PERCENT: i128 = 5;
/// Share of flat black that deserves a note. Source: ours, from camera files: 1 % in one of ten.
const FLAT_PERCENT: i128 = 2;

pub static RULE: Rule = Rule {
    id: "tone.shadows",
    group: RuleGroup::Tone,
    title: "Shadows block up",
    question: "Does the paper keep the detail in the shadows?",
    level: Level::Should,
    why: "paper's black is weaker than a screen's: faint detail near it vanishes",
    page: "The picture is simulated on the paper as a soft proof does it: relative colorimetric with black point \
           compensation, down to the paper's black (paper.dmax, else its profile's, else the usual value of stock, \
           surface and process). It is measured in cells of several sizes, from 0.5 to 16 mm on paper. Detail blocks \
           up where its contrast is visible in the file (1 L* or more, above the noise) and no longer visible on the \
           paper. What counts is the share of the cells with detail, at the size that loses most; where less than a \
           quarter of the picture has detail, a quarter stands in for it. Above tone.lost_shadows of the brief (usual: \
           15 %) it is a should, above 5 % a note. Dark areas that have no detail in the file are not lost on the \
           paper; where they are more than 2 % of the picture, it is a note.",
    fix: "Lift the shadows before exporting, or ask for a paper with a deeper black. Look at a soft proof with the \
          printer's profile, and order a test print of the darkest part.",
    misses: "Where neither the brief nor the printer's profile gives the paper's black, a usual value stands in for \
             it. The light in which the print will be seen is not known.",
    keys: &["tone.lost_shadows", "paper.dmax", "paper.white", "paper.stock", "paper.surface", "paper.process"],
    source: "ISO 18619 for the compensation; 1 L* as the smallest difference seen: common practice, nothing published",
    samples: RuleExamples {
        passes: "0.4 % of the detail blocks up on lustre photo paper",
        fails: "22 % of it blocks up on uncoated paper, Dmax 1.28",
    },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { wants_test_print: true, risk: Some(Risk::Shadows), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let (Some(tone), Some(lost)) = (&evidence.tone, case.metrics.shadows_lost) else {
        return RuleOutcome::NotChecked("the picture is too small to measure".to_owned());
    };
    let lost = Share::measured(lost);
    let limit = case.print.requirements.tone.lost_shadows;
    let note = Share::percent(NOTE_PERCENT).min(limit);
    let blocked = (lost > note).then(|| blocked_breach(case, lost, limit, note));
    RuleOutcome::of(blocked.into_iter().chain(flat_breach(case, tone)).collect())
}

fn blocked_breach(case: &Case, lost: Share, limit: Share, note: Share) -> Breach {
    let over = lost > limit;
    let exceeded = if over { limit } else { note };
    let (shown, limit_shown) = show::shares_apart(lost, exceeded);
    let area = case.subject.map(|subject| subject.area);
    let place = case.tones.map_or(String::new(), |tones| {
        let fields = tones.lost.placed().map(|(field, lost)| (field, f64::from(u8::from(*lost == ToneLoss::Shadows))));
        whereabouts::parenthesis(fields, area)
    });
    let at_most = format!("at most {limit_shown}");
    let limit_words = if over {
        phrases::limit_words(case.print, "tone.lost_shadows", &at_most)
    } else {
        format!("usual: {at_most}")
    };
    Breach {
        at_most: (!over).then_some(Level::Note),
        numbers: Some((lost.as_f64(), exceeded.as_f64())),
        short: format!("{shown} blocks up"),
        found: format!("{shown} of the picture's detail blocks up on {}{place}; {limit_words}", paper(case.print)),
        fix: "lift the shadows there before exporting\nor ask for a paper with a deeper black\nor accept it if a \
              test print of the darkest part looks right"
            .to_owned(),
        ..Breach::default()
    }
}

fn flat_breach(case: &Case, tone: &Tone) -> Option<Breach> {
    let limit = Share::percent(FLAT_PERCENT);
    let flat = Share::measured(PaperBlack::of(&case.print.requirements.paper).flat_share(tone));
    if flat <= limit {
        return None;
    }
    let (shown, limit_shown) = show::shares_apart(flat, limit);
    Some(Breach {
        about: "flat".to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((flat.as_f64(), limit.as_f64())),
        short: format!("{shown} flat black"),
        found: format!(
            "{shown} of the picture is flat in the file, and darker than this paper's black; usual: at most \
             {limit_shown}"
        ),
        fix: "bring the detail back from the raw file\nor accept it if the background is meant to be black".to_owned(),
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, abouts, tone};

    const UNCOATED: &str = "[paper]\nstock = \"uncoated\"\n[[print]]\nsize = \"200 x 250 mm\"";

    /// This percentage of the cells is dark with a faint weave, the rest is light.
    fn dark(brief: &str, percent: u32) -> RuleOutcome {
        let cells = tone(&[(16, 2.0, percent), (180, 6.0, 100 - percent)]);
        RuleBench::new(brief).evidence(|e| e.tone = Some(cells)).ask(check)
    }

    #[test]
    fn fifteen_per_cent_is_the_limit_and_five_a_note() {
        assert_eq!(dark(UNCOATED, 5), RuleOutcome::Passed);
        let levels = |percent: u32| match dark(UNCOATED, percent) {
            RuleOutcome::Failed(breaches) => breaches[0].at_most,
            other => panic!("{other:?}"),
        };
        assert_eq!((levels(6), levels(15), levels(16)), (Some(Level::Note), Some(Level::Note), None));
        let stricter = UNCOATED.replace("[[print]]", "[tone]\nlost_shadows = \"2 %\"\n[[print]]");
        assert!(matches!(dark(&stricter, 3), RuleOutcome::Failed(breaches) if breaches[0].at_most.is_none()));
    }

    #[test]
    fn a_deep_black_keeps_it_all() {
        assert_eq!(dark("[[print]]\nsize = \"8 x 10 in\"", 60), RuleOutcome::Passed);
        assert!(matches!(dark("[paper]\ndmax = 1.2\n[[print]]\nsize = \"8 x 10 in\"", 60), RuleOutcome::Failed(_)));
    }

    #[test]
    fn the_words_name_the_paper_and_its_black() {
        let RuleOutcome::Failed(breaches) = dark(UNCOATED, 22) else { panic!("it blocks up") };
        assert_eq!(
            breaches[0].found,
            "22 % of the picture's detail blocks up on matte uncoated paper (Dmax 1.28); usual: at most 15 %"
        );
    }

    #[test]
    fn flat_black_is_a_note_about_the_file() {
        let flat = |percent: u32| {
            let cells = tone(&[(2, 0.0, percent), (180, 6.0, 100 - percent)]);
            RuleBench::new(UNCOATED).evidence(|e| e.tone = Some(cells)).ask(check)
        };
        assert_eq!(flat(2), RuleOutcome::Passed);
        assert_eq!(abouts(&flat(3)), ["flat"]);
        assert!(matches!(RuleBench::new(UNCOATED).ask(check), RuleOutcome::NotChecked(_)));
    }
}
