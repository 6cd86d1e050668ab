//! size.aspect: the picture's shape against the print's.

use num_rational::Ratio;

use crate::brief::Crop;
use crate::brief::requirements::{Edge, Level};
use crate::judge::metrics::crop::CropPlan;
use crate::judge::metrics::cut_lines::Rectangle;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::finding::FixNumbers;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses, TableColumn};
use crate::judge::placement::Fit;
use crate::judge::rules::margins::subject_intrusion::length_of;
use crate::judge::rules::phrases::{OTHER_SIDES, can_be_extended, other_way, printed_size, shape};
use crate::units::{Length, LengthUnit, Share, Size, show};

/// Share of the area whose loss is forgiven: 1 %. Source: ours; sizes of a series differ by that much.
const FORGIVEN_PERCENT: i128 = 1;

pub static RULE: Rule = Rule {
    id: "size.aspect",
    group: RuleGroup::Size,
    title: "",
    question: "Has the picture the shape of its print?",
    level: Level::Should,
    why: "where the shapes differ somebody else crops, and heads, rims and handles go first",
    page: "The picture is laid over the print, bleed and all, centred, so that nothing stays empty; what hangs over \
           is lost. Less than a pixel is rounding; one pixel, one per cent of the area, and what the bleed would \
           take anyway are forgiven. Where the designer crops (crop = \"by the designer\") it is a note. A print that may \
           turn is turned if that loses less. Within a border the picture may keep its shape (fit = \"inside\"): \
           nothing is lost then, and the border is the minimum. With a subject's box the window is slid along its \
           free axis, by the least shift that keeps the box within the safe area; without one, only where a map of \
           what draws the eye gains 3 % by it.",
    fix: "",
    misses: "",
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
    source: "arithmetic: a 2:3 frame as 4:5 loses one sixth; what is forgiven is ours",
    samples: RuleExamples {
        holds: "2400 x 3000 px for 8 x 10 in",
        fails: "2400 x 3600 px for 8 x 10 in: loses 16.7 %",
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
    if let Some(forgiven) = forgiven(case, fit, over_px) {
        return RuleOutcome::WithinTolerance(forgiven);
    }
    let limit = Share::percent(FORGIVEN_PERCENT);
    let (lost, _) = show::shares_apart(fit.lost, limit);
    RuleOutcome::failed(Breach {
        at_most: (case.print.crop == Crop::ByDesigner).then_some(Level::Note),
        numbers: Some((fit.lost.as_f64(), limit.as_f64())),
        short: format!("loses {lost}"),
        found: format!(
            "the picture is {}, the print {} is {}: a centred crop loses {lost}, {}{}",
            pixel_shape(fit.picture_px),
            printed_size(case.print, case.placement),
            shape(case.placement.frame()),
            sides(case, fit),
            survives(case.crop),
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

/// Returns the words for a loss that is small enough to be forgiven.
fn forgiven(case: &Case, fit: &Fit, over_px: Ratio<i128>) -> Option<String> {
    if over_px <= Ratio::from_integer(1) {
        return Some("one pixel over".to_owned());
    }
    let lost = show::share(fit.lost);
    if fit.lost <= Share::percent(FORGIVEN_PERCENT) {
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
    let names = if fit.lost_sides[0] > Share::zero() { "top and bottom" } else { "left and right" };
    let at = usize::from(fit.lost_sides[0] == Share::zero());
    let length = show::length(fit.lost_lengths[at], unit(case));
    format!("{} ({length}) each at {names}", show::share(fit.lost_sides[at]))
}

fn unit(case: &Case) -> LengthUnit {
    case.print.size.unit
}

fn pixel_shape((w, h): (u32, u32)) -> String {
    shape(Size::new(Length::from_nm(i64::from(w)), Length::from_nm(i64::from(h)), LengthUnit::Millimetre))
}

/// Returns the window that the print's shape leaves of the picture, in whole pixels.
fn window_px(fit: &Fit) -> (u32, u32) {
    // Rounded up: a pixel less may be one too few for the density.
    let whole = |px: Ratio<i128>| u32::try_from(px.ceil().to_integer()).unwrap_or(u32::MAX);
    (whole(fit.window_px.0), whole(fit.window_px.1))
}

/// Returns the pixels to export at: the wanted ones if the picture has as many, and the window as it is.
fn exports(case: &Case, fit: &Fit) -> Vec<(u32, u32)> {
    let wanted = case.print.requirements.density.target;
    let scaled = (fit.density >= wanted).then(|| case.placement.needed_px(wanted));
    scaled.into_iter().chain([window_px(fit)]).collect()
}

fn fix(case: &Case, fit: &Fit, plan: Option<CropPlan>) -> String {
    let density = &case.print.requirements.density;
    let frame = shape(case.placement.frame());
    let mut fix = other_way(case.print, case.placement, |turned| turned.lost <= Share::percent(FORGIVEN_PERCENT));
    fix.push_str(&format!(
        "crop it to {frame} yourself, so that you choose what goes: {} of this file's {}",
        show::pixels(window_px(fit)),
        show::pixels(fit.picture_px)
    ));
    if fit.density >= density.target {
        let needed = show::pixels(case.placement.needed_px(density.target));
        fix.push_str(&format!(", exported at {needed} for {}", show::ppi(density.target)));
    }
    let moved = plan.filter(|plan| plan.moved).and_then(|plan| plan.rectangle(case.placement));
    if let Some(window) = moved.map(|window| window_words(case, fit, window)) {
        fix.push_str(&format!(": {window}"));
    }
    if let Some(extension) = extension(case, fit) {
        fix.push_str(&format!("; or extend the background by {extension} and lose nothing"));
    }
    fix.push_str("; or ");
    fix.push_str(&uncut(case));
    fix
}

/// Returns the advice for printing all of the picture.
fn uncut(case: &Case) -> String {
    let other_sides = case.placement.on_face_alone(case.print).and_then(|placement| placement.fit);
    match case.print.requirements.margins.edge {
        Edge::Border => {
            "let it keep its shape (fit = \"inside\" below [margins] in the brief): the border is then the \
             minimum, and wider on two sides"
                .to_owned()
        }
        Edge::Wrap if other_sides.is_some_and(|fit| fit.lost <= Share::percent(FORGIVEN_PERCENT)) => {
            OTHER_SIDES.to_owned()
        }
        Edge::Bleed | Edge::Borderless | Edge::Wrap => {
            "ask for a size of the picture's own shape, or for a white border".to_owned()
        }
    }
}

/// Returns words on whether the subject keeps clear of the crop.
fn survives(window: Option<CropPlan>) -> &'static str {
    match window.map(|plan| (plan.keeps, plan.moved)) {
        Some((Some(true), false)) => "; the subject keeps clear of it",
        Some((Some(true), true)) => "; that cuts into the subject's margin, and another window does not",
        Some((Some(false), _)) => "; no window of this shape keeps the subject clear of the margins",
        _ => "",
    }
}

/// Returns the best place of the window, by the loss at each side.
fn window_words(case: &Case, fit: &Fit, [left, top, right, bottom]: Rectangle) -> String {
    let across = fit.lost_sides[0] == Share::zero();
    let (names, lost) =
        if across { (["left", "right"], [left, 1.0 - right]) } else { (["top", "bottom"], [top, 1.0 - bottom]) };
    let side = |at: usize| {
        let lost = lost[at].max(0.0);
        let length = show::length(length_of(case, lost, across), unit(case));
        format!("{} ({length}) off the {}", show::share(Share::measured(lost)), names[at])
    };
    format!("take {} and {}", side(0), side(1))
}

/// Returns the pixels that the picture lacks for the print's shape with nothing cut off, if they are few enough.
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
    use crate::judge::testing::{Bench, brief, delivered};
    use crate::judge::{Row, judge};

    #[test]
    fn a_print_that_stands_still_is_turned_first_where_that_loses_less() {
        let page =
            |px: (u32, u32)| Bench::new("[[print]]\nsize = \"8 x 10 in\"\nrotate = false").px(px.0, px.1).ask(check);
        let RuleOutcome::Failed(breaches) = page((3000, 2400)) else { panic!("it loses a third") };
        let fix = &breaches[0].fix;
        let turn = "if the print may lie the other way, write rotate = true for it in the brief: as 10 x 8 in it loses \
                    nothing then and has 300 ppi; if not, crop it to 4:5 yourself";
        assert!(fix.starts_with(turn), "{fix}");
        // Turned it would lose 19.7 % instead of 20.3: that fixes nothing.
        let RuleOutcome::Failed(breaches) = page((3000, 2990)) else { panic!("it loses a fifth") };
        assert!(breaches[0].fix.starts_with("crop it"), "{}", breaches[0].fix);
        let RuleOutcome::Failed(breaches) = page((2400, 3600)) else { panic!("it loses a sixth") };
        assert!(breaches[0].fix.starts_with("crop it"), "{}", breaches[0].fix);
    }

    #[test]
    fn two_to_three_as_four_to_five_loses_a_sixth() {
        // Source: arithmetic of the two ratios, 1 - (4/5) / ... = 1/6; given in every framing guide.
        let bench = Bench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.px(2400, 3000).ask(check), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = bench.px(2400, 3600).ask(check) else { panic!("a 2:3 frame must fail") };
        assert_eq!(breaches[0].short, "loses 16.7 %");
        assert_eq!(
            breaches[0].found,
            "the picture is 2:3, the print 8 x 10 in is 4:5: a centred crop loses 16.7 %, \
             8.3 % (1 in) each at top and bottom"
        );
        assert!(breaches[0].fix.contains("2400 x 3000 px of this file's 2400 x 3600 px"), "{}", breaches[0].fix);
    }

    #[test]
    fn the_window_is_slid_so_that_the_subject_survives() {
        let bench = Bench::new("[margins]\nsafe = \"1/8 in\"\n[[print]]\nsize = \"8 x 10 in\"").px(2400, 3600);
        let said = |top: f64, bottom: f64| match bench.subject(0.2, top, 0.8, bottom).ask(check) {
            RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0),
            other => panic!("{other:?}"),
        };
        assert!(said(0.4, 0.6).found.ends_with("; the subject keeps clear of it"));
        let low = said(0.5, 0.97);
        assert!(low.found.ends_with("; that cuts into the subject's margin, and another window does not"));
        // Arithmetic: the box ends at 97 %, 1/8 of 12 in later the window: 0.97 + 0.0104 - 0.8333.
        assert!(low.fix.contains(": take 14.7 % ("), "{}", low.fix);
        let tall = said(0.05, 0.95);
        assert!(tall.found.ends_with("; no window of this shape keeps the subject clear of the margins"));
    }

    fn mend_of(brief: &str, w: u32, h: u32) -> String {
        match Bench::new(brief).px(w, h).ask(check) {
            RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0).fix,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_crop_at_the_least_density_keeps_it() {
        let order = "[[print]]\nsize = \"8 x 10 in\"\nrotate = false";
        let row = |w| judge(&brief(order), &[delivered("a.jpg", w, 1782)]).rows.swap_remove(0);
        let has_too_few = |row: &Row| row.findings.iter().any(|finding| finding.rule.id == "density.minimum");
        assert!(!has_too_few(&row(1441)) && has_too_few(&row(1425)), "a picture on the edge");
        assert!(mend_of(order, 1441, 1782).contains("1426 x 1782 px of this file's"));
        assert!(!has_too_few(&row(1426)));
    }

    #[test]
    fn a_background_is_extended_by_a_tenth_at_most() {
        // Arithmetic: 2000 x 2750 px as 4:5 are 2200 px wide, 200 more than there are: a tenth.
        let fix = mend_of("[[print]]\nsize = \"8 x 10 in\"", 2000, 2750);
        assert!(fix.contains("extend the background by 100 px each at left and right and lose nothing"), "{fix}");
        let fix = mend_of("[[print]]\nsize = \"8 x 10 in\"", 2000, 2752);
        assert!(!fix.contains("extend") && fix.ends_with("own shape, or for a white border"), "{fix}");
    }

    #[test]
    fn a_print_with_a_border_is_asked_for_none_but_may_keep_its_shape() {
        let border = "[margins]\nedge = \"border\"\n[[print]]\nsize = \"16 x 20 in\"";
        let fix = mend_of(border, 3600, 5400);
        assert!(!fix.contains("white border") && fix.contains("; or let it keep its shape (fit = \"inside\""), "{fix}");
        let inside = border.replace("\n[[", "\nfit = \"inside\"\n[[");
        assert_eq!(Bench::new(&inside).px(3600, 5400).ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn a_canvas_whose_face_is_the_picture_s_shape_is_asked_for_with_other_sides() {
        let canvas = "[margins]\nedge = \"wrap\"\nwrap = \"38 mm\"\n[[print]]\nsize = \"500 x 700 mm\"";
        let fix = mend_of(canvas, 5000, 7000);
        assert!(fix.contains("; or ask for mirrored or plain sides (sides = \"mirrored\""), "{fix}");
        let mirrored = canvas.replace("\n[[", "\nsides = \"mirrored\"\n[[");
        assert_eq!(Bench::new(&mirrored).px(5000, 7000).ask(check), RuleOutcome::Passed);
        assert!(!mend_of(canvas, 5000, 5000).contains("mirrored"), "its face is no square");
    }

    #[test]
    fn one_per_cent_and_one_pixel_are_forgiven() {
        let bench = Bench::new("[[print]]\nsize = \"10 x 10 in\"");
        assert!(matches!(bench.px(3000, 3001).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.px(2970, 3000).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.px(2969, 3000).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn a_loss_within_the_bleed_is_forgiven() {
        let bench = Bench::new(
            "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\n[[print]]\nsize = \"60 x 60 \
             mm\"",
        );
        // 66 mm wide frame; 72 mm of picture at the same scale lose 3 mm a side, exactly the bleed.
        assert!(matches!(bench.px(7200, 6600).ask(check), RuleOutcome::WithinTolerance(_)));
        assert!(matches!(bench.px(7202, 6600).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn what_a_canvas_carries_round_its_bar_forgives_nothing() {
        let bench = Bench::new(
            "[paper]\nstock = \"canvas\"\n[margins]\nedge = \"wrap\"\nwrap = \"38 mm\"\n[[print]]\nsize = \"12 x \
             12 in\"",
        );
        // 39 mm lost at each end, less than the 44 mm wrapped round.
        assert!(matches!(bench.px(4700, 5640).ask(check), RuleOutcome::Failed(_)));
    }

    #[test]
    fn where_the_designer_crops_it_is_a_note() {
        let bench = Bench::new("[[print]]\nsize = \"8 x 10 in\"\ncrop = \"by the designer\"");
        let RuleOutcome::Failed(breaches) = bench.px(2400, 3600).ask(check) else { panic!("it is still said") };
        assert_eq!(breaches[0].at_most, Some(Level::Note));
    }
}
