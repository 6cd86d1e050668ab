//! The delivery that the screen needs: a preview, and the progress of a delivery.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crossbeam_channel::Receiver;

use crate::live::Snapshot;
use crate::units::styled::Line;

/// Plans and writes deliveries for the screen on its own threads: neither call waits for the disk.
pub trait DeliveryService {
    /// Begins to plan the delivery of a snapshot; the plan comes through the channel.
    fn preview(&self, snapshot: &Arc<Snapshot>) -> Receiver<DeliveryPreview>;
    /// Begins to check everything once more and to write what was offered, and nothing else, into a folder that does
    /// not exist yet; its progress, and finally its outcome, come through the channel. Once `stop` is set it ends as
    /// soon as it can, and leaves nothing behind.
    fn deliver(&self, into: &str, offer: &DeliveryOffer, stop: Arc<AtomicBool>) -> Receiver<DeliveryProgress>;
}

/// What may be delivered now.
#[derive(Clone, Debug, PartialEq)]
pub struct DeliveryPreview {
    /// What a person chooses from, the most likely first; at least one.
    pub offers: Vec<DeliveryOffer>,
    /// A suggested folder that is free.
    pub into: String,
}

/// One way to deliver the order.
#[derive(Clone, Debug, PartialEq)]
pub struct DeliveryOffer {
    /// The part of the order.
    pub scope: DeliveryScope,
    /// The part in words.
    pub words: String,
    /// True if permitted.
    pub is_permitted: bool,
    /// The summary, or the reasons against.
    pub lines: Vec<Line>,
    /// Tells what is offered from anything else.
    pub identity: String,
}

/// The part of an order that is delivered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DeliveryScope {
    /// All of it.
    #[default]
    Everything,
    /// What is new or changed since all that was sent.
    Changed,
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
    /// The number of pictures copied.
    Copied {
        /// Pictures done.
        done: usize,
        /// Pictures in all.
        of: usize,
    },
    /// The delivery is complete; its contents in words.
    Delivered(Vec<Line>),
    /// Nothing was delivered; the reasons.
    Refused(Vec<Line>),
    /// Nothing was delivered, since it would no longer be what was offered; the reason.
    Outdated(Vec<Line>),
}

impl DeliveryPreview {
    /// A preview that permits nothing, with the reasons.
    pub fn refused(lines: Vec<Line>) -> DeliveryPreview {
        let (scope, words, identity) = (DeliveryScope::Everything, String::new(), String::new());
        DeliveryPreview {
            offers: vec![DeliveryOffer { scope, words, is_permitted: false, lines, identity }],
            into: String::new(),
        }
    }
}
