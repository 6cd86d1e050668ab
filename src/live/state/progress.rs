//! Which pictures are being read, and how many were.

use crate::picture::PictureKey;
use crate::reading::job::Ticket;

/// What the workers are at.
#[derive(Debug, Default)]
pub struct ReadingProgress {
    /// Contents whose pixels are being read.
    reading: Vec<(PictureKey, u64)>,
    /// Pictures read since the work began.
    pub done: usize,
}

impl ReadingProgress {
    /// A worker begins with a content's pixels.
    pub fn begin(&mut self, ticket: &Ticket) {
        self.reading.push((ticket.key.clone(), ticket.version));
    }

    /// It is done with them; whether it was said to have begun.
    pub fn end(&mut self, ticket: &Ticket) -> bool {
        let count = self.reading.len();
        self.reading.retain(|(key, version)| (key, *version) != (&ticket.key, ticket.version));
        self.reading.len() != count
    }

    /// The pictures whose pixels are being read.
    pub fn reading(&self) -> Vec<PictureKey> {
        self.reading.iter().map(|(key, _)| key.clone()).collect()
    }
}
