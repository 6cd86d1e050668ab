//! The one table of keys: what the footer names, the help lists and the loop obeys.
//!
//! Letters come from their words; a capital goes the other way. A person may choose others (`own.rs`).

mod own;

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use crate::tui::action::Action;

/// What lies on top and gets the keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Context {
    /// The table with its panes.
    Desk,
    /// The line in which a filter is typed.
    Typing,
    /// The help.
    Help,
    /// The picture over the whole window.
    Large,
    /// The view in which the subject's box is drawn.
    Subject,
    /// A value typed in that view.
    Value,
    /// The pane in which a finding is accepted.
    Accept,
    /// The pane in which the order is handed over, where it asks.
    Handing,
    /// The same where it only tells.
    Handed,
}

/// One key and what it does.
#[derive(Clone, Debug)]
pub struct KeyBinding {
    /// Where it counts.
    pub contexts: &'static [Context],
    /// The key.
    pub code: KeyCode,
    /// With Control held down.
    pub control: bool,
    /// What it asks for.
    pub action: Action,
    /// What it does, in words for the help; empty for a further key of the row above.
    pub words: &'static str,
    /// One or two words for the footer; empty where it has no place there.
    pub short: &'static str,
}

use Action as A;
use Context::{Accept, Desk, Handed, Handing, Help, Large, Subject, Typing, Value};
use KeyCode as K;

const ROWS: &[Context] = &[Desk, Large];
const DESK: &[Context] = &[Desk];
const NOT_TYPING: &[Context] = &[Desk, Help, Large, Subject];
/// Without the box: a stray key must not lose it.
const TO_QUIT: &[Context] = &[Desk, Help, Large];
const EVERYWHERE: &[Context] = &[Desk, Typing, Help, Large, Subject, Value, Accept, Handing, Handed];
const TYPING: &[Context] = &[Typing];
const SUBJECT: &[Context] = &[Subject];
const VALUE: &[Context] = &[Value];
const ACCEPT: &[Context] = &[Accept];
/// Where a pane is read that may be longer than its room.
const DETAILS: &[Context] = &[Desk, Handed];
const HANDING: &[Context] = &[Handing];
const HANDED: &[Context] = &[Handing, Handed];
const OVER: &[Context] = &[Help, Large];

const fn key(
    contexts: &'static [Context],
    code: KeyCode,
    action: Action,
    words: &'static str,
    short: &'static str,
) -> KeyBinding {
    KeyBinding { contexts, code, control: false, action, words, short }
}

const fn control(letter: char, action: Action, words: &'static str) -> KeyBinding {
    KeyBinding { contexts: EVERYWHERE, code: K::Char(letter), control: true, action, words, short: "" }
}

/// Every key, in the order of the help; the footer takes what it has room for from the top.
const KEYS: &[KeyBinding] = &[
    key(ROWS, K::Char('o'), A::NextToMend, "next row to mend, the one before", "next to mend"),
    key(ROWS, K::Char('O'), A::PreviousToMend, "", ""),
    key(ROWS, K::Char('l'), A::Larger, "larger picture, and back", "larger"),
    key(ROWS, K::Char('v'), A::NextView, "next view of the picture, back", "view"),
    key(ROWS, K::Char('V'), A::PreviousView, "", ""),
    key(ROWS, K::Char('b'), A::DrawBox, "draw the box of the subject", "box"),
    key(DESK, K::Char('a'), A::Accept, "accept, take back; again as before", "accept"),
    key(DESK, K::Char('A'), A::AsBefore, "", ""),
    key(ACCEPT, K::Enter, A::AcceptIt, "", "accept"),
    key(ACCEPT, K::Tab, A::NextReason, "", "ready reason"),
    key(ACCEPT, K::Esc, A::Close, "", "back"),
    KeyBinding {
        contexts: ACCEPT,
        code: K::Char('a'),
        control: true,
        action: A::EveryRow,
        words: "",
        short: "every row",
    },
    key(ACCEPT, K::Delete, A::TakeBack, "", "take back"),
    key(ACCEPT, K::Up, A::Up, "", ""),
    key(ACCEPT, K::Down, A::Down, "", ""),
    key(ACCEPT, K::Backspace, A::Backspace, "", ""),
    key(TYPING, K::Enter, A::KeepFilter, "", "keep"),
    key(SUBJECT, K::Enter, A::KeepBox, "keep the box", "keep"),
    key(VALUE, K::Enter, A::PutEdge, "", "put the edge there"),
    key(TYPING, K::Esc, A::ClearFilter, "clear the filter, or go back", "clear"),
    key(DESK, K::Esc, A::ClearFilter, "", ""),
    key(OVER, K::Esc, A::Close, "", "back"),
    key(SUBJECT, K::Esc, A::Close, "go back", "back"),
    key(VALUE, K::Esc, A::ForgetValue, "", "leave it"),
    key(SUBJECT, K::Tab, A::NextEdge, "next edge, the one before", "edge"),
    key(SUBJECT, K::BackTab, A::PreviousEdge, "", ""),
    key(SUBJECT, K::Left, A::EdgeLeft, "move the edge, in finer steps", "move"),
    key(SUBJECT, K::Right, A::EdgeRight, "", ""),
    key(SUBJECT, K::Up, A::EdgeUp, "", ""),
    key(SUBJECT, K::Down, A::EdgeDown, "", ""),
    key(SUBJECT, K::Char('f'), A::Finer, "", "fine"),
    key(SUBJECT, K::Char('p'), A::PrintAlone, "for this print alone; remove", "alone"),
    key(SUBJECT, K::Delete, A::RemoveBox, "", "remove"),
    key(NOT_TYPING, K::Char('?'), A::Help, "this help, and back", "help"),
    key(NOT_TYPING, K::F(1), A::Help, "", ""),
    key(TO_QUIT, K::Char('q'), A::Quit, "quit", "quit"),
    control('c', A::Quit, ""),
    key(ROWS, K::Char('f'), A::Follow, "follow the newest export, or stay", "follow"),
    key(DESK, K::Char('/'), A::Filter, "filter: names, states, rules", "filter"),
    key(DESK, K::Char('s'), A::Sort, "sort: brief, state, name, newest", "sort"),
    key(DETAILS, K::Char('d'), A::DetailDown, "details further down, up", "details"),
    key(DETAILS, K::Char('D'), A::DetailUp, "", ""),
    key(DESK, K::Char('p'), A::Sizes, "print sizes it can carry, and back", "print sizes"),
    key(DESK, K::Char('h'), A::HandOver, "hand the order over", "hand over"),
    key(DESK, K::Char(' '), A::Mark, "mark a row, or not; Esc: none", "mark"),
    key(HANDING, K::Enter, A::LayIt, "", "hand over"),
    key(HANDED, K::Esc, A::Close, "", "back"),
    key(HANDING, K::Backspace, A::Backspace, "", ""),
    // Letters are the folder's name there.
    key(HANDING, K::PageDown, A::DetailDown, "", ""),
    key(HANDING, K::PageUp, A::DetailUp, "", ""),
    key(ROWS, K::Char('r'), A::Rescan, "read the folder, sort again", "read again"),
    key(ROWS, K::Up, A::Up, "one row up, down", ""),
    key(ROWS, K::Char('k'), A::Up, "", ""),
    key(ROWS, K::Down, A::Down, "", ""),
    key(ROWS, K::Char('j'), A::Down, "", ""),
    key(ROWS, K::PageUp, A::PageUp, "one page up, down", ""),
    key(ROWS, K::PageDown, A::PageDown, "", ""),
    key(ROWS, K::Home, A::First, "first row, last row", ""),
    key(ROWS, K::End, A::Last, "", ""),
    key(VALUE, K::Backspace, A::Backspace, "", ""),
    key(TYPING, K::Backspace, A::Backspace, "", ""),
    key(TYPING, K::Up, A::Up, "", ""),
    key(TYPING, K::Down, A::Down, "", ""),
    control('z', A::Suspend, "suspend until continued"),
];

/// The keys that count.
#[derive(Clone, Debug)]
pub struct Keys(Vec<KeyBinding>);

impl Keys {
    /// Those of the table.
    pub fn usual() -> Keys {
        Keys(KEYS.to_vec())
    }

    /// Keys that count in a place and have words for the footer, in their order.
    pub fn of_footer(&self, context: Context) -> impl Iterator<Item = &KeyBinding> {
        self.0.iter().filter(move |key| key.contexts.contains(&context) && !key.short.is_empty())
    }

    /// The name of an action's first key where `context` lies on top, else of its first key anywhere.
    pub fn named_in(&self, context: Context, action: Action) -> String {
        let here = self.0.iter().find(|key| key.action == action && key.contexts.contains(&context));
        here.map_or_else(|| self.named(action), name)
    }

    /// The name of an action's first key.
    pub fn named(&self, action: Action) -> String {
        self.0.iter().find(|key| key.action == action).map(name).unwrap_or_default()
    }

    /// The keys that share one line of the help: their names, and what they do; of the desk, or of the view in which
    /// the subject's box is drawn.
    pub fn explained(&self, in_box: bool) -> Vec<(String, &'static str)> {
        let of_box = |context: &Context| matches!(context, Subject | Value);
        let mut lines: Vec<(String, &'static str)> = Vec::new();
        let mut listed = false;
        for key in &self.0 {
            let here = key.contexts.iter().any(|context| of_box(context) == in_box);
            let further = key.words.is_empty();
            // A further key is listed where the row above it is.
            listed = here && (!further || listed);
            if !listed {
                continue;
            }
            let name = name(key);
            match lines.last_mut() {
                Some((names, _)) if further => {
                    // The same key in several places, and keys of the filter's line that go without saying.
                    let typed = [TYPING, VALUE, ACCEPT, HANDING, HANDED].contains(&key.contexts);
                    if !typed && !names.split(' ').any(|known| known == name) {
                        names.push(' ');
                        names.push_str(&name);
                    }
                }
                _ => lines.push((name, key.words)),
            }
        }
        lines
    }

    /// What a key asks for where `context` lies on top.
    pub fn action(&self, context: Context, event: &KeyEvent) -> Option<Action> {
        let control = event.modifiers.contains(KeyModifiers::CONTROL);
        if event.modifiers.contains(KeyModifiers::ALT) {
            return None;
        }
        self.0
            .iter()
            .find(|key| key.code == event.code && key.control == control && key.contexts.contains(&context))
            .map(|key| key.action)
    }
}

/// The name of a key as it is printed.
pub fn name(key: &KeyBinding) -> String {
    match key.code {
        K::Char(letter) if key.control => format!("Ctrl-{}", letter.to_ascii_uppercase()),
        K::Char(' ') => "Space".to_owned(),
        K::Char(letter) => letter.to_string(),
        K::F(number) => format!("F{number}"),
        K::PageUp => "PgUp".to_owned(),
        K::PageDown => "PgDn".to_owned(),
        K::BackTab => "S-Tab".to_owned(),
        K::Delete => "Del".to_owned(),
        K::Left | K::Right | K::Up | K::Down if key.contexts == SUBJECT => "arrows".to_owned(),
        other => format!("{other:?}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn no_key_means_two_things_in_one_place() {
        let mut seen = HashSet::new();
        for key in KEYS {
            for context in key.contexts {
                assert!(seen.insert((*context, key.code, key.control)), "{} twice in {context:?}", name(key));
            }
        }
    }

    #[test]
    fn keys_ask_for_actions() {
        let press = |context, code| Keys::usual().action(context, &KeyEvent::new(code, KeyModifiers::NONE));
        for (context, code, wanted) in [
            (Desk, K::Down, Some(A::Down)),
            (Desk, K::Char('o'), Some(A::NextToMend)),
            (Desk, K::Char('O'), Some(A::PreviousToMend)),
            (Typing, K::Char('o'), None),
            (Typing, K::Esc, Some(A::ClearFilter)),
            (Help, K::Esc, Some(A::Close)),
            (Help, K::Down, None),
            (Large, K::Down, Some(A::Down)),
            (Large, K::Char('l'), Some(A::Larger)),
        ] {
            assert_eq!(press(context, code), wanted, "{context:?} {code:?}");
        }
        let held = |letter| Keys::usual().action(Typing, &KeyEvent::new(K::Char(letter), KeyModifiers::CONTROL));
        assert_eq!((held('c'), held('z'), held('o')), (Some(A::Quit), Some(A::Suspend), None));
    }

    #[test]
    fn the_help_names_keys_of_a_kind_on_one_line() {
        let lines = Keys::usual().explained(false);
        assert!(lines.contains(&("o O".to_owned(), "next row to mend, the one before")));
        assert!(lines.contains(&("Up k Down j".to_owned(), "one row up, down")));
        assert!(lines.contains(&("Esc".to_owned(), "clear the filter, or go back")));
        assert!(lines.iter().all(|(names, words)| !words.is_empty() && !names.contains("Tab")));
        let of_box = Keys::usual().explained(true);
        assert!(of_box.contains(&("Tab S-Tab".to_owned(), "next edge, the one before")));
        assert!(!of_box.iter().any(|(names, _)| names == "o O"), "{of_box:?}");
    }
}
