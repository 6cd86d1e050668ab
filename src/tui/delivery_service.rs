//! What the screen needs of whatever delivers the order: a preview, and how far a delivery is.

use std::sync::Arc;

use crossbeam_channel::Receiver;

use crate::live::Snapshot;
use crate::units::styled::Line;

/// Plans and writes deliveries for the screen, on threads of its own: neither call waits for the disk.
pub trait DeliveryService {
    /// Begins to plan what would go of a snapshot; the plan comes through the channel.
    fn plan(&self, snapshot: &Arc<Snapshot>) -> Receiver<DeliveryPreview>;
    /// Begins to check everything once more and to write it into a folder that does not exist yet; how far it is, and
    /// at last how it ended, comes through the channel.
    fn deliver(&self, into: &str) -> Receiver<DeliveryProgress>;
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
    Delivered(Vec<Line>),
    /// Nothing was delivered, and why.
    Refused(Vec<Line>),
}
