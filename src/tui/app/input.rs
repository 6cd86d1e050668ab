//! What the terminal tells: keys, letters, pasted text, the mouse, another size.

use crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind};

use crate::tui::app::{App, Reaction};
use crate::tui::keys::Context;
use crate::tui::typing;

/// Letters of a filter: more than any name has that is looked for.
const LONGEST_FILTER: usize = 100;

impl App {
    /// Takes an event of the terminal.
    pub fn handle(&mut self, event: &Event) -> Reaction {
        match event {
            Event::Key(key) if key.kind != KeyEventKind::Release => self.key(key),
            Event::Mouse(mouse) if !self.view.help => self.mouse(mouse),
            Event::Resize(..) => Reaction::Resized,
            Event::Paste(text) => self.paste(text),
            _ => Reaction::None,
        }
    }

    /// Pasted text is typed where somebody types, its line breaks as spaces; elsewhere it is no command.
    fn paste(&mut self, text: &str) -> Reaction {
        match self.context() {
            Context::Typing => {
                typing::paste(text).for_each(|letter| typing::add(&mut self.view.filter, letter, LONGEST_FILTER));
                self.view.show();
            }
            Context::Accept => {
                self.accepting.iter_mut().for_each(|view| typing::paste(text).for_each(|letter| view.write(letter)))
            }
            Context::Handing => {
                self.handing.iter_mut().for_each(|view| typing::paste(text).for_each(|letter| view.write(letter)))
            }
            Context::Value => {
                if let Some(view) = &mut self.subject {
                    typing::paste(text).for_each(|letter| {
                        let _taken = view.write(letter);
                    });
                }
            }
            _ => self.view.said = Some("a paste is no command here"),
        }
        Reaction::Draw
    }

    fn key(&mut self, key: &KeyEvent) -> Reaction {
        let context = self.context();
        let had_words = self.view.said.take().is_some();
        if let Some(action) = self.keys.action(context, key) {
            let reaction = self.act(action);
            let to_draw = had_words || self.view.said.is_some();
            return if reaction == Reaction::None && to_draw { Reaction::Draw } else { reaction };
        }
        match key.code {
            KeyCode::Char(letter) if context == Context::Typing => {
                typing::add(&mut self.view.filter, letter, LONGEST_FILTER);
                self.view.show();
                Reaction::Draw
            }
            KeyCode::Char(letter) if context == Context::Accept => {
                self.accepting.iter_mut().for_each(|view| view.write(letter));
                Reaction::Draw
            }
            KeyCode::Char(letter) if context == Context::Handing => {
                self.handing.iter_mut().for_each(|view| view.write(letter));
                Reaction::Draw
            }
            KeyCode::Char(letter) if self.subject.as_mut().is_some_and(|subject| subject.write(letter)) => {
                Reaction::Draw
            }
            _ if matches!(context, Context::Desk | Context::Large) => {
                self.view.said = Some("this key means nothing here");
                Reaction::Draw
            }
            _ => Reaction::None,
        }
    }
}
