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
    title: "",
    question: "Is the paper's black deep enough for this picture?",
    level: Level::Note,
    why: "a dark picture lives from its shadows, and surfaces differ more in their black than in anything else",
    page: "The shadows are simulated on this paper as for tone.shadows, and on the other surfaces of the same stock \
           and process with their usual blacks. Where this paper blocks up more than 2 % of the detail and another \
           surface less than half of that, it is said. Nothing is compared where the brief gives the black itself \
           for a paper whose other surfaces are not deeper.",
    fix: "",
    misses: "",
    keys: &["paper.surface", "paper.stock", "paper.process", "paper.dmax", "paper.white"],
    source: "usual blacks: as for paper.dmax; when it is worth a word: ours",
    samples: RuleExamples {
        holds: "a bright breakfast table on matte paper",
        fails: "18 % of the detail blocks up on matte, 2 % on lustre",
    },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { asks_test_print: true, ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let evidence = match case.evidence() {
        Ok(evidence) => evidence,
        Err(outcome) => return outcome,
    };
    let (Some(tone), Some(ppi)) = (&evidence.tone, case.metrics.effective_ppi) else {
        return RuleOutcome::NotChecked("the picture is too small to tell".to_owned());
    };
    let required = &case.print.requirements.paper;
    let here = case.metrics.shadows_lost.unwrap_or(0.0);
    if Share::measured(here) <= Share::percent(WORTH_PERCENT) {
        return RuleOutcome::Passed;
    }
    let noise = evidence.detail.noise;
    let lost = |surface: Surface| other(required, surface).map_or(here, |black| black.blocked(tone, noise, ppi));
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
            "{here_shown} of this picture's detail blocks up on {}; {there_shown} on {} of the same stock",
            paper(case.print),
            surface.word()
        ),
        fix: format!(
            "if the shadows matter, ask for {} or open them before exporting; otherwise let it be dark",
            surface.word()
        ),
        ..Breach::default()
    })
}

/// Returns the usual black of another surface, if it is deeper.
fn other(required: &Paper, surface: Surface) -> Option<PaperBlack> {
    let dmax = usual_black_d(required.stock, surface, required.process);
    (dmax > required.dmax).then(|| PaperBlack::of_density(dmax, required.white_l))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{Bench, tone};

    fn dark(paper: &str, percent: u32) -> RuleOutcome {
        let cells = tone(&[(16, 2.0, percent), (180, 6.0, 100 - percent)]);
        Bench::new(&format!("[paper]\n{paper}\n[[print]]\nsize = \"8 x 10 in\""))
            .evidence(|e| e.tone = Some(cells))
            .ask(check)
    }

    #[test]
    fn a_dark_picture_on_a_weak_black_is_told_of_a_deeper_one() {
        let matte = "process = \"inkjet\"\nsurface = \"matte\"";
        assert_eq!(dark(matte, 2), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = dark(matte, 18) else { panic!("lustre keeps it") };
        assert_eq!(
            breaches[0].found,
            "18 % of this picture's detail blocks up on matte photo paper (black D 1.65); 0 % on lustre of the same \
             stock"
        );
    }

    #[test]
    fn where_no_surface_is_better_nothing_is_said() {
        assert_eq!(dark("stock = \"uncoated\"", 30), RuleOutcome::Passed);
        assert_eq!(dark("surface = \"lustre\"", 30), RuleOutcome::Passed);
    }
}
