//! Positions of the user's boxes in the pictures that are judged. Carrying a box to another export aligns two grey
//! pictures and may fetch evidence from disk, so the judging thread does it, and remembers the result.

use std::collections::HashMap;
use std::sync::Arc;

use crate::decisions::{Decisions, PictureBoxes};
use crate::judge::subject::Subjects;
use crate::judge::{EvidenceHandle, IsSuperseded, Submission};
use crate::picture::PictureKey;

/// The boxes of the pictures that were judged last.
#[derive(Debug, Default)]
pub struct CarriedBoxes(HashMap<PictureKey, CarriedTo>);

/// The positions of a picture's boxes, and the inputs they were derived from.
#[derive(Debug)]
struct CarriedTo {
    boxes: Arc<PictureBoxes>,
    handle: Option<Arc<EvidenceHandle>>,
    subjects: Arc<Subjects>,
}

impl CarriedBoxes {
    /// Finds the boxes' positions in each file, unless a newer request comes; forgets those of other files.
    pub fn carry(&mut self, files: &mut [Submission], decisions: &Decisions, is_superseded: IsSuperseded) {
        let mut before = std::mem::take(&mut self.0);
        for file in files.iter_mut() {
            let handle = file.evidence_handle();
            let sha256 = handle.map(|handle| handle.sha256.as_str());
            let Some(boxes) = decisions.boxes.get(&file.key, sha256) else { continue };
            if let Some(known) = before.remove(&file.key).filter(|known| known.is_of(boxes, handle)) {
                file.subjects = known.subjects.clone();
                self.0.insert(file.key.clone(), known);
                continue;
            }
            if is_superseded() {
                continue;
            }
            let subjects = Arc::new(boxes.carried_to(handle.map(Arc::as_ref)));
            // Evidence may be lost for a moment: then the result is not kept.
            if handle.is_none_or(|handle| handle.evidence().is_some()) {
                let (boxes, handle) = (boxes.clone(), handle.cloned());
                self.0.insert(file.key.clone(), CarriedTo { boxes, handle, subjects: subjects.clone() });
            }
            file.subjects = subjects;
        }
    }
}

impl CarriedTo {
    /// True if the positions were derived from these boxes and these pixels.
    fn is_of(&self, boxes: &Arc<PictureBoxes>, handle: Option<&Arc<EvidenceHandle>>) -> bool {
        self.handle.as_ref().map(Arc::as_ptr) == handle.map(Arc::as_ptr) && self.boxes == *boxes
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::{self, BoxChange, DecisionChange};
    use crate::judge::subject::{Area, DrawnBox};
    use crate::judge::testing::sound_submission;
    use crate::reading::testing;

    #[test]
    fn boxes_are_carried_once_for_the_same_pixels_and_not_for_a_superseded_request() {
        let folder = tempfile::tempdir().unwrap();
        let brief = folder.path().join("b.toml");
        std::fs::write(&brief, testing::BRIEF).unwrap();
        let evidence = testing::evidence("aa");
        let drawn = DrawnBox::on(&evidence, Area::new(0.25, 0.25, 0.75, 0.75).unwrap());
        let change = BoxChange { picture: PictureKey::from_text("a.jpg"), print: None, drawn };
        let decisions = decisions::keep(&brief, &[DecisionChange::Box(change)]).unwrap();
        let mut files = [sound_submission("a.jpg", 2400, 3000), sound_submission("b.jpg", 2400, 3000)];
        let mut carried = CarriedBoxes::default();
        carried.carry(&mut files, &decisions, &|| true);
        assert!(files[0].subjects.of_picture.is_none());
        let mut again = files.clone();
        carried.carry(&mut files, &decisions, &|| false);
        carried.carry(&mut again, &decisions, &|| true);
        assert!(files[0].subjects.of_picture.is_some() && Arc::ptr_eq(&files[0].subjects, &again[0].subjects));
        assert!(files[1].subjects.of_picture.is_none());
        carried.carry(&mut [], &decisions, &|| false);
        assert!(carried.0.is_empty(), "of pictures that are gone nothing is kept");
    }
}
