//! The panes that stand in place of the details: accepting, and handing over.

use std::sync::Arc;

use crate::desk::snapshot::DeskRow;
use crate::judge::RowKey;
use crate::screen::accepting::{self, AcceptView, Others};
use crate::screen::action::Action;
use crate::screen::app::{App, Reaction};
use crate::screen::handing::{self, HandingView};
use crate::screen::subject::SubjectView;

impl App {
    /// Does what a key asks for in the pane in which a finding is accepted.
    pub(super) fn act_on_accepting(&mut self, action: Action) -> Reaction {
        let marked = self.view.marked();
        let shown = || self.view.shown().iter().map(|place| self.snapshot.rows[*place].row.key.clone()).collect();
        let rows: Vec<RowKey> = if marked.is_empty() { shown() } else { marked };
        let signed = (self.signed.0.clone(), (self.signed.1)());
        let none_has_it = self.accepting.as_ref().is_some_and(|view| view.is_every() && self.others(view).with_it == 0);
        let Some(view) = &mut self.accepting else { return Reaction::None };
        // What was typed stays: it may be meant for this row.
        if none_has_it && action == Action::AcceptIt {
            return Reaction::Draw;
        }
        let every = view.is_every();
        let reaction = match view.act(action, &rows, signed) {
            accepting::After::Stay => return Reaction::Draw,
            accepting::After::Leave => Reaction::Draw,
            accepting::After::Ask(command) => {
                // Marks are for one decision; one about this row alone leaves them.
                if every {
                    self.view.unmark();
                }
                Reaction::Ask(command)
            }
        };
        self.accepting = None;
        reaction
    }

    /// The rows that the finding chosen there can be accepted of at once.
    pub(super) fn others(&self, view: &AcceptView) -> Others {
        let marked = self.view.marked();
        let shown = self.view.shown().iter().map(|place| &self.snapshot.rows[*place]);
        let is_marked = |row: &&Arc<DeskRow>| self.view.is_marked(&row.row.key);
        let rows: Vec<_> =
            if marked.is_empty() { shown.collect() } else { self.snapshot.rows.iter().filter(is_marked).collect() };
        let has_it = |row: &&&Arc<DeskRow>| {
            row.row.findings.iter().any(|finding| Some((finding.rule, finding.about.as_str())) == view.chosen())
        };
        Others { marked: !marked.is_empty(), rows: rows.len(), with_it: rows.iter().filter(has_it).count() }
    }

    /// Opens the pane in which a finding is accepted, or in which it is said why none can be.
    pub(super) fn open_accepting(&mut self) {
        let every = !self.view.marked().is_empty();
        let decides = self.snapshot.decides;
        self.accepting = self.selected_row().map(|row| AcceptView::of(&row.row, every, decides));
        self.view.detail_top = 0;
        if self.accepting.is_none() {
            self.view.said = Some("no row is selected");
        }
    }

    /// Opens the view in which the subject's box is drawn, or says that there is no picture.
    pub(super) fn open_box(&mut self) {
        self.subject = self.selected_row().and_then(|row| SubjectView::of(&row.row));
        if self.subject.is_none() {
            self.view.said = Some("no picture in this row to draw a box in");
        }
    }

    /// Accepts again what is asked again in the selected row.
    pub(super) fn accept_as_before(&mut self) -> Reaction {
        let signed = (self.signed.0.clone(), (self.signed.1)());
        match self.selected_row().and_then(|row| AcceptView::as_before(&row.row, signed)) {
            Some(command) => Reaction::Ask(command),
            None => {
                self.view.said = Some("nothing in this row is asked again");
                Reaction::Draw
            }
        }
    }

    /// Opens the pane in which the order is handed over.
    pub(super) fn open_handing(&mut self) {
        let asked = self.hand_over.as_ref().map(|hand_over| hand_over.asked(&self.snapshot));
        self.handing = asked.map(HandingView::new);
        self.view.detail_top = 0;
    }

    /// Ends, or first says that something is being laid.
    pub(super) fn quit(&mut self) -> Reaction {
        if self.handing.as_mut().is_none_or(HandingView::may_quit) {
            return Reaction::Quit;
        }
        self.view.said = Some("being handed over; quit again and nothing is laid");
        Reaction::Draw
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
