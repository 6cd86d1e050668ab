//! Drawing one frame: header and footer, the body by the topmost mode that draws it, and the picture in its area.

use std::sync::Arc;
use std::time::Instant;

use ratatui::Frame;

use crate::live::snapshot::ShownThumbnail;
use crate::tui::app::App;
use crate::tui::layout::{Pictures, areas};
use crate::tui::mode::FrameParts;
use crate::tui::picture::painter::{Painter, PictureRequest};
use crate::tui::placeholder::{no_thumbnail, too_small};
use crate::tui::{footer, header, problems};

impl App {
    /// Draws a frame; `thumbnail` is the newest that was made, of any picture.
    pub fn draw(
        &mut self,
        frame: &mut Frame,
        painter: &mut Painter,
        thumbnail: Option<&Arc<ShownThumbnail>>,
        now: Instant,
    ) {
        let (window, buffer) = (frame.area(), frame.buffer_mut());
        self.state.refresh(now);
        self.modes.iter_mut().for_each(|mode| mode.refresh(now));
        let pictures = match (painter.shows(), self.no_picture) {
            (true, _) => Pictures::Shown,
            (false, Some(_)) => Pictures::Words,
            (false, None) => Pictures::None,
        };
        let state = &mut self.state;
        state.areas =
            areas(window, problems::height(&state.snapshot, window.width), state.snapshot.rows.len(), pictures);
        let Some(areas) = state.areas else {
            painter.paint(buffer, None, now);
            too_small(buffer, window, &state.theme);
            return;
        };
        let (context, state) = (self.context(), &mut self.state);
        header::draw(buffer, areas.header, &state.snapshot.brief, &state.theme);
        footer::draw_counts(buffer, areas.footer, state, context);
        let prompt = footer::inner(areas.keys);
        let room = self.modes.last().map_or(prompt, |mode| mode.draw_prompt(buffer, prompt, state));
        footer::draw_keys(buffer, room, context, state);
        let row = state.selected_row();
        let picture = row.as_ref().and_then(|row| row.row.key.picture.as_ref());
        let thumbnail = thumbnail.filter(|thumbnail| Some(&thumbnail.picture) == picture);
        state.view.scroll_to_selected(areas.table.height.into());
        let pane = self.modes.iter().rev().find_map(|mode| mode.pane(state));
        let parts = FrameParts { areas, context, row: row.as_deref(), thumbnail, painter, pane };
        let drawn = self.modes.iter_mut().rev().find_map(|mode| mode.draw(buffer, &parts, state)).unwrap_or_default();
        let room = Some(drawn.area).filter(|room| !room.is_empty());
        if let Some(area) = room.filter(|_| thumbnail.is_none() || !painter.shows()) {
            let why_none = (!painter.shows()).then(|| self.no_picture.unwrap_or("no pictures on this terminal"));
            no_thumbnail(buffer, area, row.as_deref(), why_none, &state.theme);
        }
        let overlay = Arc::new(drawn.overlay);
        // Until its proof is made the picture itself stays, and the legend states that.
        let proof = state.picture.proof_of(thumbnail).filter(|_| drawn.shows_proof);
        let shown = room.zip(proof.or(thumbnail));
        let request = shown.map(|(area, thumbnail)| PictureRequest { area, thumbnail, overlay: &overlay });
        painter.paint(buffer, request, now);
    }
}
