//! colour.gamut: colours that the required space, or the paper, cannot hold.

use crate::brief::requirements::Level;
use crate::judge::metrics::changes::ColourChanges;
use crate::judge::metrics::colours;
use crate::judge::metrics::colours::{OutOfGamut, SEEN};
use crate::judge::metrics::whereabouts;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::risk::Risk;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::profile_name;
use crate::measure::Evidence;
use crate::picture::facts::{Model, Profile};
use crate::units::{Share, show};

/// Share of the picture that may change visibly without a warning. Source: ours.
const SHARE_PERCENT: i128 = 5;
/// Mean difference over the whole picture that is distinct, Delta E 2000. Source: the trade's glossaries: 3 is
/// distinct.
const MEAN: f64 = 3.0;
/// Share that deserves a note. Source: ours.
const NOTE_PERCENT: i128 = 1;
/// Share outside the paper's gamut that deserves a note: every press loses something. Source: ours.
const PAPER_NOTE_PERCENT: i128 = 5;

pub static RULE: Rule = Rule {
    id: "colour.gamut",
    group: RuleGroup::Colour,
    title: "",
    question: "Can the asked space and the paper hold its colours?",
    level: Level::Should,
    why: "a colour that a space cannot hold is moved to one it can: petals and berries lose their texture, and nobody \
          asks you which way",
    page: "The colours that occur, through the picture's own profile where it is none that is known by its numbers, \
           are converted to the asked space, channel by channel as a relative colorimetric conversion does, and \
           compared by CIEDE2000. Above a difference of 2 a change is clearly seen. More than 5 % of the picture, \
           or a mean difference over 3, is a should; from 1 % it is a note. Pictures in the asked space hold it by \
           themselves. What the paper holds only the printer's profile can tell: where the brief names it, the \
           colours go through it and back, once light is scaled to the paper's black as black point compensation \
           does, and more than 5 % is a note. The printer's own proof has the last word.",
    fix: "",
    misses: "",
    keys: &["colour.space", "paper.profile"],
    source: "ISO/CIE 11664-6 for the difference; ISO 18619 for the compensation; grades of the difference: the trade's \
             glossaries; shares ours",
    samples: RuleExamples {
        holds: "an sRGB picture where sRGB is asked",
        fails: "basil in Adobe RGB (1998): 12 % of the picture changes in sRGB",
    },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { risk: Some(Risk::Colours), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let evidence = match case.evidence() {
        Ok(evidence) => evidence,
        Err(outcome) => return outcome,
    };
    let required = &case.print.requirements.colour.spaces;
    if colours::read_as(case.facts, evidence, required).is_none() {
        return RuleOutcome::NotChecked(match case.facts.model {
            Model::Cmyk => "its inks have no profile that says what they look like".to_owned(),
            _ if case.facts.profile == Profile::None => "nothing says which colours its codes are".to_owned(),
            _ => "its profile cannot be used, so nobody knows its colours".to_owned(),
        });
    }
    let breaches: Vec<Breach> = of_space(case, evidence).into_iter().chain(of_paper(case)).collect();
    if !breaches.is_empty() {
        return RuleOutcome::Failed(breaches);
    }
    match case.print.requirements.paper.printer {
        Some(_) => RuleOutcome::Passed,
        None => RuleOutcome::NotKnown("what the paper holds of its colours: no paper profile".to_owned()),
    }
}

/// Checks the required space.
fn of_space(case: &Case, evidence: &Evidence) -> Option<Breach> {
    let outside = case.metrics.outside?;
    let target = colours::target(case.facts, evidence, &case.print.requirements.colour.spaces)?;
    if Share::measured(outside.share) <= Share::percent(NOTE_PERCENT) && outside.mean <= MEAN {
        return None;
    }
    let changes = case.lost_colours?.space.as_ref()?;
    Some(breach(outside, target.name(), &found(case, changes)))
}

/// Checks the paper: only a note, since nobody can order another paper's colours.
fn of_paper(case: &Case) -> Option<Breach> {
    let outside = case.metrics.outside_paper?;
    let printer = case.print.requirements.paper.printer.as_deref()?;
    let (share, note) = (Share::measured(outside.share), Share::percent(PAPER_NOTE_PERCENT));
    if share <= note {
        return None;
    }
    let (shown, limit_shown) = show::shares_apart(share, note);
    let name = profile_name(printer.facts());
    Some(Breach {
        about: "paper".to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((share.as_f64(), note.as_f64())),
        short: format!("{shown} off paper"),
        found: format!(
            "the paper ({name}) cannot hold {shown} of the picture: {}. {}; from {limit_shown} it is worth a \
             look",
            found(case, case.lost_colours?.paper.as_ref()?),
            changes(outside),
        ),
        fix: "look at a soft proof with this profile, and have a test print made of those colours; taking saturation \
               back there by hand keeps their texture"
            .to_owned(),
        ..Breach::default()
    })
}

/// Returns which colours change, and where they are.
fn found(case: &Case, changes: &ColourChanges) -> String {
    let place = whereabouts::apposed(changes.placed(), case.subject.map(|subject| subject.area));
    format!("{}{place}", changes.names)
}

/// Returns how much the colours change, in words.
fn changes(outside: OutOfGamut) -> String {
    format!(
        "They change by more than {SEEN} Delta E, by {:.1} at most; over the whole picture {:.1} in the mean, and 95 % \
         of it by {:.1} or less",
        outside.largest, outside.mean, outside.most_of
    )
}

fn breach(outside: OutOfGamut, target: &str, found: &str) -> Breach {
    let share = Share::measured(outside.share);
    let should = share > Share::percent(SHARE_PERCENT) || outside.mean > MEAN;
    let limit = Share::percent(if should { SHARE_PERCENT } else { NOTE_PERCENT });
    let (shown, limit_shown) = show::shares_apart(share, limit);
    let limit_words = if share <= Share::percent(SHARE_PERCENT) && should {
        format!("a mean over {MEAN} is too much")
    } else if should {
        format!("{limit_shown} may be")
    } else {
        format!("from {limit_shown} it is worth a look")
    };
    Breach {
        at_most: (!should).then_some(Level::Note),
        numbers: Some((share.as_f64(), limit.as_f64())),
        short: format!("{shown} outside"),
        found: format!("{target} cannot hold {shown} of the picture: {found}. {}; {limit_words}", changes(outside)),
        fix: format!(
            "convert to {target} in the editor with relative colorimetric intent, look at those colours, and take \
             saturation back there by hand until their texture is seen"
        ),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::paper_profile::printer_of;
    use crate::colour::{Encoding, NumberMeaning, PaperProfile};
    use crate::judge::testing::Bench;
    use crate::measure::evidence::Colour;
    use std::sync::Arc;

    /// Returns a picture with this percentage of the strongest green, the rest grey.
    fn green(brief: &str, percent: u32) -> Bench {
        let colours = [([0u16, 255, 0], percent), ([128; 3], 100 - percent)];
        let colours = colours.map(|(codes, count)| Colour { mean: codes.map(|code| code * 256), count });
        Bench::new(&format!("{brief}[[print]]\nsize = \"8 x 10 in\""))
            .encoding(Encoding::AdobeRgb)
            .evidence(|e| e.colours = colours.to_vec())
    }

    #[test]
    fn five_per_cent_is_the_limit_and_one_is_worth_a_note() {
        assert!(matches!(green("", 1).ask(check), RuleOutcome::NotKnown(_)));
        assert!(matches!(green("", 2).ask(check), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
        assert!(matches!(green("", 5).ask(check), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
        let RuleOutcome::Failed(breaches) = green("", 6).ask(check) else { panic!("it does not fit") };
        assert_eq!((breaches[0].at_most, breaches[0].short.as_str()), (None, "6 % outside"));
        assert!(breaches[0].found.starts_with("sRGB cannot hold 6 % of the picture: light greens. They change by"));
    }

    #[test]
    fn what_the_paper_cannot_hold_is_a_note_with_its_profiles_name() {
        let paper = PaperProfile::new(&printer_of(Encoding::Srgb)).unwrap();
        let paper = std::sync::Arc::new(paper);
        let on = |percent: u32| {
            let required = "[colour]\nspace = \"adobe rgb\"\n";
            green(required, percent)
                .with_print(|print| Arc::make_mut(&mut print.requirements).paper.printer = Some(paper.clone()))
                .ask(check)
        };
        assert_eq!(on(5), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = on(6) else { panic!("it is a note") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("paper", Some(Level::Note)));
        assert!(breaches[0].found.starts_with("the paper (sRGB) cannot hold 6 % of the picture: light greens."));
    }

    #[test]
    fn in_the_asked_space_only_the_paper_is_left_to_ask() {
        let required = "[colour]\nspace = [\"srgb\", \"adobe rgb\"]\n";
        assert!(matches!(green(required, 50).ask(check), RuleOutcome::NotKnown(why) if why.contains("paper")));
        let grey = || {
            green("", 0).with(|f| f.model = Model::Grey).evidence(|e| {
                e.counted_in = Some(NumberMeaning::Codes(Encoding::Srgb));
            })
        };
        assert!(matches!(grey().ask(check), RuleOutcome::NotKnown(why) if why.contains("paper")));
        let paper = std::sync::Arc::new(PaperProfile::new(&printer_of(Encoding::Srgb)).unwrap());
        assert_eq!(
            grey()
                .with_print(|print| Arc::make_mut(&mut print.requirements).paper.printer = Some(paper.clone()))
                .ask(check),
            RuleOutcome::Passed
        );
        let inks = green("", 50).with(|f| f.model = Model::Cmyk).evidence(|e| e.colours.clear());
        assert!(matches!(inks.ask(check), RuleOutcome::NotChecked(why) if why.contains("inks")));
    }
}
