//! detail.halo: over-sharpened edges.

use crate::brief::asked::{Level, Sharpened};
use crate::judge::answers::detail::{HIDDEN_MM, distance_factor};
use crate::judge::phrases::seen_from;
use crate::judge::rule::{Ask, Breach, Case, Outcome, Rule, Samples};
use crate::units::{Share, show};

/// Overshoot from which it is worth a note. Source: ours; of unsharpened and camera-sharpened files none reaches it.
const NOTE_PERCENT: i128 = 12;
/// Width on paper from which such a halo is plainly wide, mm. Source: a sharpening handbook (Fraser 2006): proper print
/// sharpening is 1/100 to 1/50 in wide, 0.25 to 0.51 mm.
const WIDE_MM: f64 = 0.51;

pub static RULE: Rule = Rule {
    id: "detail.halo",
    question: "Is it sharpened without halos?",
    level: Level::Should,
    why: "a screen hides what paper shows: light and dark seams along edges make food look crisp and dry",
    page: "How far edges overshoot, as a share of their step: the median over strong isolated edges, and its width \
           on paper at the printed size. From 12 % it is a note; over the brief's halo (25 %), or from 12 % where it \
           is wider than 0.51 mm, a should. Narrower than 0.12 mm it is never more than a note: the paper hides it. \
           Widths grow with the viewing distance beyond 30 cm. Where the printer sharpens, 12 % is a should already: \
           two sharpenings add up. Right print sharpening looks crunchy on screen at 100 %: judge it on a test \
           print. Too few isolated edges give no answer.",
    keys: &["detail.halo", "detail.sharpened", "density.distance"],
    source: "widths: a sharpening handbook (Fraser 2006); no published limit of overshoot for prints was found: ours",
    samples: Samples { holds: "4 % overshoot", fails: "28 % overshoot, 0.25 mm wide on paper" },
    // Sharpening raises the grain with the edges.
    silences: &["detail.noise"],
    ask: Ask::Row(ask),
};

fn ask(case: &Case) -> Outcome {
    let evidence = match case.evidence() {
        Ok(evidence) => evidence,
        Err(outcome) => return outcome,
    };
    let (Some(halo), Some(width_mm)) = (evidence.detail.halo, case.answers.halo_mm) else {
        return Outcome::NotAnswered("too few isolated edges to tell".to_owned());
    };
    let (share, note) = (Share::measured(halo.share), Share::percent(NOTE_PERCENT));
    let asked = &case.print.asked.detail;
    if share <= note.min(asked.halo) {
        return Outcome::Holds;
    }
    let distance = distance_factor(case.print.asked.density.distance);
    let theirs = asked.sharpened == Sharpened::ByThePrinter;
    let (limit, because) = if share > asked.halo {
        (asked.halo, String::new())
    } else if theirs {
        (note, " where the printer sharpens".to_owned())
    } else if width_mm > WIDE_MM * distance {
        (
            note,
            format!(
                " where it is wider than {}, seen {}",
                show::hundredths_mm(WIDE_MM * distance),
                seen_from(case.print)
            ),
        )
    } else {
        return Outcome::fails(breach(case, share, note, width_mm, Some(Level::Note), " is worth a look"));
    };
    let at_most = (width_mm < HIDDEN_MM * distance).then_some(Level::Note);
    Outcome::fails(breach(case, share, limit, width_mm, at_most, &format!(" may be{because}")))
}

fn breach(case: &Case, share: Share, limit: Share, width_mm: f64, at_most: Option<Level>, limits: &str) -> Breach {
    let (shown, limit_shown) = show::shares_apart(share, limit);
    let width = show::hundredths_mm(width_mm);
    let whose = match case.print.asked.detail.sharpened {
        Sharpened::ByThePrinter => "send it unsharpened: the printer sharpens for the paper",
        Sharpened::ByUs => {
            "sharpen less, last of all and at the printed size; a radius of about a two-hundredth of the printed ppi \
             is enough; undo clarity and structure sliders first"
        }
    };
    Breach {
        at_most,
        numbers: Some((share.as_f64(), limit.as_f64(), "share")),
        short: format!("halo {shown}"),
        what: format!("edges overshoot by {shown} of their step, {width} wide on paper; {limit_shown}{limits}"),
        mend: whose.to_owned(),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;
    use crate::measure::evidence::Halo;

    /// 300 ppi: 6.1 px are wider than 0.51 mm, 1.4 px narrower than 0.12 mm (arithmetic).
    fn halo(brief: &str, share: f64, width_px: f64) -> Option<Option<Level>> {
        let halo = Halo { share, p90: share, width_px, edges: 100 };
        match Bench::new(&format!("{brief}[[print]]\nsize = \"8 x 10 in\""))
            .evidence(|e| e.detail.halo = Some(halo))
            .ask(ask)
        {
            Outcome::Holds => None,
            Outcome::Fails(breaches) => Some(breaches[0].at_most),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn twelve_per_cent_is_a_note_and_twenty_five_a_should() {
        assert_eq!(halo("", 0.12, 2.0), None);
        assert_eq!(halo("", 0.121, 2.0), Some(Some(Level::Note)));
        assert_eq!(halo("", 0.25, 2.0), Some(Some(Level::Note)));
        assert_eq!(halo("", 0.251, 2.0), Some(None));
    }

    #[test]
    fn a_wide_halo_is_a_should_and_a_hidden_one_never() {
        assert_eq!(halo("", 0.13, 6.1), Some(None));
        assert_eq!(halo("", 0.13, 6.0), Some(Some(Level::Note)));
        assert_eq!(halo("", 0.30, 1.4), Some(Some(Level::Note)));
        assert_eq!(halo("[density]\ndistance = \"60 cm\"\n", 0.13, 6.1), Some(Some(Level::Note)));
    }

    #[test]
    fn the_brief_moves_the_limit_and_says_whose_job_it_is() {
        assert_eq!(halo("[detail]\nhalo = \"20 %\"\n", 0.21, 2.0), Some(None));
        assert_eq!(halo("[detail]\nhalo = \"5 %\"\n", 0.06, 2.0), Some(None));
        assert_eq!(halo("[detail]\nsharpened = \"by the printer\"\n", 0.13, 2.0), Some(None));
    }

    #[test]
    fn without_isolated_edges_there_is_no_answer() {
        assert!(matches!(Bench::new("[[print]]\nsize = \"8 x 10 in\"").ask(ask), Outcome::NotAnswered(_)));
    }
}
