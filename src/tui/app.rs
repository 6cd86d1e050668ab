//! The screen as a whole: a stack of modes over the table, and the state they share. The topmost mode receives keys,
//! letters and the pointer first, and passes on what it does not handle.

use std::rc::Rc;
use std::sync::Arc;
use std::time::Instant;

use crate::live::Snapshot;
use crate::live::snapshot::{LiveCommand, ShownProof};
use crate::tui::action::{Action, ScreenAction};
use crate::tui::bell::Bell;
use crate::tui::clipboard::Clipboard;
use crate::tui::delivery_service::DeliveryService;
use crate::tui::help_page::HelpPage;
use crate::tui::keys::{Context, HelpTopic, Keys};
use crate::tui::mode::{Mode, Reply};
use crate::tui::screen_state::ScreenState;
use crate::tui::table_mode::TableMode;
use crate::tui::theme::Theme;

mod frame;
mod input;

/// What the loop must do after an event.
#[derive(Clone, Debug, PartialEq)]
pub enum Reaction {
    /// Nothing changed.
    None,
    /// Draw.
    Draw,
    /// Draw, after the terminal changed its size.
    Resized,
    /// Send this command to the live table, and draw.
    Send(LiveCommand),
    /// Give the terminal back until continued.
    Suspend,
    /// End the program.
    Quit,
}

/// The screen.
pub struct App {
    state: ScreenState,
    /// The open modes, the topmost last; the first is the table and never closes.
    modes: Vec<Box<dyn Mode>>,
    bell: Bell,
    /// Why no picture is shown, if that needs to be stated.
    no_picture: Option<&'static str>,
}

impl App {
    /// Creates a snapshot's screen.
    pub fn new(snapshot: Arc<Snapshot>, theme: Theme) -> App {
        let modes: Vec<Box<dyn Mode>> = vec![Box::new(TableMode::default())];
        App { state: ScreenState::new(snapshot, theme), modes, bell: Bell::default(), no_picture: None }
    }

    /// Shows these words in place of pictures.
    pub fn with_picture_notice(self, words: Option<&'static str>) -> App {
        App { no_picture: words, ..self }
    }

    /// Shows these words about the screen's calibration beside proofs.
    pub fn with_calibration(mut self, words: Option<String>) -> App {
        self.state.picture.calibration = words;
        self
    }

    /// Signs decisions with a name, and with the time from a clock.
    pub fn with_signature(mut self, name: String, clock: fn() -> String) -> App {
        (self.state.name, self.state.clock) = (name, clock);
        self
    }

    /// Uses keys that a person chose.
    pub fn with_keys(mut self, keys: Keys) -> App {
        self.state.keys = keys;
        self
    }

    /// Copies through this clipboard.
    pub fn with_clipboard(mut self, clipboard: Clipboard) -> App {
        self.state.clipboard = clipboard;
        self
    }

    /// Rings the bell when a row changes to FIX, if wanted.
    pub fn with_bell(self, wanted: bool) -> App {
        App { bell: Bell::new(wanted), ..self }
    }

    /// Delivers the order through a service.
    pub fn with_delivery(mut self, service: Box<dyn DeliveryService>) -> App {
        self.state.delivery = Some(Rc::from(service));
        self
    }

    /// Returns what is to be written for the clipboard, once.
    pub fn take_copied(&mut self) -> Option<Vec<u8>> {
        self.state.clipboard.take()
    }

    /// True if the bell rings now.
    pub fn rings(&mut self) -> bool {
        self.bell.rings()
    }

    /// Updates to the newest snapshot. A row that an open mode belongs to stays selected; a mode whose row is gone
    /// closes, unless text is being typed in it: those letters would be commands elsewhere.
    pub fn update(&mut self, snapshot: Arc<Snapshot>, now: Instant) {
        let is_other = snapshot.generation != self.state.snapshot.generation;
        let has_other_rows = !Arc::ptr_eq(&snapshot.rows, &self.state.snapshot.rows);
        if is_other {
            self.bell.update(&snapshot);
        }
        self.state.update(snapshot, now);
        if has_other_rows {
            self.modes.retain_mut(|mode| mode.on_snapshot(&self.state));
        }
        if is_other && let Some(row) = self.modes.iter().rev().find_map(|mode| mode.row()) {
            self.state.view.select(row.clone());
        }
    }

    /// Stores the latest proof.
    pub fn take_proof(&mut self, proof: ShownProof) {
        self.state.picture.proof = proof;
    }

    /// Stores the number of decisions not written yet.
    pub fn set_pending_decisions(&mut self, decisions: usize) {
        self.state.pending_decisions = decisions;
    }

    /// Shows words in the footer until the next key.
    pub fn say(&mut self, words: &'static str) {
        self.state.message = Some(words.into());
    }

    /// Ends the session: from now on it only waits until every decision is written.
    pub fn leave(&mut self) {
        self.state.is_leaving = true;
    }

    /// True if decisions were still to be written in the last frame.
    pub fn waits_for_writing(&self) -> bool {
        self.state.pending_decisions > 0 || self.state.is_leaving
    }

    /// True if only waiting for decisions.
    pub fn is_leaving(&self) -> bool {
        self.state.is_leaving
    }

    /// Returns when the next frame is due without other events.
    pub fn next_frame_at(&self) -> Option<Instant> {
        self.modes.iter().filter_map(|mode| mode.next_frame_at()).chain(self.state.next_frame_at()).min()
    }

    /// Returns the topmost mode's context, which decides the active keys.
    pub fn context(&self) -> Context {
        self.modes.last().map_or(Context::Table, |mode| mode.context())
    }

    /// Returns the state that the modes share.
    pub fn state(&self) -> &ScreenState {
        &self.state
    }

    /// Carries out a key's action: in the topmost mode that takes it, else for the whole screen.
    pub fn act(&mut self, action: Action) -> Reaction {
        let taken = self.offer(|mode, state| mode.act(action, state));
        taken.unwrap_or_else(|| match action {
            Action::Screen(ScreenAction::Help) => {
                self.modes.push(Box::new(HelpPage::new(HelpTopic::of(self.context()))));
                Reaction::Draw
            }
            Action::Screen(ScreenAction::Suspend) => Reaction::Suspend,
            Action::Screen(ScreenAction::Quit) => Reaction::Quit,
            // A key is active only in its own mode, which takes it.
            _ => Reaction::None,
        })
    }

    /// Offers an input to the modes from the topmost down, until one takes it.
    fn offer(&mut self, mut offer: impl FnMut(&mut dyn Mode, &mut ScreenState) -> Reply) -> Option<Reaction> {
        let state = &mut self.state;
        let mut replies = self.modes.iter_mut().enumerate().rev().map(|(at, mode)| (at, offer(mode.as_mut(), state)));
        let (at, reply) = replies.find(|(_, reply)| !matches!(reply, Reply::Pass))?;
        Some(match reply {
            Reply::Pass | Reply::Ignored => Reaction::None,
            Reply::Taken => Reaction::Draw,
            Reply::Send(command) => Reaction::Send(command),
            Reply::Open(mode) => {
                self.modes.push(mode);
                Reaction::Draw
            }
            Reply::Close(command) => {
                self.modes.remove(at);
                command.map_or(Reaction::Draw, Reaction::Send)
            }
        })
    }
}
