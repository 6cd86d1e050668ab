//! Everything that the state of a live table can ask to be done.

use std::sync::Arc;
use std::time::Duration;

use crate::brief::Brief;
use crate::picture::PictureKey;

use super::judge_thread::JudgeRequest;
use super::snapshot::{ShownProof, ShownThumbnail};
use crate::decisions::DecisionChange;
use crate::reading::job::Job;

/// One thing to be done.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Read something of a picture.
    Read(Job),
    /// Drop whatever waits to be read of this picture.
    Forget(PictureKey),
    /// Read these first, in this order; what is only for show is wanted of the first of them, if of any.
    Prefer {
        /// The selected picture.
        selected: Option<PictureKey>,
        /// It and the others on screen.
        first: Vec<PictureKey>,
    },
    /// Look at the folder again after this time.
    LookAgain(Duration),
    /// From now on, work out what this brief asks of colours.
    Expect(Arc<Brief>),
    /// Judge all this, in place of whatever is being judged, then say so with [`super::event::Event::Judged`].
    Judge(JudgeRequest),
    /// This is the selected picture's thumbnail now.
    Show(Option<Arc<ShownThumbnail>>),
    /// This is the proof that is looked at now.
    ShowProof(ShownProof),
    /// Keep these decisions, then say so with [`super::event::Event::Kept`].
    Keep(Vec<DecisionChange>),
    /// End everything.
    Quit,
}
