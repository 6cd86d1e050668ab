//! The part of the live table that the screen needs, so that tests can supply an invented one.

use std::sync::Arc;

use crossbeam_channel::Receiver;

use crate::live::snapshot::{LiveCommand, ShownProof, ShownThumbnail};
use crate::live::{LiveTable, Snapshot};

/// The live table as the screen sees it. No call blocks.
pub trait LiveSource {
    /// Returns the newest snapshot.
    fn snapshot(&self) -> Arc<Snapshot>;

    /// Returns the thumbnail made last, of the picture requested last or an earlier one.
    fn thumbnail(&self) -> Option<Arc<ShownThumbnail>>;

    /// Returns the proof in view, once it is made.
    fn proof(&self) -> ShownProof;

    /// Sends a command to the live table.
    fn send(&self, command: LiveCommand);

    /// Returns the number of requested decisions not written yet.
    fn pending_decisions(&self) -> usize;

    /// Returns the channel that signals a new snapshot or thumbnail.
    fn wake(&self) -> &Receiver<()>;
}

impl LiveSource for LiveTable {
    fn snapshot(&self) -> Arc<Snapshot> {
        LiveTable::snapshot(self)
    }

    fn thumbnail(&self) -> Option<Arc<ShownThumbnail>> {
        LiveTable::thumbnail(self)
    }

    fn proof(&self) -> ShownProof {
        LiveTable::proof(self)
    }

    fn send(&self, command: LiveCommand) {
        LiveTable::send(self, command);
    }

    fn pending_decisions(&self) -> usize {
        LiveTable::pending_decisions(self)
    }

    fn wake(&self) -> &Receiver<()> {
        LiveTable::wake(self)
    }
}
