//! Thumbnails in memory, up to a limit, in each picture's own encoding; and the one on screen.

use std::sync::Arc;

use crate::live::limits;
use crate::measure::Thumbnail;
use crate::picture::PictureKey;

use super::snapshot::ShownThumbnail;
use crate::reading::inspect::UprightThumbnail;
use crate::reading::recent::RecentlyUsed;

/// The thumbnails in memory.
#[derive(Debug)]
pub struct Thumbnails {
    /// Keyed by content number.
    kept: RecentlyUsed<Arc<Thumbnail>>,
    shown: Option<Arc<ShownThumbnail>>,
}

impl Default for Thumbnails {
    fn default() -> Thumbnails {
        Thumbnails { kept: RecentlyUsed::up_to(limits::THUMBNAILS_BYTES), shown: None }
    }
}

impl Thumbnails {
    /// Keeps a thumbnail; the least recently used make room.
    pub fn keep(&mut self, version: u64, thumbnail: Arc<Thumbnail>) {
        let bytes = thumbnail.samples.len() as u64;
        self.kept.keep(version, thumbnail, bytes);
    }

    /// Returns the thumbnail of a content, if it is still there.
    pub fn get(&mut self, version: u64) -> Option<Arc<Thumbnail>> {
        self.kept.get(version)
    }

    /// Returns the thumbnail on screen.
    pub fn shown(&self) -> Option<&Arc<ShownThumbnail>> {
        self.shown.as_ref()
    }

    /// Shows a picture on screen.
    pub fn show(
        &mut self,
        picture: PictureKey,
        version: u64,
        upright: UprightThumbnail,
        is_preview: bool,
    ) -> Arc<ShownThumbnail> {
        let UprightThumbnail { width_px, height_px, rgb } = upright;
        let shown = Arc::new(ShownThumbnail { picture, version, width_px, height_px, rgb, is_preview, proof: None });
        self.shown = Some(shown.clone());
        shown
    }

    /// Shows nothing on screen; returns true if something was there.
    pub fn show_nothing(&mut self) -> bool {
        self.shown.take().is_some()
    }
}
