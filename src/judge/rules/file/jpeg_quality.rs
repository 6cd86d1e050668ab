//! file.jpeg_quality: the quality derived from the quantisation tables.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};

/// Largest error of an estimate from foreign tables. Source: our own trial over 100 qualities; exact for tables that
/// are scalings of Annex K.
const ESTIMATE_WITHIN: u32 = 3;

pub static RULE: Rule = Rule {
    id: "file.jpeg_quality",
    group: RuleGroup::File,
    title: "",
    question: "Was the JPEG saved at a quality that holds up in print?",
    level: Level::Should,
    why: "coarse JPEG steps show in print as blocks in skies and plates, and as fringes along red and dark edges",
    page: "Quality is estimated from the quantisation tables on the customary scale of 1 to 100: exact where the \
           tables are scalings of the standard's own, else the nearest, said with \"about\" and forgiven within 3. \
           Editors have scales of their own (0 to 12, for one). Colour stored at half resolution (4:2:0 or 4:2:2) is \
           a note.",
    fix: "",
    misses: "",
    keys: &["file.jpeg_quality"],
    source: "tables: ITU-T T.81 Annex K and the Independent JPEG Group's scaling; the limit of 90: common practice, \
             no source",
    samples: RuleExamples { holds: "quality 92 where 90 is asked", fails: "quality 75 where 90 is asked" },
    unit: "quality",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { column: Some(TableColumn::File), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(jpeg) = &case.facts.jpeg else { return RuleOutcome::NotRequired };
    let (quality, required) = (u32::from(jpeg.quality), case.print.requirements.file.jpeg_quality);
    let about = if jpeg.exact { "" } else { "about " };
    let mut breaches = Vec::new();
    let within = if jpeg.exact { 0 } else { ESTIMATE_WITHIN };
    if quality + within < required {
        breaches.push(Breach {
            about: "quality".to_owned(),
            numbers: Some((f64::from(quality), f64::from(required))),
            short: format!("q {about}{quality}"),
            found: format!("saved at quality {about}{quality} of 100; at least {required} asked"),
            fix: format!(
                "export again from the original at quality {required} or more; saving this file again cannot bring it back"
            ),
            ..Breach::default()
        });
    }
    if !matches!(jpeg.subsampling.as_str(), "4:4:4" | "grey") {
        breaches.push(Breach {
            about: "subsampling".to_owned(),
            at_most: Some(Level::Note),
            short: jpeg.subsampling.clone(),
            found: format!(
                "colour is stored at less than full resolution ({}): fine red edges soften",
                jpeg.subsampling
            ),
            fix: "where the export dialog offers it, choose 4:4:4 (no chroma subsampling), or export a TIFF".to_owned(),
            ..Breach::default()
        });
    }
    if breaches.is_empty() && quality < required {
        return RuleOutcome::WithinTolerance(format!(
            "quality about {quality}: the estimate may be {ESTIMATE_WITHIN} off"
        ));
    }
    RuleOutcome::of(breaches)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{Bench, abouts};

    fn saved_at(quality: u8, exact: bool) -> RuleOutcome {
        Bench::new("[[print]]\nsize = \"8 x 10 in\"")
            .with(|f| {
                let jpeg = f.jpeg.as_mut().unwrap();
                jpeg.quality = quality;
                jpeg.exact = exact;
            })
            .ask(check)
    }

    #[test]
    fn exact_tables_are_taken_at_their_word() {
        assert_eq!(saved_at(91, true), RuleOutcome::Passed);
        assert_eq!(saved_at(90, true), RuleOutcome::Passed);
        assert_eq!(abouts(&saved_at(89, true)), ["quality"]);
    }

    #[test]
    fn estimates_are_forgiven_within_three() {
        assert!(matches!(saved_at(87, false), RuleOutcome::WithinTolerance(_)));
        assert_eq!(abouts(&saved_at(86, false)), ["quality"]);
    }

    #[test]
    fn half_resolution_colour_is_a_note() {
        let outcome = Bench::new("[[print]]\nsize = \"8 x 10 in\"")
            .with(|f| f.jpeg.as_mut().unwrap().subsampling = "4:2:0".to_owned())
            .ask(check);
        let RuleOutcome::Failed(breaches) = outcome else { panic!("subsampling must be said") };
        assert_eq!(breaches[0].at_most, Some(Level::Note));
    }
}
