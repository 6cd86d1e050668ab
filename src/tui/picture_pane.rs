//! The view of the selected row's picture: as it was sent or as a proof, with the legend of the view.

use std::sync::Arc;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::live::snapshot::{ShownProof, ShownThumbnail, TableRow};
use crate::tui::legend;
use crate::tui::picture::overlay::Overlay;
use crate::tui::picture::views;
use crate::tui::picture::views::{How, PictureView};
use crate::tui::theme::Theme;

/// The view of the picture, and what is known besides the picture itself.
#[derive(Debug, Default)]
pub struct PicturePane {
    /// The view in use.
    pub view: PictureView,
    /// The proof that was made for the selected row.
    pub proof: ShownProof,
    /// The screen's calibration in words, as far as known.
    pub calibration: Option<String>,
}

/// The area that a mode leaves for the selected row's picture.
#[derive(Debug, Default)]
pub struct PictureRoom {
    /// The area; empty if no picture is shown.
    pub area: Rect,
    /// The painted overlay.
    pub overlay: Overlay,
    /// True if the soft proof replaces the picture once it is made.
    pub shows_proof: bool,
}

impl PicturePane {
    /// Returns the proof of this thumbnail that the view shows, if it is made.
    pub fn proof_of(&self, thumbnail: Option<&Arc<ShownThumbnail>>) -> Option<&Arc<ShownThumbnail>> {
        let (rendering, thumbnail) = (self.view.rendering()?, thumbnail?);
        let ShownProof::Made(proof) = &self.proof else { return None };
        let same_picture = (&proof.picture, proof.version) == (&thumbnail.picture, thumbnail.version);
        (same_picture && proof.proof.is_some_and(|proof| proof.rendering == rendering)).then_some(proof)
    }

    /// Draws the legend of the view; returns the area left for the picture, and the overlay painted over it.
    pub fn draw(
        &self,
        buffer: &mut Buffer,
        area: Rect,
        row: Option<&TableRow>,
        thumbnail: Option<&Arc<ShownThumbnail>>,
        theme: &Theme,
    ) -> PictureRoom {
        let view = self.view;
        let Some(row) = row.filter(|row| row.row.key.picture.is_some() && !view.is_plain()) else {
            return PictureRoom { area, overlay: Overlay::default(), shows_proof: true };
        };
        let mut shown = view.shown(&row.row);
        if let Some(rendering) = view.rendering() {
            let how = match (self.proof_of(thumbnail).and_then(|proof| proof.proof), &self.proof) {
                (Some(proof), _) => How::Made(proof),
                (None, ShownProof::Impossible(of)) if *of == rendering => How::Impossible,
                (None, _) => How::Working,
            };
            shown.legend = views::on_paper(rendering, how, self.calibration.as_deref());
        }
        let area = legend::draw(buffer, area, view.name(), &shown.legend, theme);
        PictureRoom { area, overlay: shown.overlay, shows_proof: true }
    }
}
