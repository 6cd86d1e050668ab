//! What the screen needs of whatever delivers the order: a preview, and how far a delivery is.

use crossbeam_channel::Receiver;

use crate::live::Snapshot;
use crate::units::styled::Line;

/// What delivers the order for the screen, which itself writes no files.
pub trait DeliveryService: Send + Sync {
    /// What would go now, or why nothing may. May take a while: it is called on a thread of its own.
    fn asked(&self, snapshot: &Snapshot) -> DeliveryPreview;
    /// Checks everything once more and delivers into a folder that does not exist yet; the receiver gets how far it is.
    fn lay(&self, into: &str) -> Receiver<DeliveryProgress>;
}

/// What would go.
#[derive(Clone, Debug, PartialEq)]
pub struct DeliveryPreview {
    /// Whether it may.
    pub may: bool,
    /// The summary, or the reasons.
    pub lines: Vec<Line>,
    /// A folder that is free, to begin from.
    pub into: String,
}

/// How far it is.
#[derive(Clone, Debug, PartialEq)]
pub enum DeliveryProgress {
    /// So many pictures are checked once more.
    Checked {
        /// Done.
        done: usize,
        /// In all.
        of: usize,
    },
    /// The delivery is complete; what it holds, in words.
    Laid(Vec<Line>),
    /// Nothing was delivered, and why.
    Refused(Vec<Line>),
}
