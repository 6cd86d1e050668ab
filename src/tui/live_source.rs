//! What the screen needs of the live table, so that tests can give it an invented one.

use std::sync::Arc;

use crossbeam_channel::Receiver;

use crate::live::snapshot::{LiveCommand, ShownProof, ShownThumbnail};
use crate::live::{LiveTable, Snapshot};

/// The live table as the screen sees it. No call waits for anything.
pub trait LiveSource {
    /// The newest snapshot.
    fn snapshot(&self) -> Arc<Snapshot>;

    /// The thumbnail that was made last, of the picture asked for last or of one before it.
    fn thumbnail(&self) -> Option<Arc<ShownThumbnail>>;

    /// The proof that is looked at, once it is made.
    fn proof(&self) -> ShownProof;

    /// Asks something of the live table.
    fn send(&self, command: LiveCommand);

    /// Decisions that were asked for and are not written yet.
    fn unwritten(&self) -> usize;

    /// Says that there is a new snapshot or thumbnail to be fetched.
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

    fn unwritten(&self) -> usize {
        LiveTable::unwritten(self)
    }

    fn wake(&self) -> &Receiver<()> {
        LiveTable::wake(self)
    }
}
