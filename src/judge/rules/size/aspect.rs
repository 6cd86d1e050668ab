//! size.aspect: the picture's aspect ratio against the print's.

use num_rational::Ratio;

use crate::brief::Crop;
use crate::brief::requirements::{Edge, Level};
use crate::judge::metrics::crop::CropPlan;
use crate::judge::metrics::cut_lines::Rectangle;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::finding::FixNumbers;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::placement::Fit;
use crate::judge::rules::phrases::{
    FIX_LINES, OTHER_SIDES, can_be_extended, join_with_and, other_way, printed_size, shape,
};
use crate::units::{Length, LengthUnit, Share, Size, show};

/// Share of the area whose loss is within tolerance: 1 %. Source: ours; sizes of a series differ by that much.
const TOLERANCE_PERCENT: i128 = 1;

pub static RULE: Rule = Rule {
    id: "size.aspect",
    group: RuleGroup::Size,
    title: "Aspect ratio differs",
    question: "Does the picture have the aspect ratio of its print?",
    level: Level::Should,
    why: "somebody else crops it, and heads, rims and handles go first",
    page: "The picture is centred on the print and enlarged until it covers it, bleed included. What hangs over is \
           lost. One pixel, 1 % of the area, and what the bleed would take anyway are within tolerance. Where the \
           designer crops (crop = \"by the designer\") it is a note. With rotate = true the print is rotated if that \
           loses less. With fit = \"inside\" nothing is lost: the border is wider instead. With a subject's box the \
           suggested crop is moved by the least that keeps the box in the safe area; without one it is moved only \
           where that keeps at least 3 % more of what draws the eye.",
    fix: "Crop to the print's aspect ratio yourself. If nothing may go, extend the background, or ask for a print of \
          the picture's aspect ratio or for a white border.",
    misses: "It does not know what matters in the picture until you draw the subject's box. It assumes a centred crop; \
             the printer may crop differently.",
    keys: &[
        "print.size",
        "print.crop",
        "print.rotate",
        "margins.edge",
        "margins.bleed",
        "margins.border",
        "margins.fit",
        "margins.sides",
    ],
    source: "arithmetic: a 2:3 frame as 4:5 loses one sixth; the tolerance is ours",
    samples: RuleExamples {
        passes: "2400 x 3000 px for 8 x 10 in",
        fails: "2400 x 3600 px for 8 x 10 in: the crop loses 16.7 %",
    },
    unit: "share",
    depends_on: Dependence::Print,
    silences: &[],
    uses: RuleUses { column: Some(TableColumn::Shape), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(fit) = case.placement.fit.as_ref() else {
        return RuleOutcome::NotChecked("the picture has no pixels".to_owned());
    };
    let over_px = largest_overhang_px(fit);
    if over_px < Ratio::from_integer(1) {
        return RuleOutcome::Passed;
    }
    if let Some(words) = tolerance_words(case, fit, over_px) {
        return RuleOutcome::WithinTolerance(words);
    }
    let limit = Share::percent(TOLERANCE_PERCENT);
    let (lost, most) = show::shares_apart(fit.lost, limit);
    RuleOutcome::failed(Breach {
        // What may be lost at the sides was not accepted for top and bottom.
        about: cut_sides(fit).to_owned(),
        at_most: (case.print.crop == Crop::ByDesigner).then_some(Level::Note),
        numbers: Some((fit.lost.as_f64(), limit.as_f64())),
        short: format!("crop loses {lost}"),
        found: format!(
            "the picture is {}, the print {} ({}): a centred crop loses {lost}, {}{}; usual: at most {most}",
            picture_ratio(fit),
            shape(case.placement.frame()),
            printed_size(case.print, case.placement),
            sides(case, fit),
            subject_words(case.crop),
        ),
        fix: fix(case, fit, case.crop),
        fix_numbers: FixNumbers { exports: exports(case, fit), ..FixNumbers::default() },
        ..Breach::default()
    })
}

/// Returns the pixels cut off on the axis that is cut.
fn largest_overhang_px(fit: &Fit) -> Ratio<i128> {
    let over = |px: u32, window: Ratio<i128>| Ratio::from_integer(i128::from(px)) - window;
    over(fit.picture_px.0, fit.window_px.0).max(over(fit.picture_px.1, fit.window_px.1))
}

/// Returns the words for a loss that is within tolerance.
fn tolerance_words(case: &Case, fit: &Fit, over_px: Ratio<i128>) -> Option<String> {
    if over_px <= Ratio::from_integer(1) {
        return Some("the crop loses one pixel".to_owned());
    }
    let lost = show::share(fit.lost);
    if fit.lost <= Share::percent(TOLERANCE_PERCENT) {
        return Some(format!("the crop loses {lost}"));
    }
    // A wrap round a bar is not a bleed: it is seen.
    if case.print.requirements.margins.edge != Edge::Bleed {
        return None;
    }
    let bleed = case.placement.outset.each();
    let within = fit.lost_lengths.iter().zip(bleed).all(|(lost, bleed)| *lost <= bleed);
    within.then(|| format!("the crop loses {lost}, no more than the bleed would take"))
}

/// Returns the loss of each side, in per cent and on paper.
fn sides(case: &Case, fit: &Fit) -> String {
    let at = usize::from(fit.lost_sides[0] == Share::zero());
    let length = show::length(fit.lost_lengths[at], unit(case));
    format!("{} ({length}) each at {}", show::share(fit.lost_sides[at]), cut_sides(fit))
}

/// Names the two sides that a centred crop cuts.
fn cut_sides(fit: &Fit) -> &'static str {
    if fit.lost_sides[0] > Share::zero() { "top and bottom" } else { "left and right" }
}

fn unit(case: &Case) -> LengthUnit {
    case.print.size.unit
}

/// Returns the aspect ratio of the picture's pixels.
fn picture_ratio(fit: &Fit) -> String {
    let (w, h) = fit.picture_px;
    shape(Size::new(Length::from_nm(i64::from(w)), Length::from_nm(i64::from(h)), LengthUnit::Millimetre))
}

/// Returns what the print's aspect ratio leaves of the picture, in whole pixels: those of the target density where
/// they are the same but for rounding, so that one export has one number.
fn window_px(case: &Case, fit: &Fit) -> (u32, u32) {
    // Rounded up: a pixel less may be one too few for the density.
    let whole = |px: Ratio<i128>| u32::try_from(px.ceil().to_integer()).unwrap_or(u32::MAX);
    let (w, h) = (whole(fit.window_px.0), whole(fit.window_px.1));
    let needed = case.placement.needed_px(case.print.requirements.density.target);
    let is_near = |px: u32, needed: u32, has: u32| px.abs_diff(needed) <= 1 && needed <= has;
    let same = is_near(w, needed.0, fit.picture_px.0) && is_near(h, needed.1, fit.picture_px.1);
    if same { needed } else { (w, h) }
}

/// Returns the pixels to export at: the target's if the picture has as many, and the crop as it is.
fn exports(case: &Case, fit: &Fit) -> Vec<(u32, u32)> {
    let target = case.print.requirements.density.target;
    let scaled = (fit.density >= target).then(|| case.placement.needed_px(target));
    scaled.into_iter().chain([window_px(case, fit)]).collect()
}

fn fix(case: &Case, fit: &Fit, plan: Option<CropPlan>) -> String {
    let rotated = other_way(case.print, case.placement, |fit| fit.lost <= Share::percent(TOLERANCE_PERCENT));
    let extended = extension(case, fit).map(|more| format!("or extend the background by {more}"));
    let mut actions: Vec<String> = rotated.into_iter().chain([crop_words(case, fit, plan)]).chain(extended).collect();
    actions.push(uncut_words(case, fit));
    actions.truncate(FIX_LINES);
    actions.join("\n")
}

/// Returns the advice to crop, with the pixels to type and what to take off each side where that is not the same.
fn crop_words(case: &Case, fit: &Fit, plan: Option<CropPlan>) -> String {
    let target = case.print.requirements.density.target;
    let mut words = format!(
        "crop to {} of this file's {} ({})",
        show::pixels(window_px(case, fit)),
        show::pixels(fit.picture_px),
        shape(case.placement.frame())
    );
    let moved = plan.filter(|plan| plan.is_moved).and_then(|plan| plan.rectangle(case.placement));
    if let Some(window) = moved {
        words.push_str(&format!(", {}", window_words(case, fit, window)));
    }
    let needed = case.placement.needed_px(target);
    if fit.density >= target && needed != window_px(case, fit) {
        let comma = if moved.is_some() { "," } else { "" };
        words.push_str(&format!("{comma} and export at {} ({})", show::pixels(needed), show::ppi(target)));
    }
    words
}

/// Returns the advice for printing all of the picture.
fn uncut_words(case: &Case, fit: &Fit) -> String {
    let other_sides = case.placement.on_face_alone(case.print).and_then(|placement| placement.fit);
    match case.print.requirements.margins.edge {
        Edge::Border => {
            "or ask for a border that is wider on two sides: fit = \"inside\" below [margins] in the brief".to_owned()
        }
        Edge::Wrap if other_sides.is_some_and(|fit| fit.lost <= Share::percent(TOLERANCE_PERCENT)) => {
            format!("or {OTHER_SIDES}")
        }
        Edge::Wrap => format!("or ask for a print of {}", picture_ratio(fit)),
        Edge::Bleed | Edge::Borderless => {
            format!("or ask for a print of {}, or for a white border round the whole picture", picture_ratio(fit))
        }
    }
}

/// Returns words on whether the subject is clear of the crop.
fn subject_words(plan: Option<CropPlan>) -> &'static str {
    match plan.map(|plan| (plan.keeps_subject, plan.is_moved)) {
        Some((Some(true), false)) => ", and is clear of the subject",
        Some((Some(true), true)) => ", and brings the subject too near the edge",
        Some((Some(false), _)) => ", and no other crop keeps the subject clear of the edges",
        _ => "",
    }
}

/// Returns the best crop, by the loss at each side.
fn window_words(case: &Case, fit: &Fit, [left, top, right, bottom]: Rectangle) -> String {
    let across = fit.lost_sides[0] == Share::zero();
    let (names, lost) =
        if across { (["left", "right"], [left, 1.0 - right]) } else { (["top", "bottom"], [top, 1.0 - bottom]) };
    let side = |at: usize| {
        let lost = lost[at].max(0.0);
        let (share, length) =
            (Share::measured(lost), show::length(case.placement.length_on_paper(lost, across), unit(case)));
        (share > Share::zero()).then(|| format!("{} ({length}) off the {}", show::share(share), names[at]))
    };
    join_with_and(&[side(0), side(1)].into_iter().flatten().collect::<Vec<_>>())
}

/// Returns the pixels that the picture lacks for the print's aspect ratio with nothing cut off, if they are few enough.
fn extension(case: &Case, fit: &Fit) -> Option<String> {
    let frame = case.placement.frame();
    let (w, h) = fit.picture_px;
    let grown = |px: u32, this: Length, other: Length| -> u32 {
        let exact = Ratio::from_integer(i128::from(px)) * Ratio::new(i128::from(this.nm()), i128::from(other.nm()));
        u32::try_from(exact.ceil().to_integer()).unwrap_or(u32::MAX)
    };
    let (more, px, sides) = if fit.lost_sides[0] > Share::zero() {
        (grown(h, frame.width, frame.height).saturating_sub(w), w, "left and right")
    } else {
        (grown(w, frame.height, frame.width).saturating_sub(h), h, "top and bottom")
    };
    can_be_extended(more, px).then(|| format!("{} px each at {sides}", more.div_ceil(2)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, brief, sound_submission};
    use crate::judge::{Row, judge};

    #[test]
    fn a_print_of_one_orientation_is_rotated_first_where_that_loses_less() {
        let page = |px: (u32, u32)| {
            RuleBench::new("[[print]]\nsize = \"8 x 10 in\"\nrotate = false").with_px(px.0, px.1).ask(check)
        };
        let RuleOutcome::Failed(breaches) = page((3000, 2400)) else { panic!("it loses a third") };
        let fix = &breaches[0].fix;
        let rotated = "rotate the print, if the layout allows it: rotate = true in the brief (10 x 8 in at 300 ppi, \
                       the crop loses nothing)\ncrop to 1920 x 2400 px of this file's 3000 x 2400 px (4:5)";
        assert!(fix.starts_with(rotated), "{fix}");
        // Rotated it would lose 19.7 % instead of 20.3: that fixes nothing.
        let RuleOutcome::Failed(breaches) = page((3000, 2990)) else { panic!("it loses a fifth") };
        assert!(breaches[0].fix.starts_with("crop to"), "{}", breaches[0].fix);
        let RuleOutcome::Failed(breaches) = page((2400, 3600)) else { panic!("it loses a sixth") };
        assert!(breaches[0].fix.starts_with("crop to"), "{}", breaches[0].fix);
    }

    #[test]
    fn two_to_three_as_four_to_five_loses_a_sixth() {
        // Source: arithmetic of the two ratios, 1 - (4/5) / ... = 1/6; given in every framing guide.
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.with_px(2400, 3000).ask(check), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = bench.with_px(2400, 3600).ask(check) else {
            panic!("a 2:3 frame must fail")
        };
        assert_eq!(breaches[0].short, "crop loses 16.7 %");
        assert_eq!(
            breaches[0].found,
            "the picture is 2:3, the print 4:5 (8 x 10 in): a centred crop loses 16.7 %, \
             8.3 % (1 in) each at top and bottom; usual: at most 1 %"
        );
        assert!(breaches[0].fix.contains("2400 x 3000 px of this file's 2400 x 3600 px"), "{}", breaches[0].fix);
    }

    #[test]
    fn the_crop_is_moved_so_that_the_subject_survives() {
        let bench = RuleBench::new("[margins]\nsafe = \"1/8 in\"\n[[print]]\nsize = \"8 x 10 in\"").with_px(2400, 3600);
        let said = |top: f64, bottom: f64| match bench.subject(0.2, top, 0.8, bottom).ask(check) {
            RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0),
            other => panic!("{other:?}"),
        };
        let subject = |found: &str| found.strip_suffix("; usual: at most 1 %").unwrap().to_owned();
        assert!(subject(&said(0.4, 0.6).found).ends_with("bottom, and is clear of the subject"));
        let low = said(0.5, 0.97);
        assert!(subject(&low.found).ends_with("bottom, and brings the subject too near the edge"));
        // Arithmetic: the box ends at 97 %, 1/8 of 12 in later the window: 0.97 + 0.0104 - 0.8333.
        assert!(low.fix.contains("3600 px (4:5), 14.7 % ("), "{}", low.fix);
        let tall = said(0.05, 0.95);
        assert!(subject(&tall.found).ends_with("bottom, and no other crop keeps the subject clear of the edges"));
    }

    fn fix_of(brief: &str, w: u32, h: u32) -> String {
        match RuleBench::new(brief).with_px(w, h).ask(check) {
            RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0).fix,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_crop_at_the_minimum_density_keeps_it() {
        let order = "[[print]]\nsize = \"8 x 10 in\"\nrotate = false";
        let row = |w| judge(&brief(order), &[sound_submission("a.jpg", w, 1782)]).rows.swap_remove(0);
        let has_too_few = |row: &Row| row.findings.iter().any(|finding| finding.rule.id == "density.minimum");
        assert!(!has_too_few(&row(1441)) && has_too_few(&row(1425)), "a picture on the edge");
        assert!(fix_of(order, 1441, 1782).contains("1426 x 1782 px of this file's"));
        assert!(!has_too_few(&row(1426)));
    }

    #[test]
    fn a_crop_that_differs_from_the_target_by_rounding_has_the_target_s_pixels() {
        // Arithmetic: 111 x 136 mm at 300 ppi are 1311 x 1606.3 px.
        let page = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\n\
                    [[print]]\nsize = \"105 x 130 mm\"";
        let fix = fix_of(page, 1311, 1967);
        assert!(fix.starts_with("crop to 1311 x 1606 px of this file's 1311 x 1967 px (1:1.23)\n"), "{fix}");
    }

    #[test]
    fn a_background_is_extended_by_a_tenth_at_most() {
        // Arithmetic: 2000 x 2750 px as 4:5 are 2200 px wide, 200 more than there are: a tenth.
        let fix = fix_of("[[print]]\nsize = \"8 x 10 in\"", 2000, 2750);
        assert!(fix.contains("\nor extend the background by 100 px each at left and right\n"), "{fix}");
        let fix = fix_of("[[print]]\nsize = \"8 x 10 in\"", 2000, 2752);
        let uncut = "\nor ask for a print of 1:1.38, or for a white border round the whole picture";
        assert!(!fix.contains("extend") && fix.ends_with(uncut), "{fix}");
    }

    #[test]
    fn a_print_with_a_border_gets_no_other_but_may_keep_its_aspect_ratio() {
        let border = "[margins]\nedge = \"border\"\n[[print]]\nsize = \"16 x 20 in\"";
        let fix = fix_of(border, 3600, 5400);
        let inside = "\nor ask for a border that is wider on two sides: fit = \"inside\" below [margins]";
        assert!(!fix.contains("white border") && fix.contains(inside), "{fix}");
        let inside = border.replace("\n[[", "\nfit = \"inside\"\n[[");
        assert_eq!(RuleBench::new(&inside).with_px(3600, 5400).ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn a_canvas_whose_face_has_the_picture_s_aspect_ratio_gets_other_sides() {
        let canvas = "[margins]\nedge = \"wrap\"\nwrap = \"38 mm\"\n[[print]]\nsize = \"500 x 700 mm\"";
        let fix = fix_of(canvas, 5000, 7000);
        assert!(fix.contains("\nor ask for mirrored or plain sides: sides = \"mirrored\""), "{fix}");
        let mirrored = canvas.replace("\n[[", "\nsides = \"mirrored\"\n[[");
        assert_eq!(RuleBench::new(&mirrored).with_px(5000, 7000).ask(check), RuleOutcome::Passed);
        assert!(!fix_of(canvas, 5000, 5000).contains("mirrored"), "its face is no square");
    }

    #[test]
    fn one_per_cent_and_one_pixel_are_within_tolerance() {
        let bench = RuleBench::new("[[print]]\nsize = \"10 x 10 in\"");
        assert!(matches!(bench.with_px(3000, 3001).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.with_px(2970, 3000).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.with_px(2969, 3000).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn a_loss_within_the_bleed_is_within_tolerance() {
        let bench = RuleBench::new(
            "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\n[[print]]\nsize = \"60 x 60 \
             mm\"",
        );
        // 66 mm wide frame; 72 mm of picture at the same scale lose 3 mm a side, exactly the bleed.
        assert!(matches!(bench.with_px(7200, 6600).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.with_px(7202, 6600).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn what_a_canvas_carries_round_its_bar_is_no_tolerance() {
        let bench = RuleBench::new(
            "[paper]\nstock = \"canvas\"\n[margins]\nedge = \"wrap\"\nwrap = \"38 mm\"\n[[print]]\nsize = \"12 x \
             12 in\"",
        );
        // 39 mm lost at each end, less than the 44 mm wrapped round.
        assert!(matches!(bench.with_px(4700, 5640).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn where_the_designer_crops_it_is_a_note() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"\ncrop = \"by the designer\"");
        let RuleOutcome::Failed(breaches) = bench.with_px(2400, 3600).ask(check) else { panic!("it is still said") };
        assert_eq!(breaches[0].at_most, Some(Level::Note));
    }
}
