//! The brief that judges, what is wrong with the one on disk, and a new one that waits for its colours.
//!
//! Where a new brief asks more of colours the one before judges on until the workers have answered for every picture.

use std::collections::HashSet;
use std::mem;
use std::sync::Arc;

use crate::brief::{Brief, Problem};
use crate::picture::PictureKey;

/// The brief of a live table.
#[derive(Debug)]
pub struct BriefInUse {
    /// The one that judges: the last good one.
    pub good: Arc<Brief>,
    /// What is wrong with the one on disk.
    pub problems: Arc<[Problem]>,
    pending: Option<PendingBrief>,
    /// Briefs so far that had to wait.
    number: u64,
}

/// A brief whose questions about colours are being answered.
#[derive(Debug)]
struct PendingBrief {
    brief: Arc<Brief>,
    /// Pictures, with their contents, of which no answer is there yet.
    left: HashSet<(PictureKey, u64)>,
}

impl BriefInUse {
    /// A brief that judges from the start.
    pub fn new(good: Arc<Brief>) -> BriefInUse {
        BriefInUse { good, problems: Vec::new().into(), pending: None, number: 0 }
    }

    /// Lets a brief wait until it is answered for each of these pictures, which are given by content. Its number goes
    /// to `left`, so that it can be asked for.
    pub fn wait_for(&mut self, brief: Arc<Brief>, left: impl FnOnce(u64) -> HashSet<(PictureKey, u64)>) {
        self.number += 1;
        self.pending = Some(PendingBrief { brief, left: left(self.number) });
    }

    /// How many pictures are not answered for.
    pub fn left(&self) -> usize {
        self.pending.as_ref().map_or(0, |pending| pending.left.len())
    }

    /// Drops a brief that waits; whether there was one.
    pub fn drop_pending(&mut self) -> bool {
        self.pending.take().is_some()
    }

    /// A picture's answers are there, or cannot be had (no number). An answer to another brief is none to this one.
    /// Whether it was waited for.
    pub fn answered(&mut self, key: &PictureKey, version: u64, number: Option<u64>) -> bool {
        let is_meant = number.is_none_or(|number| number == self.number);
        let Some(pending) = self.pending.as_mut().filter(|_| is_meant) else { return false };
        pending.left.remove(&(key.clone(), version))
    }

    /// Waits only for contents that are still there.
    pub fn retain(&mut self, is_there: impl Fn(&PictureKey, u64) -> bool) {
        if let Some(pending) = &mut self.pending {
            pending.left.retain(|(key, version)| is_there(key, *version));
        }
    }

    /// Takes the brief up that waits, once nothing is left to wait for; whether it did.
    pub fn take_up(&mut self) -> bool {
        let Some(pending) = self.pending.take_if(|pending| pending.left.is_empty()) else { return false };
        self.good = pending.brief;
        true
    }

    /// The brief on disk is broken; whether that is news.
    pub fn is_broken(&mut self, problems: Vec<Problem>) -> bool {
        let is_news = *self.problems != *problems;
        self.problems = problems.into();
        is_news
    }

    /// The brief on disk is good; whether it was broken before.
    pub fn is_mended(&mut self) -> bool {
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
        let new = Arc::new(brief("[density]\nleast = \"300 ppi\"\n[[print]]\nsize = \"8 x 10 in\"\n"));
        let mut briefs = BriefInUse::new(Arc::new(brief(BRIEF)));
        let left = || HashSet::from([(a.clone(), 1), (b.clone(), 2)]);
        briefs.wait_for(new.clone(), |number| {
            assert_eq!(number, 1);
            left()
        });
        briefs.wait_for(new.clone(), |_| left());
        assert!(!briefs.answered(&a, 1, Some(1)), "that was asked for the brief before");
        assert!(briefs.answered(&a, 1, Some(2)) && !briefs.answered(&a, 1, Some(2)));
        assert!(!briefs.take_up() && !Arc::ptr_eq(&briefs.good, &new));
        briefs.retain(|key, _| *key != b);
        assert!(briefs.left() == 0 && briefs.take_up() && Arc::ptr_eq(&briefs.good, &new));
        assert!(!briefs.take_up() && !briefs.drop_pending());
    }
}
