//! density.tag: the stored resolution tag.

use num_rational::Ratio;

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::density::{DensityStatus, status_at};
use crate::units::{Length, Ppi, Size, show};

/// Largest difference of the tag from the effective density: 1 %. Source: rounding of px/cm and px/m tags; ours.
const WITHIN: f64 = 0.01;
/// Difference allowed in any case: 1 ppi, since dialogs take whole numbers and both are shown as whole numbers.
const WITHIN_PPI: f64 = 1.0;

pub static RULE: Rule = Rule {
    id: "density.tag",
    group: RuleGroup::Density,
    title: "Resolution tag differs",
    question: "Does the resolution tag match the printed size?",
    level: Level::Note,
    why: "some programs place a picture at the size its tag gives",
    page: "The tag (Exif, JFIF, TIFF or PNG) is compared with the pixels per inch at the printed size. A difference of \
           1 % or 1 ppi is within tolerance. A file without a tag is not checked, nor is one with too few pixels: it \
           has to be exported again anyway.",
    fix: "Type the pixels per inch that the finding names into the export dialog. The pixels stay as they are.",
    misses: "It does not know whether the printer's software reads the tag. Many programs ignore it.",
    keys: &[],
    source: "delivery guides for photographers: the tag is harmless but confuses; the tolerance is ours",
    samples: RuleExamples {
        passes: "2400 x 3000 px for 8 x 10 in, tagged 300 ppi",
        fails: "2400 x 3000 px for 8 x 10 in, tagged 72 ppi",
    },
    unit: "ppi",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn export_setting(print: &Print) -> Option<ExportSetting> {
    let target = show::ppi(print.requirements.density.target);
    Some(ExportSetting::of(print, "density.target", "resolution", target))
}

fn check(case: &Case) -> RuleOutcome {
    let Some((across, down)) = case.facts.upright_resolution() else { return RuleOutcome::NotRequired };
    let Some(fit) = case.placement.fit.as_ref() else { return RuleOutcome::NotRequired };
    let density = fit.density.as_f64();
    // The fix for that makes another file, with another tag.
    if fit.density < case.print.requirements.density.minimum {
        return RuleOutcome::NotRequired;
    }
    let near = |tag: f64| (tag - density).abs() <= WITHIN_PPI.max(WITHIN * density);
    if near(across) && near(down) {
        return RuleOutcome::Passed;
    }
    let tag = if across.round() == down.round() {
        format!("{across:.0} ppi")
    } else {
        format!("{across:.0} x {down:.0} ppi")
    };
    let by_tag = size_by_tag(case, (across, down)).map_or_else(String::new, |size| format!(" ({})", size.show()));
    RuleOutcome::failed(Breach {
        numbers: Some((across, density)),
        short: format!("tagged {tag}"),
        found: format!("tagged {tag}{by_tag}; usual: {} for the printed size", show::ppi(fit.density)),
        fix: fix(case, fit.density),
        ..Breach::default()
    })
}

/// Returns the resolution to type, and where the picture has fewer pixels than the target, that of the target too.
fn fix(case: &Case, density: Ppi) -> String {
    let target = case.print.requirements.density.target;
    let typed = format!("type {} into the export dialog's resolution field", show::ppi(density));
    match status_at(case, target) {
        Some(DensityStatus::Under) => format!(
            "{typed} for these pixels\nor type {} if you export again at {}",
            show::ppi(target),
            show::pixels(case.placement.needed_px(target))
        ),
        _ => typed,
    }
}

/// Returns the size by the tag, in the unit of the print.
fn size_by_tag(case: &Case, tag: (f64, f64)) -> Option<Size> {
    let (w, h) = case.facts.upright_px();
    Some(Size::new(length_by_tag(w, tag.0)?, length_by_tag(h, tag.1)?, case.print.size.unit))
}

/// Returns the length of this many pixels by a tag.
pub(crate) fn length_by_tag(px: u32, tag_ppi: f64) -> Option<Length> {
    /// Steps per ppi in which a tag is calculated.
    const TAG_STEPS: f64 = 100_000.0;
    let ppi = Ppi::from_ratio(Ratio::new((tag_ppi * TAG_STEPS).round() as i128, TAG_STEPS as i128))?;
    Some(ppi.length_of(px))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;
    use crate::picture::facts::{Orientation, ResolutionTag};

    #[test]
    fn the_tag_is_advice_within_one_per_cent() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        let tagged =
            |ppi: f64| bench.with(|f| f.resolution_tag = Some(ResolutionTag { x_ppi: ppi, y_ppi: ppi })).ask(check);
        assert_eq!(tagged(300.0), RuleOutcome::Passed);
        assert_eq!(tagged(297.0), RuleOutcome::Passed);
        assert!(matches!(tagged(296.9), RuleOutcome::Failed(_)));
        assert_eq!(bench.with(|f| f.resolution_tag = None).ask(check), RuleOutcome::NotRequired);
    }

    #[test]
    fn where_more_pixels_are_due_their_number_is_there_too() {
        let tagged = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").with_px(2000, 2500);
        let tagged = tagged.with(|f| f.resolution_tag = Some(ResolutionTag { x_ppi: 72.0, y_ppi: 72.0 }));
        let RuleOutcome::Failed(breaches) = tagged.ask(check) else { panic!("it says 72") };
        assert_eq!(
            breaches[0].fix,
            "type 250 ppi into the export dialog's resolution field for these pixels\n\
             or type 300 ppi if you export again at 2400 x 3000 px"
        );
    }

    #[test]
    fn a_low_density_and_its_tag_are_compared_as_whole_numbers() {
        let bench = RuleBench::new("[density]\ntarget = \"30 ppi\"\n[[print]]\nsize = \"8 x 10 in\"").with_px(243, 304);
        let tagged =
            |ppi: f64| bench.with(|f| f.resolution_tag = Some(ResolutionTag { x_ppi: ppi, y_ppi: ppi })).ask(check);
        // 30.375 ppi is shown, and advised, as 30.
        assert_eq!(tagged(30.0), RuleOutcome::Passed);
        assert!(matches!(tagged(29.0), RuleOutcome::Failed(_)));
    }

    #[test]
    fn the_size_by_the_tag_is_said() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        let outcome = bench.with(|f| f.resolution_tag = Some(ResolutionTag { x_ppi: 72.0, y_ppi: 72.0 })).ask(check);
        let RuleOutcome::Failed(breaches) = outcome else { panic!("72 ppi must be said") };
        assert_eq!(breaches[0].found, "tagged 72 ppi (33.333 x 41.667 in); usual: 300 ppi for the printed size");
    }

    #[test]
    fn a_picture_on_its_side_has_its_tag_turned() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        let turned = bench.with(|f| {
            (f.width_px, f.height_px) = (3000, 2400);
            f.orientation = Orientation::from_tag(6).unwrap();
            f.resolution_tag = Some(ResolutionTag { x_ppi: 300.0, y_ppi: 300.0 });
        });
        assert_eq!(turned.ask(check), RuleOutcome::Passed);
    }
}
