//! Events from the terminal: keys, letters, pasted text, the pointer, a new size.

use crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind};

use crate::tui::app::{App, Reaction};
use crate::tui::keys::Context;
use crate::tui::typing;

impl App {
    /// Handles an event of the terminal.
    pub fn handle(&mut self, event: &Event) -> Reaction {
        match event {
            Event::Key(key) if key.kind != KeyEventKind::Release => self.key(key),
            Event::Mouse(mouse) => self.offer(|mode, state| mode.on_mouse(mouse, state)).unwrap_or(Reaction::None),
            Event::Resize(..) => Reaction::Resized,
            Event::Paste(text) => self.paste(text),
            _ => Reaction::None,
        }
    }

    /// Types pasted text if a mode takes text, with line breaks as spaces; elsewhere a paste is not a command.
    fn paste(&mut self, text: &str) -> Reaction {
        match self.modes.last_mut().filter(|mode| mode.is_typing()) {
            Some(mode) => drop(mode.on_text(&typing::pasted(text), &mut self.state)),
            None => self.say("pasted text does nothing here"),
        }
        Reaction::Draw
    }

    fn key(&mut self, key: &KeyEvent) -> Reaction {
        let had_words = self.state.message.take().is_some();
        if let Some(action) = self.state.keys.action(self.context(), key) {
            let reaction = self.act(action);
            let has_words = had_words || self.state.message.is_some();
            return if reaction == Reaction::None && has_words { Reaction::Draw } else { reaction };
        }
        let written = match key.code {
            KeyCode::Char(letter) => self.offer(|mode, state| mode.on_text(letter.encode_utf8(&mut [0; 4]), state)),
            _ => None,
        };
        written.unwrap_or_else(|| {
            if !matches!(self.context(), Context::Table | Context::Large) {
                return Reaction::None;
            }
            self.say("this key does nothing here");
            Reaction::Draw
        })
    }
}
