//! colour.profile: the required profile, embedded and recognised by its numbers.

use crate::brief::requirements::{Level, Space};
use crate::colour::{Encoding, PaperProfile, ProfileDistance, ProfileFacts, ProfileSpace};
use crate::judge::metrics::colours::is_grey_as_rgb;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::phrases::{profile_name, spaces};
use crate::picture::facts::{Claim, Format, Model, Profile};
use crate::units::words::{shortened, visible};

/// Largest difference, in Delta E 2000, of two profiles that are the same: the effect of rounding and rebuilding.
/// Source: ours; 1 is the least that a trained eye sees.
const SAME: f64 = 1.0;

pub static RULE: Rule = Rule {
    id: "colour.profile",
    group: RuleGroup::Colour,
    title: "",
    question: "Is the asked profile embedded?",
    level: Level::Must,
    why: "numbers without the right profile are guessed at: a wide space read as sRGB prints drab, the other way gaudy",
    page: "The embedded profile is known by its numbers (primaries, white and curve against the published ones), \
           never by its name. It must be one of those that the brief asks for. A picture without a profile is a \
           guess, even where a camera tag claims a space: with a claim that fits it is a should. A profile that \
           cannot be read, or that is for another colour model, does not hold. Where the \
           printer's own profile is asked (space = \"paper\"), it is known by its bytes; one with other bytes that \
           makes the same of a grid of colours (at most 1 Delta E apart) is forgiven, whatever its name. One that \
           only bears the printer's name may be another edition: it is a should.",
    fix: "",
    misses: "",
    keys: &["colour.space", "paper.profile"],
    source: "encodings: IEC 61966-2-1, Adobe RGB (1998), ISO 22028-2, ISO/TS 22028-4, ICC registry; embedding always: \
             photographers' delivery guidelines",
    samples: RuleExamples {
        holds: "an sRGB profile under any name where sRGB is asked",
        fails: "Adobe RGB (1998) where sRGB is asked; no profile at all",
    },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { column: Some(TableColumn::Space), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    // Software that follows the standard reads the picture by such a claim and not by the profile beside it.
    if let (Some(claim), Profile::Embedded(profile)) = (&case.facts.claim, &case.facts.profile)
        && claim.outranks_profile()
        && profile.known_as != Some(claim.encoding)
    {
        let name = profile_name(profile);
        return fails(
            "contradiction",
            None,
            "contradiction".to_owned(),
            format!("the {} says {}, which outranks the embedded profile, {name}", claim.by, claim.encoding.name()),
            export_in(case),
        );
    }
    match &case.facts.profile {
        Profile::Embedded(profile) => embedded(case, profile),
        Profile::Broken(why) => fails(
            "unreadable",
            None,
            "broken profile".to_owned(),
            format!("the embedded profile cannot be read: {}", visible(why)),
            export_in(case),
        ),
        Profile::None => untagged(case),
    }
}

fn embedded(case: &Case, profile: &ProfileFacts) -> RuleOutcome {
    let required = &case.print.requirements.colour.spaces;
    let name = profile_name(profile);
    let wanted_space = match case.facts.model {
        Model::Grey => ProfileSpace::Grey,
        Model::Cmyk => ProfileSpace::Cmyk,
        _ => ProfileSpace::Rgb,
    };
    if profile.space != wanted_space {
        return fails(
            "contradiction",
            None,
            "contradiction".to_owned(),
            format!("{} picture with a profile for {} ({name})", of_model(case.facts.model), profile.space.name()),
            export_in(case),
        );
    }
    let answers = required.iter().any(|space| match space {
        Space::Rgb(encoding) => profile.known_as == Some(*encoding),
        Space::Grey => case.facts.model == Model::Grey,
        Space::Cmyk => case.facts.model == Model::Cmyk,
        Space::Paper => false,
    });
    if answers {
        return RuleOutcome::Passed;
    }
    if required.contains(&Space::Paper) {
        return of_printer(case, profile, &name);
    }
    fails(
        "space",
        None,
        short_name(profile),
        format!("the profile is {name}; {} asked", spaces(required)),
        format!(
            "convert to {} (not \"assign\") in the export dialog, and embed the profile{}",
            spaces(&required[..1]),
            of_greys(case)
        ),
    )
}

/// Returns the words that converting loses nothing, where the picture is grey throughout.
fn of_greys(case: &Case) -> &'static str {
    match case.evidence() {
        Ok(evidence) if is_grey_as_rgb(case.facts, evidence) => {
            "; it is grey throughout (R = G = B), so nothing is lost"
        }
        _ => "",
    }
}

/// Checks for the printer's own profile: by its bytes, else by the colours it gives. A profile with only the printer's
/// name may be another edition.
fn of_printer(case: &Case, profile: &ProfileFacts, name: &str) -> RuleOutcome {
    let Some(printer) = case.print.requirements.paper.printer.as_deref().map(PaperProfile::facts) else {
        return RuleOutcome::NotKnown("whether the profile is the printer's own: no paper profile".to_owned());
    };
    if profile.sha256 == printer.sha256 {
        return RuleOutcome::Passed;
    }
    let required = profile_name(printer);
    let apart = profile.grid.as_ref().zip(printer.grid.as_ref()).and_then(|(one, other)| one.distance(other));
    let words = apart.map(|ProfileDistance { mean, most }| {
        format!("; colours come out {mean:.2} Delta E apart in the mean, {most:.2} at most")
    });
    let words = words.unwrap_or_default();
    let same_numbers = profile.known_as.is_some() && profile.known_as == printer.known_as;
    let same_colours = profile.space == printer.space && apart.is_some_and(|apart| apart.most <= SAME);
    if same_numbers || same_colours {
        return RuleOutcome::WithinTolerance(format!(
            "the profile is {name} with other bytes than the printer's{words}"
        ));
    }
    let fix = format!("convert to {required} (not \"assign\") in the export dialog, and embed the profile");
    if profile.space == printer.space && profile.description == printer.description {
        let found = match apart {
            Some(_) => format!("the profile bears the printer's name, {name}, but is another edition{words}"),
            None => format!("the profile bears the printer's name, {name}, but not its bytes: perhaps another edition"),
        };
        return fails("edition", Some(Level::Should), "other edition".to_owned(), found, fix);
    }
    let found = format!("the profile is {name}; the printer's own is asked, {required}{words}");
    fails("space", None, short_name(profile), found, fix)
}

/// Returns a model with its article.
fn of_model(model: Model) -> String {
    let article = if model == Model::Rgb { "an" } else { "a" };
    format!("{article} {}", model.name())
}

fn untagged(case: &Case) -> RuleOutcome {
    let required = &case.print.requirements.colour.spaces;
    let is_asked = |encoding: Encoding| required.contains(&Space::Rgb(encoding));
    match &case.facts.claim {
        Some(claim) if is_asked(claim.encoding) && case.facts.format == Format::Png => RuleOutcome::WithinTolerance(
            format!("no profile, but the {} says {}, as the standard provides", claim.by, claim.encoding.name()),
        ),
        Some(claim) if is_asked(claim.encoding) => fails(
            "untagged",
            Some(Level::Should),
            "no profile".to_owned(),
            format!("no profile is embedded; only the {} says {}", claim.by, claim.encoding.name()),
            export_in(case),
        ),
        claim => fails(
            "untagged",
            None,
            "no profile".to_owned(),
            format!("no profile is embedded{}; {} asked{}", claimed(claim.as_ref()), spaces(required), taken_for(case)),
            format!("find out which space it is in, then {}; do not assign one by guess", export_in(case)),
        ),
    }
}

/// Returns how its codes are read meanwhile, where the file does not define them.
fn taken_for(case: &Case) -> String {
    let required = case.print.requirements.colour.spaces.iter().find_map(|space| match space {
        Space::Rgb(encoding) => Some(encoding.name()),
        Space::Grey | Space::Cmyk | Space::Paper => None,
    });
    let guess = match case.facts.model {
        Model::Rgb if case.facts.claim.is_none() => required,
        Model::Grey => Some(Encoding::Srgb.name()),
        _ => None,
    };
    guess.map(|name| format!("; here its codes are read as {name}, a guess")).unwrap_or_default()
}

fn claimed(claim: Option<&Claim>) -> String {
    claim.map_or_else(String::new, |claim| format!(", and the {} says {}", claim.by, claim.encoding.name()))
}

fn export_in(case: &Case) -> String {
    format!("export it again in {} with \"embed profile\" on", spaces(&case.print.requirements.colour.spaces[..1]))
}

/// Returns the name, short enough for a table cell.
fn short_name(profile: &ProfileFacts) -> String {
    const CELL_CHARACTERS: usize = 14;
    match profile.known_as {
        Some(Encoding::AdobeRgb) => "Adobe RGB".to_owned(),
        Some(encoding) => encoding.name().to_owned(),
        None => visible(&shortened(profile.name(), CELL_CHARACTERS)).into_owned(),
    }
}

fn fails(about: &str, at_most: Option<Level>, short: String, found: String, fix: String) -> RuleOutcome {
    RuleOutcome::failed(Breach { about: about.to_owned(), at_most, short, found, fix, ..Breach::default() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::paper_profile::printer_of;
    use crate::judge::testing::{Bench, abouts, profile};
    use crate::measure::evidence::Colour;
    use std::sync::Arc;

    fn bench() -> Bench {
        Bench::new("[[print]]\nsize = \"8 x 10 in\"")
    }

    #[test]
    fn a_profile_is_known_by_its_numbers() {
        assert_eq!(bench().ask(check), RuleOutcome::Passed);
        let disguised = bench().with(|f| {
            let Profile::Embedded(p) = &mut f.profile else { unreachable!() };
            p.description = "Adobe RGB (1998)".to_owned();
        });
        assert_eq!(disguised.ask(check), RuleOutcome::Passed);
        let wide = bench().with(|f| f.profile = Profile::Embedded(profile(Encoding::AdobeRgb)));
        let RuleOutcome::Failed(breaches) = wide.ask(check) else { panic!("a wide space must fail") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].short.as_str()), ("space", "Adobe RGB"));
        assert_eq!(breaches[0].found, "the profile is Adobe RGB (1998); sRGB asked");
        let fix = |codes: [u16; 3]| {
            let grey = wide.evidence(|e| e.colours = vec![Colour { mean: codes, count: 9 }]);
            match grey.ask(check) {
                RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0).fix,
                other => panic!("{other:?}"),
            }
        };
        assert!(fix([9_000; 3]).ends_with("; it is grey throughout (R = G = B), so nothing is lost"));
        assert!(fix([9_000, 9_000, 8_000]).ends_with("embed the profile"));
    }

    #[test]
    fn a_list_of_spaces_allows_each() {
        let bench = Bench::new("[colour]\nspace = [\"srgb\", \"adobe rgb\"]\n[[print]]\nsize = \"8 x 10 in\"");
        let wide = bench.with(|f| f.profile = Profile::Embedded(profile(Encoding::AdobeRgb)));
        assert_eq!(wide.ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn the_printers_own_profile_is_known_by_its_bytes_else_by_its_colours_else_by_its_name() {
        let printer = std::sync::Arc::new(PaperProfile::new(&printer_of(Encoding::Srgb)).unwrap());
        let required = || {
            Bench::new("[colour]\nspace = \"paper\"\n[[print]]\nsize = \"8 x 10 in\"")
                .with_print(|print| Arc::make_mut(&mut print.requirements).paper.printer = Some(printer.clone()))
        };
        let of = |facts: ProfileFacts| required().with(|f| f.profile = Profile::Embedded(facts.clone())).ask(check);
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
        assert!(breaches[0].found.contains("apart in the mean"), "{}", breaches[0].found);
        let RuleOutcome::Failed(breaches) = of(ProfileFacts { known_as: None, ..wide }) else { panic!("a stranger") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("space", None));
    }

    #[test]
    fn untagged_pictures_are_a_guess() {
        let bare = bench().with(|f| f.profile = Profile::None);
        let RuleOutcome::Failed(breaches) = bare.ask(check) else { panic!("no profile must fail") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("untagged", None));
        let claim = |by| Some(Claim { encoding: Encoding::Srgb, by });
        let claimed = bare.with(|f| f.claim = claim("Exif colour space"));
        let RuleOutcome::Failed(breaches) = claimed.ask(check) else { panic!("a claim is not a profile") };
        assert_eq!(breaches[0].at_most, Some(Level::Should));
        let png = bare.with(|f| {
            f.format = Format::Png;
            f.claim = claim("PNG sRGB chunk");
        });
        assert!(matches!(png.ask(check), RuleOutcome::WithinTolerance(_)));
    }

    #[test]
    fn contradictions_and_broken_profiles_are_named() {
        let crossed = bench().with(|f| f.model = Model::Cmyk);
        assert_eq!(abouts(&crossed.ask(check)), ["contradiction"]);
        let outranked = bench().with(|f| f.claim = Some(Claim { encoding: Encoding::DisplayP3, by: Claim::CICP }));
        assert_eq!(abouts(&outranked.ask(check)), ["contradiction"]);
        let broken = bench().with(|f| f.profile = Profile::Broken("its tag table points beyond its end".to_owned()));
        assert_eq!(abouts(&broken.ask(check)), ["unreadable"]);
    }
}
