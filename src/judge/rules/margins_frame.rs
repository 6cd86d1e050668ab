//! margins.frame: a border painted into the picture near the cut.

use crate::brief::asked::{Edge, Level};
use crate::judge::reach::{length_of, rounded_mm};
use crate::judge::rule::{Ask, Breach, Case, Outcome, Rule, Samples};
use crate::units::{Length, show};

/// What is left of a border must be so many times the shift of the cut to look even. Source: ours.
const EVEN_TIMES: i64 = 10;
/// How far the edge of a bar may be off. Source: common practice, no source.
const WRAP_SHIFT: Length = Length::from_mm(3);

pub static RULE: Rule = Rule {
    id: "margins.frame",
    question: "Is no border painted into the picture near the cut?",
    level: Level::Note,
    why: "the cut shifts by a millimetre or two, and a thin border shows every shift: it comes out wider on one side",
    page: "Lines of one colour along a whole side that end in a step are a painted border. What the cut leaves of it \
           is compared with how far the cut may shift; below ten times that it is a note. A print with a white \
           border of its own (edge = \"border\") is laid by the printer and comes out even.",
    keys: &["margins.edge", "margins.cut_tolerance", "margins.bleed"],
    source: "common practice, no source",
    samples: Samples {
        holds: "a picture to its edges",
        fails: "a white line of 3 mm painted round a picture that is cut with 1.6 mm tolerance",
    },
    silences: &[],
    ask: Ask::Row(ask),
};

fn ask(case: &Case) -> Outcome {
    let placement = case.placement;
    let margins = &case.print.asked.margins;
    if margins.edge == Edge::Border {
        return Outcome::NotAsked;
    }
    let evidence = match case.evidence() {
        Ok(evidence) => evidence,
        Err(outcome) => return outcome,
    };
    let (outset, taken) = (placement.outset.each(), placement.taken.each());
    let sides = ["top", "right", "bottom", "left"];
    let found = (0..4).filter_map(|side| {
        let border = evidence.look.border[side]?;
        let across = side % 2 == 1;
        let lost = placement.fit.as_ref()?.lost_lengths[side];
        let end = length_of(case, f64::from(border.to), across) - lost;
        let shift = if margins.edge == Edge::Wrap { WRAP_SHIFT } else { taken[side] - outset[side].at_least_zero() };
        let left = end - outset[side].at_least_zero();
        (end > Length::ZERO && left < even(shift)).then_some((sides[side], left, shift))
    });
    let found: Vec<(&str, Length, Length)> = found.collect();
    let Some((_, left, shift)) = found.iter().copied().min_by_key(|(_, left, _)| *left) else {
        return Outcome::Holds;
    };
    let names: Vec<&str> = found.iter().map(|(side, _, _)| *side).collect();
    let shown = |length: Length| show::length(length, margins.unit);
    let remains = if left > Length::ZERO {
        format!("the cut leaves {} of it", shown(left))
    } else {
        "the cut may take all of it".to_owned()
    };
    let takes = match margins.edge {
        _ if margins.hidden > Length::ZERO => "the frame's lip covers",
        Edge::Borderless => "the lab's enlargement takes up to",
        Edge::Wrap => "the edge of the bar may be off by",
        Edge::Bleed | Edge::Border => "the cut may shift by",
    };
    Outcome::fails(Breach {
        about: names.join(" "),
        at_most: Some(Level::Note),
        numbers: Some((rounded_mm(left.at_least_zero()), rounded_mm(even(shift)), "mm")),
        short: "painted border".to_owned(),
        what: format!(
            "a border is painted into the picture at {}: {remains}, and {takes} {}",
            listed(&names),
            shown(shift)
        ),
        mend:
            "leave the border out of the file and ask for a print with a white border, or make it ten times as wide as \
               that"
                .to_owned(),
    })
}

/// What must be left of a border for a shift not to show.
fn even(shift: Length) -> Length {
    Length::from_nm(shift.nm() * EVEN_TIMES)
}

fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => format!("the {one}"),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;
    use crate::measure::evidence::Border;

    fn painted(brief: &str, to: f32) -> Outcome {
        Bench::new(brief).px(2060, 2560).evidence(|e| e.look.border[3] = Some(Border { from: 0.0, to })).ask(ask)
    }

    #[test]
    fn a_thin_border_at_a_cut_is_a_note_and_a_wide_one_is_none() {
        let page = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\ncut_tolerance = \"1.6 \
                    mm\"\n[[print]]\nsize = \"200 x 250 mm\"";
        // 3 mm are left of a border of 6 mm in 206; ten times the tolerance is 16 mm, reached at 19 of 206.
        let Outcome::Fails(breaches) = painted(page, 6.0 / 206.0) else { panic!("it comes out uneven") };
        assert_eq!(
            breaches[0].what,
            "a border is painted into the picture at the left: the cut leaves 3 mm of it, and the cut may shift by \
             1.6 mm"
        );
        assert_eq!(painted(page, 19.1 / 206.0), Outcome::Holds);
        let Outcome::Fails(breaches) = painted("[[print]]\nsize = \"8 x 10 in\"", 0.02) else { panic!("too thin") };
        assert!(breaches[0].what.ends_with("and the lab's enlargement takes up to 0.125 in"), "{}", breaches[0].what);
    }

    #[test]
    fn a_border_of_the_print_itself_is_not_asked() {
        let border = "[margins]\nedge = \"border\"\nborder = \"1 in\"\n[[print]]\nsize = \"8 x 10 in\"";
        assert_eq!(painted(border, 0.01), Outcome::NotAsked);
    }
}
