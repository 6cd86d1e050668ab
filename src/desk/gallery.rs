//! Thumbnails in memory, up to a bound, in each picture's own encoding; and which of them is on screen.

use std::sync::Arc;

use lru::LruCache;

use crate::measure::Thumbnail;
use crate::picture::PictureKey;

use super::inspect::Upright;
use super::limits;
use super::snapshot::ShownThumbnail;

/// The thumbnails.
#[derive(Debug)]
pub struct Gallery {
    kept: LruCache<u64, Arc<Thumbnail>>,
    bytes: usize,
    shown: Option<Arc<ShownThumbnail>>,
}

impl Default for Gallery {
    fn default() -> Gallery {
        Gallery { kept: LruCache::unbounded(), bytes: 0, shown: None }
    }
}

impl Gallery {
    /// Keeps a thumbnail; those looked at longest ago make room.
    pub fn keep(&mut self, version: u64, thumbnail: Arc<Thumbnail>) {
        self.bytes += thumbnail.samples.len();
        if let Some((_, old)) = self.kept.push(version, thumbnail) {
            self.bytes -= old.samples.len();
        }
        while self.bytes > limits::THUMBNAILS_BYTES
            && let Some((_, old)) = self.kept.pop_lru()
        {
            self.bytes -= old.samples.len();
        }
    }

    /// The thumbnail of a content, if it is still there.
    pub fn get(&mut self, version: u64) -> Option<Arc<Thumbnail>> {
        self.kept.get(&version).cloned()
    }

    /// What is on screen.
    pub fn shown(&self) -> Option<&Arc<ShownThumbnail>> {
        self.shown.as_ref()
    }

    /// Puts a picture on screen.
    pub fn show(&mut self, picture: PictureKey, version: u64, upright: Upright, preview: bool) -> Arc<ShownThumbnail> {
        let Upright { width_px, height_px, rgb } = upright;
        let shown = Arc::new(ShownThumbnail { picture, version, width_px, height_px, rgb, preview, proof: None });
        self.shown = Some(shown.clone());
        shown
    }

    /// Puts nothing on screen; whether something was there.
    pub fn show_nothing(&mut self) -> bool {
        self.shown.take().is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::facts::Model;

    #[test]
    fn what_was_looked_at_longest_ago_makes_room() {
        let megabytes = |n: usize| {
            let samples = vec![0; n * 1_000_000];
            Arc::new(Thumbnail { width_px: 1, height_px: 1, model: Model::Rgb, samples })
        };
        let mut gallery = Gallery::default();
        gallery.keep(1, megabytes(15));
        gallery.keep(2, megabytes(15));
        assert!(gallery.get(1).is_some());
        gallery.keep(3, megabytes(15));
        assert!(gallery.get(1).is_some() && gallery.get(2).is_none() && gallery.get(3).is_some());
        gallery.keep(3, megabytes(1));
        gallery.keep(4, megabytes(15));
        assert!(gallery.get(1).is_some() && gallery.get(3).is_some());
    }
}
