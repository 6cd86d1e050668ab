//! margins.trim: the subject in the strip that cutting may take.

use crate::brief::asked::Level;
use crate::judge::answers::strips;
use crate::judge::reach::{Reach, Strip, ask_box, ask_map};
use crate::judge::rule::{Ask, Case, Outcome, Rule, Samples};

pub static RULE: Rule = Rule {
    id: "margins.trim",
    question: "Is nothing that matters in the strip that the cut may take?",
    level: Level::Should,
    why: "knives and enlargers are never exact: what stands in this strip is cut off on some of the copies",
    page: "What cutting may take is the bleed and the cut's tolerance; on a lab's borderless print 1/8 in or 1 % of \
           the side, whichever is more; under a frame's lip or round a bar, what is covered. A subject's box that a \
           person drew is compared exactly; one that reaches in by less than 0.4 % of the side, or is no longer \
           certain, is a note. Without a box a map of what draws the eye is compared with the strip's area: it knows \
           no faces and no words, so it only notes.",
    keys: &["margins.edge", "margins.bleed", "margins.cut_tolerance", "margins.hidden", "margins.depth"],
    source: "up to 1/8 in on full bleed: printers' guides agree; the map: ours",
    samples: Samples {
        holds: "the dish ends 12 mm inside the page",
        fails: "the rim of the bowl reaches 2 mm into the strip at the right",
    },
    silences: &["margins.safe"],
    ask: Ask::Row(ask),
};

fn ask(case: &Case) -> Outcome {
    if case.placement.taken.is_zero() {
        return Outcome::NotAsked;
    }
    let strip = Strip { name: "the strip that cutting may take", inner: |lines| lines.trim, short: "trim" };
    match case.subject {
        Some(subject) => ask_box(case, subject, &strip, Reach::of),
        None => ask_map(case, &strip, strips::strips),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{Bench, abouts};

    /// 200 x 250 mm with 3 mm bleed and 1.6 mm tolerance: 4.6 mm of 206 are 2.233 %.
    const PAGE: &str = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\nsafe = \"5 mm\"\n\
                        cut_tolerance = \"1.6 mm\"\n[[print]]\nsize = \"200 x 250 mm\"";

    fn boxed(left: f64, right: f64) -> Outcome {
        Bench::new(PAGE).px(2060, 2560).subject(left, 0.3, right, 0.7).ask(ask)
    }

    #[test]
    fn the_box_is_judged_exactly_and_the_side_named() {
        assert_eq!(boxed(0.0224, 0.9), Outcome::Holds);
        // Within the step of a hand it is only a note.
        assert!(matches!(boxed(0.0200, 0.9), Outcome::Fails(b) if b[0].at_most == Some(Level::Note)));
        let Outcome::Fails(breaches) = boxed(0.3, 0.99) else { panic!("it reaches in at the right") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("right", None));
        assert_eq!(
            breaches[0].what,
            "the subject reaches 2.5 mm into the strip that cutting may take (4.6 mm) at the right"
        );
        assert!(breaches[0].mend.contains("26 px"), "{}", breaches[0].mend);
        assert_eq!(abouts(&boxed(0.001, 0.999)), ["right", "left"]);
    }

    #[test]
    fn without_a_cut_nothing_is_asked() {
        let border = "[margins]\nedge = \"border\"\nborder = \"1 in\"\n[[print]]\nsize = \"8 x 10 in\"";
        assert_eq!(Bench::new(border).subject(0.0, 0.0, 1.0, 1.0).ask(ask), Outcome::NotAsked);
    }

    #[test]
    fn the_map_only_notes_and_only_where_the_strip_is_denser_than_its_area() {
        let mapped = |weight: f32| {
            Bench::new(PAGE).px(2060, 2560).evidence(|e| {
                let mut map = crate::measure::Grid::filled(100, 100, (1.0 - weight) / 9_800.0);
                for y in 0..100 {
                    map.fields[y * 100 + 98..y * 100 + 100].fill(weight / 200.0);
                }
                e.look.importance = map;
            })
        };
        assert_eq!(mapped(0.015).ask(ask), Outcome::Holds);
        let Outcome::Fails(breaches) = mapped(0.06).ask(ask) else { panic!("worth a look") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("right", Some(Level::Note)));
    }
}
