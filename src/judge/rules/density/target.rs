//! density.target: as many pixels as the paper can use.

use crate::brief::requirements::{DensityBasis, Level};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::rules::density::{DensityStatus, breach, status_at};
use crate::judge::rules::phrases::limit_words;
use crate::units::{Ppi, show};
use num_rational::Ratio;

/// Pixels per halftone line below which a note is due. Source: printers' guides give 1.3 to 2.
const RULING_FACTOR_NOTE: Ratio<i128> = Ratio::new_raw(3, 2);
/// Steps per lpi in which a ruling is turned into a density.
const RULING_STEPS: f64 = 1000.0;

pub static RULE: Rule = Rule {
    id: "density.target",
    group: RuleGroup::Density,
    title: "Pixels below target",
    question: "Does the picture have the target pixels per inch at the printed size?",
    level: Level::Should,
    why: "with fewer pixels the print loses its finest detail",
    page: "Measured as for density.minimum, and compared with the brief's target. Without one the target is 300 ppi, \
           or follows from the halftone ruling (twice the ruling, at most 300 ppi) or from the viewing distance (8732 \
           divided by the centimetres, kept between 150 and 300 ppi), whichever is lower. One pixel on each axis and \
           1 % are within tolerance. Fewer than one and a half pixels per halftone line are a note.",
    fix: "Export again from the original at the pixels that the finding names, without enlarging. If the original has \
          too few, print smaller or accept it.",
    misses: "It counts pixels, not detail: an enlarged or a soft picture passes. detail.enlarged and detail.focus look \
             for those.",
    keys: &["density.target", "density.ruling", "density.distance"],
    source: "300 ppi: photographers' delivery guidelines; 1.3 to 2 x ruling: the same; 8732 divided by the \
             distance in cm: one pixel an arc minute",
    samples: RuleExamples {
        passes: "2400 x 3000 px at 8 x 10 in (300 ppi); 300 ppi required",
        fails: "2200 x 2750 px at 8 x 10 in (275 ppi); 300 ppi required",
    },
    unit: "ppi",
    depends_on: Dependence::Print,
    silences: &[],
    uses: RuleUses { column: Some(TableColumn::Density), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let density = &case.print.requirements.density;
    match status_at(case, density.target) {
        None => RuleOutcome::NotChecked("the picture has no pixels".to_owned()),
        Some(DensityStatus::Under) => {
            let because = match (density.basis, density.ruling_lpi) {
                (DensityBasis::Ruling, Some(lpi)) => format!(" for {lpi} lpi"),
                (DensityBasis::Distance, _) => " for its viewing distance".to_owned(),
                _ => String::new(),
            };
            RuleOutcome::failed(breach(case, density.target, |shown| {
                format!("{}{because}", limit_words(case.print, "density.target", shown))
            }))
        }
        Some(standing) => match (ruling_note(case), standing) {
            (Some(note), _) => RuleOutcome::failed(note),
            (None, DensityStatus::Nearly(words)) => RuleOutcome::WithinTolerance(words),
            (None, _) => RuleOutcome::Passed,
        },
    }
}

/// Returns a note if the target is too low for the ruling: that is the brief's choice.
fn ruling_note(case: &Case) -> Option<Breach> {
    let lpi = case.print.requirements.density.ruling_lpi?;
    let fit = case.placement.fit.as_ref()?;
    let ruling = Ratio::new((lpi * RULING_STEPS).round() as i128, RULING_STEPS as i128);
    let lowest = Ppi::from_ratio(ruling * RULING_FACTOR_NOTE)?;
    if fit.density >= lowest {
        return None;
    }
    let (have, lowest_shown) = show::ppi_apart(fit.density, lowest);
    Some(Breach {
        about: "ruling".to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((fit.density.as_f64(), lowest.as_f64())),
        short: have.clone(),
        found: format!("{have} for a halftone of {lpi} lpi; usual: at least {lowest_shown} ppi"),
        fix: format!(
            "export from the original at {} (twice the ruling), without enlarging",
            show::pixels(case.placement.needed_px(lowest.times(Ratio::new(4, 3))))
        ),
        ..Breach::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, abouts};

    #[test]
    fn three_hundred_is_the_target_unless_the_brief_has_another() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.with_px(2400, 3000).ask(check), RuleOutcome::Passed);
        assert!(matches!(bench.with_px(2376, 2970).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.with_px(2375, 2969).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn a_wall_print_seen_from_afar_needs_less() {
        // 8732 / 50 cm = 174.6 ppi (one pixel an arc minute; arithmetic).
        let bench = RuleBench::new("[density]\ndistance = \"50 cm\"\n[[print]]\nsize = \"10 x 10 in\"");
        assert_eq!(bench.with_px(1747, 1747).ask(check), RuleOutcome::Passed);
        assert!(matches!(bench.with_px(1700, 1700).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn too_few_pixels_for_the_ruling_are_a_note() {
        let bench =
            RuleBench::new("[density]\nruling = \"150 lpi\"\ntarget = \"200 ppi\"\n[[print]]\nsize = \"10 x 10 in\"");
        assert_eq!(bench.with_px(2250, 2250).ask(check), RuleOutcome::Passed);
        let outcome = bench.with_px(2249, 2249).ask(check);
        assert_eq!(abouts(&outcome), ["ruling"]);
    }
}
