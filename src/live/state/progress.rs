//! The pictures being read, and the number already read.

use crate::picture::PictureKey;
use crate::reading::job::Ticket;

/// The progress of the workers.
#[derive(Debug, Default)]
pub struct ReadingProgress {
    /// Contents whose pixels are being read.
    reading: Vec<(PictureKey, u64)>,
    /// Number of pictures read since the work began.
    pub done: usize,
}

impl ReadingProgress {
    /// Notes that a worker begins with a content's pixels.
    pub fn begin(&mut self, ticket: &Ticket) {
        self.reading.push((ticket.key.clone(), ticket.version));
    }

    /// Notes that it is done with them; returns true if it had been noted to begin.
    pub fn end(&mut self, ticket: &Ticket) -> bool {
        let count = self.reading.len();
        self.reading.retain(|(key, version)| (key, *version) != (&ticket.key, ticket.version));
        self.reading.len() != count
    }

    /// Returns the pictures whose pixels are being read.
    pub fn reading(&self) -> Vec<PictureKey> {
        self.reading.iter().map(|(key, _)| key.clone()).collect()
    }
}
