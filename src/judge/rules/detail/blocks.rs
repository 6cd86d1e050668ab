//! detail.blocks: block edges of lossy compression.

use crate::brief::requirements::Level;
use crate::judge::metrics::detail::{HIDDEN_MM, distance_factor, mm};
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::risk::Risk;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::units::show;

/// Step across the grid, relative to the steps elsewhere and in excess codes, from which block edges show. Source:
/// ours, from 32 photographs: saved at 60 and again at 95, 22 of 32 reach both; saved at 80, only the one that was
/// blocky before.
const SHOWN: Limits = Limits { ratio: 2.6, excess: 0.8 };
/// Limits for a grid that is not that of this file's blocks, as the file's own compression veils it. Source: ours, from
/// the same photographs: saved at 40, cropped and saved again at 95, all 32 reach both; of those saved at 85, only the
/// one that was blocky before.
const VEILED: Limits = Limits { ratio: 1.4, excess: 0.3 };
/// JPEG quality from which a file's own compression veils nothing. Source: ours, see [`VEILED`].
const VEILS_NOTHING: u8 = 97;
/// Pixels a side of a block. Source: ITU-T T.81.
const BLOCK_PX: f64 = 8.0;
/// Position of a file's own grid: the last of eight.
const OWN: (u8, u8) = (7, 7);

pub static RULE: Rule = Rule {
    id: "detail.blocks",
    group: RuleGroup::Detail,
    title: "Block edges show",
    question: "Is it free of block edges?",
    level: Level::Should,
    why: "smooth backgrounds break into little squares that print sharpening brings out",
    page: "In smooth places, steps between pixels where blocks of 8 x 8 pixels meet are compared with the other steps. \
           Block edges show where they are at least 2.6 times the others and 0.8 levels of 255 stronger. A grid that \
           is not this file's own is left from an earlier save, before a crop, and counts the same. Saving as JPEG \
           again, below a quality of 97, hides part of such a grid: then 1.4 times and 0.3 levels are enough. Blocks \
           narrower than 0.12 mm on paper are only a note; that width grows with the viewing distance beyond 30 cm.",
    fix: "Export from the original at a JPEG quality of 90 or more. Do not save a compressed file again.",
    misses: "An enlargement carries its blocks along, larger, and these are not detected. A picture without smooth \
             places cannot be checked.",
    keys: &["density.distance", "print.size"],
    source: "family of Wang, Sheikh and Bovik, ICIP 2002; blocks of 8: ITU-T T.81; limits ours",
    samples: RuleExamples {
        passes: "a JPEG saved at quality 92",
        fails: "a JPEG saved at quality 40, then again at 95",
    },
    unit: "times",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { wants_test_print: true, risk: Some(Risk::Noise), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let Some(blocks) = evidence.detail.blocks else {
        return RuleOutcome::NotChecked("too few smooth places to measure".to_owned());
    };
    let earlier = blocks.phase != OWN;
    let veils = case.facts.jpeg.as_ref().is_some_and(|jpeg| jpeg.quality < VEILS_NOTHING);
    let limits = if earlier && veils { VEILED } else { SHOWN };
    if blocks.ratio < limits.ratio || blocks.excess < limits.excess {
        return RuleOutcome::Passed;
    }
    let block_mm = case.metrics.effective_ppi.map(|ppi| mm(BLOCK_PX, ppi));
    let hidden_mm = HIDDEN_MM * distance_factor(case.print.requirements.density.distance);
    let too_small = block_mm.is_some_and(|block_mm| block_mm < hidden_mm);
    let size = block_mm.map_or(String::new(), |mm| format!(" of {} on paper", show::hundredths_mm(mm)));
    let whose = if earlier {
        format!(
            "blocks{size} from an earlier save, whose grid lies {} and {} pixels off",
            (blocks.phase.0 + 1) % 8,
            (blocks.phase.1 + 1) % 8
        )
    } else {
        format!("blocks{size}")
    };
    RuleOutcome::failed(Breach {
        about: if earlier { "earlier".to_owned() } else { String::new() },
        at_most: too_small.then_some(Level::Note),
        numbers: Some((blocks.ratio, limits.ratio)),
        short: "block edges".to_owned(),
        found: format!(
            "{whose}: steps at block edges are {:.1} times those elsewhere, and {:.1} levels of 255 stronger; usual: \
             under {} times, or under {} levels",
            blocks.ratio, blocks.excess, limits.ratio, limits.excess
        ),
        fix: "export from the original at a quality of 90 or more".to_owned(),
        ..Breach::default()
    })
}

/// Limits of the step across a grid from which its blocks show.
#[derive(Clone, Copy)]
struct Limits {
    /// Ratio to the steps elsewhere.
    ratio: f64,
    /// Excess over them, in codes.
    excess: f64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, abouts};
    use crate::measure::evidence::Blocks;

    fn blocks_in(quality: Option<u8>, ratio: f64, excess: f64, phase: (u8, u8)) -> RuleOutcome {
        let found = Blocks { excess, ratio, phase };
        RuleBench::new("[[print]]\nsize = \"8 x 10 in\"")
            .with(|f| match quality {
                Some(quality) => f.jpeg.as_mut().unwrap().quality = quality,
                None => f.jpeg = None,
            })
            .evidence(|e| e.detail.blocks = Some(found))
            .ask(check)
    }

    fn blocks(ratio: f64, excess: f64, phase: (u8, u8)) -> RuleOutcome {
        blocks_in(Some(95), ratio, excess, phase)
    }

    #[test]
    fn both_the_ratio_and_the_excess_must_show() {
        assert_eq!(blocks(2.59, 2.0, OWN), RuleOutcome::Passed);
        assert_eq!(blocks(3.0, 0.79, OWN), RuleOutcome::Passed);
        assert!(matches!(blocks(2.6, 0.8, OWN), RuleOutcome::Failed(b) if b[0].at_most.is_none()));
    }

    #[test]
    fn blocks_too_small_to_be_seen_from_afar_are_a_note() {
        // Arithmetic: 8 px at 300 ppi are 0.68 mm; from 200 cm 0.8 mm are hidden, from 150 cm 0.6 mm.
        let at = |distance: &str| {
            let found = Blocks { excess: 2.0, ratio: 4.0, phase: OWN };
            RuleBench::new(&format!("[density]\ndistance = \"{distance}\"\n[[print]]\nsize = \"8 x 10 in\""))
                .evidence(|e| e.detail.blocks = Some(found))
                .ask(check)
        };
        assert!(matches!(at("200 cm"), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
        assert!(matches!(at("150 cm"), RuleOutcome::Failed(b) if b[0].at_most.is_none()));
    }

    #[test]
    fn the_grid_of_an_earlier_compression_counts_like_the_file_s_own() {
        assert_eq!(blocks(1.39, 0.5, (2, 4)), RuleOutcome::Passed);
        assert_eq!(blocks(1.5, 0.29, (2, 4)), RuleOutcome::Passed);
        let found = blocks(1.4, 0.3, (2, 4));
        assert_eq!(abouts(&found), ["earlier"]);
        let RuleOutcome::Failed(found) = found else { panic!("it shows") };
        assert_eq!(found[0].at_most, None);
        assert!(found[0].found.contains("lies 3 and 5 pixels off"), "{}", found[0].found);
        assert!(matches!(RuleBench::new("[[print]]\nsize = \"8 x 10 in\"").ask(check), RuleOutcome::NotChecked(_)));
    }

    #[test]
    fn without_recompression_no_grid_is_hidden() {
        for quality in [Some(97), None] {
            assert_eq!(blocks_in(quality, 2.59, 1.0, (2, 4)), RuleOutcome::Passed);
            assert!(matches!(blocks_in(quality, 2.6, 0.8, (2, 4)), RuleOutcome::Failed(b) if b[0].at_most.is_none()));
        }
        assert!(matches!(blocks_in(Some(96), 1.4, 0.3, (2, 4)), RuleOutcome::Failed(_)));
    }
}
