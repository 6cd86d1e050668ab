//! colour.gamut: colours that the required space, or the paper, cannot hold.

use crate::brief::requirements::Level;
use crate::judge::metrics::changes::ColourChanges;
use crate::judge::metrics::colours;
use crate::judge::metrics::colours::OutOfGamut;
use crate::judge::metrics::whereabouts;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::risk::Risk;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::profile_name;
use crate::measure::Evidence;
use crate::picture::facts::{ColourModel, EmbeddedProfile};
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
    title: "Colours out of gamut",
    question: "Do its colours fit the brief's colour space and the paper?",
    level: Level::Should,
    why: "colours out of gamut print flat: petals and berries lose their texture",
    page: "Every colour of the picture, as its profile defines it, is converted to the colour space of the brief \
           (relative colorimetric, channel by channel) and compared with the original by CIEDE2000. A difference above \
           2 is clearly visible. It is a should where more than 5 % of the picture changes that much, or the mean \
           difference is over 3, and a note above 1 %. A picture that is already in a colour space of the brief fits \
           it. The paper is checked where the brief names the printer's profile: the colours go through it and back, \
           with black point compensation, and more than 5 % is a note.",
    fix: "Lower the saturation of the colours named in a soft proof, until their texture is visible; then convert to \
          the colour space of the brief with relative colorimetric intent. For the paper, use a soft proof with the \
          printer's profile.",
    misses: "Colours on less than 1 % of the picture pass, however much they matter. Without the printer's profile the \
             paper is not checked; the printer's own specification and a hard proof have the last word.",
    keys: &["colour.space", "paper.profile"],
    source: "ISO/CIE 11664-6 for the difference; ISO 18619 for the compensation; grades of the difference: the trade's \
             glossaries; shares ours",
    samples: RuleExamples {
        passes: "an sRGB picture where sRGB is required",
        fails: "basil in Adobe RGB (1998): 12 % of the picture changes in sRGB",
    },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { risk: Some(Risk::Colours), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let required = &case.print.requirements.colour.spaces;
    if colours::read_as(case.facts, evidence, required).is_none() {
        return RuleOutcome::NotChecked(match case.facts.model {
            ColourModel::Cmyk => "its inks have no usable profile, so its colours are unknown".to_owned(),
            _ if case.facts.profile == EmbeddedProfile::None => {
                "it has no profile, so its colours are unknown".to_owned()
            }
            _ => "its profile cannot be used, so its colours are unknown".to_owned(),
        });
    }
    let breaches: Vec<Breach> = of_space(case, evidence).into_iter().chain(of_paper(case)).collect();
    if !breaches.is_empty() {
        return RuleOutcome::Failed(breaches);
    }
    match case.print.requirements.paper.printer {
        Some(_) => RuleOutcome::Passed,
        None => {
            RuleOutcome::BriefLacks("whether the paper holds its colours (the brief names no paper profile)".to_owned())
        }
    }
}

/// Checks the required space.
fn of_space(case: &Case, evidence: &Evidence) -> Option<Breach> {
    let outside = case.metrics.outside?;
    let target = colours::target(case.facts, evidence, &case.print.requirements.colour.spaces)?;
    if Share::measured(outside.share) <= Share::percent(NOTE_PERCENT) && outside.mean_delta_e <= MEAN {
        return None;
    }
    let changes = case.lost_colours?.space.as_ref()?;
    Some(breach(outside, target.name(), &found_words(case, changes)))
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
        short: format!("paper loses {shown}"),
        found: format!(
            "the paper ({name}) cannot hold {shown} of the picture: {}. {}; usual: at most {limit_shown}",
            found_words(case, case.lost_colours?.paper.as_ref()?),
            changes(outside),
        ),
        fix: "in a soft proof with this profile, lower the saturation of those colours until their texture is \
              visible\nor order a test print, and accept the finding if those colours look right on it"
            .to_owned(),
        ..Breach::default()
    })
}

/// Returns which colours change, and where they are.
fn found_words(case: &Case, changes: &ColourChanges) -> String {
    let place = whereabouts::parenthesis(changes.placed(), case.subject.map(|subject| subject.area));
    format!("{}{place}", changes.names)
}

/// Returns how much the colours change, in words.
fn changes(outside: OutOfGamut) -> String {
    format!(
        "They change by up to {:.1} Delta E, the whole picture by {:.1} on average",
        outside.largest, outside.mean_delta_e
    )
}

fn breach(outside: OutOfGamut, target: &str, found: &str) -> Breach {
    let share = Share::measured(outside.share);
    let should = share > Share::percent(SHARE_PERCENT) || outside.mean_delta_e > MEAN;
    let limit = Share::percent(if should { SHARE_PERCENT } else { NOTE_PERCENT });
    let (shown, limit_shown) = show::shares_apart(share, limit);
    let limit_words = if share <= Share::percent(SHARE_PERCENT) && should {
        format!("usual: at most {MEAN} on average")
    } else {
        format!("usual: at most {limit_shown}")
    };
    Breach {
        at_most: (!should).then_some(Level::Note),
        numbers: Some((share.as_f64(), limit.as_f64())),
        short: format!("{} loses {shown}", target.trim_end_matches(" (1998)")),
        found: format!("{target} cannot hold {shown} of the picture: {found}. {}; {limit_words}", changes(outside)),
        fix: format!(
            "in a soft proof for {target}, lower the saturation of those colours until their texture is visible\n\
             then convert to {target} with relative colorimetric intent"
        ),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::paper_profile::printer_of;
    use crate::colour::{Encoding, NumberMeaning, PaperProfile};
    use crate::judge::testing::RuleBench;
    use crate::measure::evidence::Colour;
    use std::sync::Arc;

    /// Returns a picture with this percentage of the strongest green, the rest grey.
    fn green(brief: &str, percent: u32) -> RuleBench {
        let colours = [([0u16, 255, 0], percent), ([128; 3], 100 - percent)];
        let colours = colours.map(|(codes, count)| Colour { mean: codes.map(|code| code * 256), count });
        RuleBench::new(&format!("{brief}[[print]]\nsize = \"8 x 10 in\""))
            .encoding(Encoding::AdobeRgb)
            .evidence(|e| e.colours = colours.to_vec())
    }

    #[test]
    fn five_per_cent_is_the_limit_and_one_is_worth_a_note() {
        assert!(matches!(green("", 1).ask(check), RuleOutcome::BriefLacks(_)));
        assert!(matches!(green("", 2).ask(check), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
        assert!(matches!(green("", 5).ask(check), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
        let RuleOutcome::Failed(breaches) = green("", 6).ask(check) else { panic!("it does not fit") };
        assert_eq!((breaches[0].at_most, breaches[0].short.as_str()), (None, "sRGB loses 6 %"));
        assert!(breaches[0].found.starts_with("sRGB cannot hold 6 % of the picture: light greens. They change by"));
    }

    #[test]
    fn colours_outside_the_paper_are_a_note_with_its_profiles_name() {
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
    fn in_the_required_space_only_the_paper_is_left_to_check() {
        let required = "[colour]\nspace = [\"srgb\", \"adobe rgb\"]\n";
        assert!(matches!(green(required, 50).ask(check), RuleOutcome::BriefLacks(why) if why.contains("paper")));
        let grey = || {
            green("", 0).with(|f| f.model = ColourModel::Grey).evidence(|e| {
                e.counted_in = Some(NumberMeaning::Codes(Encoding::Srgb));
            })
        };
        assert!(matches!(grey().ask(check), RuleOutcome::BriefLacks(why) if why.contains("paper")));
        let paper = std::sync::Arc::new(PaperProfile::new(&printer_of(Encoding::Srgb)).unwrap());
        assert_eq!(
            grey()
                .with_print(|print| Arc::make_mut(&mut print.requirements).paper.printer = Some(paper.clone()))
                .ask(check),
            RuleOutcome::Passed
        );
        let inks = green("", 50).with(|f| f.model = ColourModel::Cmyk).evidence(|e| e.colours.clear());
        assert!(matches!(inks.ask(check), RuleOutcome::NotChecked(why) if why.contains("inks")));
    }
}
