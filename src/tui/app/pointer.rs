//! What the pointer does.

use crossterm::event::{MouseButton, MouseEvent, MouseEventKind};
use ratatui::layout::Position;

use crate::tui::app::{App, Reaction, WHEEL_STEP};

impl App {
    /// Takes the pointer.
    pub(crate) fn mouse(&mut self, mouse: &MouseEvent) -> Reaction {
        if let Some(subject) = &mut self.subject {
            return if subject.mouse(mouse) { Reaction::Draw } else { Reaction::None };
        }
        let Some(areas) = self.areas.filter(|_| !self.view.large) else { return Reaction::None };
        let at = Position { x: mouse.column, y: mouse.row };
        // While a finding is accepted its row stays selected.
        let over_table = areas.table.contains(at) && self.accepting.is_none();
        match mouse.kind {
            MouseEventKind::Down(MouseButton::Left) if over_table => {
                let place = self.view.top + usize::from(at.y - areas.table.y);
                if place >= self.view.shown().len() {
                    return Reaction::None;
                }
                self.view.select_place(place);
            }
            MouseEventKind::ScrollDown if over_table => self.step(|at| at + WHEEL_STEP),
            MouseEventKind::ScrollUp if over_table => self.step(|at| at.saturating_sub(WHEEL_STEP)),
            MouseEventKind::ScrollDown if areas.problems.contains(at) => self.scroll_problems(WHEEL_STEP, true),
            MouseEventKind::ScrollUp if areas.problems.contains(at) => self.scroll_problems(WHEEL_STEP, false),
            MouseEventKind::ScrollDown if areas.detail.contains(at) => self.scroll_detail(WHEEL_STEP, true),
            MouseEventKind::ScrollUp if areas.detail.contains(at) => self.scroll_detail(WHEEL_STEP, false),
            _ => return Reaction::None,
        }
        Reaction::Draw
    }
}
