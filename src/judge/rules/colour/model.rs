//! colour.model: RGB, CMYK or grey, as required.

use crate::brief::requirements::{Level, Space};
use crate::judge::metrics::colours::is_grey_as_rgb;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::colour::profile;
use crate::judge::rules::phrases::{limit_words, spaces};
use crate::picture::facts::ColourModel;

pub static RULE: Rule = Rule {
    id: "colour.model",
    group: RuleGroup::Colour,
    title: "Wrong colour model",
    question: "Is it RGB, CMYK or greyscale, as the brief requires?",
    level: Level::Must,
    why: "the wrong colour model is refused, or converted without asking you",
    page: "The colour model in which the file is stored is compared with the colour spaces of the brief. Lab and \
           indexed colour always fail: they are working formats. There is no tolerance. Where this rule fails, \
           colour.profile is not reported.",
    fix: "Export the original again in a colour space of the brief: converting the finished file again loses colour. \
          Only a picture that is grey throughout (R = G = B) may itself be converted between RGB and greyscale.",
    misses: "It does not know how the picture was converted: CMYK that was made for another press passes.",
    keys: &["colour.space"],
    source: "the printer's own specification; sRGB where it says nothing: common practice",
    samples: RuleExamples {
        passes: "an RGB picture where sRGB is required",
        fails: "a CMYK picture where sRGB is required",
    },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[&profile::RULE],
    uses: RuleUses {
        column: Some(TableColumn::Space),
        export_setting: Some(profile::export_setting),
        ..RuleUses::NONE
    },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let required = &case.print.requirements.colour.spaces;
    let model = case.facts.model;
    if required.iter().any(|space| serves(*space, model)) {
        return RuleOutcome::Passed;
    }
    RuleOutcome::failed(Breach {
        short: if model == ColourModel::Palette { "indexed colour" } else { model.name() }.to_owned(),
        found: format!(
            "the picture is {}; {}",
            model.name(),
            limit_words(case.print, "colour.space", &spaces(required))
        ),
        fix: fix(case, &required[..1]),
        cause: format!("colour model {}", model.name()),
        is_fixed_by_export: true,
        ..Breach::default()
    })
}

/// Advises another export, unless the file is grey throughout: between RGB and greyscale that loses nothing.
fn fix(case: &Case, first: &[Space]) -> String {
    let target = spaces(first);
    let between_greys = |model: ColourModel| match first {
        [Space::Rgb(_)] => model == ColourModel::Grey,
        [Space::Grey] => model == ColourModel::Rgb,
        _ => false,
    };
    let holds_greys = case.facts.model == ColourModel::Grey
        || case.evidence.is_some_and(|evidence| is_grey_as_rgb(case.facts, evidence));
    if holds_greys && between_greys(case.facts.model) {
        format!("convert this file to {target} without loss (it is grey throughout)")
    } else {
        format!("export the original again in {target}")
    }
}

/// True if a picture of this model can be in the required space.
fn serves(space: Space, model: ColourModel) -> bool {
    match space {
        Space::Rgb(_) => model == ColourModel::Rgb,
        Space::Grey => model == ColourModel::Grey,
        Space::Cmyk => model == ColourModel::Cmyk,
        Space::Paper => matches!(model, ColourModel::Rgb | ColourModel::Grey | ColourModel::Cmyk),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;
    use crate::measure::evidence::Colour;

    #[test]
    fn the_model_must_be_one_that_is_required() {
        let bench = RuleBench::new("[colour]\nspace = [\"srgb\", \"grey\"]\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        assert_eq!(bench.with(|f| f.model = ColourModel::Grey).ask(check), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = bench.with(|f| f.model = ColourModel::Cmyk).ask(check) else {
            panic!("must fail")
        };
        assert_eq!(breaches[0].found, "the picture is CMYK; sRGB or greyscale required");
        assert!(matches!(bench.with(|f| f.model = ColourModel::Lab).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn greys_lose_nothing_between_rgb_and_greyscale() {
        let fix = |space: &str, model: ColourModel, codes: [u16; 3]| {
            let required = format!("[colour]\nspace = \"{space}\"\n[[print]]\nsize = \"8 x 10 in\"");
            let picture = RuleBench::new(&required).with(|f| f.model = model).evidence(|e| {
                e.colours = [[128; 3], codes].map(|codes| Colour { mean: codes, count: 9 }).to_vec();
            });
            match picture.ask(check) {
                RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0).fix,
                other => panic!("{other:?}"),
            }
        };
        let nothing = |target: &str| format!("convert this file to {target} without loss (it is grey throughout)");
        assert_eq!(fix("grey", ColourModel::Rgb, [9_000; 3]), nothing("greyscale"));
        assert_eq!(fix("srgb", ColourModel::Grey, [9_000; 3]), nothing("sRGB"));
        assert_eq!(fix("grey", ColourModel::Rgb, [9_000, 9_000, 9_001]), "export the original again in greyscale");
        let inks = fix("cmyk", ColourModel::Rgb, [9_000; 3]);
        assert_eq!(inks, "export the original again in CMYK", "four inks make greys of colours");
    }
}
