//! A print's colour requirements, and the colours that a picture loses by them.

use std::collections::HashSet;
use std::sync::Arc;

use crate::brief::requirements::Space;
use crate::brief::{Brief, Print};
use crate::colour::PaperProfile;
use crate::judge::metrics::changes::{ColourChanges, ColourQuestion, TargetGamut};
use crate::judge::metrics::colours;
use crate::judge::model::evidence_handle::EvidenceHandle;
use crate::measure::Evidence;
use crate::picture::Facts;

/// A print's colour requirements.
#[derive(Clone, Debug)]
pub struct ColourRequest {
    spaces: Vec<Space>,
    paper: Option<Arc<PaperProfile>>,
}

impl ColourRequest {
    /// Returns a print's requirements.
    pub fn of(print: &Print) -> ColourRequest {
        ColourRequest {
            spaces: print.requirements.colour.spaces.clone(),
            paper: print.requirements.paper.printer.clone(),
        }
    }

    /// Returns the requirements of a brief's prints, without repeats.
    pub fn of_all(brief: &Brief) -> Vec<ColourRequest> {
        let mut known = HashSet::new();
        let prints = brief.prints.iter().filter(|print| known.insert(question_for(print)));
        prints.map(ColourRequest::of).collect()
    }

    /// True if a brief has requirements that another does not.
    pub fn asks_more(brief: &Brief, before: &Brief) -> bool {
        let known: HashSet<_> = before.prints.iter().map(question_for).collect();
        brief.prints.iter().any(|print| !known.contains(&question_for(print)))
    }

    /// Returns the questions to be answered for a picture.
    pub fn questions(&self, facts: &Facts, evidence: &Evidence) -> Vec<ColourQuestion> {
        let Some(numbers) = colours::read_as(facts, evidence, &self.spaces) else { return Vec::new() };
        let space = colours::target(facts, evidence, &self.spaces).map(TargetGamut::Space);
        let paper = self.paper.clone().filter(|paper| !colours::is_papers_own(facts, paper)).map(TargetGamut::Paper);
        space.into_iter().chain(paper).map(|holder| ColourQuestion { numbers, gamut: holder }).collect()
    }
}

/// Returns what tells a print's colour requirements from others: its spaces, and its paper's profile.
fn question_for(print: &Print) -> (&[Space], Option<&str>) {
    let paper = print.requirements.paper.printer.as_ref();
    (&print.requirements.colour.spaces, paper.map(|paper| paper.facts().sha256.as_str()))
}

/// The colours that a row loses.
#[derive(Clone, Debug, PartialEq)]
pub struct LostColours {
    /// Losses in the required space; `None` where no RGB space is required.
    pub space: Option<Arc<ColourChanges>>,
    /// Losses on the paper; `None` without its profile.
    pub paper: Option<Arc<ColourChanges>>,
}

impl LostColours {
    /// Returns the losses of a picture for a print; `None` where its colours are not known.
    pub fn of(
        print: &Print,
        facts: &Facts,
        evidence_handle: &EvidenceHandle,
        evidence: &Evidence,
    ) -> Option<LostColours> {
        let request = ColourRequest::of(print);
        colours::read_as(facts, evidence, &request.spaces)?;
        let is_rgb_asked = colours::is_rgb(facts) && colours::has_rgb(&request.spaces);
        // A picture in its target gamut already loses nothing there.
        let mut lost = LostColours {
            space: is_rgb_asked.then(Arc::default),
            paper: request.paper.as_ref().map(|_| Arc::default()),
        };
        for question in request.questions(facts, evidence) {
            let changes = evidence_handle.changes(&question, evidence);
            match question.gamut {
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
    use crate::colour::Encoding;
    use crate::judge::metrics::colours::SEEN;
    use crate::judge::testing::{brief, facts};
    use crate::measure::Grid;
    use crate::measure::evidence::Colour;
    use crate::picture::facts::EmbeddedProfile;

    fn green() -> Evidence {
        let mut evidence = Evidence::nothing("a");
        evidence.colours = vec![Colour { mean: [0, 65_280, 0], count: 1 }];
        evidence.most_saturated = Grid { across: 2, down: 1, fields: vec![[0, 65_280, 0], [128 * 256; 3]] };
        evidence
    }

    fn adobe() -> Facts {
        let mut facts = facts(2400, 3000);
        let EmbeddedProfile::Embedded(profile) = &mut facts.profile else { panic!("a sound picture has a profile") };
        (profile.known_as, profile.sha256) = (Some(Encoding::AdobeRgb), "adobe".to_owned());
        facts
    }

    #[test]
    fn a_question_is_worked_out_once_for_all_briefs_that_ask_it() {
        let evidence_handle = EvidenceHandle::in_memory(green());
        let first = brief("[[print]]\nsize = \"8 x 10 in\"");
        let second = brief("[density]\nminimum = \"299 ppi\"\n[[print]]\nsize = \"5 x 7 in\"");
        let ask = |brief: &Brief| {
            LostColours::of(&brief.prints[0], &adobe(), &evidence_handle, &green()).unwrap().space.unwrap()
        };
        let one = ask(&first);
        assert!(Arc::ptr_eq(&one, &ask(&second)));
        assert_eq!((one.outside.share, one.names.as_str()), (1.0, "light greens"));
        let changed: Vec<f64> = one.placed().map(|(_, change)| change).collect();
        assert!(changed[0] > SEEN && changed[1] == 0.0, "{changed:?}");
        let other = ask(&brief("[colour]\nspace = \"display p3\"\n[[print]]\nsize = \"8 x 10 in\""));
        assert!(other.outside.largest < one.outside.largest);
    }

    #[test]
    fn cached_colour_changes_are_reused() {
        let (evidence_handle, brief) = (EvidenceHandle::in_memory(green()), brief("[[print]]\nsize = \"8 x 10 in\""));
        let question = ColourRequest::of_all(&brief)[0].questions(&adobe(), &green()).remove(0);
        let known = Arc::new(ColourChanges { names: "kept".to_owned(), ..ColourChanges::default() });
        evidence_handle.store_changes(&question, known.clone());
        let lost = LostColours::of(&brief.prints[0], &adobe(), &evidence_handle, &green()).unwrap();
        assert!(Arc::ptr_eq(&lost.space.unwrap(), &known));
    }

    #[test]
    fn equal_requests_of_several_prints_are_computed_once() {
        let print = "[[print]]\nsize = \"8 x 10 in\"\n";
        let other = "[[print]]\nsize = \"8 x 12 in\"\ncolour.space = \"adobe rgb\"\n";
        let all = ColourRequest::of_all(&brief(&format!("{print}{other}{}", print.replace("10", "9"))));
        assert_eq!(all.len(), 2);
    }
}
