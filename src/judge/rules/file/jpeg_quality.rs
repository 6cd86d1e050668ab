//! file.jpeg_quality: the quality derived from the quantisation tables.

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::file::format::export_format;
use crate::judge::rules::phrases::limit_words;
use crate::picture::facts::Format;

/// Largest error of an estimate from foreign tables. Source: our own trial over 100 qualities; exact for tables that
/// are scalings of Annex K.
const ESTIMATE_WITHIN: u32 = 3;

pub static RULE: Rule = Rule {
    id: "file.jpeg_quality",
    group: RuleGroup::File,
    title: "JPEG quality too low",
    question: "Was the JPEG saved at a quality that is good enough for print?",
    level: Level::Should,
    why: "low quality prints as blocks in skies and fringes along edges",
    page: "The quality is worked out from the quantisation tables, on the usual scale of 1 to 100. It is exact where \
           the tables are the standard's own, scaled. Where they are not, it is the nearest, shown with \"about\", and \
           up to 3 below the limit is within tolerance. Your editor may count on another scale. Colour stored at less \
           than full resolution (4:2:0 or 4:2:2) is a note.",
    fix: "Export again from the original at the required quality or higher. Saving the same file again brings no \
          detail back.",
    misses: "It sees the last save only. What an earlier save at a lower quality took away is a matter of \
             detail.blocks.",
    keys: &["file.jpeg_quality"],
    source: "tables: ITU-T T.81 Annex K and the Independent JPEG Group's scaling; the limit of 90: common practice, \
             nothing published",
    samples: RuleExamples { passes: "quality 92; at least 90 required", fails: "quality 75; at least 90 required" },
    unit: "quality",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { column: Some(TableColumn::File), export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn export_setting(print: &Print) -> Option<ExportSetting> {
    (export_format(print) == Some(Format::Jpeg)).then(|| {
        let quality = print.requirements.file.jpeg_quality;
        let value = format!("{quality} of 100 or higher, with 4:4:4 colour if your editor offers it");
        ExportSetting::of(print, "file.jpeg_quality", "quality", value)
    })
}

fn check(case: &Case) -> RuleOutcome {
    let Some(jpeg) = &case.facts.jpeg else { return RuleOutcome::NotRequired };
    let (quality, required) = (u32::from(jpeg.quality), case.print.requirements.file.jpeg_quality);
    let about = if jpeg.is_exact { "" } else { "about " };
    let mut breaches = Vec::new();
    let within = if jpeg.is_exact { 0 } else { ESTIMATE_WITHIN };
    if quality + within < required {
        breaches.push(Breach {
            about: "quality".to_owned(),
            numbers: Some((f64::from(quality), f64::from(required))),
            short: format!("quality {quality}"),
            found: format!(
                "quality {about}{quality} of 100; {}",
                limit_words(case.print, "file.jpeg_quality", &format!("at least {required}"))
            ),
            fix: format!("export again from the original at quality {required} or higher"),
            is_fixed_by_export: true,
            ..Breach::default()
        });
    }
    if !matches!(jpeg.subsampling.as_str(), "4:4:4" | "grey") {
        breaches.push(Breach {
            about: "subsampling".to_owned(),
            at_most: Some(Level::Note),
            short: format!("{} colour", jpeg.subsampling),
            found: format!("colour stored at reduced resolution ({}); usual: 4:4:4", jpeg.subsampling),
            fix: full_colour(case),
            cause: "colour stored at reduced resolution".to_owned(),
            is_fixed_by_export: true,
            ..Breach::default()
        });
    }
    if breaches.is_empty() && quality < required {
        return RuleOutcome::WithinTolerance(format!(
            "quality about {quality} for {required}: the estimate may be {ESTIMATE_WITHIN} off"
        ));
    }
    RuleOutcome::of(breaches)
}

/// Returns the advice for colour at full resolution: another JPEG, or another format that the brief allows.
fn full_colour(case: &Case) -> String {
    let formats = &case.print.requirements.file.formats;
    let lossless = [Format::Tiff, Format::Png].into_iter().find(|format| formats.contains(&format.word()));
    let other = lossless.map_or_else(String::new, |format| format!("\nor export it as {}", format.name()));
    format!("export with 4:4:4 colour (no chroma subsampling), if your editor offers it{other}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, abouts};

    fn saved_at(quality: u8, exact: bool) -> RuleOutcome {
        RuleBench::new("[[print]]\nsize = \"8 x 10 in\"")
            .with(|f| {
                let jpeg = f.jpeg.as_mut().unwrap();
                jpeg.quality = quality;
                jpeg.is_exact = exact;
            })
            .ask(check)
    }

    #[test]
    fn exact_tables_have_no_tolerance() {
        assert_eq!(saved_at(91, true), RuleOutcome::Passed);
        assert_eq!(saved_at(90, true), RuleOutcome::Passed);
        assert_eq!(abouts(&saved_at(89, true)), ["quality"]);
    }

    #[test]
    fn estimates_are_within_tolerance_up_to_three() {
        assert!(matches!(saved_at(87, false), RuleOutcome::WithinTolerance(_)));
        assert_eq!(abouts(&saved_at(86, false)), ["quality"]);
    }

    #[test]
    fn half_resolution_colour_is_a_note() {
        let outcome = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"")
            .with(|f| f.jpeg.as_mut().unwrap().subsampling = "4:2:0".to_owned())
            .ask(check);
        let RuleOutcome::Failed(breaches) = outcome else { panic!("subsampling must be said") };
        assert_eq!(breaches[0].at_most, Some(Level::Note));
    }
}
