//! colour.model: RGB, CMYK or grey, as required.

use crate::brief::requirements::{Level, Space};
use crate::judge::metrics::colours::is_grey_as_rgb;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::colour::profile;
use crate::judge::rules::phrases::spaces;
use crate::picture::facts::Model;

pub static RULE: Rule = Rule {
    id: "colour.model",
    group: RuleGroup::Colour,
    title: "",
    question: "Is it RGB, CMYK or greyscale, as the printer asked?",
    level: Level::Must,
    why: "a device made for one colour model turns another into its own by rules nobody sees, or refuses it",
    page: "The model of the stored samples is compared with the spaces of the brief. Lab and indexed colour are \
           working formats and never asked. A greyscale picture loses nothing as RGB, nor does an RGB picture as \
           greyscale that is grey throughout (R = G = B): the file itself may be converted then. Where this rule \
           fails, colour.profile is silent.",
    fix: "",
    misses: "",
    keys: &["colour.space"],
    source: "the printer's own specification; sRGB where it says nothing: common practice",
    samples: RuleExamples { holds: "an RGB picture where sRGB is asked", fails: "a CMYK picture where sRGB is asked" },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[&profile::RULE],
    uses: RuleUses { column: Some(TableColumn::Space), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let required = &case.print.requirements.colour.spaces;
    let model = case.facts.model;
    if required.iter().any(|space| serves(*space, model)) {
        return RuleOutcome::Passed;
    }
    RuleOutcome::failed(Breach {
        short: model.name().to_owned(),
        found: format!("the picture is {}; {} asked", model.name(), spaces(required)),
        fix: fix(case, &required[..1]),
        ..Breach::default()
    })
}

/// Advises another export, unless the file is grey throughout: between RGB and greyscale that loses nothing.
fn fix(case: &Case, first: &[Space]) -> String {
    let wanted = spaces(first);
    let between_greys = |model: Model| match first {
        [Space::Rgb(_)] => model == Model::Grey,
        [Space::Grey] => model == Model::Rgb,
        _ => false,
    };
    let holds_greys =
        case.facts.model == Model::Grey || case.evidence().is_ok_and(|evidence| is_grey_as_rgb(case.facts, evidence));
    match holds_greys && between_greys(case.facts.model) {
        true => format!("convert it to {wanted}: it is grey throughout, so nothing is lost"),
        false => {
            format!("go back to the original and export it in {wanted}; converting this file again loses colour")
        }
    }
}

/// True if a picture of this model can be in the required space.
fn serves(space: Space, model: Model) -> bool {
    match space {
        Space::Rgb(_) => model == Model::Rgb,
        Space::Grey => model == Model::Grey,
        Space::Cmyk => model == Model::Cmyk,
        Space::Paper => matches!(model, Model::Rgb | Model::Grey | Model::Cmyk),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;
    use crate::measure::evidence::Colour;

    #[test]
    fn the_model_must_be_one_that_was_asked() {
        let bench = Bench::new("[colour]\nspace = [\"srgb\", \"grey\"]\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(check), RuleOutcome::Passed);
        assert_eq!(bench.with(|f| f.model = Model::Grey).ask(check), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = bench.with(|f| f.model = Model::Cmyk).ask(check) else {
            panic!("must fail")
        };
        assert_eq!(breaches[0].found, "the picture is CMYK; sRGB or greyscale asked");
        assert!(matches!(bench.with(|f| f.model = Model::Lab).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn greys_lose_nothing_between_rgb_and_greyscale() {
        let fix = |space: &str, model: Model, codes: [u16; 3]| {
            let required = format!("[colour]\nspace = \"{space}\"\n[[print]]\nsize = \"8 x 10 in\"");
            let picture = Bench::new(&required).with(|f| f.model = model).evidence(|e| {
                e.colours = [[128; 3], codes].map(|codes| Colour { mean: codes, count: 9 }).to_vec();
            });
            match picture.ask(check) {
                RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0).fix,
                other => panic!("{other:?}"),
            }
        };
        let nothing = |wanted: &str| format!("convert it to {wanted}: it is grey throughout, so nothing is lost");
        assert_eq!(fix("grey", Model::Rgb, [9_000; 3]), nothing("greyscale"));
        assert_eq!(fix("srgb", Model::Grey, [9_000; 3]), nothing("sRGB"));
        assert!(fix("grey", Model::Rgb, [9_000, 9_000, 9_001]).ends_with("loses colour"));
        assert!(fix("cmyk", Model::Rgb, [9_000; 3]).ends_with("loses colour"), "four inks make greys of colours");
    }
}
