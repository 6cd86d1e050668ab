//! How a space or a paper changes a picture's colours. Each answer is calculated once and kept with the picture: it
//! depends on the picture and the space alone, not on the rest of the brief.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::colour::{Encoding, NumberMeaning, PaperProfile};
use crate::measure::evidence::Misread;
use crate::measure::{Evidence, Grid};

use super::colours;
use super::colours::{OutOfGamut, SEEN, SeenColours};

/// Increased whenever the same colours would give another answer, so that answers stored by an older version are
/// calculated again.
pub const CHANGES_VERSION: u32 = 1;

/// Steps of a field's change per Delta E.
const FIELD_STEPS: f64 = 10.0;

/// The gamut that a picture's colours must fit in.
#[derive(Clone, Debug)]
pub enum TargetGamut {
    /// An RGB space.
    Space(Encoding),
    /// The printer's paper.
    Paper(Arc<PaperProfile>),
}

/// The question of how a picture's colours, its numbers read in a given way, change in a target gamut.
#[derive(Clone, Debug)]
pub struct ColourQuestion {
    /// How the picture's numbers are read.
    pub numbers: NumberMeaning,
    /// The gamut that they must fit in.
    pub gamut: TargetGamut,
}

impl ColourQuestion {
    /// Returns the question's unique key.
    pub fn key(&self) -> String {
        match &self.gamut {
            TargetGamut::Space(encoding) => format!("{:?} in {}", self.numbers, encoding.word()),
            TargetGamut::Paper(paper) => format!("{:?} on {}", self.numbers, paper.facts().sha256),
        }
    }
}

/// The changes found.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ColourChanges {
    /// Extent of the colours out of gamut.
    pub outside: OutOfGamut,
    /// The colours that change most, in words: `strong greens and deep blues`.
    pub names: String,
    /// The picture's appearance when its codes are read as the space's; RGB spaces only.
    pub misread: Option<Misread>,
    /// Change of the strongest colour of each field where it is clearly seen, in steps of 1 / 10 Delta E up to 25.5; no
    /// fields where none is.
    pub fields: Grid<u8>,
}

impl ColourChanges {
    /// Calculates the answer to a question.
    pub fn of(question: &ColourQuestion, evidence: &Evidence) -> ColourChanges {
        let seen = SeenColours::of(&evidence.colours, question.numbers);
        let strongest = colours::strongest(evidence, question.numbers);
        let (found, changes, misread) = match &question.gamut {
            TargetGamut::Space(target) => {
                let changes = colours::space_changes(&strongest, *target);
                (seen.in_space(*target), changes, Some(seen.misread(*target)))
            }
            TargetGamut::Paper(paper) => (seen.on_paper(paper), colours::paper_changes(&strongest, paper), None),
        };
        let seen_step = |change: &f64| if *change > SEEN { (change * FIELD_STEPS).round() as u8 } else { 0 };
        let (across, down) = (evidence.most_saturated.across, evidence.most_saturated.down);
        let fields = Grid { across, down, fields: changes.iter().map(seen_step).collect() }.or_nothing();
        ColourChanges { outside: found.0, names: found.1, misread, fields }
    }

    /// Returns the fields, each with its change in Delta E.
    pub fn placed(&self) -> impl Iterator<Item = ([f64; 4], f64)> {
        self.fields.placed().map(|(field, steps)| (field, f64::from(*steps) / FIELD_STEPS))
    }
}
