//! The panes that stand in place of the details: accepting, and handing over.

use crate::desk::snapshot::Command;
use crate::judge::RowKey;
use crate::screen::accepting::{self, AcceptView};
use crate::screen::action::Action;
use crate::screen::app::{App, Reaction};
use crate::screen::handing::{self, HandingView};

impl App {
    /// Does what a key asks for in the pane in which a finding is accepted.
    pub(super) fn act_on_accepting(&mut self, action: Action) -> Reaction {
        let marked = self.view.marked();
        let shown = || self.view.shown().iter().map(|place| self.snapshot.rows[*place].row.key.clone()).collect();
        let rows: Vec<RowKey> = if marked.is_empty() { shown() } else { marked };
        let signed = (self.signed.0.clone(), (self.signed.1)());
        let Some(view) = &mut self.accepting else { return Reaction::None };
        let reaction = match view.act(action, &rows, signed) {
            accepting::After::Stay => return Reaction::Draw,
            accepting::After::Leave => Reaction::Draw,
            accepting::After::Ask(command) => {
                // Marks are for one decision; one about this row alone leaves them.
                if matches!(&command, Command::Accept(asked) if asked.rows.len() > 1) {
                    self.view.unmark();
                }
                Reaction::Ask(command)
            }
        };
        self.accepting = None;
        reaction
    }

    /// Accepts again what is asked again in the selected row.
    pub(super) fn accept_as_before(&mut self) -> Reaction {
        let signed = (self.signed.0.clone(), (self.signed.1)());
        match self.selected_row().and_then(|row| AcceptView::as_before(&row.row, signed)) {
            Some(command) => Reaction::Ask(command),
            None => Reaction::None,
        }
    }

    /// Opens the pane in which the order is handed over.
    pub(super) fn open_handing(&mut self) {
        let asked = self.hand_over.as_ref().map(|hand_over| hand_over.asked(&self.snapshot));
        self.handing = asked.map(HandingView::new);
        self.view.detail_top = 0;
    }

    /// Does what a key asks for in that pane.
    pub(super) fn act_on_handing(&mut self, action: Action) -> Reaction {
        let (Some(view), Some(hand_over)) = (&mut self.handing, &self.hand_over) else { return Reaction::None };
        if view.act(action, hand_over.as_ref()) == handing::After::Leave {
            (self.handing, self.listen_at) = (None, None);
        }
        Reaction::Draw
    }
}
