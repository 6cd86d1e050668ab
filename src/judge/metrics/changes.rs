//! What a space or a paper changes of a picture's colours. Each question is worked out once and its answer kept with
//! the picture: it depends on the picture and the space alone, not on the rest of the brief.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::colour::{Encoding, NumberMeaning, PaperProfile};
use crate::measure::evidence::Misread;
use crate::measure::{Evidence, Grid};

use super::colours;
use super::colours::{OutOfGamut, SEEN, SeenColours};

/// Rises whenever the same colours would give another answer, so that kept answers of an older program are worked out
/// anew.
pub const CHANGES_VERSION: u32 = 1;

/// Steps of a field's change in one Delta E.
const FIELD_STEPS: f64 = 10.0;

/// What is to hold a picture's colours.
#[derive(Clone, Debug)]
pub enum TargetGamut {
    /// An RGB space.
    Space(Encoding),
    /// The printer's paper.
    Paper(Arc<PaperProfile>),
}

/// What changes of a picture's colours, whose numbers are read in a way, where something is to hold them?
#[derive(Clone, Debug)]
pub struct ColourQuestion {
    /// How the picture's numbers are read.
    pub numbers: NumberMeaning,
    /// What is to hold them.
    pub holder: TargetGamut,
}

impl ColourQuestion {
    /// What tells it from others.
    pub fn key(&self) -> String {
        match &self.holder {
            TargetGamut::Space(encoding) => format!("{:?} in {}", self.numbers, encoding.word()),
            TargetGamut::Paper(paper) => format!("{:?} on {}", self.numbers, paper.facts().sha256),
        }
    }
}

/// What changes.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ColourChanges {
    /// How much cannot be held.
    pub outside: OutOfGamut,
    /// What changes most, in words: `strong greens and deep blues`.
    pub names: String,
    /// How the picture looks when its codes are read as the space's; of RGB spaces alone.
    pub misread: Option<Misread>,
    /// How much the strongest colour of each field changes where that is clearly seen, in steps of 1 / 10 Delta E up to
    /// 25.5; no fields where nothing is.
    pub fields: Grid<u8>,
}

impl ColourChanges {
    /// Works a question out.
    pub fn of(question: &ColourQuestion, evidence: &Evidence) -> ColourChanges {
        let seen = SeenColours::of(&evidence.colours, question.numbers);
        let strongest = colours::strongest(evidence, question.numbers);
        let (found, changes, misread) = match &question.holder {
            TargetGamut::Space(target) => {
                let changes = colours::space_changes(&strongest, *target);
                (seen.in_space(*target), changes, Some(seen.misread(*target)))
            }
            TargetGamut::Paper(paper) => (seen.on_paper(paper), colours::paper_changes(&strongest, paper), None),
        };
        let seen_step = |change: &f64| if *change > SEEN { (change * FIELD_STEPS).round() as u8 } else { 0 };
        let (across, down) = (evidence.strongest.across, evidence.strongest.down);
        let fields = Grid { across, down, fields: changes.iter().map(seen_step).collect() }.or_nothing();
        ColourChanges { outside: found.0, names: found.1, misread, fields }
    }

    /// Fields with how much they change.
    pub fn placed(&self) -> impl Iterator<Item = ([f64; 4], f64)> {
        self.fields.placed().map(|(field, steps)| (field, f64::from(*steps) / FIELD_STEPS))
    }
}
