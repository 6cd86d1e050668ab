//! margins.bleed: finished size, with or without bleed.

use num_rational::Ratio;

use crate::brief::requirements::{Edge, Level};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::finding::FixNumbers;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::placement::{Fit, Placement};
use crate::judge::rules::density;
use crate::judge::rules::density::tag::length_by_tag;
use crate::judge::rules::phrases;
use crate::units::{Length, LengthUnit, Share, Size, show};

/// Largest difference from the required length: 0.2 mm, since 3 mm and 1/8 in are often taken for one another. Source:
/// ours, from that difference.
const LENGTH_WITHIN: Length = Length::from_um(200);
/// Largest difference from the required pixels on each axis: one, by rounding.
const PIXELS_WITHIN: u32 = 1;
/// Excess over the page with its bleed from which a picture was not made for a page of nearly this size: 5 %. Source:
/// ours; pages change late by some millimetres.
const NEARLY_PERCENT: i128 = 5;
/// Loss beyond the bleed that is within tolerance: 1 % of the picture, as in size.aspect. Source: ours.
const BEYOND_PERCENT: i128 = 1;

pub static RULE: Rule = Rule {
    id: "margins.bleed",
    group: RuleGroup::Margins,
    title: "Bleed missing",
    question: "Was it exported with bleed, not at the finished size?",
    level: Level::Should,
    why: "without bleed the smallest shift of the knife leaves a white edge",
    page: "The finished size, with and without bleed, is compared with the pixels at the target or the minimum \
           density, then with the size that the resolution tag gives, then with the aspect ratio. 0.2 mm and one pixel \
           are within tolerance. A picture that was made for a page of nearly this size, by its tag or its pixels, is \
           reported with what the crop takes on each side: it has at least the finished size, and is at most 5 % over \
           the page with its bleed. A crop of up to 1 % of the picture is within tolerance. Where nothing decides, a \
           note says that the bleed is unknown.",
    fix: "Export at the finished size plus bleed, with picture that may be cut away on every side.",
    misses: "It sees sizes only: whether the bleed holds real picture, or a stretched or mirrored edge, is not \
             checked.",
    keys: &["margins.edge", "margins.bleed", "margins.includes_bleed", "print.size"],
    source: "3 mm or 1/8 in a side: printers' guides agree; the tolerance is ours",
    samples: RuleExamples {
        passes: "2551 x 3142 px at 300 ppi for 210 x 260 mm with 3 mm bleed",
        fails: "2480 x 3071 px at 300 ppi for 210 x 260 mm with 3 mm bleed",
    },
    unit: "mm",
    depends_on: Dependence::Print,
    silences: &[&density::target::RULE, &density::tag::RULE],
    uses: RuleUses { concerns_printer: true, ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

/// The size that a picture was made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum MeantSize {
    WithBleed,
    FinishedSize,
}

fn check(case: &Case) -> RuleOutcome {
    let placement = case.placement;
    if case.print.requirements.margins.edge != Edge::Bleed || placement.outset.is_zero() {
        return RuleOutcome::NotRequired;
    }
    match by_pixels(case).or_else(|| by_tag(case)).or_else(|| by_aspect_ratio(case)) {
        Some(MeantSize::WithBleed) => RuleOutcome::Passed,
        Some(MeantSize::FinishedSize) => RuleOutcome::failed(breach(case)),
        None => for_another_page(case).unwrap_or_else(|| RuleOutcome::failed(unknown(case))),
    }
}

fn by_pixels(case: &Case) -> Option<MeantSize> {
    let density = &case.print.requirements.density;
    [density.target, density.minimum].into_iter().find_map(|ppi| {
        let (w, h) = case.facts.upright_px();
        let near = |size: Size| {
            ppi.pixels(size.width).abs_diff(w) <= PIXELS_WITHIN && ppi.pixels(size.height).abs_diff(h) <= PIXELS_WITHIN
        };
        only_one(near(case.placement.frame()), near(case.placement.finished))
    })
}

fn by_tag(case: &Case) -> Option<MeantSize> {
    let (across, down) = case.facts.upright_resolution()?;
    let (w, h) = case.facts.upright_px();
    let (w, h) = (length_by_tag(w, across)?, length_by_tag(h, down)?);
    let near = |size: Size| size.width.distance(w) <= LENGTH_WITHIN && size.height.distance(h) <= LENGTH_WITHIN;
    only_one(near(case.placement.frame()), near(case.placement.finished))
}

/// Decides by aspect ratio, if one pixel more or less of width and half a pixel of rounding cannot turn the one into
/// the other.
fn by_aspect_ratio(case: &Case) -> Option<MeantSize> {
    let (w, h) = case.facts.upright_px();
    let fits = |size: Size| {
        let down_over_across = Ratio::new(i128::from(size.height.nm()), i128::from(size.width.nm()));
        let off = Ratio::from_integer(i128::from(w)) * down_over_across - Ratio::from_integer(i128::from(h));
        let within = Ratio::from_integer(i128::from(PIXELS_WITHIN)) * down_over_across + Ratio::new(1, 2);
        off <= within && off >= -within
    };
    only_one(fits(case.placement.frame()), fits(case.placement.finished))
}

fn only_one(with_bleed: bool, finished: bool) -> Option<MeantSize> {
    match (with_bleed, finished) {
        (true, false) => Some(MeantSize::WithBleed),
        (false, true) => Some(MeantSize::FinishedSize),
        _ => None,
    }
}

fn breach(case: &Case) -> Breach {
    let placement = case.placement;
    Breach {
        numbers: Some((0.0, widest_bleed(placement).mm())),
        short: "no bleed".to_owned(),
        found: format!(
            "finished size without bleed, {}: it would have to be enlarged {} to cover the bleed; {}",
            placement.finished.show(),
            enlarged_by(placement),
            bleed_words(case)
        ),
        fix: export(case),
        fix_numbers: fix_numbers(case),
        ..Breach::default()
    }
}

/// Returns the bleed as a limit, in words: `3 mm of bleed required`.
fn bleed_words(case: &Case) -> String {
    let bleed = show::length(widest_bleed(case.placement), case.print.requirements.margins.unit);
    phrases::limit_words(case.print, "margins.bleed", &format!("{bleed} of bleed"))
}

/// Returns the widest bleed required.
fn widest_bleed(placement: &Placement) -> Length {
    placement.outset.each().into_iter().max().unwrap_or_default()
}

/// Returns the pixels with bleed at the wanted density.
fn fix_numbers(case: &Case) -> FixNumbers {
    let wanted = case.placement.needed_px(case.print.requirements.density.target);
    FixNumbers { exports: vec![wanted], ..FixNumbers::default() }
}

/// Returns the numbers for the export dialog.
fn export(case: &Case) -> String {
    let wanted = case.print.requirements.density.target;
    format!(
        "export at {} ({} with bleed, {}), with picture that may be cut away",
        show::pixels(case.placement.needed_px(wanted)),
        case.placement.frame().show(),
        show::ppi(wanted)
    )
}

fn unknown(case: &Case) -> Breach {
    Breach {
        about: "unknown".to_owned(),
        at_most: Some(Level::Note),
        short: "bleed unknown".to_owned(),
        found: format!(
            "neither pixels, resolution tag nor aspect ratio shows whether it has bleed; {}",
            bleed_words(case)
        ),
        fix: export(case),
        fix_numbers: fix_numbers(case),
        ..Breach::default()
    }
}

/// Returns the outcome for a picture made for a page of nearly this size.
fn for_another_page(case: &Case) -> Option<RuleOutcome> {
    let placement = case.placement;
    let frame = placement.frame();
    let fit = placement.fit.as_ref()?;
    let made = page_of_tag(case)?;
    let unit = case.print.requirements.margins.unit;
    let nearly = |more: Length, less: Length| more + LENGTH_WITHIN >= less;
    let covers = nearly(made.width, frame.width) && nearly(made.height, frame.height);
    let lost_there = lost_words(fit, unit);
    if covers && fit.lost <= Share::percent(BEYOND_PERCENT) {
        return Some(RuleOutcome::WithinTolerance(format!("it has bleed; the crop takes {lost_there}")));
    }
    let made_words = format!("made for {}", made.show());
    let numbers = |measured: Length, required: Length| Some((measured.mm(), required.mm()));
    let fix = format!("{}\nor correct the size in the brief, if the page is another size now", export(case));
    if covers {
        let lost = fit.lost_lengths.into_iter().max().unwrap_or_default();
        return Some(RuleOutcome::failed(Breach {
            numbers: numbers(lost, Length::ZERO),
            short: "other page size".to_owned(),
            found: format!(
                "{made_words}: beyond the bleed the crop takes {lost_there}; {}",
                phrases::limit_words(case.print, "margins.bleed", &format!("{} with bleed", frame.show()))
            ),
            fix,
            fix_numbers: fix_numbers(case),
            ..Breach::default()
        }));
    }
    let half = |made: Length, finished: Length| (made - finished).at_least_zero().scaled(Ratio::new(1, 2));
    let has = half(made.width, placement.finished.width).min(half(made.height, placement.finished.height));
    (!case.print.requirements.margins.bleed.differ()).then(|| {
        RuleOutcome::failed(Breach {
            numbers: numbers(has, widest_bleed(placement)),
            short: "too little bleed".to_owned(),
            found: format!(
                "{made_words}: {} of bleed on this page; {}",
                show::length(round(has, unit), unit),
                bleed_words(case)
            ),
            fix,
            fix_numbers: fix_numbers(case),
            ..Breach::default()
        })
    })
}

/// Returns the size for which a picture was made, if that is nearly this page's: by its tag, or by its pixels at the
/// wanted or the least density.
fn page_of_tag(case: &Case) -> Option<Size> {
    let (w, h) = case.facts.upright_px();
    let density = &case.print.requirements.density;
    let by_tag = || {
        let (across, down) = case.facts.upright_resolution()?;
        Some((length_by_tag(w, across)?, length_by_tag(h, down)?))
    };
    let by_pixels = [density.target, density.minimum].map(|ppi| (ppi.length_of(w), ppi.length_of(h)));
    let (finished, frame) = (case.placement.finished, case.placement.frame());
    let nearly = |length: Length, finished: Length, frame: Length| {
        let most = frame.scaled(Ratio::new(100 + NEARLY_PERCENT, 100));
        length + LENGTH_WITHIN >= finished && length <= most
    };
    let found = by_tag().into_iter().chain(by_pixels).find(|(width, height)| {
        nearly(*width, finished.width, frame.width) && nearly(*height, finished.height, frame.height)
    });
    let unit = case.print.requirements.margins.unit;
    found.map(|(width, height)| Size::new(round(width, unit), round(height, unit), finished.unit))
}

/// Returns the length cropped from each side, in words.
fn lost_words(fit: &Fit, unit: LengthUnit) -> String {
    let [top, right, ..] = fit.lost_lengths;
    let (lost, one, other) = if top > right { (top, "top", "bottom") } else { (right, "left", "right") };
    format!("{} off the {one} and off the {other}", show::length(round(lost, unit), unit))
}

/// Rounds a length to a tenth of a millimetre, or a hundredth of an inch.
fn round(length: Length, unit: LengthUnit) -> Length {
    const TENTH_MM: Length = Length::from_um(100);
    const HUNDREDTH_INCH: Length = Length::from_um(254);
    let step = if unit.is_of_inches() { HUNDREDTH_INCH } else { TENTH_MM };
    (length + step.scaled(Ratio::new(1, 2))).floor_to(step)
}

/// Returns the enlargement by which the finished size covers the bleed, on the axis that needs more.
fn enlarged_by(placement: &Placement) -> String {
    let (finished, frame) = (placement.finished, placement.frame());
    let grows =
        |frame: Length, finished: Length| Ratio::new(i128::from((frame - finished).nm()), i128::from(finished.nm()));
    let most = grows(frame.width, finished.width).max(grows(frame.height, finished.height));
    show::share(Share::from_ratio(most))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;
    use crate::picture::facts::ResolutionTag;

    const PAGE: &str = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\n\
                        [[print]]\nsize = \"210 x 260 mm\"";

    fn tagged(bench: &RuleBench, w: u32, h: u32, ppi: Option<f64>) -> RuleOutcome {
        bench
            .with_px(w, h)
            .with(|f| f.resolution_tag = ppi.map(|ppi| ResolutionTag { x_ppi: ppi, y_ppi: ppi }))
            .ask(check)
    }

    #[test]
    fn pixels_at_the_target_density_decide() {
        let page = RuleBench::new(PAGE);
        assert_eq!(tagged(&page, 2551, 3142, None), RuleOutcome::Passed);
        assert_eq!(tagged(&page, 2552, 3142, None), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = tagged(&page, 2480, 3071, None) else {
            panic!("the finished size must fail")
        };
        assert_eq!(
            breaches[0].found,
            "finished size without bleed, 210 x 260 mm: it would have to be enlarged 2.9 % to cover the bleed; \
             3 mm of bleed required"
        );
        assert!(breaches[0].fix.starts_with("export at 2551 x 3142 px (216 x 266 mm with bleed, 300 ppi)"));
    }

    #[test]
    fn the_tag_decides_where_pixels_do_not() {
        let page = RuleBench::new(PAGE);
        // 216 x 266 mm and 210 x 260 mm at 360 ppi.
        assert_eq!(tagged(&page, 3061, 3770, Some(360.0)), RuleOutcome::Passed);
        assert!(matches!(tagged(&page, 2976, 3685, Some(360.0)), RuleOutcome::Failed(_)));
    }

    #[test]
    fn an_eighth_of_an_inch_passes_for_three_millimetres() {
        // 8.5 x 10.5 in of picture: 215.9 x 266.7 mm against 216 x 266 mm is too far; 216.35 x 266.35 is not.
        let page = RuleBench::new(PAGE);
        assert_eq!(tagged(&page, 3066, 3775, Some(360.0)), RuleOutcome::Passed);
    }

    #[test]
    fn the_aspect_ratio_decides_last_and_may_not_know() {
        let page = RuleBench::new(PAGE);
        assert_eq!(tagged(&page, 4320, 5320, Some(72.0)), RuleOutcome::Passed);
        assert!(matches!(tagged(&page, 4200, 5200, Some(72.0)), RuleOutcome::Failed(_)));
        let square = RuleBench::new(&PAGE.replace("210 x 260", "200 x 200"));
        for outcome in [tagged(&page, 4000, 6000, Some(72.0)), tagged(&square, 3000, 3000, Some(72.0))] {
            let RuleOutcome::Failed(breaches) = outcome else { panic!("it is unknown") };
            assert_eq!((breaches[0].short.as_str(), breaches[0].at_most), ("bleed unknown", Some(Level::Note)));
        }
    }

    /// A page that was 170 x 220 mm when its pictures were exported with 3 mm bleed: 176 x 226 mm.
    fn late(size: &str, tag: Option<f64>) -> RuleOutcome {
        tagged(&RuleBench::new(&PAGE.replace("210 x 260 mm", size)), 2079, 2669, tag)
    }

    #[test]
    fn a_late_smaller_page_is_reported_with_what_the_crop_takes_on_each_side() {
        for tag in [None, Some(300.0), Some(72.0)] {
            let RuleOutcome::Failed(breaches) = late("165 x 220 mm", tag) else { panic!("2.5 mm go at each side") };
            assert_eq!((breaches[0].short.as_str(), breaches[0].at_most), ("other page size", None));
            assert_eq!(
                breaches[0].found,
                "made for 176 x 226 mm: beyond the bleed the crop takes 2.5 mm off the left and off the right; \
                 171 x 226 mm with bleed required"
            );
            assert!(breaches[0].fix.starts_with("export at 2020 x 2669 px (171 x 226 mm with bleed, 300 ppi)"));
        }
        let RuleOutcome::Failed(breaches) = late("170 x 212 mm", None) else { panic!("4 mm go at each end") };
        assert!(breaches[0].found.contains("4 mm off the top and off the bottom"), "{}", breaches[0].found);
    }

    #[test]
    fn a_page_a_trifle_smaller_still_has_its_bleed() {
        // 1 mm less of 176: 0.57 % of the picture.
        let late_by_one = late("169 x 220 mm", Some(300.0));
        assert!(matches!(late_by_one, RuleOutcome::WithinTolerance(found) if found.contains("0.5 mm off the left")));
        // 2 mm less: 1.1 %.
        assert!(matches!(late("168 x 220 mm", Some(300.0)), RuleOutcome::Failed(_)));
    }

    #[test]
    fn a_late_larger_page_has_too_little_bleed() {
        let RuleOutcome::Failed(breaches) = late("175 x 220 mm", Some(300.0)) else {
            panic!("half a millimetre is left")
        };
        assert_eq!((breaches[0].short.as_str(), breaches[0].at_most), ("too little bleed", None));
        let found = &breaches[0].found;
        assert!(found.ends_with(": 0.5 mm of bleed on this page; 3 mm of bleed required"), "{found}");
    }

    #[test]
    fn without_bleed_nothing_is_required() {
        assert_eq!(RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotRequired);
    }
}
