//! detail.noise: grain at the printed size.

use crate::brief::requirements::Level;
use crate::judge::metrics::detail::is_texture;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::risk::Risk;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases;
use crate::units::show;

/// Noise in the print that deserves a note, standard deviation in levels of 255. Source: ours; one of 24 photographs,
/// saved at 92, reaches it: rocks and grass to its last pixel.
const NOTE: f64 = 3.0;

pub static RULE: Rule = Rule {
    id: "detail.noise",
    group: RuleGroup::Detail,
    title: "Grain too coarse",
    question: "Is the grain fine enough at the printed size?",
    level: Level::Should,
    why: "grain that suits a screen turns smooth plates and skies sandy",
    page: "Noise is measured in the smoothest middle tones, between pixels that lie 3 apart at 300 ppi, since \
           neighbouring pixels are alike where a camera smoothed its noise. A denser print, or one seen from beyond 30 \
           cm, averages more of it away. Above 3 levels of 255 it is a note, since grain may be meant; over \
           detail.noise in the brief (usual: 4) it is a should.",
    fix: "Reduce the noise in the raw file, before sharpening. Accept grain that is meant, once a test print looks \
          right.",
    misses: "Fine texture that goes on in the smoothest places, such as grass or gravel all over, hides grain; then \
             there is no answer. Noise in deep shadows and in highlights is not measured.",
    keys: &["detail.noise", "density.distance", "print.size"],
    source: "Immerkaer, Computer Vision and Image Understanding 64 (1996), spread over distances; limits ours",
    samples: RuleExamples { passes: "0.9 levels: a studio exposure", fails: "8 levels at 300 ppi" },
    unit: "levels",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { wants_test_print: true, risk: Some(Risk::Noise), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let (Some(noise), Some(grain)) = (case.metrics.noise, evidence.detail.grain) else {
        return RuleOutcome::NotChecked("too few smooth middle tones to measure".to_owned());
    };
    let most = f64::from(case.print.requirements.detail.noise);
    let note = NOTE.min(most);
    if noise <= note {
        return RuleOutcome::Passed;
    }
    if is_texture(grain) {
        return RuleOutcome::NotChecked("fine texture all over hides any grain".to_owned());
    }
    let is_note = noise <= most;
    let limit = if is_note { note } else { most };
    let (shown, limit_shown) = show::numbers_apart(noise, limit);
    let at_most = format!("at most {limit_shown}");
    let limit_words =
        if is_note { format!("usual: {at_most}") } else { phrases::limit_words(case.print, "detail.noise", &at_most) };
    RuleOutcome::failed(Breach {
        at_most: is_note.then_some(Level::Note),
        numbers: Some((noise, limit)),
        short: if is_note { "some grain" } else { "coarse grain" }.to_owned(),
        found: format!("grain of {shown} levels of 255 in print; {limit_words}"),
        fix: "reduce the noise in the raw file, before sharpening\nor accept it if a test print looks right".to_owned(),
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;
    use crate::measure::evidence::Grain;

    fn grain(brief: &str, print: &str, fine: f64, coarse: f64) -> RuleOutcome {
        RuleBench::new(&format!("{brief}[[print]]\nsize = \"{print}\""))
            .evidence(|e| e.detail.grain = Some(Grain { fine, coarse }))
            .ask(check)
    }

    fn levels(brief: &str, noise: f64) -> Option<Option<Level>> {
        match grain(brief, "8 x 10 in", noise, 0.7 * noise) {
            RuleOutcome::Passed => None,
            RuleOutcome::Failed(breaches) => Some(breaches[0].at_most),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn three_levels_are_a_note_and_over_four_a_should() {
        assert_eq!(levels("", 3.0), None);
        assert_eq!([3.1, 4.0].map(|noise| levels("", noise)), [Some(Some(Level::Note)); 2]);
        assert_eq!(levels("", 4.1), Some(None));
        let RuleOutcome::Failed(just) = grain("", "8 x 10 in", 4.004, 2.4) else { panic!("it is more") };
        assert_eq!(just[0].found, "grain of 4.004 levels of 255 in print; usual: at most 4");
    }

    #[test]
    fn the_brief_says_how_much_may_be() {
        assert_eq!(levels("[detail]\nnoise = 8\n", 7.9), Some(Some(Level::Note)));
        assert_eq!(levels("[detail]\nnoise = 8\n", 8.1), Some(None));
        assert_eq!(levels("[detail]\nnoise = 3\n", 3.1), Some(None));
    }

    #[test]
    fn a_denser_print_and_a_farther_eye_see_less() {
        // 2400 x 3000 px as 4 x 5 in are 600 ppi, where the means of 2 x 2 pixels count; so from 60 cm.
        assert_eq!(grain("", "4 x 5 in", 7.9, 2.9), RuleOutcome::Passed);
        assert!(matches!(grain("", "4 x 5 in", 7.9, 5.5), RuleOutcome::Failed(_)));
        assert_eq!(grain("[density]\ndistance = \"60 cm\"\n", "8 x 10 in", 7.9, 2.9), RuleOutcome::Passed);
    }

    #[test]
    fn texture_all_over_has_no_answer_and_without_grain_it_is_none() {
        assert!(matches!(grain("", "8 x 10 in", 12.4, 10.8), RuleOutcome::NotChecked(_)));
        assert_eq!(grain("", "8 x 10 in", 2.0, 1.9), RuleOutcome::Passed);
        assert!(matches!(RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotChecked(_)));
    }
}
