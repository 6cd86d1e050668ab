//! tone.paper: shadows that another surface would keep.

use crate::brief::requirements::{Level, Paper, Surface};
use crate::brief::usual_black_d;
use crate::judge::metrics::tones::PaperBlack;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::paper;
use crate::units::{Share, show};

/// Loss on this paper above which another is suggested. Source: ours.
const WORTH_PERCENT: i128 = 2;
/// Most of that loss allowed on the other surface, as a share. Source: ours.
const KEPT_HALF: f64 = 0.5;

pub static RULE: Rule = Rule {
    id: "tone.paper",
    group: RuleGroup::Tone,
    title: "Paper's black too weak",
    question: "Is the paper's black deep enough for this picture?",
    level: Level::Note,
    why: "dark pictures live on their shadows, and surfaces differ most in black",
    page: "The shadows are simulated on this paper as for tone.shadows, and on lustre and gloss of the same stock and \
           process with their usual blacks. It is a note where this paper blocks up more than 2 % of the detail, and \
           another surface at most half as much. Only surfaces with a deeper black than this paper's are compared.",
    fix: "Ask for the other surface if the shadows matter, or lift the shadows before exporting.",
    misses: "The other surfaces have their usual blacks, which may not be those of the printer's own papers. Gloss, \
             texture and price are not compared.",
    keys: &["paper.surface", "paper.stock", "paper.process", "paper.dmax", "paper.white"],
    source: "usual blacks: as for paper.dmax; limits ours",
    samples: RuleExamples {
        passes: "a bright breakfast table on matte paper",
        fails: "18 % of the detail blocks up on matte, 2 % on lustre",
    },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { wants_test_print: true, ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let (Some(tone), Some(ppi)) = (&evidence.tone, case.metrics.effective_ppi) else {
        return RuleOutcome::NotChecked("the picture is too small to measure".to_owned());
    };
    let required = &case.print.requirements.paper;
    let here = case.metrics.shadows_lost.unwrap_or(0.0);
    if Share::measured(here) <= Share::percent(WORTH_PERCENT) {
        return RuleOutcome::Passed;
    }
    let noise = evidence.detail.noise;
    let lost = |surface: Surface| {
        other_paper_black(required, surface).map_or(here, |black| black.blocked_share(tone, noise, ppi))
    };
    let others = [Surface::Lustre, Surface::Gloss].into_iter().filter(|surface| *surface != required.surface);
    // Of surfaces that keep the same, the less glossy is named.
    let best = others.map(|surface| (surface, lost(surface))).min_by(|one, other| one.1.total_cmp(&other.1));
    let Some((surface, there)) = best.filter(|(_, there)| *there <= here * KEPT_HALF) else {
        return RuleOutcome::Passed;
    };
    let [here_shown, there_shown] = [here, there].map(|share| show::share(Share::measured(share)));
    RuleOutcome::failed(Breach {
        numbers: Some((here, there)),
        short: format!("{here_shown} blocks up"),
        found: format!(
            "{here_shown} of the picture's detail blocks up on {}, {there_shown} on {} of the same stock; usual: at \
             most {WORTH_PERCENT} %",
            paper(case.print),
            surface.word()
        ),
        fix: format!(
            "ask for {} if the shadows matter\nor lift the shadows before exporting\nor accept it if it is meant to \
             be dark",
            surface.word()
        ),
        ..Breach::default()
    })
}

/// Returns the usual black of another surface, if it is deeper.
fn other_paper_black(required: &Paper, surface: Surface) -> Option<PaperBlack> {
    let dmax = usual_black_d(required.stock, surface, required.process);
    (dmax > required.dmax).then(|| PaperBlack::of_density(dmax, required.white_l))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, tone};

    fn dark(paper: &str, percent: u32) -> RuleOutcome {
        let cells = tone(&[(16, 2.0, percent), (180, 6.0, 100 - percent)]);
        RuleBench::new(&format!("[paper]\n{paper}\n[[print]]\nsize = \"8 x 10 in\""))
            .evidence(|e| e.tone = Some(cells))
            .ask(check)
    }

    #[test]
    fn a_dark_picture_on_a_weak_black_is_reported_with_a_deeper_one() {
        let matte = "process = \"inkjet\"\nsurface = \"matte\"";
        assert_eq!(dark(matte, 2), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = dark(matte, 18) else { panic!("lustre keeps it") };
        assert_eq!(
            breaches[0].found,
            "18 % of the picture's detail blocks up on matte photo paper (Dmax 1.65), 0 % on lustre of the same \
             stock; usual: at most 2 %"
        );
    }

    #[test]
    fn where_no_surface_is_better_nothing_is_said() {
        assert_eq!(dark("stock = \"uncoated\"", 30), RuleOutcome::Passed);
        assert_eq!(dark("surface = \"lustre\"", 30), RuleOutcome::Passed);
    }
}
