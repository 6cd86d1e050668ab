//! The brief in use, problems in the one on disk, and a new one waiting for its colours.
//!
//! Where a new brief has further colour requirements, the one before stays in use until the workers have evaluated
//! every picture.

use std::collections::HashSet;
use std::mem;
use std::sync::Arc;

use crate::brief::{Brief, Problem};
use crate::picture::PictureKey;

/// The brief of a live table.
#[derive(Debug)]
pub struct BriefInUse {
    /// The one in use: the last good one.
    pub last_valid: Arc<Brief>,
    /// Problems in the one on disk.
    pub problems: Arc<[Problem]>,
    pending: Option<PendingBrief>,
    /// Number of briefs so far that had to wait.
    number: u64,
}

/// A brief whose colour questions are being answered.
#[derive(Debug)]
struct PendingBrief {
    brief: Arc<Brief>,
    /// Pictures, with their contents, that have not been answered for.
    waiting: HashSet<(PictureKey, u64)>,
}

impl BriefInUse {
    /// Creates one whose brief is in use from the start.
    pub fn new(last_valid: Arc<Brief>) -> BriefInUse {
        BriefInUse { last_valid, problems: Vec::new().into(), pending: None, number: 0 }
    }

    /// Makes a brief wait until it is answered for each of these pictures, which are given by content. Its number is
    /// passed to `waiting`, so that jobs can carry it.
    pub fn wait_for(&mut self, brief: Arc<Brief>, waiting: impl FnOnce(u64) -> HashSet<(PictureKey, u64)>) {
        self.number += 1;
        self.pending = Some(PendingBrief { brief, waiting: waiting(self.number) });
    }

    /// Returns the number of pictures not answered for.
    pub fn waiting_pictures(&self) -> usize {
        self.pending.as_ref().map_or(0, |pending| pending.waiting.len())
    }

    /// Drops a waiting brief; returns true if there was one.
    pub fn drop_pending(&mut self) -> bool {
        self.pending.take().is_some()
    }

    /// Notes that a picture's answers are there, or unavailable (no number). Answers for another brief do not count.
    /// Returns true if the picture was waited for.
    pub fn note_answer(&mut self, key: &PictureKey, version: u64, number: Option<u64>) -> bool {
        let is_meant = number.is_none_or(|number| number == self.number);
        let Some(pending) = self.pending.as_mut().filter(|_| is_meant) else { return false };
        pending.waiting.remove(&(key.clone(), version))
    }

    /// Stops waiting for contents that are gone.
    pub fn retain(&mut self, is_there: impl Fn(&PictureKey, u64) -> bool) {
        if let Some(pending) = &mut self.pending {
            pending.waiting.retain(|(key, version)| is_there(key, *version));
        }
    }

    /// Takes the waiting brief into use, once nothing is left to wait for; returns true if it did.
    pub fn use_pending(&mut self) -> bool {
        let Some(pending) = self.pending.take_if(|pending| pending.waiting.is_empty()) else { return false };
        self.last_valid = pending.brief;
        true
    }

    /// Records that the brief on disk is broken; returns true if that is news.
    pub fn set_problems(&mut self, problems: Vec<Problem>) -> bool {
        let is_news = *self.problems != *problems;
        self.problems = problems.into();
        is_news
    }

    /// Records that the brief on disk is good; returns true if it was broken before.
    pub fn clear_problems(&mut self) -> bool {
        !mem::replace(&mut self.problems, Vec::new().into()).is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::testing::{BRIEF, brief};

    #[test]
    fn a_brief_waits_for_every_content_and_for_answers_to_itself() {
        let (a, b) = (PictureKey::from_text("a"), PictureKey::from_text("b"));
        let new = Arc::new(brief("[density]\nminimum = \"300 ppi\"\n[[print]]\nsize = \"8 x 10 in\"\n"));
        let mut briefs = BriefInUse::new(Arc::new(brief(BRIEF)));
        let waiting = || HashSet::from([(a.clone(), 1), (b.clone(), 2)]);
        briefs.wait_for(new.clone(), |number| {
            assert_eq!(number, 1);
            waiting()
        });
        briefs.wait_for(new.clone(), |_| waiting());
        assert!(!briefs.note_answer(&a, 1, Some(1)), "that was asked for the brief before");
        assert!(briefs.note_answer(&a, 1, Some(2)) && !briefs.note_answer(&a, 1, Some(2)));
        assert!(!briefs.use_pending() && !Arc::ptr_eq(&briefs.last_valid, &new));
        briefs.retain(|key, _| *key != b);
        assert!(briefs.waiting_pictures() == 0 && briefs.use_pending() && Arc::ptr_eq(&briefs.last_valid, &new));
        assert!(!briefs.use_pending() && !briefs.drop_pending());
    }
}
