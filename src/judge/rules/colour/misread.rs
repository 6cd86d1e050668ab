//! colour.misread: a wide-space picture in an order where everything is read as sRGB.

use crate::brief::requirements::{Level, Space};
use crate::colour::Encoding;
use crate::judge::metrics::colours;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::profile_name;
use crate::picture::facts::{ColourModel, EmbeddedProfile};
use crate::units::{Share, show};

/// Share of chroma that must be left for a misreading not to be seen. Source: ours.
const LEFT_PERCENT: i128 = 95;
/// Mean Delta E 2000 below which nothing is seen. Source: the trade's glossaries: 1 is seen by a trained eye.
const UNSEEN: f64 = 1.0;

pub static RULE: Rule = Rule {
    id: "colour.misread",
    group: RuleGroup::Colour,
    title: "Muted if profile ignored",
    question: "Would it still look right if its profile were ignored?",
    level: Level::Should,
    why: "where profiles are ignored, a wide-gamut picture prints with muted colours",
    page: "It is checked where the brief allows sRGB alone and the picture is in another RGB space. The picture is \
           read as if it were sRGB, and the mean saturation (chroma) of its colours is compared with the true one: \
           below 95 % the print looks muted. A mean difference below 1 Delta E, as in a nearly grey picture, passes.",
    fix: "Convert the colours to sRGB on export and embed the sRGB profile. Changing the profile alone, without \
          converting, does not help.",
    misses: "It compares averages: a small patch of strong colour may lose more than the picture as a whole. Whether \
             this printer ignores profiles is unknown.",
    keys: &["colour.space"],
    source: "common practice: labs read untagged and tagged files alike as sRGB; the limit is ours",
    samples: RuleExamples {
        passes: "a grey plate in Adobe RGB (1998)",
        fails: "berries in Adobe RGB (1998): 84 % of their saturation is left",
    },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let required = &case.print.requirements.colour.spaces;
    if required[..] != [Space::Rgb(Encoding::Srgb)] || case.facts.model != ColourModel::Rgb {
        return RuleOutcome::NotRequired;
    }
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    if colours::target_misread(case.facts, evidence, required).is_none() {
        return RuleOutcome::NotRequired;
    }
    let Some(misread) = case.metrics.misread else { return RuleOutcome::NotRequired };
    let (left, least) = (Share::measured(misread.chroma_left), Share::percent(LEFT_PERCENT));
    if left >= least || misread.mean_delta_e < UNSEEN {
        return RuleOutcome::Passed;
    }
    let name = match (&case.facts.profile, case.facts.encoding()) {
        (_, Some(encoding)) => encoding.name().to_owned(),
        (EmbeddedProfile::Embedded(profile), None) => profile_name(profile),
        _ => "wide-gamut".to_owned(),
    };
    let (shown, least_shown) = show::shares_apart(left, least);
    RuleOutcome::failed(Breach {
        numbers: Some((left.as_f64(), least.as_f64())),
        short: format!("muted to {shown}"),
        found: format!(
            "read as sRGB, this {name} picture keeps {shown} of its saturation and changes by {:.1} Delta E on \
             average; usual: at least {least_shown}",
            misread.mean_delta_e
        ),
        fix: "convert the colours to sRGB on export, and embed the sRGB profile".to_owned(),
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;
    use crate::measure::evidence::Colour;

    fn picture(brief: &str, codes: [u16; 3]) -> RuleBench {
        let colours = vec![Colour { mean: codes.map(|code| code * 256), count: 1 }];
        RuleBench::new(&format!("{brief}[[print]]\nsize = \"8 x 10 in\""))
            .encoding(Encoding::AdobeRgb)
            .evidence(|e| e.colours = colours)
    }

    #[test]
    fn berries_are_muted_and_grey_is_not() {
        let RuleOutcome::Failed(breaches) = picture("", [180, 60, 50]).ask(check) else { panic!("it prints muted") };
        assert!(breaches[0].found.starts_with("read as sRGB, this Adobe RGB (1998) picture keeps"), "{breaches:?}");
        assert_eq!(picture("", [128; 3]).ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn where_the_space_is_required_nothing_is_misread() {
        assert_eq!(picture("[colour]\nspace = \"adobe rgb\"\n", [180, 60, 50]).ask(check), RuleOutcome::NotRequired);
        assert_eq!(picture("", [180, 60, 50]).encoding(Encoding::Srgb).ask(check), RuleOutcome::NotRequired);
    }
}
