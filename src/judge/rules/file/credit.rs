//! file.credit: creator and rights in the file itself.

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::{join_with_and, limit_words};
use crate::picture::facts::MetadataText;
use crate::units::words::{shorten, visible};

/// Characters of foreign text shown in a finding.
const SHOWN_CHARACTERS: usize = 40;

pub static RULE: Rule = Rule {
    id: "file.credit",
    group: RuleGroup::File,
    title: "Credit missing or inconsistent",
    question: "Does the file carry the required credit, and the same one everywhere?",
    level: Level::Should,
    why: "notes get lost; the credits page is set from the file",
    page: "Each field that the brief lists must be filled in at least one place: XMP, IPTC, Exif or a PNG's own text. \
           Where two places differ, that is a finding as well. Spaces around the text do not count.",
    fix: "Fill in the field in your editor's metadata and export with metadata included. Where places differ, write \
          the field again so that all of them hold the same text.",
    misses: "It sees that there is a credit, not that it is the right one. It reads the picture file alone, no file \
             beside it.",
    keys: &["file.credit"],
    source: "IPTC Photo Metadata Standard and its mapping to Exif, not checked against the text",
    samples: RuleExamples {
        passes: "a creator in XMP; creator required",
        fails: "no copyright in the file; copyright required",
    },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn export_setting(print: &Print) -> Option<ExportSetting> {
    let fields = &print.requirements.file.credit;
    (!fields.is_empty()).then(|| {
        let value = format!("included, with {} filled in", join_with_and(fields));
        ExportSetting::of(print, "file.credit", "metadata", value)
    })
}

fn check(case: &Case) -> RuleOutcome {
    let required = &case.print.requirements.file.credit;
    if required.is_empty() {
        return RuleOutcome::NotRequired;
    }
    let credits = &case.facts.credits;
    let mut breaches = Vec::new();
    for word in required {
        let field = match *word {
            "creator" => &credits.creator,
            "copyright" => &credits.copyright,
            "caption" => &credits.caption,
            _ => &credits.credit_line,
        };
        if field.text().is_none_or(|text| text.trim().is_empty()) {
            breaches.push(Breach {
                about: (*word).to_owned(),
                short: format!("no {word}"),
                found: format!("no {word} in the file; {}", limit_words(case.print, "file.credit", word)),
                fix: format!("fill in the {word} in your editor and export with metadata included"),
                cause: format!("no {word}"),
                is_fixed_by_export: true,
                ..Breach::default()
            });
        } else if field.disagrees() {
            breaches.push(Breach {
                about: (*word).to_owned(),
                short: format!("{word} differs"),
                found: format!("the {word} differs: {}; usual: the same text everywhere", texts(field)),
                fix: format!("write the same {word} in {}, and export again", join_with_and(&place_names(field))),
                cause: format!("{word} that differs within the file"),
                ..Breach::default()
            });
        }
    }
    RuleOutcome::of(breaches)
}

/// Returns the places of a field.
fn place_names(field: &MetadataText) -> Vec<&'static str> {
    field.sources.iter().map(|(home, _)| home.name()).collect()
}

/// Returns the places of a field, each with its text.
fn texts(field: &MetadataText) -> String {
    let texts: Vec<String> = field
        .sources
        .iter()
        .map(|(home, text)| format!("{} \"{}\"", home.name(), visible(&shorten(text.trim(), SHOWN_CHARACTERS))))
        .collect();
    texts.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, abouts};
    use crate::picture::facts::MetadataSource;

    #[test]
    fn any_one_place_suffices_and_two_must_agree() {
        let bench = RuleBench::new("[file]\ncredit = [\"creator\", \"copyright\"]\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(abouts(&bench.ask(check)), ["creator", "copyright"]);
        let credited = bench.with(|f| {
            f.credits.creator.sources = vec![(MetadataSource::Exif, "I. Tarrow".into())];
            f.credits.copyright.sources =
                vec![(MetadataSource::Xmp, "2026".into()), (MetadataSource::Iptc, "2026 ".into())];
        });
        assert_eq!(credited.ask(check), RuleOutcome::Passed);
        let torn = credited.with(|f| f.credits.creator.sources.push((MetadataSource::Iptc, "Studio\u{1b}[0m".into())));
        let RuleOutcome::Failed(breaches) = torn.ask(check) else { panic!("places that differ must be reported") };
        assert_eq!(breaches[0].fix, "write the same creator in Exif and IPTC, and export again");
        assert!(breaches[0].found.contains("IPTC \"Studio\\u{1b}[0m\""), "{}", breaches[0].found);
    }
}
