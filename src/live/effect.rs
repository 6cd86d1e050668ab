//! All actions that the state of a live table can request.

use std::sync::Arc;
use std::time::Duration;

use crate::brief::Brief;
use crate::decisions::DecisionChange;
use crate::picture::PictureKey;
use crate::reading::job::Job;

use super::judge_thread::JudgeRequest;
use super::snapshot::{ShownProof, ShownThumbnail};

/// An action to carry out.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Read something of a picture.
    Read(Job),
    /// Drop all waiting jobs of this picture.
    Forget(PictureKey),
    /// Read these first, in this order; jobs only for display are wanted for the selected one alone.
    Prefer {
        /// The selected picture.
        selected: Option<PictureKey>,
        /// It and the others on screen.
        first: Vec<PictureKey>,
    },
    /// Scan the folder again after this time at the latest.
    ScanAfter(Duration),
    /// From now on, evaluate the colour requirements of this brief.
    UseBrief(Arc<Brief>),
    /// Judge this, superseding any judgement under way, then send [`super::event::Event::Judged`].
    Judge(JudgeRequest),
    /// Show this as the selected picture's thumbnail.
    ShowThumbnail(Option<Arc<ShownThumbnail>>),
    /// Show this as the proof being viewed.
    ShowProof(ShownProof),
    /// Write these decisions, then send [`super::event::Event::DecisionsWritten`].
    WriteDecisions(Vec<DecisionChange>),
    /// End everything.
    Quit,
}
