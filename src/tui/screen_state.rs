//! The state that the modes share: the newest snapshot, the rows shown and selected, and a person's choices for the
//! whole screen.

use std::borrow::Cow;
use std::rc::Rc;
use std::sync::Arc;
use std::time::{Duration, Instant};

use crate::judge::RowKey;
use crate::judge::acceptance::AcceptanceReason;
use crate::live::Snapshot;
use crate::live::snapshot::{LiveCommand, TableRow};
use crate::tui::clipboard::Clipboard;
use crate::tui::delivery_service::DeliveryService;
use crate::tui::keys::Keys;
use crate::tui::layout::Areas;
use crate::tui::picture_pane::PicturePane;
use crate::tui::theme::Theme;
use crate::tui::view_state::ViewState;

/// How long a notice stays in the footer. Own choice: long enough to read a line twice.
const NOTICE_FOR: Duration = Duration::from_secs(8);

/// The state that the modes share.
pub struct ScreenState {
    /// The newest snapshot.
    pub snapshot: Arc<Snapshot>,
    /// The rows shown, marked and selected.
    pub view: ViewState,
    /// The view of the selected row's picture.
    pub picture: PicturePane,
    /// Colours and signs.
    pub theme: Theme,
    /// The keys in use.
    pub keys: Keys,
    /// The name that decisions are signed with.
    pub name: String,
    /// The clock that decisions are dated with, in RFC 3339.
    pub clock: fn() -> String,
    /// The service that delivers the order, if any.
    pub delivery: Option<Rc<dyn DeliveryService>>,
    /// The terminal's clipboard.
    pub clipboard: Clipboard,
    /// The regions of the last frame, for the pointer and for pages.
    pub areas: Option<Areas>,
    /// A message about the last key, until the next one.
    pub message: Option<Cow<'static, str>>,
    /// Number of decisions not yet written in the last frame.
    pub pending_decisions: usize,
    /// True if the user quit: the screen ends once decisions are written.
    pub is_leaving: bool,
    /// The time until which the snapshot's notice is shown.
    notice_until: Option<Instant>,
}

impl ScreenState {
    /// Creates the state of a snapshot.
    pub fn new(snapshot: Arc<Snapshot>, theme: Theme) -> ScreenState {
        let mut view = ViewState::default();
        view.update(&snapshot);
        ScreenState {
            snapshot,
            view,
            picture: PicturePane::default(),
            theme,
            keys: Keys::usual(),
            name: String::new(),
            clock: String::new,
            delivery: None,
            clipboard: Clipboard::default(),
            areas: None,
            message: None,
            pending_decisions: 0,
            is_leaving: false,
            notice_until: None,
        }
    }

    /// Updates to the newest snapshot.
    pub fn update(&mut self, snapshot: Arc<Snapshot>, now: Instant) {
        let number = |snapshot: &Snapshot| snapshot.notice.as_ref().map(|notice| notice.number);
        if number(&snapshot).is_some() && number(&snapshot) != number(&self.snapshot) {
            self.notice_until = Some(now + NOTICE_FOR);
        }
        if snapshot.generation != self.snapshot.generation {
            self.view.update(&snapshot);
        }
        self.snapshot = snapshot;
    }

    /// Returns when the notice is to be removed.
    pub fn next_frame_at(&self) -> Option<Instant> {
        self.notice_until
    }

    /// Removes the notice once its time is over.
    pub fn refresh(&mut self, now: Instant) {
        self.notice_until = self.notice_until.filter(|until| now < *until);
    }

    /// True if the snapshot's notice is still shown.
    pub fn shows_notice(&self) -> bool {
        self.notice_until.is_some()
    }

    /// Signs a reason for accepting with the user's name and the time; `on_note` puts the finding on the printer's
    /// note.
    pub fn sign(&self, reason: String, allowed_by: Option<String>, is_on_note: bool) -> AcceptanceReason {
        AcceptanceReason { reason, by: self.name.clone(), allowed_by, when: (self.clock)(), is_on_note }
    }

    /// Returns the selected row.
    pub fn selected_row(&self) -> Option<Arc<TableRow>> {
        let place = self.view.selected_index()?;
        Some(Arc::clone(&self.snapshot.rows[self.view.shown()[place]]))
    }

    /// True if a row is in the snapshot.
    pub fn has_row(&self, key: &RowKey) -> bool {
        self.snapshot.rows.iter().any(|row| row.row.key == *key)
    }

    /// Returns the rows for a decision about several: the marked ones or, if none are marked, those shown.
    pub fn rows_meant(&self) -> impl Iterator<Item = &Arc<TableRow>> {
        let some_marked = !self.view.marked().is_empty();
        let marked = self.snapshot.rows.iter().filter(move |row| some_marked && self.view.is_marked(&row.row.key));
        let shown = self.view.shown().iter().filter(move |_| !some_marked).map(|place| &self.snapshot.rows[*place]);
        marked.chain(shown)
    }

    /// Returns the command that tells the live table which rows are on screen: the selected one, then the others.
    pub fn show_rows_command(&self) -> LiveCommand {
        let rows = self.areas.map_or(0, |areas| usize::from(areas.table.height));
        let on_screen = self.view.shown().iter().skip(self.view.top).take(rows);
        let keys = on_screen.map(|place| self.snapshot.rows[*place].row.key.clone());
        let selected: Option<RowKey> = self.view.selected().cloned();
        let visible = keys.filter(|key| Some(key) != selected.as_ref()).collect();
        LiveCommand::ShowRows { selected, visible, proof: self.picture.view.rendering() }
    }
}
