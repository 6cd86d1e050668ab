//! colour.ink: more total ink than the paper takes.

use crate::brief::Print;
use crate::brief::requirements::{Level, Space};
use crate::judge::metrics::ink;
use crate::judge::metrics::ink::AREA_MM;
use crate::judge::metrics::whereabouts;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases;
use crate::measure::evidence::INK_STEPS;
use crate::picture::facts::ColourModel;
use crate::units::{Share, show};

/// Total ink that deserves a note where neither brief nor stock gives a limit. Source: common practice, no source: the
/// usual limit of coated sheets.
const USUAL_PERCENT: i128 = 300;

pub static RULE: Rule = Rule {
    id: "colour.ink",
    group: RuleGroup::Colour,
    title: "Too much ink",
    question: "Is its total ink within what the paper takes?",
    level: Level::Must,
    why: "too much ink dries badly, marks the next sheet and blocks up shadows",
    page: "Only CMYK files are checked. The four inks are added up in every pixel and averaged over squares of 10 mm \
           on paper. The fullest square may hold as much as the brief's ink_limit, or the usual limit of the paper \
           stock. Without either, more than 300 % is a note.",
    fix: "Convert the original again, to a CMYK profile that keeps its total ink within the limit. Do not lower the \
          black in the finished file.",
    misses: "The ink of an RGB file is unknown until the printer converts it. Thin lines and patches smaller than 10 \
             mm may hold more ink and still pass.",
    keys: &["paper.ink_limit", "paper.stock", "print.size"],
    source: "limits of published press conditions, as for paper.ink_limit; 10 mm: common practice, nothing published",
    samples: RuleExamples { passes: "a night scene converted to a 300 % profile", fails: "338 % in a pan's shadow" },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

/// Only CMYK has an amount of ink before the printer converts it.
fn export_setting(print: &Print) -> Option<ExportSetting> {
    let required = &print.requirements;
    let limit = required.paper.ink_limit.filter(|_| required.colour.spaces.first() == Some(&Space::Cmyk))?;
    let value = format!("at most {}, by the CMYK profile that you convert to", show::share(limit));
    Some(ExportSetting::of(print, "paper.ink_limit", "total ink", value))
}

fn check(case: &Case) -> RuleOutcome {
    if case.facts.model != ColourModel::Cmyk {
        return RuleOutcome::NotRequired;
    }
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let (Some(ink), Some(most)) = (&evidence.ink, case.metrics.ink_most) else {
        return RuleOutcome::NotChecked("its inks could not be measured".to_owned());
    };
    let limit = case.print.requirements.paper.ink_limit;
    let required = limit.unwrap_or_else(|| Share::percent(USUAL_PERCENT));
    let most = Share::measured(most);
    if most <= required {
        return RuleOutcome::Passed;
    }
    let (shown, limit_shown) = show::shares_apart(most, required);
    let over = Share::measured(ink::share_over(ink, required));
    let fields = ink.fields.placed().map(|(field, tenths)| {
        let share = f64::from(*tenths) / INK_STEPS as f64 / 100.0;
        (field, f64::from(u8::from(share > required.as_f64())))
    });
    let place = whereabouts::parenthesis(fields, case.subject.map(|subject| subject.area));
    let limit_words = phrases::limit_words(case.print, "paper.ink_limit", &format!("at most {limit_shown}"));
    RuleOutcome::failed(Breach {
        at_most: limit.is_none().then_some(Level::Note),
        numbers: Some((most.as_f64(), required.as_f64())),
        short: format!("ink {shown}"),
        found: format!(
            "total ink reaches {shown} over {AREA_MM} mm; {} of the picture is above the limit{place}; {limit_words}",
            show::share(over)
        ),
        fix: format!("convert the original again, to a CMYK profile with a total ink of at most {limit_shown}"),
        is_fixed_by_export: true,
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;
    use crate::measure::Grid;
    use crate::measure::evidence::Ink;

    fn covered(brief: &str, tenths: u16) -> RuleOutcome {
        let mut percent = vec![0; 401];
        percent[usize::from(tenths / 10)] = 10_000;
        let ink = Ink { percent, fields: Grid::filled(100, 100, tenths), field_px: 24 };
        RuleBench::new(&format!("{brief}[[print]]\nsize = \"8 x 10 in\""))
            .with(|f| f.model = ColourModel::Cmyk)
            .evidence(|e| e.ink = Some(ink))
            .ask(check)
    }

    #[test]
    fn the_brief_gives_the_limit() {
        let coated = "[paper]\nstock = \"coated\"\nink_limit = \"320 %\"\n";
        assert_eq!(covered(coated, 3_200), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = covered(coated, 3_380) else { panic!("too much") };
        assert_eq!((breaches[0].at_most, breaches[0].short.as_str()), (None, "ink 338 %"));
        assert_eq!(
            breaches[0].found,
            "total ink reaches 338 % over 10 mm; 100 % of the picture is above the limit, all over; at most 320 % \
             required"
        );
    }

    #[test]
    fn without_a_limit_it_is_a_note_and_rgb_is_not_checked() {
        assert!(matches!(covered("", 3_010), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
        assert_eq!(covered("", 3_000), RuleOutcome::Passed);
        assert_eq!(RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotRequired);
    }
}
