//! detail.noise: grain at the printed size.

use crate::brief::asked::Level;
use crate::judge::rule::{Ask, Breach, Case, Outcome, Rule, Samples};
use crate::units::show;

/// Noise in the print from which it is worth a note, standard deviation in codes of 255. Source: ours.
const NOTE: f64 = 6.0;

pub static RULE: Rule = Rule {
    id: "detail.noise",
    question: "Is the grain fine enough at the printed size?",
    level: Level::Note,
    why: "grain that gives a screen picture life turns smooth plates and skies sandy on paper",
    page: "Noise in the calmest middle tones, averaged down to what a print of 300 ppi shows. Above 6 codes of 255 \
           it is a note: grain may be meant. Noise reduction leaves blotches that this does not see; fine fabric \
           everywhere reads as noise.",
    keys: &["print.size"],
    source: "Immerkaer, Computer Vision and Image Understanding 64 (1996); the limit is ours",
    samples: Samples { holds: "0.9 codes: a studio exposure", fails: "8 codes at 300 ppi" },
    silences: &[],
    ask: Ask::Row(ask),
};

fn ask(case: &Case) -> Outcome {
    if let Err(outcome) = case.evidence() {
        return outcome;
    }
    let Some(noise) = case.answers.noise else {
        return Outcome::NotAnswered("too few calm middle tones to tell".to_owned());
    };
    if noise <= NOTE {
        return Outcome::Holds;
    }
    let (shown, limit) = show::numbers_apart(noise, NOTE);
    Outcome::fails(Breach {
        numbers: Some((noise, NOTE, "codes")),
        short: format!("grain {shown}"),
        what: format!("the print shows grain of {shown} codes of 255; above {limit} it is plainly seen"),
        mend: "look at a test print; if it is too coarse, reduce the noise in the raw file, before sharpening"
            .to_owned(),
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;

    fn noise(print: &str, noise: f64) -> Outcome {
        Bench::new(&format!("[[print]]\nsize = \"{print}\"")).evidence(|e| e.detail.noise = Some(noise)).ask(ask)
    }

    #[test]
    fn six_codes_are_the_limit_and_a_denser_print_hides_more() {
        assert_eq!(noise("8 x 10 in", 6.0), Outcome::Holds);
        assert!(matches!(noise("8 x 10 in", 6.1), Outcome::Fails(_)));
        let Outcome::Fails(just) = noise("8 x 10 in", 6.004) else { panic!("it is more") };
        assert_eq!(just[0].what, "the print shows grain of 6.004 codes of 255; above 6 it is plainly seen");
        // 2400 x 3000 px as 4 x 5 in are 600 ppi: half of the noise is averaged away.
        assert_eq!(noise("4 x 5 in", 12.0), Outcome::Holds);
        assert!(matches!(Bench::new("[[print]]\nsize = \"8 x 10 in\"").ask(ask), Outcome::NotAnswered(_)));
    }
}
