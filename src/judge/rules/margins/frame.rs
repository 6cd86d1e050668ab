//! margins.frame: a border painted into the picture near the cut, or inside the print's own.

use crate::brief::requirements::{Edge, Level};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::placement::WRAP_SHIFT;
use crate::judge::rules::margins::subject_intrusion::{SIDES, rounded_mm};
use crate::judge::rules::phrases::{self, join_with_and};
use crate::measure::Grid;
use crate::units::{Length, show};

/// Ratio of a border's least remaining width to the shift of the cut for it to look even. Source: two printers' guides:
/// at least 1/4 in where the cut may be off by 1/16 in, and up to 1 in on large prints, which shift more.
const EVEN_TIMES: i64 = 4;
/// Darkest mean grey of the picture's edge, in sRGB codes, that may still be paper white: in the small picture a thin
/// border is mixed with the picture behind it. Source: ours.
const MIN_WHITE: f64 = 200.0;

pub static RULE: Rule = Rule {
    id: "margins.frame",
    group: RuleGroup::Margins,
    title: "Border in the picture",
    question: "Is the picture free of a border near the cut?",
    level: Level::Note,
    why: "the cut shifts a little, and a thin border comes out uneven",
    page: "Lines of one colour along a whole side that end in a step are a border in the picture. What the cut leaves \
           of it is compared with how far the cut may shift; less than four times that is a note. Where the print has \
           a white border of its own (edge = \"border\"), a white one in the picture is a note too; in another colour \
           it is a keyline, and passes.",
    fix: "Export the picture without its border, and order the print with one. Or make the border at least four times \
          as wide as the cut may shift.",
    misses: "A border is not detected if it is deeper than 12 % of the picture, textured, or soft at its inner edge.",
    keys: &["margins.edge", "margins.cut_tolerance", "margins.bleed", "margins.border"],
    source: "at least 1/4 in on small prints, up to 1 in on large ones: two printers' guides",
    samples: RuleExamples {
        passes: "a picture that runs to its edges",
        fails: "a white line 3 mm wide round a picture that is cut with 1.6 mm tolerance",
    },
    unit: "mm",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    match case.print.requirements.margins.edge {
        Edge::Border => check_painted_border(case),
        Edge::Bleed | Edge::Borderless | Edge::Wrap => at_the_cut(case),
    }
}

/// Checks for a white border in a print that has one of its own.
fn check_painted_border(case: &Case) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let appearance = &evidence.appearance;
    let is_white = |side: &usize| {
        appearance.border[*side].is_some_and(|border| border.from == 0.0)
            && edge_of(&appearance.small, *side) >= MIN_WHITE
    };
    let names: Vec<&str> = (0..4).filter(is_white).map(|side| SIDES[side]).collect();
    if names.is_empty() {
        return RuleOutcome::Passed;
    }
    let margins = &case.print.requirements.margins;
    RuleOutcome::failed(Breach {
        about: names.join(" "),
        at_most: Some(Level::Note),
        short: "border twice".to_owned(),
        found: format!(
            "the picture has a white border at the {}, and the printer adds another; {}",
            join_with_and(&names),
            phrases::limit_words(
                case.print,
                "margins.border",
                &format!("a border of {}", margins.border.show(margins.unit))
            )
        ),
        fix: "export the picture without its white border".to_owned(),
        ..Breach::default()
    })
}

/// Returns the mean grey of a side's outermost line of the small picture.
fn edge_of(small: &Grid<u8>, side: usize) -> f64 {
    let Grid { across, down, fields } = small;
    let on_side = |at: &usize| match side {
        0 => at < across,
        1 => at % across == across - 1,
        2 => at / across == down - 1,
        _ => at.is_multiple_of(*across),
    };
    let line: Vec<f64> = (0..fields.len()).filter(on_side).map(|at| f64::from(fields[at])).collect();
    line.iter().sum::<f64>() / line.len().max(1) as f64
}

/// Checks for a border that the cut, or the edge of a bar, makes uneven.
fn at_the_cut(case: &Case) -> RuleOutcome {
    let placement = case.placement;
    let margins = &case.print.requirements.margins;
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let (outset, taken) = (placement.outset.each(), placement.cut_away.each());
    let found = (0..4).filter_map(|side| {
        let border = evidence.appearance.border[side]?;
        let across = side % 2 == 1;
        let lost = placement.fit.as_ref()?.lost_lengths[side];
        let end = case.placement.length_on_paper(f64::from(border.to), across) - lost;
        let shift = if margins.edge == Edge::Wrap { WRAP_SHIFT } else { taken[side] - outset[side].at_least_zero() };
        let left = end - outset[side].at_least_zero();
        (end > Length::ZERO && left < is_even_shift(shift)).then_some((SIDES[side], left, shift))
    });
    let found: Vec<(&str, Length, Length)> = found.collect();
    let Some((_, left, shift)) = found.iter().copied().min_by_key(|(_, left, _)| *left) else {
        return RuleOutcome::Passed;
    };
    let names: Vec<&str> = found.iter().map(|(side, _, _)| *side).collect();
    let shown = |length: Length| show::length(length, margins.unit);
    let by = if margins.edge == Edge::Wrap { "bar" } else { "cut" };
    let remains = if left > Length::ZERO {
        format!("of which the {by} leaves {}", shown(left))
    } else {
        format!("and the {by} may take all of it")
    };
    let takes = match margins.edge {
        _ if margins.rebate > Length::ZERO => "the frame's lip covers",
        Edge::Borderless => "the lab's enlargement takes up to",
        Edge::Wrap => "the edge of the bar may be off by",
        Edge::Bleed | Edge::Border => "the cut may shift by",
    };
    let instead = match margins.edge {
        Edge::Wrap if margins.goes_round() => ", and ask for plain sides in its colour",
        Edge::Wrap => "",
        Edge::Bleed | Edge::Borderless | Edge::Border => {
            ", and order the print with a white border (edge = \"border\" in the brief)"
        }
    };
    RuleOutcome::failed(Breach {
        about: names.join(" "),
        at_most: Some(Level::Note),
        numbers: Some((rounded_mm(left.at_least_zero()), rounded_mm(is_even_shift(shift)))),
        short: "thin border".to_owned(),
        found: format!(
            "the picture has a border at the {}, {remains}; usual: at least {} where {takes} {}",
            join_with_and(&names),
            show::length_no_less(is_even_shift(shift), margins.unit),
            shown(shift)
        ),
        fix: format!(
            "export the picture without its border{instead}\nor make the border so wide that at least {} of it is \
             left",
            show::length_no_less(is_even_shift(shift), margins.unit)
        ),
        ..Breach::default()
    })
}

/// Returns the width that must be left of a border for a shift not to show.
fn is_even_shift(shift: Length) -> Length {
    Length::from_nm(shift.nm() * EVEN_TIMES)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::RuleBench;
    use crate::measure::evidence::Border;

    fn painted(brief: &str, to: f32) -> RuleOutcome {
        RuleBench::new(brief)
            .with_px(2060, 2560)
            .evidence(|e| e.appearance.border[3] = Some(Border { from: 0.0, to }))
            .ask(check)
    }

    #[test]
    fn a_thin_border_at_a_cut_is_a_note_and_a_wide_one_is_none() {
        let page = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\ncut_tolerance = \"1.6 \
                    mm\"\n[[print]]\nsize = \"200 x 250 mm\"";
        // 3 mm are left of a border of 6 mm in 206; four times the tolerance is 6.4 mm, reached at 9.4 of 206.
        let RuleOutcome::Failed(breaches) = painted(page, 6.0 / 206.0) else { panic!("it comes out uneven") };
        assert_eq!(
            breaches[0].found,
            "the picture has a border at the left, of which the cut leaves 3 mm; usual: at least 6.4 mm where the cut \
             may shift by 1.6 mm"
        );
        assert!(
            breaches[0].fix.ends_with("\nor make the border so wide that at least 6.4 mm of it is left"),
            "{}",
            breaches[0].fix
        );
        assert!(matches!(painted(page, 9.3 / 206.0), RuleOutcome::Failed(_)));
        assert_eq!(painted(page, 9.5 / 206.0), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = painted("[[print]]\nsize = \"8 x 10 in\"", 0.02) else {
            panic!("too thin")
        };
        let found = &breaches[0].found;
        assert!(found.ends_with("where the lab's enlargement takes up to 0.125 in"), "{found}");
    }

    #[test]
    fn a_white_border_within_the_print_s_own_is_a_note_and_a_keyline_is_none() {
        let border = "[margins]\nedge = \"border\"\nborder = \"1 in\"\n[[print]]\nsize = \"8 x 10 in\"";
        let with = |from: f32, grey: u8| {
            let all_round = [Some(Border { from, to: from + 0.02 }); 4];
            let small = Grid::filled(40, 48, grey);
            RuleBench::new(border)
                .with_px(2000, 2500)
                .evidence(|e| (e.appearance.border, e.appearance.small) = (all_round, small))
                .ask(check)
        };
        let RuleOutcome::Failed(breaches) = with(0.0, 250) else { panic!("it has two borders") };
        assert_eq!(
            breaches[0].found,
            "the picture has a white border at the top, right, bottom and left, and the printer adds another; a \
             border of 1 in required"
        );
        assert!(!breaches[0].fix.contains("ask for"), "{}", breaches[0].fix);
        assert_eq!(with(0.0, 20), RuleOutcome::Passed, "a black keyline");
        assert_eq!(with(0.03, 250), RuleOutcome::Passed, "a line within the picture");
        assert_eq!(RuleBench::new(border).with_px(2000, 2500).ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn a_canvas_is_not_advised_a_white_border() {
        let canvas = "[margins]\nedge = \"wrap\"\nwrap = \"20 mm\"\n[[print]]\nsize = \"300 x 400 mm\"";
        let RuleOutcome::Failed(breaches) = painted(canvas, 0.08) else { panic!("the edge of the bar is never true") };
        assert!(breaches[0].fix.starts_with("export the picture without its border, and ask for plain sides"));
    }
}
