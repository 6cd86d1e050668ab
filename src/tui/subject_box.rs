//! The view in which the subject's box is drawn: the picture as large as it fits, the box over it, and beside it the
//! numbers and a magnified view of the moving edge. `draft` holds the box, `typed` parses positions, `panel` and
//! `magnified` draw.

mod draft;
mod magnified;
mod panel;
mod typed;

use std::sync::Arc;

use crossterm::event::{MouseButton, MouseEvent, MouseEventKind};
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use crate::judge::subject::Area;
use crate::judge::{Row, RowKey};
use crate::live::snapshot::{LiveCommand, ShownThumbnail};
use crate::tui::action::{Action, Step, SubjectAction};
use crate::tui::keys::Context;
use crate::tui::legend;
use crate::tui::mode::{FrameParts, Mode, Reply};
use crate::tui::picture::overlay::{Dash, Mark};
use crate::tui::picture::painter::Painter;
use crate::tui::picture::views::{LegendLine, ShownView, Sign, lines_of, print_lines};
use crate::tui::picture_pane::PictureRoom;
use crate::tui::screen_state::ScreenState;
use crate::tui::theme::Theme;

use draft::{BoxEdge, Draft, Toward};
use typed::PictureScale;

/// The size of a cell, as shares of the picture, before anything is drawn. Own choice.
const CELL_AT_FIRST: (f64, f64) = (0.01, 0.01);
/// The panel's share of the width, and the fewest and most columns it takes. Own choice, tried at 80, 100 and 160.
const PANEL_SHARE: (u16, u16) = (2, 5);
const PANEL_COLUMNS: (u16, u16) = (34, 56);

/// The view in which the subject's box is drawn.
#[derive(Debug)]
pub struct SubjectBox {
    /// The row of the box.
    row: RowKey,
    draft: Draft,
    /// Cells that the picture took in the last frame.
    place: Rect,
    is_dragging: bool,
}

impl Mode for SubjectBox {
    fn context(&self) -> Context {
        if self.is_typing() { Context::SubjectValue } else { Context::Subject }
    }

    fn act(&mut self, action: Action, state: &mut ScreenState) -> Reply {
        let Action::Subject(action) = action else { return Reply::Pass };
        state.message = self.why_edge_stays(action).map(Into::into);
        state.selected_row().map_or(Reply::Ignored, |row| self.apply(action, &row.row))
    }

    fn is_typing(&self) -> bool {
        self.draft.typed.is_some()
    }

    /// Takes typed text: a digit or point begins a value.
    fn on_text(&mut self, text: &str, _state: &mut ScreenState) -> Reply {
        if !self.is_typing() && !text.starts_with(|letter: char| letter.is_ascii_digit() || letter == '.') {
            return Reply::Ignored;
        }
        self.draft.type_text(text);
        Reply::Taken
    }

    fn on_mouse(&mut self, mouse: &MouseEvent, _state: &mut ScreenState) -> Reply {
        if self.drag(mouse) { Reply::Taken } else { Reply::Ignored }
    }

    fn on_snapshot(&mut self, state: &ScreenState) -> bool {
        state.has_row(&self.row)
    }

    fn row(&self) -> Option<&RowKey> {
        Some(&self.row)
    }

    fn draw(&mut self, buffer: &mut Buffer, frame: &FrameParts, state: &mut ScreenState) -> Option<PictureRoom> {
        let row = &frame.row?.row;
        Some(self.draw_over(buffer, frame.areas.body, row, frame.painter, frame.thumbnail, &state.theme))
    }
}

impl SubjectBox {
    /// Opens the view on a row; `None` for a row without a picture.
    pub fn of(row: &Row) -> Option<SubjectBox> {
        row.key.picture.as_ref()?;
        let draft = Draft::of(row.subject.map(|subject| subject.area));
        Some(SubjectBox { row: row.key.clone(), draft, place: Rect::default(), is_dragging: false })
    }

    /// Returns the size of one cell, as shares of the picture as last drawn.
    fn cell(&self) -> (f64, f64) {
        if self.place.is_empty() {
            return CELL_AT_FIRST;
        }
        (1.0 / f64::from(self.place.width), 1.0 / f64::from(self.place.height))
    }

    /// Carries out a key's action.
    fn apply(&mut self, action: SubjectAction, row: &Row) -> Reply {
        let cell = self.cell();
        match action {
            SubjectAction::NextEdge => self.draft.choose(Step::Next),
            SubjectAction::PreviousEdge => self.draft.choose(Step::Previous),
            SubjectAction::EdgeLeft => self.draft.nudge(Toward::Left, cell),
            SubjectAction::EdgeRight => self.draft.nudge(Toward::Right, cell),
            SubjectAction::EdgeUp => self.draft.nudge(Toward::Up, cell),
            SubjectAction::EdgeDown => self.draft.nudge(Toward::Down, cell),
            SubjectAction::Finer => self.draft.has_fine_steps = !self.draft.has_fine_steps,
            SubjectAction::ThisPrint => {
                self.draft.is_for_print_alone = row.key.print.is_some() && !self.draft.is_for_print_alone
            }
            SubjectAction::PutEdge => self.draft.apply_typed(&scale(row)),
            SubjectAction::ForgetValue => self.draft.forget_typed(),
            SubjectAction::Backspace => self.draft.delete_letter(),
            SubjectAction::KeepBox => return self.close_with(Some(self.draft.area())),
            SubjectAction::RemoveBox => return self.close_with(None),
            SubjectAction::Close => return Reply::Close(None),
        }
        Reply::Taken
    }

    /// Explains why a key leaves the chosen edge where it is, if it does.
    fn why_edge_stays(&self, action: SubjectAction) -> Option<&'static str> {
        use SubjectAction::{EdgeDown, EdgeLeft, EdgeRight, EdgeUp};
        match (self.draft.chosen, action) {
            (BoxEdge::Left | BoxEdge::Right, EdgeUp | EdgeDown) => Some("Left and Right move it"),
            (BoxEdge::Top | BoxEdge::Bottom, EdgeLeft | EdgeRight) => Some("Up and Down move it"),
            _ => None,
        }
    }

    /// Closes with the command that stores this area as the box, or removes the box.
    fn close_with(&self, area: Option<Area>) -> Reply {
        let Some(picture) = self.row.picture.clone() else { return Reply::Close(None) };
        let print = self.row.print.clone().filter(|_| self.draft.is_for_print_alone);
        Reply::Close(Some(LiveCommand::DrawSubject { picture, print, area }))
    }

    /// Handles the pointer; returns true if anything changed.
    fn drag(&mut self, mouse: &MouseEvent) -> bool {
        let place = self.place;
        if place.is_empty() {
            return false;
        }
        let share = |at: u16, from: u16, of: u16| (f64::from(at) + 0.5 - f64::from(from)) / f64::from(of);
        let at = (share(mouse.column, place.x, place.width), share(mouse.row, place.y, place.height));
        match mouse.kind {
            MouseEventKind::Down(MouseButton::Left) => {
                let over = place.contains(Position { x: mouse.column, y: mouse.row });
                self.is_dragging = over && self.draft.grab(at, self.cell());
            }
            MouseEventKind::Drag(MouseButton::Left) if self.is_dragging => self.draft.drag(at),
            MouseEventKind::Up(_) => self.is_dragging = false,
            _ => return false,
        }
        true
    }

    /// Draws everything but the picture itself.
    fn draw_over(
        &mut self,
        buffer: &mut Buffer,
        area: Rect,
        row: &Row,
        painter: &Painter,
        thumbnail: Option<&Arc<ShownThumbnail>>,
        theme: &Theme,
    ) -> PictureRoom {
        let columns = (area.width * PANEL_SHARE.0 / PANEL_SHARE.1).clamp(PANEL_COLUMNS.0, PANEL_COLUMNS.1);
        let side = Rect { x: area.right() - columns, width: columns, ..area };
        let room = Rect { width: area.width - columns - 1, ..area };
        let ShownView { overlay, legend: entries } = self.shown(row);
        let room = legend::draw(buffer, room, "cut lines", &entries, theme);
        self.place = match thumbnail {
            Some(thumbnail) if painter.shows() => painter.place(thumbnail, room),
            _ => Rect::default(),
        };
        let left = panel::draw(buffer, side, row, &self.draft, scale(row), self.cell(), theme);
        if let Some(thumbnail) = thumbnail.filter(|_| theme.paints() && painter.shows()) {
            magnified::draw(buffer, left, thumbnail, &overlay, &self.draft, self.place, theme);
        }
        PictureRoom { area: room, overlay, shows_proof: false }
    }

    /// Returns the print's lines, the box, and the chosen edge extended across the whole picture.
    fn shown(&self, row: &Row) -> ShownView {
        let mut shown = lines_of(row).map(|lines| print_lines(&lines)).unwrap_or_default();
        let area = self.draft.area();
        let marks = &mut shown.overlay.marks;
        marks.push(Mark::Frame(Dash::Solid, [area.left, area.top, area.right, area.bottom]));
        let at = self.draft.chosen.place(area);
        match self.draft.chosen {
            BoxEdge::Whole => {}
            edge if edge.is_vertical() => marks.push(Mark::Upright(Dash::Solid, at, (0.0, 1.0))),
            _ => marks.push(Mark::Level(Dash::Solid, at, (0.0, 1.0))),
        }
        shown.legend.insert(0, LegendLine { sign: Sign::Dash(Dash::Solid), words: "subject".to_owned() });
        shown
    }
}

/// Returns the size of a row's picture, in pixels and on paper.
fn scale(row: &Row) -> PictureScale {
    /// Millimetres in an inch.
    const MM_PER_INCH: f64 = 25.4;
    let fit = row.placement.as_ref().and_then(|placement| placement.fit.as_ref());
    let of_file = || row.facts.as_ref().map(|facts| facts.upright_px());
    let picture_px = fit.map(|fit| fit.picture_px).or_else(of_file).unwrap_or((1, 1));
    let mm = |px: u32, ppi: f64| f64::from(px) / ppi * MM_PER_INCH;
    let paper_mm = fit.map(|fit| fit.density.as_f64()).map(|ppi| (mm(picture_px.0, ppi), mm(picture_px.1, ppi)));
    PictureScale { picture_px, paper_mm }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::RowState;
    use crate::judge::subject::{BoxOrigin, Subject};
    use crate::tui::tests::order::{measured, plain_row, snapshot_of};
    use crate::tui::tests::theme;

    fn command_in(reply: Reply) -> LiveCommand {
        let Reply::Close(Some(command)) = reply else { panic!("no request") };
        command
    }

    #[test]
    fn a_box_is_kept_removed_or_left_as_it_was() {
        let row = measured().row;
        let mut view = SubjectBox::of(&row).unwrap();
        assert!(matches!(view.apply(SubjectAction::EdgeRight, &row), Reply::Taken));
        let picture = row.key.picture.clone().unwrap();
        let area = Area::new(0.26, 0.25, 0.75, 0.75);
        let kept = LiveCommand::DrawSubject { picture: picture.clone(), print: None, area };
        assert_eq!(command_in(view.apply(SubjectAction::KeepBox, &row)), kept);
        view.apply(SubjectAction::ThisPrint, &row);
        let removed = LiveCommand::DrawSubject { picture, print: row.key.print.clone(), area: None };
        assert_eq!(command_in(view.apply(SubjectAction::RemoveBox, &row)), removed);
        assert!(matches!(view.apply(SubjectAction::Close, &row), Reply::Close(None)));
    }

    #[test]
    fn it_opens_on_the_box_there_is_and_on_no_row_without_a_picture() {
        assert!(SubjectBox::of(&plain_row("plum", RowState::Missing).row).is_none());
        let mut row = Row::clone(&measured().row);
        let area = Area::new(0.1, 0.2, 0.3, 0.4).unwrap();
        row.subject = Some(Subject { area, origin: BoxOrigin::Drawn });
        assert_eq!(SubjectBox::of(&row).unwrap().draft.area(), area);
    }

    #[test]
    fn digits_begin_a_value_and_letters_go_on_with_it() {
        let mut view = SubjectBox::of(&measured().row).unwrap();
        let mut state = ScreenState::new(Arc::new(snapshot_of([measured()])), theme());
        assert!(matches!(view.on_text("f", &mut state), Reply::Ignored) && !view.is_typing());
        for letter in ["3", "m"] {
            assert!(matches!(view.on_text(letter, &mut state), Reply::Taken) && view.is_typing());
        }
        view.apply(SubjectAction::ForgetValue, &measured().row);
        assert!(!view.is_typing());
    }

    #[test]
    fn the_paper_is_measured_by_the_prints_density() {
        // Arithmetic: 2551 px at the density that makes 216 mm of them.
        let found = scale(&measured().row).paper_mm.unwrap();
        assert!((found.0 - 216.0).abs() < 0.1 && (found.1 - 266.0).abs() < 0.1, "{found:?}");
    }
}
