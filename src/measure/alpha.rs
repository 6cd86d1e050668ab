//! How much of a picture its alpha channel hides or thins.

use crate::picture::pixels::SampleLayout;

/// Counts pixels whose alpha is below full.
pub struct TransparentPixels {
    channels: usize,
    has_alpha: bool,
    hidden: u64,
    pixels: u64,
}

impl TransparentPixels {
    /// Creates a counter for pictures of this layout.
    pub fn new(layout: SampleLayout) -> TransparentPixels {
        TransparentPixels { channels: layout.channels(), has_alpha: layout.has_alpha, hidden: 0, pixels: 0 }
    }

    /// Counts some whole pixels; `full` is the alpha of a pixel that hides nothing.
    pub fn add<S: Copy + PartialOrd>(&mut self, samples: &[S], full: S) {
        if !self.has_alpha {
            return;
        }
        let last = self.channels - 1;
        self.hidden += samples.chunks_exact(self.channels).filter(|pixel| pixel[last] < full).count() as u64;
        self.pixels += (samples.len() / self.channels) as u64;
    }

    /// Returns the share of the pixels counted; `None` without alpha.
    pub fn share(&self) -> Option<f64> {
        (self.has_alpha && self.pixels > 0).then(|| self.hidden as f64 / self.pixels as f64)
    }
}
