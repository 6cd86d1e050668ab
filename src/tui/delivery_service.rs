//! The delivery that the screen needs: a preview, and the progress of a delivery.

use std::sync::Arc;

use crossbeam_channel::Receiver;

use crate::live::Snapshot;
use crate::units::styled::Line;

/// Plans and writes deliveries for the screen on its own threads: neither call waits for the disk.
pub trait DeliveryService {
    /// Begins to plan the delivery of a snapshot; the plan comes through the channel.
    fn plan(&self, snapshot: &Arc<Snapshot>) -> Receiver<DeliveryPreview>;
    /// Begins to check everything once more and to write it into a folder that does not exist yet; its progress, and
    /// finally its outcome, come through the channel.
    fn deliver(&self, into: &str) -> Receiver<DeliveryProgress>;
}

/// A delivery's preview.
#[derive(Clone, Debug, PartialEq)]
pub struct DeliveryPreview {
    /// True if permitted.
    pub may: bool,
    /// The summary, or the reasons against.
    pub lines: Vec<Line>,
    /// A suggested folder that is free.
    pub into: String,
}

/// A delivery's progress.
#[derive(Clone, Debug, PartialEq)]
pub enum DeliveryProgress {
    /// The number of pictures checked once more.
    Checked {
        /// Pictures done.
        done: usize,
        /// Pictures in all.
        of: usize,
    },
    /// The delivery is complete; its contents in words.
    Delivered(Vec<Line>),
    /// Nothing was delivered; the reasons.
    Refused(Vec<Line>),
}
