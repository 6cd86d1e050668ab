//! file.credit: creator and rights in the file itself.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::picture::facts::Field;
use crate::units::words::{shortened, visible};

/// Characters of foreign text shown in a finding.
const SHOWN_CHARACTERS: usize = 40;

pub static RULE: Rule = Rule {
    id: "file.credit",
    group: RuleGroup::File,
    title: "",
    question: "Does the file carry the credit that was asked, and say it in one voice?",
    level: Level::Should,
    why: "pictures part from their notes; what stands in the file is what the book's credits page is set from",
    page: "Each field that the brief lists must be there in at least one of its homes (XMP, IPTC, Exif, a PNG's own \
           texts). Where two homes say different things that is said as well: which one a printer's program reads is \
           a matter of luck.",
    fix: "",
    misses: "",
    keys: &["file.credit"],
    source: "IPTC Photo Metadata Standard and its mapping to Exif, from memory",
    samples: RuleExamples {
        holds: "creator in XMP where creator is asked",
        fails: "no copyright anywhere where it is asked",
    },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

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
                found: format!("no {word} in the file"),
                fix: format!("fill in {word} in your editor's metadata and let the export keep metadata"),
                ..Breach::default()
            });
        } else if field.disagrees() {
            breaches.push(Breach {
                about: (*word).to_owned(),
                short: format!("{word} differs"),
                found: format!("{word} differs between its homes: {}", voices(field)),
                fix: format!("write {word} once in your editor and export again, so that all homes say the same"),
                ..Breach::default()
            });
        }
    }
    RuleOutcome::of(breaches)
}

fn voices(field: &Field) -> String {
    let said: Vec<String> = field
        .homes
        .iter()
        .map(|(home, text)| format!("{} \"{}\"", home.name(), visible(&shortened(text.trim(), SHOWN_CHARACTERS))))
        .collect();
    said.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{Bench, abouts};
    use crate::picture::facts::Home;

    #[test]
    fn any_one_home_suffices_and_two_must_agree() {
        let bench = Bench::new("[file]\ncredit = [\"creator\", \"copyright\"]\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(abouts(&bench.ask(check)), ["creator", "copyright"]);
        let credited = bench.with(|f| {
            f.credits.creator.homes = vec![(Home::Exif, "I. Tarrow".into())];
            f.credits.copyright.homes = vec![(Home::Xmp, "2026".into()), (Home::Iptc, "2026 ".into())];
        });
        assert_eq!(credited.ask(check), RuleOutcome::Passed);
        let torn = credited.with(|f| f.credits.creator.homes.push((Home::Iptc, "Studio\u{1b}[0m".into())));
        let RuleOutcome::Failed(breaches) = torn.ask(check) else { panic!("homes that disagree must be said") };
        assert!(breaches[0].found.contains("IPTC \"Studio\\u{1b}[0m\""), "{}", breaches[0].found);
    }
}
