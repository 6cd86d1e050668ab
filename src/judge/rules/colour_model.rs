//! colour.model: RGB, CMYK or grey, as asked.

use crate::brief::asked::{Level, Space};
use crate::judge::phrases::spaces;
use crate::judge::rule::{Ask, Breach, Case, Outcome, Rule, Samples};
use crate::picture::facts::Model;

pub static RULE: Rule = Rule {
    id: "colour.model",
    question: "Is it RGB, CMYK or greyscale, as the printer asked?",
    level: Level::Must,
    why: "a device made for one colour model turns another into its own by rules nobody sees, or refuses it",
    page: "The model of the stored samples is compared with the spaces of the brief. Lab and indexed colour are \
           working formats and never asked. Where this rule fails, colour.profile is silent.",
    keys: &["colour.space"],
    source: "the printer's own specification; sRGB where it says nothing: common practice",
    samples: Samples { holds: "an RGB picture where sRGB is asked", fails: "a CMYK picture where sRGB is asked" },
    silences: &["colour.profile"],
    ask: Ask::Row(ask),
};

fn ask(case: &Case) -> Outcome {
    let asked = &case.print.asked.colour.spaces;
    let model = case.facts.model;
    if asked.iter().any(|space| serves(*space, model)) {
        return Outcome::Holds;
    }
    Outcome::fails(Breach {
        short: model.name().to_owned(),
        what: format!("the picture is {}; {} asked", model.name(), spaces(asked)),
        mend: format!(
            "go back to the original and export it in {}; converting this file again loses colour",
            spaces(&asked[..1])
        ),
        ..Breach::default()
    })
}

/// Whether a picture of this model can be in the asked space.
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

    #[test]
    fn the_model_must_be_one_that_was_asked() {
        let bench = Bench::new("[colour]\nspace = [\"srgb\", \"grey\"]\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.ask(ask), Outcome::Holds);
        assert_eq!(bench.with(|f| f.model = Model::Grey).ask(ask), Outcome::Holds);
        let Outcome::Fails(breaches) = bench.with(|f| f.model = Model::Cmyk).ask(ask) else { panic!("must fail") };
        assert_eq!(breaches[0].what, "the picture is CMYK; sRGB or greyscale asked");
        assert!(matches!(bench.with(|f| f.model = Model::Lab).ask(ask), Outcome::Fails(_)));
    }
}
