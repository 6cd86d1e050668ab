//! One frame: what lies where, drawn from the newest snapshot.

use std::sync::Arc;
use std::time::Instant;

use ratatui::Frame;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::live::snapshot::{ShownThumbnail, TableRow};
use crate::tui::app::{App, LISTEN};
use crate::tui::delivery_pane::DeliveryPane;
use crate::tui::keys::Context;
use crate::tui::layout::{Areas, Pictures, areas};
use crate::tui::picture::overlay::Overlay;
use crate::tui::picture::{Painter, PictureRequest};
use crate::tui::placeholder::{no_thumbnail, too_small};
use crate::tui::theme::Theme;
use crate::tui::{detail, empty, footer, header, help, problems, strokes, table};

impl App {
    /// Draws a frame; `thumbnail` is the newest the desk has, of whatever picture.
    pub fn draw(
        &mut self,
        frame: &mut Frame,
        painter: &mut Painter,
        thumbnail: Option<&Arc<ShownThumbnail>>,
        now: Instant,
    ) {
        let window = frame.area();
        let buffer = frame.buffer_mut();
        let problem_rows = problems::height(&self.snapshot, window.width);
        let pictures = match (painter.shows(), self.no_picture) {
            (true, _) => Pictures::Shown,
            (false, Some(_)) => Pictures::Words,
            (false, None) => Pictures::None,
        };
        self.areas = areas(window, problem_rows, pictures);
        let Some(areas) = self.areas else {
            painter.paint(buffer, None, now);
            too_small(buffer, window, &self.theme);
            return;
        };
        if self.news.is_some_and(|(_, until)| now >= until) {
            self.news = None;
        }
        if let (Some(handing), Some(service)) = (&mut self.handing, &self.hand_over) {
            handing.listen(service.as_ref());
            self.listen_at = handing.is_waiting().then_some(now + LISTEN);
        }
        let context = self.context();
        header::draw(buffer, areas.header, &self.snapshot.brief, &self.theme);
        footer::draw_counts(buffer, areas.footer, &self.snapshot, &self.view, self.news.is_some(), &self.theme);
        footer::draw_keys(buffer, areas.keys, (context, &self.keys), &self.view, &self.theme);
        let row = self.selected_row();
        let picture = row.as_ref().and_then(|row| row.row.key.picture.as_ref());
        let thumbnail = thumbnail.filter(|thumbnail| Some(&thumbnail.picture) == picture);
        self.view.scroll_to_selected(areas.table.height.into());
        let (room, overlay) = match (context, row.as_deref()) {
            (Context::Help, _) => {
                help::draw(buffer, areas.body, &self.keys, self.subject.is_some(), &self.theme);
                (Rect::default(), Overlay::default())
            }
            (Context::Subject | Context::Value, Some(row)) => match &mut self.subject {
                Some(view) => view.draw(buffer, areas.body, &row.row, (&*painter, thumbnail), &self.theme),
                None => (Rect::default(), Overlay::default()),
            },
            (_, row) if self.view.large => {
                let body = named(buffer, areas.body, row, &self.theme);
                self.seen.draw(buffer, body, (row, thumbnail), self.view.picture, &self.theme)
            }
            (_, row) => {
                self.draw_desk(buffer, &areas, row);
                self.seen.draw(buffer, areas.thumbnail, (row, thumbnail), self.view.picture, &self.theme)
            }
        };
        let room = Some(room).filter(|room| !room.is_empty());
        if let Some(area) = room.filter(|_| thumbnail.is_none() || !painter.shows()) {
            let why_none = (!painter.shows()).then(|| self.no_picture.unwrap_or("no pictures on this terminal"));
            no_thumbnail(buffer, area, row.as_deref(), why_none, &self.theme);
        }
        let overlay = Arc::new(overlay);
        // Until its proof is made the picture itself stays, and the legend says so.
        let shows_proof = !matches!(context, Context::Help | Context::Subject | Context::Value);
        let proof = self.seen.proof_of(self.view.picture, thumbnail).filter(|_| shows_proof);
        let shown = room.zip(proof.or(thumbnail));
        let request = shown.map(|(area, thumbnail)| PictureRequest { area, thumbnail, overlay: &overlay });
        painter.paint(buffer, request, now);
    }

    fn draw_desk(&mut self, buffer: &mut Buffer, areas: &Areas, row: Option<&TableRow>) {
        let (snapshot, theme, look) = (&self.snapshot, &self.theme, (self.context(), &self.keys, &self.theme));
        self.problems = problems::draw(buffer, areas.problems, snapshot, self.problems.0, (&self.keys, theme));
        let accepting = self.accepting.as_ref().map(|view| view.lines(self.others(view)));
        let pane = self.handing.as_ref().map(DeliveryPane::lines).or(accepting);
        let Some(row) = row else {
            if let Some(lines) = pane {
                let (top, below) = detail::draw(buffer, areas.detail, &lines, self.view.detail_top, look);
                (self.view.detail_top, self.detail_below) = (top, below);
                return;
            }
            let below = areas.body.height - areas.problems.height;
            let room = Rect { y: areas.problems.bottom(), height: below, ..areas.body };
            empty::draw(buffer, room, snapshot, &self.view, theme);
            return;
        };
        table::draw(buffer, areas.table_head, areas.table, snapshot, &self.view, theme);
        strokes::rule(buffer, areas.rule, theme);
        strokes::rule(buffer, areas.pane_rule, theme);
        let lines = match (pane, row.row.facts.as_ref().filter(|_| self.view.sizes)) {
            (Some(lines), _) => lines,
            (None, Some(facts)) => self.sizes.lines(row, &snapshot.brief, facts),
            (None, None) => detail::lines(row, &snapshot.order_findings, areas.detail, &theme.signs),
        };
        let (top, below) = detail::draw(buffer, areas.detail, &lines, self.view.detail_top, look);
        (self.view.detail_top, self.detail_below) = (top, below);
    }
}

/// Draws which picture is seen over the whole window, its state and what is found; the room that is left.
fn named(buffer: &mut Buffer, area: Rect, row: Option<&TableRow>, theme: &Theme) -> Rect {
    let Some(row) = row else { return area };
    let state = row.state_now();
    let name = row.row.key.picture.as_ref().map_or(row.row.print_name.as_str(), |picture| picture.file_name());
    let found: Vec<&str> = row.row.findings.iter().map(|finding| finding.short.as_str()).collect();
    let dot = theme.signs.dot.to_owned();
    let pieces = [
        (format!(" {name}"), theme.strong),
        (dot.clone(), theme.dim),
        (state.word().to_owned(), theme.state(state)),
        (if found.is_empty() { String::new() } else { dot.clone() + &found.join(&dot) }, theme.dim),
    ];
    strokes::pieces(buffer, Rect { height: 1, ..area }, &pieces, theme);
    Rect { y: area.y + 1, height: area.height.saturating_sub(1), ..area }
}
