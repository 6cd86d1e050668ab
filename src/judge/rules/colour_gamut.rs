//! colour.gamut: colours that the asked space, or the paper, cannot hold.

use crate::brief::asked::Level;
use crate::judge::answers::colours::{self, Outside, SEEN};
use crate::judge::answers::whereabouts;
use crate::judge::rule::{Ask, Breach, Case, Outcome, Rule, Samples};
use crate::picture::facts::Model;
use crate::units::{Share, show};

/// Share that may clearly change before somebody should look. Source: ours.
const SHARE_PERCENT: i128 = 5;
/// Mean difference over the whole picture that is distinct. Source: the trade's glossaries: 3 is distinct.
const MEAN: f64 = 3.0;
/// Share from which it is worth a note. Source: ours.
const NOTE_PERCENT: i128 = 1;

pub static RULE: Rule = Rule {
    id: "colour.gamut",
    question: "Can the asked space and the paper hold its colours?",
    level: Level::Should,
    why: "a colour that a space cannot hold is moved to one it can: petals and berries lose their texture, and nobody \
          asks you which way",
    page: "The colours that occur are converted from the picture's own space to the asked one, channel by channel as \
           a relative colorimetric conversion does, and compared by CIEDE2000. Above a difference of 2 a change is \
           clearly seen. More than 5 % of the picture, or a mean difference over 3, is a should; from 1 % it is a \
           note. Pictures in the asked space hold it by themselves. What the paper holds only the printer's profile \
           can tell, and that is not judged yet. The printer's own proof has the last word.",
    keys: &["colour.space", "paper.profile"],
    source: "ISO/CIE 11664-6 for the difference; its grades: the trade's glossaries; shares ours",
    samples: Samples {
        holds: "an sRGB picture where sRGB is asked",
        fails: "basil in Adobe RGB (1998): 12 % of the picture changes in sRGB",
    },
    silences: &[],
    ask: Ask::Row(ask),
};

fn ask(case: &Case) -> Outcome {
    let evidence = match case.evidence() {
        Ok(evidence) => evidence,
        Err(outcome) => return outcome,
    };
    if colours::unknown(case.facts) {
        return Outcome::NotAnswered("its profile is none that is known by its numbers".to_owned());
    }
    if let (Some(outside), Some((source, target))) =
        (case.answers.outside, colours::way(case.facts, &case.print.asked.colour.spaces))
    {
        let share = Share::measured(outside.share);
        let note = Share::percent(NOTE_PERCENT);
        if share > note || outside.mean > MEAN {
            let named = colours::named(&evidence.colours, source, target);
            let area = case.subject.map(|subject| subject.area);
            let place = whereabouts::apposed(colours::fields(evidence, source, target), area);
            return Outcome::fails(breach(outside, target.name(), &format!("{named}{place}")));
        }
    }
    match case.facts.model {
        Model::Grey => Outcome::Holds,
        _ => {
            Outcome::NotKnown("what the paper holds of its colours, since no paper profile is looked at yet".to_owned())
        }
    }
}

fn breach(outside: Outside, target: &str, what: &str) -> Breach {
    let share = Share::measured(outside.share);
    let should = share > Share::percent(SHARE_PERCENT) || outside.mean > MEAN;
    let limit = Share::percent(if should { SHARE_PERCENT } else { NOTE_PERCENT });
    let (shown, limit_shown) = show::shares_apart(share, limit);
    let limit_words =
        if should { format!("{limit_shown} may be") } else { format!("from {limit_shown} it is worth a look") };
    Breach {
        at_most: (!should).then_some(Level::Note),
        numbers: Some((share.as_f64(), limit.as_f64(), "share")),
        short: format!("{shown} outside"),
        what: format!(
            "{target} cannot hold {shown} of the picture: {what}. They change by more than {SEEN} Delta E, by {:.1} at \
             most; {limit_words}",
            outside.largest
        ),
        mend: format!(
            "convert to {target} in the editor with relative colorimetric intent, look at those colours, and take \
             saturation back there by hand until their texture is seen"
        ),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Encoding;
    use crate::judge::testing::Bench;
    use crate::measure::evidence::Colour;

    /// So many of 100 pixels are the strongest green, the others grey.
    fn green(brief: &str, percent: u32) -> Bench {
        let colours = [([0u16, 255, 0], percent), ([128; 3], 100 - percent)];
        let colours = colours.map(|(codes, count)| Colour { mean: codes.map(|code| code * 256), count });
        Bench::new(&format!("{brief}[[print]]\nsize = \"8 x 10 in\""))
            .encoding(Encoding::AdobeRgb)
            .evidence(|e| e.colours = colours.to_vec())
    }

    #[test]
    fn five_per_cent_is_the_limit_and_one_is_worth_a_note() {
        assert!(matches!(green("", 1).ask(ask), Outcome::NotKnown(_)));
        assert!(matches!(green("", 2).ask(ask), Outcome::Fails(b) if b[0].at_most == Some(Level::Note)));
        assert!(matches!(green("", 5).ask(ask), Outcome::Fails(b) if b[0].at_most == Some(Level::Note)));
        let Outcome::Fails(breaches) = green("", 6).ask(ask) else { panic!("it does not fit") };
        assert_eq!((breaches[0].at_most, breaches[0].short.as_str()), (None, "6 % outside"));
        assert!(breaches[0].what.starts_with("sRGB cannot hold 6 % of the picture: light greens. They change by"));
    }

    #[test]
    fn in_the_asked_space_only_the_paper_is_left_to_ask() {
        let asked = "[colour]\nspace = [\"srgb\", \"adobe rgb\"]\n";
        assert!(matches!(green(asked, 50).ask(ask), Outcome::NotKnown(why) if why.contains("paper")));
        let grey = green("", 50).with(|f| f.model = Model::Grey).evidence(|e| e.colours.clear());
        assert_eq!(grey.ask(ask), Outcome::Holds);
    }
}
