//! What a space or a paper changes of a picture's colours. Each question is worked out once and its answer kept with
//! the picture: it depends on the picture and the space alone, not on the rest of the brief.

use std::collections::HashSet;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::brief::requirements::Space;
use crate::brief::{Brief, Print};
use crate::colour::{Encoding, NumberMeaning, PaperProfile};
use crate::judge::model::counted::EvidenceHandle;
use crate::measure::evidence::Misread;
use crate::measure::{Evidence, Grid};
use crate::picture::Facts;

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
    numbers: NumberMeaning,
    holder: TargetGamut,
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

/// What a print asks of colours.
#[derive(Clone, Debug)]
pub struct ColourRequest {
    spaces: Vec<Space>,
    paper: Option<Arc<PaperProfile>>,
}

impl ColourRequest {
    /// What a print asks.
    pub fn of(print: &Print) -> ColourRequest {
        ColourRequest {
            spaces: print.requirements.colour.spaces.clone(),
            paper: print.requirements.paper.printer.clone(),
        }
    }

    /// What the prints of a brief ask, each once.
    pub fn of_all(brief: &Brief) -> Vec<ColourRequest> {
        let mut known = HashSet::new();
        let prints = brief.prints.iter().filter(|print| known.insert(what_is_asked(print)));
        prints.map(ColourRequest::of).collect()
    }

    /// Whether a brief asks what another does not.
    pub fn is_more(brief: &Brief, before: &Brief) -> bool {
        let known: HashSet<_> = before.prints.iter().map(what_is_asked).collect();
        brief.prints.iter().any(|print| !known.contains(&what_is_asked(print)))
    }

    /// The questions that are to be worked out for a picture.
    pub fn questions(&self, facts: &Facts, evidence: &Evidence) -> Vec<ColourQuestion> {
        let Some(numbers) = colours::read_as(facts, evidence, &self.spaces) else { return Vec::new() };
        let space = colours::target(facts, evidence, &self.spaces).map(TargetGamut::Space);
        let paper = self.paper.clone().filter(|paper| !colours::is_papers_own(facts, paper)).map(TargetGamut::Paper);
        space.into_iter().chain(paper).map(|holder| ColourQuestion { numbers, holder }).collect()
    }
}

/// What tells what a print asks of colours from what others ask: its spaces, and its paper's profile.
fn what_is_asked(print: &Print) -> (&[Space], Option<&str>) {
    let paper = print.requirements.paper.printer.as_ref();
    (&print.requirements.colour.spaces, paper.map(|paper| paper.facts().sha256.as_str()))
}

/// What a row loses of its colours.
#[derive(Clone, Debug, PartialEq)]
pub struct LostColours {
    /// In the asked space; `None` where no RGB space is asked.
    pub space: Option<Arc<ColourChanges>>,
    /// On the paper; `None` without its profile.
    pub paper: Option<Arc<ColourChanges>>,
}

impl LostColours {
    /// Of a picture for a print; `None` where nobody knows its colours.
    pub fn of(print: &Print, facts: &Facts, counted: &EvidenceHandle, evidence: &Evidence) -> Option<LostColours> {
        let asked = ColourRequest::of(print);
        colours::read_as(facts, evidence, &asked.spaces)?;
        let is_rgb_asked = colours::is_rgb(facts) && colours::has_rgb(&asked.spaces);
        // What is in its own space already loses nothing there.
        let mut lost =
            LostColours { space: is_rgb_asked.then(Arc::default), paper: asked.paper.as_ref().map(|_| Arc::default()) };
        for question in asked.questions(facts, evidence) {
            let changes = counted.changes(&question, evidence);
            match question.holder {
                TargetGamut::Space(_) => lost.space = Some(changes),
                TargetGamut::Paper(_) => lost.paper = Some(changes),
            }
        }
        Some(lost)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, facts};
    use crate::measure::evidence::Colour;
    use crate::picture::facts::Profile;

    fn green() -> Evidence {
        let mut evidence = Evidence::nothing("a");
        evidence.colours = vec![Colour { mean: [0, 65_280, 0], count: 1 }];
        evidence.strongest = Grid { across: 2, down: 1, fields: vec![[0, 65_280, 0], [128 * 256; 3]] };
        evidence
    }

    fn adobe() -> Facts {
        let mut facts = facts(2400, 3000);
        let Profile::Embedded(profile) = &mut facts.profile else { panic!("a sound picture has a profile") };
        (profile.known_as, profile.sha256) = (Some(Encoding::AdobeRgb), "adobe".to_owned());
        facts
    }

    #[test]
    fn a_question_is_worked_out_once_for_all_briefs_that_ask_it() {
        let counted = EvidenceHandle::here(green());
        let first = brief("[[print]]\nsize = \"8 x 10 in\"");
        let second = brief("[density]\nleast = \"299 ppi\"\n[[print]]\nsize = \"5 x 7 in\"");
        let ask =
            |brief: &Brief| LostColours::of(&brief.prints[0], &adobe(), &counted, &green()).unwrap().space.unwrap();
        let one = ask(&first);
        assert!(Arc::ptr_eq(&one, &ask(&second)));
        assert_eq!((one.outside.share, one.names.as_str()), (1.0, "light greens"));
        let changed: Vec<f64> = one.placed().map(|(_, change)| change).collect();
        assert!(changed[0] > SEEN && changed[1] == 0.0, "{changed:?}");
        let other = ask(&brief("[colour]\nspace = \"display p3\"\n[[print]]\nsize = \"8 x 10 in\""));
        assert!(other.outside.largest < one.outside.largest);
    }

    #[test]
    fn what_was_worked_out_before_is_taken_as_it_is() {
        let (counted, brief) = (EvidenceHandle::here(green()), brief("[[print]]\nsize = \"8 x 10 in\""));
        let question = ColourRequest::of_all(&brief)[0].questions(&adobe(), &green()).remove(0);
        let known = Arc::new(ColourChanges { names: "kept".to_owned(), ..ColourChanges::default() });
        counted.know(&question, known.clone());
        let lost = LostColours::of(&brief.prints[0], &adobe(), &counted, &green()).unwrap();
        assert!(Arc::ptr_eq(&lost.space.unwrap(), &known));
    }

    #[test]
    fn prints_that_ask_the_same_are_asked_once() {
        let print = "[[print]]\nsize = \"8 x 10 in\"\n";
        let other = "[[print]]\nsize = \"8 x 12 in\"\ncolour.space = \"adobe rgb\"\n";
        let all = ColourRequest::of_all(&brief(&format!("{print}{other}{}", print.replace("10", "9"))));
        assert_eq!(all.len(), 2);
    }
}
