//! file.location: no coordinates where they are unwanted.

use crate::brief::requirements::{Level, LocationRequirement};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};

pub static RULE: Rule = Rule {
    id: "file.location",
    group: RuleGroup::File,
    title: "",
    question: "Is the file free of coordinates where the brief wants none?",
    level: Level::Should,
    why: "a client's kitchen is a private address, and coordinates travel with every copy of the file",
    page: "With `location = \"none\"` neither Exif nor XMP may hold coordinates. Names of towns are words, not \
           coordinates, and are left alone.",
    fix: "",
    misses: "",
    keys: &["file.location"],
    source: "Exif GPS directory 0x8825, XMP exif:GPSLatitude; the wish is the client's",
    samples: RuleExamples { holds: "no coordinates", fails: "coordinates from the phone that named the place" },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    match (case.print.requirements.file.location, case.facts.location) {
        (LocationRequirement::Allowed, _) => RuleOutcome::NotRequired,
        (LocationRequirement::None, false) => RuleOutcome::Passed,
        (LocationRequirement::None, true) => RuleOutcome::failed(Breach {
            short: "has location".to_owned(),
            found: "the file holds coordinates; none are wanted".to_owned(),
            fix: "export with \"remove location\", or clear it in your editor's metadata".to_owned(),
            ..Breach::default()
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;

    #[test]
    fn coordinates_matter_only_where_they_are_unwanted() {
        let wanted = Bench::new("[[print]]\nsize = \"8 x 10 in\"").with(|f| f.location = true);
        assert_eq!(wanted.ask(check), RuleOutcome::NotRequired);
        let unwanted = Bench::new("[file]\nlocation = \"none\"\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(unwanted.ask(check), RuleOutcome::Passed);
        assert!(matches!(unwanted.with(|f| f.location = true).ask(check), RuleOutcome::Failed(_)));
    }
}
