//! The panes that stand in place of the details: accepting, and handing over.

use std::sync::Arc;

use crate::live::snapshot::{ShownRow, TableRow};
use crate::tui::accept_pane;
use crate::tui::accept_pane::{AcceptPane, AcceptScope};
use crate::tui::action::Action;
use crate::tui::app::{App, Reaction};
use crate::tui::delivery_pane;
use crate::tui::delivery_pane::DeliveryPane;
use crate::tui::subject::SubjectView;

impl App {
    /// Does what a key asks for in the pane in which a finding is accepted.
    pub(crate) fn act_on_accepting(&mut self, action: Action) -> Reaction {
        let rows = self.rows_meant().map(|row| ShownRow::of(&row.row)).collect::<Vec<_>>();
        let signed = (self.signed.0.clone(), (self.signed.1)());
        let none_has_it = self.accepting.as_ref().is_some_and(|view| view.is_every() && self.others(view).with_it == 0);
        let Some(view) = &mut self.accepting else { return Reaction::None };
        // What was typed stays: it may be meant for this row.
        if none_has_it && action == Action::AcceptIt {
            return Reaction::Draw;
        }
        let every = view.is_every();
        let reaction = match view.act(action, &rows, signed) {
            accept_pane::After::Stay => return Reaction::Draw,
            accept_pane::After::Leave => Reaction::Draw,
            accept_pane::After::Ask(command) => {
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
    pub(crate) fn others(&self, view: &AcceptPane) -> AcceptScope {
        let has_it = |row: &&Arc<TableRow>| {
            row.row.findings.iter().any(|finding| Some((finding.rule.id, finding.about.as_str())) == view.chosen())
        };
        AcceptScope {
            marked: !self.view.marked().is_empty(),
            rows: self.rows_meant().count(),
            with_it: self.rows_meant().filter(has_it).count(),
        }
    }

    /// The marked rows, or those that are shown where none are.
    fn rows_meant(&self) -> impl Iterator<Item = &Arc<TableRow>> {
        let some_marked = !self.view.marked().is_empty();
        let marked = self.snapshot.rows.iter().filter(move |row| some_marked && self.view.is_marked(&row.row.key));
        let shown = self.view.shown().iter().filter(move |_| !some_marked).map(|place| &self.snapshot.rows[*place]);
        marked.chain(shown)
    }

    /// Opens the pane in which a finding is accepted, or in which it is said why none can be.
    pub(crate) fn open_accepting(&mut self) {
        let every = !self.view.marked().is_empty();
        self.accepting = self.selected_row().map(|row| AcceptPane::of(&row.row, every));
        self.view.detail_top = 0;
        if self.accepting.is_none() {
            self.view.said = Some("no row is selected");
        }
    }

    /// Opens the view in which the subject's box is drawn, or says that there is no picture.
    pub(crate) fn open_box(&mut self) {
        self.subject = self.selected_row().and_then(|row| SubjectView::of(&row.row));
        if self.subject.is_none() {
            self.view.said = Some("no picture in this row to draw a box in");
        }
    }

    /// Accepts again what is asked again in the selected row.
    pub(crate) fn accept_as_before(&mut self) -> Reaction {
        let signed = (self.signed.0.clone(), (self.signed.1)());
        match self.selected_row().and_then(|row| AcceptPane::as_before(&row.row, signed)) {
            Some(command) => Reaction::Ask(command),
            None => {
                self.view.said = Some("nothing in this row is asked again");
                Reaction::Draw
            }
        }
    }

    /// Opens the pane in which the order is handed over.
    pub(crate) fn open_handing(&mut self) {
        let service = self.hand_over.as_deref();
        self.handing = service.map(|service| DeliveryPane::new(&self.snapshot, service));
        self.view.detail_top = 0;
    }

    /// Ends, or first says that something is being laid.
    pub(crate) fn quit(&mut self) -> Reaction {
        if self.handing.as_mut().is_none_or(DeliveryPane::may_quit) {
            return Reaction::Quit;
        }
        self.view.said = Some("being handed over; quit again and nothing is laid");
        Reaction::Draw
    }

    /// Does what a key asks for in that pane.
    pub(crate) fn act_on_handing(&mut self, action: Action) -> Reaction {
        let (Some(view), Some(hand_over)) = (&mut self.handing, &self.hand_over) else { return Reaction::None };
        if view.act(action, hand_over.as_ref()) == delivery_pane::After::Leave {
            (self.handing, self.listen_at) = (None, None);
        }
        Reaction::Draw
    }
}
