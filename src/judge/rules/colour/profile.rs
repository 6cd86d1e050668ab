//! colour.profile: the required profile, embedded and recognised by its numbers.

use crate::brief::Print;
use crate::brief::requirements::{Level, Space};
use crate::colour::{Encoding, PaperProfile, ProfileDistance, ProfileFacts, ProfileSpace};
use crate::judge::metrics::colours::is_grey_as_rgb;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::phrases::{limit_words, profile_name, space, spaces};
use crate::picture::claim::Claim;
use crate::picture::facts::{ColourModel, EmbeddedProfile, Format};
use crate::units::words::{shorten, visible};

/// Largest difference, in Delta E 2000, of two profiles that are the same: the effect of rounding and rebuilding.
/// Source: ours; 1 is the least that a trained eye sees.
const SAME: f64 = 1.0;

pub static RULE: Rule = Rule {
    id: "colour.profile",
    group: RuleGroup::Colour,
    title: "Wrong or missing profile",
    question: "Is the right profile embedded?",
    level: Level::Must,
    why: "without the right profile, colours are guessed: they print muted or garish",
    page: "An embedded profile is recognised by its numbers (primaries, white and curve against the published ones), \
           never by its name. It must be one that the brief allows. A profile fails if it cannot be read, is for \
           another colour model, or is overruled by a tag that claims another space. A picture without a profile \
           fails; it is a should where a camera tag claims an allowed space, and within tolerance where a PNG declares \
           one. The printer's own profile (space = \"paper\") is recognised by its bytes. Other bytes that give the \
           same colours (a grid of them, at most 1 Delta E apart) are within tolerance, whatever the name. A profile \
           with the printer's name but other colours may be another edition: it is a should.",
    fix: "Convert the colours to the space of the brief on export, and embed the profile. If a picture has no profile, \
          find out its space before you assign one.",
    misses: "A profile that was assigned without converting the colours passes. So does any CMYK profile where CMYK is \
             required, and any profile of a greyscale picture where greyscale is.",
    keys: &["colour.space", "paper.profile"],
    source: "encodings: IEC 61966-2-1, Adobe RGB (1998), ISO 22028-2, ISO/TS 22028-4, ICC registry; embedding always: \
             photographers' delivery guidelines",
    samples: RuleExamples {
        passes: "an sRGB profile under any name where sRGB is required",
        fails: "Adobe RGB (1998) where sRGB is required; no profile at all",
    },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { column: Some(TableColumn::Space), export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

/// Returns the space to convert to: the first that the brief lists, or the printer's profile by its name.
pub fn export_setting(print: &Print) -> Option<ExportSetting> {
    let (first, others) = print.requirements.colour.spaces.split_first()?;
    let printer = print.requirements.paper.printer.as_deref().map(PaperProfile::facts);
    let first = match (first, printer) {
        (Space::Paper, Some(printer)) => format!("{} ({})", space(Space::Paper), profile_name(printer)),
        (first, _) => space(*first).to_owned(),
    };
    let others = if others.is_empty() { String::new() } else { format!(" ({} is accepted too)", spaces(others)) };
    let value = format!("convert to {first}, and embed the profile{others}");
    Some(ExportSetting::of(print, "colour.space", "colour space", value))
}

fn check(case: &Case) -> RuleOutcome {
    // Software that follows the standard reads the picture by such a claim and not by the profile beside it.
    if let (Some(claim), EmbeddedProfile::Embedded(profile)) = (&case.facts.claim, &case.facts.profile)
        && claim.outranks_profile()
        && profile.known_as != Some(claim.encoding)
    {
        let name = profile_name(profile);
        return fails(
            ("contradiction", "a tag that contradicts the profile"),
            None,
            "profile clash".to_owned(),
            format!(
                "the {} tag claims {} and overrules the profile, {name}",
                claim.source.name(),
                claim.encoding.name()
            ),
            export_in(case),
        );
    }
    match &case.facts.profile {
        EmbeddedProfile::Embedded(profile) => check_embedded(case, profile),
        EmbeddedProfile::Broken(why) => fails(
            ("unreadable", "a broken profile"),
            None,
            "broken profile".to_owned(),
            format!("the embedded profile cannot be read: {}", visible(why)),
            export_in(case),
        ),
        EmbeddedProfile::None => check_untagged(case),
    }
}

fn check_embedded(case: &Case, profile: &ProfileFacts) -> RuleOutcome {
    let required = &case.print.requirements.colour.spaces;
    let name = profile_name(profile);
    let own_space = match case.facts.model {
        ColourModel::Grey => ProfileSpace::Grey,
        ColourModel::Cmyk => ProfileSpace::Cmyk,
        _ => ProfileSpace::Rgb,
    };
    if profile.space != own_space {
        return fails(
            ("contradiction", "a profile for another colour model"),
            None,
            "profile clash".to_owned(),
            format!("the picture is {}, its profile for {} ({name})", case.facts.model.name(), profile.space.name()),
            export_in(case),
        );
    }
    let answers = required.iter().any(|space| match space {
        Space::Rgb(encoding) => profile.known_as == Some(*encoding),
        Space::Grey => case.facts.model == ColourModel::Grey,
        Space::Cmyk => case.facts.model == ColourModel::Cmyk,
        Space::Paper => false,
    });
    if answers {
        return RuleOutcome::Passed;
    }
    if required.contains(&Space::Paper) {
        return of_printer(case, profile, &name);
    }
    fails(
        ("space", &format!("profile {name}")),
        None,
        short_name(profile),
        format!("the profile is {name}; {}", limit_words(case.print, "colour.space", &spaces(required))),
        convert_to(case, &spaces(&required[..1])),
    )
}

/// Advises to convert; says that nothing is lost where the picture is grey throughout (R = G = B).
fn convert_to(case: &Case, space: &str) -> String {
    match case.evidence {
        Some(evidence) if is_grey_as_rgb(case.facts, evidence) => {
            format!("convert this file to {space} without loss (it is grey throughout), and embed the profile")
        }
        _ => format!("convert the colours to {space} on export, and embed the profile"),
    }
}

/// Checks for the printer's own profile: by its bytes, else by the colours it gives. A profile with only the printer's
/// name may be another edition.
fn of_printer(case: &Case, profile: &ProfileFacts, name: &str) -> RuleOutcome {
    let Some(printer) = case.print.requirements.paper.printer.as_deref().map(PaperProfile::facts) else {
        let why = "whether its profile is the printer's (the brief names no paper profile)";
        return RuleOutcome::BriefLacks(why.to_owned());
    };
    if profile.sha256 == printer.sha256 {
        return RuleOutcome::Passed;
    }
    let required = profile_name(printer);
    let apart = profile.grid.as_ref().zip(printer.grid.as_ref()).and_then(|(one, other)| one.distance(other));
    let words = apart.map(|ProfileDistance { mean, most }| {
        format!("; its colours are {mean:.2} Delta E off on average, {most:.2} at most")
    });
    let words = words.unwrap_or_default();
    let same_numbers = profile.known_as.is_some() && profile.known_as == printer.known_as;
    let same_colours = profile.space == printer.space && apart.is_some_and(|apart| apart.most <= SAME);
    if same_numbers || same_colours {
        return RuleOutcome::WithinTolerance(format!(
            "the profile is {name}, though not byte for byte the printer's{words}"
        ));
    }
    let fix = format!("convert the colours to {required} on export, and embed the profile");
    let required = limit_words(case.print, "colour.space", &format!("the printer's own ({required})"));
    if profile.space == printer.space && profile.description == printer.description {
        let found = match apart {
            Some(_) => format!("the profile is another edition of {name}{words}; {required}"),
            None => format!("the profile is named {name} like the printer's, but may be another edition; {required}"),
        };
        return fails(
            ("edition", "another edition of the printer's profile"),
            Some(Level::Should),
            "other edition".to_owned(),
            found,
            fix,
        );
    }
    let found = format!("the profile is {name}{words}; {required}");
    fails(("space", &format!("profile {name}")), None, short_name(profile), found, fix)
}

fn check_untagged(case: &Case) -> RuleOutcome {
    let required = &case.print.requirements.colour.spaces;
    let is_allowed = |encoding: Encoding| required.contains(&Space::Rgb(encoding));
    match &case.facts.claim {
        Some(claim) if is_allowed(claim.encoding) && case.facts.format == Format::Png => RuleOutcome::WithinTolerance(
            format!("no profile, but the file declares {} ({})", claim.encoding.name(), claim.source.name()),
        ),
        Some(claim) if is_allowed(claim.encoding) => fails(
            ("untagged", "no profile embedded"),
            Some(Level::Should),
            "no profile".to_owned(),
            format!("no profile, only a claim{}; usual: an embedded profile", claim_words(Some(claim))),
            export_in(case),
        ),
        claim => fails(
            ("untagged", "no profile embedded"),
            None,
            "no profile".to_owned(),
            format!(
                "no profile is embedded{}{}; {}",
                claim_words(claim.as_ref()),
                assumption_words(case),
                limit_words(case.print, "colour.space", &spaces(required))
            ),
            format!("{}\nif there is only this file, find out its space before you assign a profile", export_in(case)),
        ),
    }
}

/// Returns how its numbers are read meanwhile, where the file does not define them.
fn assumption_words(case: &Case) -> String {
    let required = case.print.requirements.colour.spaces.iter().find_map(|space| match space {
        Space::Rgb(encoding) => Some(encoding.name()),
        Space::Grey | Space::Cmyk | Space::Paper => None,
    });
    let guess = match case.facts.model {
        ColourModel::Rgb if case.facts.claim.is_none() => required,
        ColourModel::Grey => Some(Encoding::Srgb.name()),
        _ => None,
    };
    guess.map(|name| format!("; its colours are read as {name}, a guess")).unwrap_or_default()
}

fn claim_words(claim: Option<&Claim>) -> String {
    claim.map_or_else(String::new, |claim| format!(" ({}: {})", claim.source.name(), claim.encoding.name()))
}

fn export_in(case: &Case) -> String {
    format!("export it again in {}, and embed the profile", spaces(&case.print.requirements.colour.spaces[..1]))
}

/// Returns the name, short enough for a table cell.
fn short_name(profile: &ProfileFacts) -> String {
    const CELL_CHARACTERS: usize = 14;
    match profile.known_as {
        Some(Encoding::AdobeRgb) => "Adobe RGB".to_owned(),
        Some(encoding) => encoding.name().to_owned(),
        None => visible(&shorten(profile.name(), CELL_CHARACTERS)).into_owned(),
    }
}

/// Returns a failure: what it is about and its cause, a cap on its level, and its words.
fn fails(
    (about, cause): (&str, &str),
    at_most: Option<Level>,
    short: String,
    found: String,
    fix: String,
) -> RuleOutcome {
    let (about, cause) = (about.to_owned(), cause.to_owned());
    RuleOutcome::failed(Breach {
        about,
        at_most,
        short,
        found,
        fix,
        cause,
        is_fixed_by_export: true,
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::paper_profile::printer_of;
    use crate::judge::testing::{RuleBench, abouts, profile};
    use crate::measure::evidence::Colour;
    use crate::picture::claim::ClaimSource;
    use std::sync::Arc;

    fn bench() -> RuleBench {
        RuleBench::new("[[print]]\nsize = \"8 x 10 in\"")
    }

    #[test]
    fn a_profile_is_known_by_its_numbers() {
        assert_eq!(bench().ask(check), RuleOutcome::Passed);
        let disguised = bench().with(|f| {
            let EmbeddedProfile::Embedded(p) = &mut f.profile else { unreachable!() };
            p.description = "Adobe RGB (1998)".to_owned();
        });
        assert_eq!(disguised.ask(check), RuleOutcome::Passed);
        let wide = bench().with(|f| f.profile = EmbeddedProfile::Embedded(profile(Encoding::AdobeRgb)));
        let RuleOutcome::Failed(breaches) = wide.ask(check) else { panic!("a wide space must fail") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].short.as_str()), ("space", "Adobe RGB"));
        assert_eq!(breaches[0].found, "the profile is Adobe RGB (1998); usual: sRGB");
        let fix = |codes: [u16; 3]| {
            let grey = wide.evidence(|e| e.colours = vec![Colour { mean: codes, count: 9 }]);
            match grey.ask(check) {
                RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0).fix,
                other => panic!("{other:?}"),
            }
        };
        let grey = "convert this file to sRGB without loss (it is grey throughout), and embed the profile";
        assert_eq!(fix([9_000; 3]), grey);
        assert_eq!(fix([9_000, 9_000, 8_000]), "convert the colours to sRGB on export, and embed the profile");
    }

    #[test]
    fn a_list_of_spaces_allows_each() {
        let bench = RuleBench::new("[colour]\nspace = [\"srgb\", \"adobe rgb\"]\n[[print]]\nsize = \"8 x 10 in\"");
        let wide = bench.with(|f| f.profile = EmbeddedProfile::Embedded(profile(Encoding::AdobeRgb)));
        assert_eq!(wide.ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn the_printers_own_profile_is_known_by_its_bytes_else_by_its_colours_else_by_its_name() {
        let printer = std::sync::Arc::new(PaperProfile::new(&printer_of(Encoding::Srgb)).unwrap());
        let required = || {
            RuleBench::new("[colour]\nspace = \"paper\"\n[[print]]\nsize = \"8 x 10 in\"")
                .with_print(|print| Arc::make_mut(&mut print.requirements).paper.printer = Some(printer.clone()))
        };
        let of =
            |facts: ProfileFacts| required().with(|f| f.profile = EmbeddedProfile::Embedded(facts.clone())).ask(check);
        assert_eq!(of(printer.facts().clone()), RuleOutcome::Passed);
        let rebuilt = ProfileFacts {
            sha256: "other".to_owned(),
            known_as: None,
            description: "Rebuilt".to_owned(),
            ..printer.facts().clone()
        };
        assert!(matches!(of(rebuilt), RuleOutcome::WithinTolerance(_)), "the same colours under another name");
        // The same name with other numbers.
        let wide = PaperProfile::new(&printer_of(Encoding::AdobeRgb)).unwrap().facts().clone();
        let edition = ProfileFacts { description: printer.facts().description.clone(), known_as: None, ..wide.clone() };
        let RuleOutcome::Failed(breaches) = of(edition) else { panic!("another edition") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("edition", Some(Level::Should)));
        assert!(breaches[0].found.contains("off on average"), "{}", breaches[0].found);
        let RuleOutcome::Failed(breaches) = of(ProfileFacts { known_as: None, ..wide }) else { panic!("a stranger") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("space", None));
    }

    #[test]
    fn untagged_pictures_are_a_guess() {
        let bare = bench().with(|f| f.profile = EmbeddedProfile::None);
        let RuleOutcome::Failed(breaches) = bare.ask(check) else { panic!("no profile must fail") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("untagged", None));
        let claim = |source| Some(Claim { encoding: Encoding::Srgb, source });
        let claimed = bare.with(|f| f.claim = claim(ClaimSource::ExifColourSpace));
        let RuleOutcome::Failed(breaches) = claimed.ask(check) else { panic!("a claim is not a profile") };
        assert_eq!(breaches[0].at_most, Some(Level::Should));
        let png = bare.with(|f| {
            f.format = Format::Png;
            f.claim = claim(ClaimSource::PngSrgb);
        });
        assert!(matches!(png.ask(check), RuleOutcome::WithinTolerance(_)));
    }

    #[test]
    fn contradictions_and_broken_profiles_are_named() {
        let crossed = bench().with(|f| f.model = ColourModel::Cmyk);
        assert_eq!(abouts(&crossed.ask(check)), ["contradiction"]);
        let outranked =
            bench().with(|f| f.claim = Some(Claim { encoding: Encoding::DisplayP3, source: ClaimSource::PngCicp }));
        assert_eq!(abouts(&outranked.ask(check)), ["contradiction"]);
        let broken =
            bench().with(|f| f.profile = EmbeddedProfile::Broken("its tag table points beyond its end".to_owned()));
        assert_eq!(abouts(&broken.ask(check)), ["unreadable"]);
    }
}
