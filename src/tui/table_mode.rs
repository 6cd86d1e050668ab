//! The table with its panes, below every other mode: moves through the rows, scrolls the details, and opens the other
//! modes.

use std::rc::Rc;
use std::sync::Arc;

use crossterm::event::{MouseButton, MouseEvent, MouseEventKind};
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use crate::judge::Row;
use crate::live::snapshot::{LiveCommand, TableRow};
use crate::tui::accept_again::accept_again;
use crate::tui::accept_pane::{AcceptPane, CountedRows};
use crate::tui::action::{Action, Step, TableAction};
use crate::tui::delivery_pane::DeliveryPane;
use crate::tui::detail::PaneStyle;
use crate::tui::export_copy::{CopyTurn, RowSpec, copied_words};
use crate::tui::filter_line::FilterLine;
use crate::tui::keys::Context;
use crate::tui::large_picture::LargePicture;
use crate::tui::mode::{FrameParts, Mode, Reply};
use crate::tui::picture_pane::PictureRoom;
use crate::tui::screen_state::ScreenState;
use crate::tui::sizes::SizesTable;
use crate::tui::subject_box::SubjectBox;
use crate::tui::to_do_pane::ToDoPane;
use crate::tui::view_state::ViewState;
use crate::tui::{detail, empty, problems, strokes, table};
use crate::units::styled::Line;

/// Lines that a key scrolls the details by, and rows or lines for a notch of the wheel. Own choice.
const DETAIL_STEP: isize = 5;
const WHEEL_STEP: isize = 3;

/// What the pane beside the table shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum ShownPane {
    /// The details of the selected row.
    #[default]
    Details,
    /// The print sizes that its picture allows.
    Sizes,
    /// What to do about the order by cause.
    ToDo,
}

/// The mode of the table.
#[derive(Debug, Default)]
pub struct TableMode {
    sizes: SizesTable,
    to_do: ToDoPane,
    spec: RowSpec,
    copy: CopyTurn,
    /// What is shown of the selected row or of the order.
    shown: ShownPane,
    /// Lines of the details hidden below.
    detail_below: usize,
    /// The result that the details showed last.
    result: Option<Arc<Row>>,
    /// The first row of the problems shown, and how many are hidden below.
    problems: (usize, usize),
}

impl Mode for TableMode {
    fn context(&self) -> Context {
        Context::Table
    }

    fn act(&mut self, action: Action, state: &mut ScreenState) -> Reply {
        let Action::Table(action) = action else { return Reply::Pass };
        let page = state.areas.map_or(1, |areas| usize::from(areas.table.height).saturating_sub(1).max(1));
        let view = &mut state.view;
        match action {
            TableAction::Up => view.move_selection(|at| at.saturating_sub(1)),
            TableAction::Down => view.move_selection(|at| at + 1),
            TableAction::PageUp => view.move_selection(|at| at.saturating_sub(page)),
            TableAction::PageDown => view.move_selection(|at| at + page),
            TableAction::First => view.move_selection(|_| 0),
            TableAction::Last => view.move_selection(|_| usize::MAX),
            TableAction::NextToFix => view.select_open(Step::Next),
            TableAction::PreviousToFix => view.select_open(Step::Previous),
            TableAction::Sort => view.sort_by(view.sort.next()),
            TableAction::Filter => return Reply::Open(Box::new(FilterLine)),
            // The typed filter is cleared first; if there is none, the marks.
            TableAction::ClearFilter if view.filter.is_empty() => view.unmark(),
            TableAction::ClearFilter => view.clear_filter(),
            TableAction::Follow => view.toggle_follow(),
            // The problems are above the details: they scroll down first, and up last.
            TableAction::DetailDown if self.problems.1 > 0 => self.scroll_problems(DETAIL_STEP),
            TableAction::DetailUp if view.detail_top == 0 => self.scroll_problems(-DETAIL_STEP),
            TableAction::DetailDown => self.scroll_detail(state, DETAIL_STEP),
            TableAction::DetailUp => self.scroll_detail(state, -DETAIL_STEP),
            TableAction::Sizes => self.toggle(ShownPane::Sizes, view),
            TableAction::ToDo => self.toggle(ShownPane::ToDo, view),
            TableAction::Copy => self.copy_part(state),
            TableAction::Larger => return Reply::Open(Box::new(LargePicture)),
            TableAction::NextView => state.picture.view = state.picture.view.next(),
            TableAction::PreviousView => state.picture.view = state.picture.view.previous(),
            TableAction::Mark => view.toggle_mark(),
            TableAction::Accept => return open_accept_pane(state),
            TableAction::AsBefore => return accept_as_before(state),
            TableAction::Deliver => return open_delivery_pane(state),
            TableAction::DrawBox => return open_subject_box(state),
            TableAction::Rescan => {
                // The rows are sorted by what is known of them now.
                view.sort_by(view.sort);
                return Reply::Send(LiveCommand::Rescan);
            }
        }
        Reply::Taken
    }

    fn on_mouse(&mut self, mouse: &MouseEvent, state: &mut ScreenState) -> Reply {
        let Some(areas) = state.areas else { return Reply::Ignored };
        let at = Position { x: mouse.column, y: mouse.row };
        let over = |area: Rect| area.contains(at);
        match mouse.kind {
            MouseEventKind::Down(MouseButton::Left) if over(areas.table) => {
                let place = state.view.top + usize::from(at.y - areas.table.y);
                if place >= state.view.shown().len() {
                    return Reply::Ignored;
                }
                state.view.select_shown(place);
            }
            MouseEventKind::ScrollDown | MouseEventKind::ScrollUp => {
                let by = if mouse.kind == MouseEventKind::ScrollDown { WHEEL_STEP } else { -WHEEL_STEP };
                if over(areas.table) {
                    state.view.move_selection(|at| at.saturating_add_signed(by));
                } else if over(areas.problems) {
                    self.scroll_problems(by);
                } else if over(areas.detail) {
                    self.scroll_detail(state, by);
                } else {
                    return Reply::Ignored;
                }
            }
            _ => return Reply::Ignored,
        }
        Reply::Taken
    }

    fn draw(&mut self, buffer: &mut Buffer, frame: &FrameParts, state: &mut ScreenState) -> Option<PictureRoom> {
        self.draw_panes(buffer, frame, state);
        Some(state.picture.draw(buffer, frame.areas.thumbnail, frame.row, frame.thumbnail, &state.theme))
    }
}

impl TableMode {
    /// Shows something else in place of the details, or the details again.
    fn toggle(&mut self, pane: ShownPane, view: &mut ViewState) {
        self.shown = if self.shown == pane { ShownPane::Details } else { pane };
        view.detail_top = 0;
    }

    /// Copies the next part of what to export for the selected row, and says so.
    fn copy_part(&mut self, state: &mut ScreenState) {
        let row = state.selected_row();
        let spec = row.as_ref().and_then(|row| self.spec.of(&row.row, &state.snapshot.brief));
        let part = row.as_ref().zip(spec).and_then(|(row, spec)| self.copy.take(&row.row, spec));
        state.message = Some(match part {
            Some((part, text, next)) => {
                let key = state.keys.named(Action::Table(TableAction::Copy));
                let sent = state.clipboard.send(&text);
                copied_words(part, &text, sent, &key, next).into()
            }
            None => "no print takes this picture, so there is nothing to copy".into(),
        });
    }

    /// Scrolls the details, down or (below 0) up; down no further than to their end.
    fn scroll_detail(&mut self, state: &mut ScreenState, lines: isize) {
        let lines = lines.min(self.detail_below.cast_signed());
        state.view.detail_top = state.view.detail_top.saturating_add_signed(lines);
        self.detail_below = self.detail_below.saturating_add_signed(-lines);
    }

    /// Scrolls the problems, down or (below 0) up; the next frame limits the position.
    fn scroll_problems(&mut self, lines: isize) {
        self.problems.0 = self.problems.0.saturating_add_signed(lines);
    }

    /// Stores the result that the details show; returns true if it is another one of the same row as before.
    fn take_new_result(&mut self, row: Option<&TableRow>) -> bool {
        let now = row.map(|row| Arc::clone(&row.row));
        let before = std::mem::replace(&mut self.result, now);
        let now = self.result.as_ref();
        before.zip(now).is_some_and(|(before, now)| before.key == now.key && before != *now)
    }

    /// Draws everything but the picture: the problems, the rows, and the details or what is shown in their place.
    fn draw_panes(&mut self, buffer: &mut Buffer, frame: &FrameParts, state: &mut ScreenState) {
        let (areas, theme) = (&frame.areas, &state.theme);
        let style = PaneStyle { context: frame.context, keys: &state.keys, theme };
        self.problems = problems::draw(buffer, areas.problems, &state.snapshot, self.problems.0, style);
        let mut room = areas.detail;
        let lines: Vec<Line> = match (&frame.pane, frame.row) {
            (Some(pane), _) => {
                room = detail::draw_typed(buffer, room, &pane.lines, &pane.typed, theme);
                pane.lines.clone()
            }
            (None, Some(row)) => match (self.shown, row.row.facts.as_ref()) {
                (ShownPane::Sizes, Some(facts)) => self.sizes.lines(row, &state.snapshot.brief, facts),
                (ShownPane::ToDo, _) => self.to_do.lines(&state.snapshot),
                (ShownPane::Details | ShownPane::Sizes, _) => {
                    let spec = self.spec.of(&row.row, &state.snapshot.brief);
                    detail::lines(row, spec, &state.snapshot.order_findings, areas.detail, &theme.signs)
                }
            },
            (None, None) => {
                let below = areas.body.height - areas.problems.height;
                let room = Rect { y: areas.problems.bottom(), height: below, ..areas.body };
                empty::draw(buffer, room, &state.snapshot, &state.view, theme);
                return;
            }
        };
        if frame.row.is_some() {
            table::draw(buffer, areas.table_head, areas.table, &state.snapshot, &state.view, theme);
            strokes::rule(buffer, areas.rule, theme);
            strokes::rule(buffer, areas.pane_rule, theme);
        }
        if frame.pane.is_none() && self.take_new_result(frame.row) {
            state.view.detail_top = 0;
        }
        let (top, below) = detail::draw(buffer, room, &lines, state.view.detail_top, style);
        (state.view.detail_top, self.detail_below) = (top, below);
    }
}

fn open_accept_pane(state: &mut ScreenState) -> Reply {
    let has_marks = !state.view.marked().is_empty();
    let counted = has_marks.then(|| CountedRows::of(state));
    state.view.detail_top = 0;
    match state.selected_row() {
        Some(row) => Reply::Open(Box::new(AcceptPane::of(&row.row, counted))),
        None => {
            state.message = Some("no row is selected".into());
            Reply::Taken
        }
    }
}

fn accept_as_before(state: &mut ScreenState) -> Reply {
    match state.selected_row().and_then(|row| accept_again(&row.row, state)) {
        Some(command) => Reply::Send(command),
        None => {
            state.message = Some("nothing in this row needs accepting again".into());
            Reply::Taken
        }
    }
}

fn open_delivery_pane(state: &mut ScreenState) -> Reply {
    state.view.detail_top = 0;
    match &state.delivery {
        Some(service) => Reply::Open(Box::new(DeliveryPane::new(Rc::clone(service), &state.snapshot))),
        None => Reply::Taken,
    }
}

fn open_subject_box(state: &mut ScreenState) -> Reply {
    match state.selected_row().and_then(|row| SubjectBox::of(&row.row)) {
        Some(view) => Reply::Open(Box::new(view)),
        None => {
            state.message = Some("this row has no picture to draw a box on".into());
            Reply::Taken
        }
    }
}
