//! How the selected row's picture is looked at: as it was sent or as a proof, with the legend of its view.

use std::sync::Arc;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::live::snapshot::{ShownProof, ShownThumbnail, TableRow};
use crate::tui::legend;
use crate::tui::picture::overlay::Overlay;
use crate::tui::picture::views;
use crate::tui::picture::views::{How, PictureView};
use crate::tui::theme::Theme;

/// What is known beside the picture itself.
#[derive(Debug, Default)]
pub struct PictureContext {
    /// The proof that the desk has for the selected row.
    pub proof: ShownProof,
    /// What is known of the screen's calibration, in words.
    pub calibration: Option<String>,
}

impl PictureContext {
    /// The proof of this thumbnail that a view shows, if it is made.
    pub fn proof_of(&self, view: PictureView, thumbnail: Option<&Arc<ShownThumbnail>>) -> Option<&Arc<ShownThumbnail>> {
        let (manner, thumbnail) = (view.manner()?, thumbnail?);
        let ShownProof::Made(proof) = &self.proof else { return None };
        let same_picture = (&proof.picture, proof.version) == (&thumbnail.picture, thumbnail.version);
        (same_picture && proof.proof.is_some_and(|proof| proof.manner == manner)).then_some(proof)
    }

    /// The room for the picture and what is painted over it, once the legend of its view is drawn.
    pub fn draw(
        &self,
        buffer: &mut Buffer,
        area: Rect,
        (row, thumbnail): (Option<&TableRow>, Option<&Arc<ShownThumbnail>>),
        view: PictureView,
        theme: &Theme,
    ) -> (Rect, Overlay) {
        let Some(row) = row.filter(|row| row.row.key.picture.is_some() && !view.is_plain()) else {
            return (area, Overlay::default());
        };
        let mut shown = view.shown(&row.row);
        if let Some(manner) = view.manner() {
            let how = match (self.proof_of(view, thumbnail).and_then(|proof| proof.proof), &self.proof) {
                (Some(proof), _) => How::Made(proof),
                (None, ShownProof::Impossible(of)) if *of == manner => How::Impossible,
                (None, _) => How::Working,
            };
            shown.legend = views::on_paper(manner, how, self.calibration.as_deref());
        }
        (legend::draw(buffer, area, view.name(), &shown.legend, theme), shown.overlay)
    }
}
