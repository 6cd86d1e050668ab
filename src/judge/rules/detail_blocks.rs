//! detail.blocks: block edges of lossy compression.

use crate::brief::asked::Level;
use crate::judge::answers::detail::{HIDDEN_MM, distance_factor, mm};
use crate::judge::rule::{Ask, Breach, Case, Outcome, Rule, Samples};
use crate::units::show;

/// Step across the grid against the steps elsewhere, and its excess in codes, from which block edges show. Source:
/// ours; no camera file reaches both.
const RATIO: f64 = 2.5;
/// See [`RATIO`].
const EXCESS: f64 = 0.8;
/// A grid elsewhere than the file's own is told from this ratio and excess on. Source: ours: 98 of 100 files compressed
/// at 50, cropped and saved again reach both; of files never compressed 95 in 100 stay below the excess.
const FOREIGN_RATIO: f64 = 1.35;
/// See [`FOREIGN_RATIO`].
const FOREIGN_EXCESS: f64 = 0.3;
/// Pixels a side of a block. Source: ITU-T T.81.
const BLOCK_PX: f64 = 8.0;
/// Where a file's own grid lies: the last of eight places.
const OWN: (u8, u8) = (7, 7);

pub static RULE: Rule = Rule {
    id: "detail.blocks",
    question: "Is it free of block edges?",
    level: Level::Should,
    why: "smooth backgrounds break into little squares, and print sharpening makes them plainer",
    page: "Steps between pixels in calm places are compared with where blocks of 8 pixels meet. A step two and a half \
           times the others and 0.8 codes above them shows in print, and is only a note where the blocks are too small \
           to be seen from the brief's viewing distance. A weaker grid that does not lie where this file's own blocks \
           are is left from an earlier compression, before a crop or an enlargement: a note.",
    keys: &["density.distance", "print.size"],
    source: "family of Wang, Sheikh and Bovik, ICIP 2002; blocks of 8: ITU-T T.81; limits ours",
    samples: Samples { holds: "a JPEG of quality 92", fails: "a JPEG of quality 40, saved again as 95" },
    silences: &[],
    ask: Ask::Row(ask),
};

fn ask(case: &Case) -> Outcome {
    let evidence = match case.evidence() {
        Ok(evidence) => evidence,
        Err(outcome) => return outcome,
    };
    let Some(blocks) = evidence.detail.blocks else {
        return Outcome::NotAnswered("too few calm places to tell".to_owned());
    };
    let shows = blocks.ratio >= RATIO && blocks.excess >= EXCESS;
    let foreign = blocks.phase != OWN && blocks.ratio >= FOREIGN_RATIO && blocks.excess >= FOREIGN_EXCESS;
    if !shows && !foreign {
        return Outcome::Holds;
    }
    let block_mm = case.answers.effective_ppi.map(|ppi| mm(BLOCK_PX, ppi));
    let hidden_mm = HIDDEN_MM * distance_factor(case.print.asked.density.distance);
    let too_small = block_mm.is_some_and(|block_mm| block_mm < hidden_mm);
    let what = if shows {
        let size = block_mm.map_or(String::new(), |mm| format!(", {} a side on paper", show::hundredths_mm(mm)));
        format!(
            "block edges show{size}: steps where blocks meet are {:.1} times the others, {:.1} codes above them",
            blocks.ratio, blocks.excess
        )
    } else {
        format!(
            "it was compressed before, and cropped or enlarged since: a grid of blocks lies {} and {} pixels off",
            (blocks.phase.0 + 1) % 8,
            (blocks.phase.1 + 1) % 8
        )
    };
    Outcome::fails(Breach {
        about: if shows { String::new() } else { "earlier".to_owned() },
        at_most: (!shows || too_small).then_some(Level::Note),
        numbers: Some((blocks.ratio, if shows { RATIO } else { FOREIGN_RATIO }, "times")),
        short: if shows { "block edges".to_owned() } else { "compressed before".to_owned() },
        what,
        mend: "export from the original, at a quality of 90 or more, instead of saving a compressed file again"
            .to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{Bench, abouts};
    use crate::measure::evidence::Blocks;

    fn blocks(ratio: f64, excess: f64, phase: (u8, u8)) -> Outcome {
        let found = Blocks { excess, ratio, phase };
        Bench::new("[[print]]\nsize = \"8 x 10 in\"").evidence(|e| e.detail.blocks = Some(found)).ask(ask)
    }

    #[test]
    fn both_the_ratio_and_the_excess_must_show() {
        assert_eq!(blocks(2.49, 2.0, OWN), Outcome::Holds);
        assert_eq!(blocks(3.0, 0.79, OWN), Outcome::Holds);
        assert!(matches!(blocks(2.5, 0.8, OWN), Outcome::Fails(b) if b[0].at_most.is_none()));
    }

    #[test]
    fn blocks_too_small_to_be_seen_from_afar_are_a_note() {
        // Arithmetic: 8 px at 300 ppi are 0.68 mm; from 200 cm 0.8 mm are hidden, from 150 cm 0.6 mm.
        let at = |distance: &str| {
            let found = Blocks { excess: 2.0, ratio: 4.0, phase: OWN };
            Bench::new(&format!("[density]\ndistance = \"{distance}\"\n[[print]]\nsize = \"8 x 10 in\""))
                .evidence(|e| e.detail.blocks = Some(found))
                .ask(ask)
        };
        assert!(matches!(at("200 cm"), Outcome::Fails(b) if b[0].at_most == Some(Level::Note)));
        assert!(matches!(at("150 cm"), Outcome::Fails(b) if b[0].at_most.is_none()));
    }

    #[test]
    fn another_grid_is_a_note() {
        assert_eq!(blocks(1.34, 0.5, (2, 4)), Outcome::Holds);
        assert_eq!(blocks(1.5, 0.29, (2, 4)), Outcome::Holds);
        let found = blocks(1.35, 0.5, (2, 4));
        assert_eq!(abouts(&found), ["earlier"]);
        assert!(matches!(found, Outcome::Fails(b) if b[0].at_most == Some(Level::Note)));
        assert!(matches!(Bench::new("[[print]]\nsize = \"8 x 10 in\"").ask(ask), Outcome::NotAnswered(_)));
    }
}
