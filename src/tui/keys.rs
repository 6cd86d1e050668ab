//! The one table of keys, used by the footer, the help and the event loop.
//!
//! Letters come from the words they stand for; a capital reverses the direction. A person may choose others (`own.rs`).

mod own;

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use crate::tui::action::{
    AcceptAction, Action, DeliveryAction, FilterAction, HelpAction, LargeAction, ScreenAction, SubjectAction,
    TableAction,
};

/// A set of active keys: each mode of the screen has one, or two if letters are sometimes typed in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Context {
    /// The table with its panes.
    Table,
    /// The line in which a filter is typed.
    Filter,
    /// The help.
    Help,
    /// The picture over the whole window.
    Large,
    /// The view in which the subject's box is drawn.
    Subject,
    /// The subject's box while a value is typed.
    SubjectValue,
    /// The pane in which a finding is accepted.
    Accept,
    /// The pane in which the order is delivered, while the folder's name is typed.
    Delivery,
    /// The delivery pane while the order is delivered.
    Delivering,
    /// The delivery pane while it only reports.
    DeliveryReport,
}

/// What a help page is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HelpTopic {
    /// The table and the panes over it.
    Table,
    /// The view in which the subject's box is drawn.
    SubjectBox,
}

impl HelpTopic {
    /// Returns the topic that explains the keys of a context.
    pub fn of(context: Context) -> HelpTopic {
        match context {
            Context::Subject | Context::SubjectValue => HelpTopic::SubjectBox,
            _ => HelpTopic::Table,
        }
    }
}

/// One key and its action.
#[derive(Clone, Debug)]
pub struct KeyBinding {
    /// The contexts it is active in.
    pub contexts: &'static [Context],
    /// The key.
    pub code: KeyCode,
    /// True if Control is held down.
    pub with_control: bool,
    /// The action it triggers.
    pub action: Action,
    /// The action's words for the help; empty for a further key of the row above.
    pub words: &'static str,
    /// One or two words for the footer; empty if it is not shown there.
    pub short: &'static str,
}

use AcceptAction as A;
use Action::{Accept as OfAccept, Delivery as OfDelivery, Filter as OfFilter, Screen as OfScreen};
use Action::{Help as OfHelp, Large as OfLarge, Subject as OfSubject, Table as OfTable};
use DeliveryAction as D;
use FilterAction as F;
use HelpAction as H;
use KeyCode as K;
use ScreenAction as S;
use SubjectAction as Sub;
use TableAction as T;

const ROWS: &[Context] = &[Context::Table, Context::Large];
const TABLE: &[Context] = &[Context::Table];
const NOT_TYPING: &[Context] = &[Context::Table, Context::Help, Context::Large, Context::Subject];
/// Without the subject's box: a stray key must not lose it.
const TO_QUIT: &[Context] = &[Context::Table, Context::Help, Context::Large];
const EVERYWHERE: &[Context] = &[
    Context::Table,
    Context::Filter,
    Context::Help,
    Context::Large,
    Context::Subject,
    Context::SubjectValue,
    Context::Accept,
    Context::Delivery,
    Context::Delivering,
    Context::DeliveryReport,
];
const FILTER: &[Context] = &[Context::Filter];
const HELP: &[Context] = &[Context::Help];
const LARGE: &[Context] = &[Context::Large];
const SUBJECT: &[Context] = &[Context::Subject];
const VALUE: &[Context] = &[Context::SubjectValue];
const ACCEPT: &[Context] = &[Context::Accept];
/// Contexts with a pane that may be longer than its area.
const DETAILS: &[Context] = &[Context::Table, Context::DeliveryReport];
const DELIVERY: &[Context] = &[Context::Delivery];
const DELIVERING: &[Context] = &[Context::Delivering];
/// Contexts in which letters are typed beside what may have to be scrolled.
const TYPING: &[Context] = &[Context::Filter, Context::Accept, Context::Delivery];
const DELIVERIES: &[Context] = &[Context::Delivery, Context::DeliveryReport];

const fn key(
    contexts: &'static [Context],
    code: KeyCode,
    action: Action,
    words: &'static str,
    short: &'static str,
) -> KeyBinding {
    KeyBinding { contexts, code, with_control: false, action, words, short }
}

const fn control(letter: char, action: Action, words: &'static str) -> KeyBinding {
    KeyBinding { contexts: EVERYWHERE, code: K::Char(letter), with_control: true, action, words, short: "" }
}

/// Every key, in the order of the help; the footer shows as many as fit, from the top.
const KEYS: &[KeyBinding] = &[
    key(ROWS, K::Char('o'), OfTable(T::NextToFix), "next row to fix, previous one", "next to fix"),
    key(ROWS, K::Char('O'), OfTable(T::PreviousToFix), "", ""),
    key(ROWS, K::Char('l'), OfTable(T::Larger), "larger picture, and back", "larger"),
    key(ROWS, K::Char('v'), OfTable(T::NextView), "next view, previous view", "view"),
    key(ROWS, K::Char('V'), OfTable(T::PreviousView), "", ""),
    key(ROWS, K::Char('b'), OfTable(T::DrawBox), "draw the subject's box", "subject"),
    key(TABLE, K::Char('a'), OfTable(T::Accept), "accept a finding; accept as before", "accept"),
    key(TABLE, K::Char('A'), OfTable(T::AsBefore), "", ""),
    key(ACCEPT, K::Enter, OfAccept(A::Accept), "", "accept"),
    key(ACCEPT, K::Tab, OfAccept(A::NextReason), "", "suggest a reason"),
    key(ACCEPT, K::Esc, OfAccept(A::Close), "", "back"),
    KeyBinding {
        contexts: ACCEPT,
        code: K::Char('a'),
        with_control: true,
        action: OfAccept(A::EveryRow),
        words: "",
        short: "all rows",
    },
    key(ACCEPT, K::Delete, OfAccept(A::Withdraw), "", "withdraw"),
    KeyBinding {
        contexts: ACCEPT,
        code: K::Char('t'),
        with_control: true,
        action: OfAccept(A::OnNote),
        words: "",
        short: "on the note",
    },
    key(ACCEPT, K::Up, OfAccept(A::Up), "", ""),
    key(ACCEPT, K::Down, OfAccept(A::Down), "", ""),
    key(ACCEPT, K::Backspace, OfAccept(A::Backspace), "", ""),
    key(FILTER, K::Enter, OfFilter(F::Keep), "", "keep"),
    key(SUBJECT, K::Enter, OfSubject(Sub::KeepBox), "save the box", "save"),
    key(VALUE, K::Enter, OfSubject(Sub::PutEdge), "", "set the edge"),
    key(FILTER, K::Esc, OfFilter(F::Clear), "clear filter, then marks; go back", "clear"),
    key(TABLE, K::Esc, OfTable(T::ClearFilter), "", ""),
    key(HELP, K::Esc, OfHelp(H::Close), "", "back"),
    key(HELP, K::Down, OfHelp(H::Down), "", ""),
    key(HELP, K::Up, OfHelp(H::Up), "", ""),
    key(HELP, K::PageDown, OfHelp(H::PageDown), "", ""),
    key(HELP, K::PageUp, OfHelp(H::PageUp), "", ""),
    key(LARGE, K::Esc, OfLarge(LargeAction::Close), "", "back"),
    key(SUBJECT, K::Esc, OfSubject(Sub::Close), "go back without saving", "back"),
    key(VALUE, K::Esc, OfSubject(Sub::ForgetValue), "", "cancel"),
    key(SUBJECT, K::Tab, OfSubject(Sub::NextEdge), "next edge, previous edge", "edge"),
    key(SUBJECT, K::BackTab, OfSubject(Sub::PreviousEdge), "", ""),
    key(SUBJECT, K::Left, OfSubject(Sub::EdgeLeft), "move the edge; finer steps", "move"),
    key(SUBJECT, K::Right, OfSubject(Sub::EdgeRight), "", ""),
    key(SUBJECT, K::Up, OfSubject(Sub::EdgeUp), "", ""),
    key(SUBJECT, K::Down, OfSubject(Sub::EdgeDown), "", ""),
    key(SUBJECT, K::Char('f'), OfSubject(Sub::Finer), "", "finer"),
    key(SUBJECT, K::Char('p'), OfSubject(Sub::ThisPrint), "for this print only; remove box", "this print"),
    key(SUBJECT, K::Delete, OfSubject(Sub::RemoveBox), "", "remove"),
    key(NOT_TYPING, K::Char('?'), OfScreen(S::Help), "the help, and back", "help"),
    key(NOT_TYPING, K::F(1), OfScreen(S::Help), "", ""),
    key(TO_QUIT, K::Char('q'), OfScreen(S::Quit), "quit", "quit"),
    control('c', OfScreen(S::Quit), ""),
    key(ROWS, K::Char('f'), OfTable(T::Follow), "follow the newest export, or stop", "follow"),
    key(TABLE, K::Char('/'), OfTable(T::Filter), "filter by name, state or rule", "filter"),
    key(TABLE, K::Char('s'), OfTable(T::Sort), "sort by brief, state, name, newest", "sort"),
    key(DETAILS, K::Char('d'), OfTable(T::DetailDown), "scroll the details down, up", "details"),
    key(DETAILS, K::Char('D'), OfTable(T::DetailUp), "", ""),
    key(TABLE, K::Char('p'), OfTable(T::Sizes), "possible print sizes, and back", "print sizes"),
    key(TABLE, K::Char('h'), OfTable(T::Deliver), "deliver the order", "deliver"),
    key(TABLE, K::Char('t'), OfTable(T::ToDo), "to do by cause, and back", "to do"),
    key(TABLE, K::Char('c'), OfTable(T::Copy), "copy export size, name, settings", "copy"),
    key(TABLE, K::Char(' '), OfTable(T::Mark), "mark or unmark a row", "mark"),
    key(DELIVERY, K::Enter, OfDelivery(D::Deliver), "", "deliver"),
    key(DELIVERIES, K::Esc, OfDelivery(D::Close), "", "back"),
    key(DELIVERIES, K::Tab, OfDelivery(D::NextOffer), "", "all or changed"),
    key(DELIVERING, K::Esc, OfDelivery(D::Stop), "", "stop"),
    key(DELIVERY, K::Backspace, OfDelivery(D::Backspace), "", ""),
    key(TYPING, K::PageDown, OfTable(T::DetailDown), "", ""),
    key(TYPING, K::PageUp, OfTable(T::DetailUp), "", ""),
    key(ROWS, K::Char('r'), OfTable(T::Rescan), "read the folder again and sort", "read again"),
    key(ROWS, K::Up, OfTable(T::Up), "one row up, down", ""),
    key(ROWS, K::Char('k'), OfTable(T::Up), "", ""),
    key(ROWS, K::Down, OfTable(T::Down), "", ""),
    key(ROWS, K::Char('j'), OfTable(T::Down), "", ""),
    key(ROWS, K::PageUp, OfTable(T::PageUp), "one page up, down", ""),
    key(ROWS, K::PageDown, OfTable(T::PageDown), "", ""),
    key(ROWS, K::Home, OfTable(T::First), "first row, last row", ""),
    key(ROWS, K::End, OfTable(T::Last), "", ""),
    key(VALUE, K::Backspace, OfSubject(Sub::Backspace), "", ""),
    key(FILTER, K::Backspace, OfFilter(F::Backspace), "", ""),
    key(FILTER, K::Up, OfTable(T::Up), "", ""),
    key(FILTER, K::Down, OfTable(T::Down), "", ""),
    control('z', OfScreen(S::Suspend), "suspend; fg in the shell resumes"),
];

/// The keys in use.
#[derive(Clone, Debug)]
pub struct Keys(Vec<KeyBinding>);

impl Keys {
    /// Returns the built-in keys.
    pub fn usual() -> Keys {
        Keys(KEYS.to_vec())
    }

    /// Returns the keys of a context that have words for the footer, in order.
    pub fn of_footer(&self, context: Context) -> impl Iterator<Item = &KeyBinding> {
        self.0.iter().filter(move |key| key.contexts.contains(&context) && !key.short.is_empty())
    }

    /// Returns the name of an action's first key in `context`, else of its first key anywhere.
    pub fn named_in(&self, context: Context, action: Action) -> String {
        let here = self.0.iter().find(|key| key.action == action && key.contexts.contains(&context));
        here.map_or_else(|| self.named(action), name)
    }

    /// Returns the name of an action's first key.
    pub fn named(&self, action: Action) -> String {
        self.0.iter().find(|key| key.action == action).map(name).unwrap_or_default()
    }

    /// Returns the lines of the help about a topic: the keys that share one, and what they do.
    pub fn explained(&self, topic: HelpTopic) -> Vec<(String, &'static str)> {
        let mut lines: Vec<(String, &'static str)> = Vec::new();
        let mut listed = false;
        for key in &self.0 {
            let here = key.contexts.iter().any(|context| HelpTopic::of(*context) == topic);
            let further = key.words.is_empty();
            // A further key is listed if the row above it is.
            listed = here && (!further || listed);
            if !listed {
                continue;
            }
            let name = name(key);
            match lines.last_mut() {
                Some((names, _)) if further => {
                    // Leave out a key listed for another context already, and the obvious keys of typed lines and the
                    // help.
                    let obvious =
                        [FILTER, HELP, VALUE, ACCEPT, DELIVERY, DELIVERIES, DELIVERING, TYPING].contains(&key.contexts);
                    if !obvious && !names.split(' ').any(|known| known == name) {
                        names.push(' ');
                        names.push_str(&name);
                    }
                }
                _ => lines.push((name, key.words)),
            }
        }
        lines
    }

    /// Returns the action of a key in `context`.
    pub fn action(&self, context: Context, event: &KeyEvent) -> Option<Action> {
        let control = event.modifiers.contains(KeyModifiers::CONTROL);
        if event.modifiers.contains(KeyModifiers::ALT) {
            return None;
        }
        self.0
            .iter()
            .find(|key| key.code == event.code && key.with_control == control && key.contexts.contains(&context))
            .map(|key| key.action)
    }
}

/// Returns a key's words in the footer of `context`.
pub fn short_in(context: Context, key: &KeyBinding) -> &'static str {
    match (context, key.action) {
        (Context::Large, OfTable(T::Larger)) => "smaller",
        _ => key.short,
    }
}

/// Returns the printed name of a key.
pub fn name(key: &KeyBinding) -> String {
    match key.code {
        K::Char(letter) if key.with_control => format!("Ctrl-{}", letter.to_ascii_uppercase()),
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
                assert!(seen.insert((*context, key.code, key.with_control)), "{} twice in {context:?}", name(key));
            }
        }
    }

    #[test]
    fn a_key_asks_for_what_its_mode_takes_or_passes_on() {
        for key in KEYS {
            for context in key.contexts {
                let is_taken = match context {
                    Context::Table => matches!(key.action, OfTable(_) | OfScreen(_)),
                    Context::Filter => matches!(
                        key.action,
                        OfFilter(_) | OfTable(T::Up | T::Down | T::DetailDown | T::DetailUp) | OfScreen(_)
                    ),
                    Context::Help => matches!(key.action, OfHelp(_) | OfScreen(_)),
                    Context::Large => matches!(key.action, OfLarge(_) | OfTable(_) | OfScreen(_)),
                    Context::Subject | Context::SubjectValue => matches!(key.action, OfSubject(_) | OfScreen(_)),
                    Context::Accept => {
                        matches!(key.action, OfAccept(_) | OfTable(T::DetailDown | T::DetailUp) | OfScreen(_))
                    }
                    Context::Delivery | Context::Delivering | Context::DeliveryReport => {
                        matches!(key.action, OfDelivery(_) | OfTable(T::DetailDown | T::DetailUp) | OfScreen(_))
                    }
                };
                assert!(is_taken, "{context:?} {} {:?}", name(key), key.action);
            }
        }
    }

    #[test]
    fn keys_ask_for_actions() {
        let press = |context, code| Keys::usual().action(context, &KeyEvent::new(code, KeyModifiers::NONE));
        for (context, code, wanted) in [
            (Context::Table, K::Down, Some(OfTable(T::Down))),
            (Context::Table, K::Char('o'), Some(OfTable(T::NextToFix))),
            (Context::Table, K::Char('O'), Some(OfTable(T::PreviousToFix))),
            (Context::Filter, K::Char('o'), None),
            (Context::Filter, K::Esc, Some(OfFilter(F::Clear))),
            (Context::Help, K::Esc, Some(OfHelp(H::Close))),
            (Context::Help, K::Down, Some(OfHelp(H::Down))),
            (Context::Large, K::Down, Some(OfTable(T::Down))),
            (Context::Large, K::Char('l'), Some(OfTable(T::Larger))),
        ] {
            assert_eq!(press(context, code), wanted, "{context:?} {code:?}");
        }
        let held =
            |letter| Keys::usual().action(Context::Filter, &KeyEvent::new(K::Char(letter), KeyModifiers::CONTROL));
        assert_eq!((held('c'), held('z'), held('o')), (Some(OfScreen(S::Quit)), Some(OfScreen(S::Suspend)), None));
    }

    #[test]
    fn the_help_names_keys_of_a_kind_on_one_line() {
        let lines = Keys::usual().explained(HelpTopic::Table);
        assert!(lines.contains(&("o O".to_owned(), "next row to fix, previous one")));
        assert!(lines.contains(&("Up k Down j".to_owned(), "one row up, down")));
        assert!(lines.contains(&("Esc".to_owned(), "clear filter, then marks; go back")));
        assert!(lines.iter().all(|(names, words)| !words.is_empty() && !names.contains("Tab")));
        let of_box = Keys::usual().explained(HelpTopic::SubjectBox);
        assert!(of_box.contains(&("Tab S-Tab".to_owned(), "next edge, previous edge")));
        assert!(!of_box.iter().any(|(names, _)| names == "o O"), "{of_box:?}");
    }
}
