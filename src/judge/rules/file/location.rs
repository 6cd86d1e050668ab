//! file.location: no coordinates where the brief allows none.

use crate::brief::Print;
use crate::brief::requirements::{Level, LocationRequirement};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::limit_words;

pub static RULE: Rule = Rule {
    id: "file.location",
    group: RuleGroup::File,
    title: "Location in the file",
    question: "Is the file free of coordinates where the brief allows none?",
    level: Level::Should,
    why: "a client's kitchen is a private address; coordinates travel with every copy",
    page: "With location = \"none\" in the brief, neither Exif nor XMP may hold coordinates: of the place where the \
           picture was taken, of what it shows, or of a destination. Without it nothing is checked.",
    fix: "Export without location data, or delete the coordinates in your editor first.",
    misses: "It does not look for place names in captions and other texts, nor for coordinates in a camera's maker \
             notes. Where a packet of metadata cannot be read, the rule says \"not checked\".",
    keys: &["file.location"],
    source: "Exif GPS directory 0x8825; XMP exif:GPSLatitude and the like, also in LocationCreated and LocationShown \
             (IPTC Photo Metadata Standard); the wish is the client's",
    samples: RuleExamples { passes: "no coordinates", fails: "coordinates of the place, added by a phone" },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn export_setting(print: &Print) -> Option<ExportSetting> {
    (print.requirements.file.location == LocationRequirement::None)
        .then(|| ExportSetting::of(print, "file.location", "location", "left out of the file".to_owned()))
}

fn check(case: &Case) -> RuleOutcome {
    match (case.print.requirements.file.location, case.facts.has_location) {
        (LocationRequirement::Allowed, _) => RuleOutcome::NotRequired,
        (LocationRequirement::None, Some(false)) => RuleOutcome::Passed,
        (LocationRequirement::None, None) => {
            RuleOutcome::NotChecked("a packet of metadata cannot be read; it may hold coordinates".to_owned())
        }
        (LocationRequirement::None, Some(true)) => RuleOutcome::failed(Breach {
            short: "has location".to_owned(),
            found: format!("coordinates in the file; {}", limit_words(case.print, "file.location", "their removal")),
            fix: "export without location data\nor delete the coordinates in your editor and export again".to_owned(),
            is_fixed_by_export: true,
            ..Breach::default()
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;

    #[test]
    fn coordinates_matter_only_where_the_brief_allows_none() {
        let allowed = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").with(|f| f.has_location = Some(true));
        assert_eq!(allowed.ask(check), RuleOutcome::NotRequired);
        let none = RuleBench::new("[file]\nlocation = \"none\"\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(none.ask(check), RuleOutcome::Passed);
        assert!(matches!(none.with(|f| f.has_location = Some(true)).ask(check), RuleOutcome::Failed(_)));
        assert!(matches!(none.with(|f| f.has_location = None).ask(check), RuleOutcome::NotChecked(_)));
    }
}
