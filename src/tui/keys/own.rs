//! Keys that a person chose: which action has which key, and what is wrong with a choice.

use std::collections::BTreeMap;

use crossterm::event::KeyCode;
use unicode_width::UnicodeWidthChar;

use super::{Context, KEYS, KeyBinding, Keys, name};
use crate::tui::action::Action;

/// Function keys that terminals can distinguish. Source: common practice, no source.
const FUNCTION_KEYS: std::ops::RangeInclusive<u8> = 1..=12;

/// Actions that had another name, and the one that they have now.
const RENAMED: &[(&str, &str)] =
    &[("hand-over", "deliver"), ("next-to-mend", "next-to-fix"), ("previous-to-mend", "previous-to-fix")];

impl Keys {
    /// Returns the usual keys with a person's choices applied; `wanted` maps the names of actions to keys.
    ///
    /// # Errors
    /// A line for each impossible choice: no such action, no such key, or a key with two meanings in one context.
    pub fn chosen(wanted: &BTreeMap<String, String>) -> Result<Keys, Vec<String>> {
        let mut keys = Keys::usual();
        let mut wrong = Vec::new();
        for (action, pressed) in wanted {
            let Some(code) = code(pressed) else {
                wrong.push(format!(
                    "keys.{action} = \"{pressed}\": not a key that can be set; write one letter, digit or sign, \
                     \"Space\", or \"F1\" to \"F12\""
                ));
                continue;
            };
            match keys.0.iter_mut().find(|key| is_free(key) && word(key.action) == *action) {
                Some(key) => key.code = code,
                None => wrong.push(match RENAMED.iter().find(|(old, _)| old == action) {
                    Some((_, now)) => {
                        format!("keys.{action}: the action is now called {now}; write {now} = \"{pressed}\"")
                    }
                    None => format!("keys.{action}: no such action; the actions are: {}", words().join(", ")),
                }),
            }
        }
        if wrong.is_empty() {
            wrong = keys.conflicts();
        }
        if wrong.is_empty() { Ok(keys) } else { Err(wrong) }
    }

    /// Returns the pairs of actions that share a key in one context.
    fn conflicts(&self) -> Vec<String> {
        let mut found: Vec<String> = Vec::new();
        for (at, one) in self.0.iter().enumerate() {
            let same = |other: &&KeyBinding| {
                other.code == one.code
                    && other.with_control == one.with_control
                    && other.contexts.iter().any(|context| one.contexts.contains(context))
            };
            for other in self.0[at + 1..].iter().filter(same) {
                let (first, second) = (word(one.action), word(other.action));
                found.push(format!("{} is set for both {first} and {second}; give one of them another key", name(one)));
            }
        }
        found.dedup();
        found
    }
}

/// True if another key may be chosen: for letters and signs of the table. Arrows, Enter, Esc and keys with Control are
/// fixed everywhere.
fn is_free(key: &KeyBinding) -> bool {
    key.contexts.contains(&Context::Table) && matches!(key.code, KeyCode::Char(_)) && !key.with_control
}

/// Returns the names of the actions whose key may be chosen.
fn words() -> Vec<String> {
    let mut words: Vec<String> = KEYS.iter().filter(|key| is_free(key)).map(|key| word(key.action)).collect();
    words.sort();
    words.dedup();
    words
}

/// Returns an action's name in the settings: that of its variant, in small letters with dashes.
fn word(action: Action) -> String {
    let name = match action {
        Action::Screen(action) => format!("{action:?}"),
        Action::Table(action) => format!("{action:?}"),
        Action::Filter(action) => format!("{action:?}"),
        Action::Help(action) => format!("{action:?}"),
        Action::Large(action) => format!("{action:?}"),
        Action::Subject(action) => format!("{action:?}"),
        Action::Accept(action) => format!("{action:?}"),
        Action::Delivery(action) => format!("{action:?}"),
    };
    let dashed = name.char_indices().flat_map(|(at, letter)| {
        let dash = (letter.is_ascii_uppercase() && at > 0).then_some('-');
        dash.into_iter().chain([letter.to_ascii_lowercase()])
    });
    dashed.collect()
}

fn code(pressed: &str) -> Option<KeyCode> {
    let mut letters = pressed.chars();
    match (letters.next(), letters.next()) {
        (Some(letter), None) if letter != ' ' && letter.width() == Some(1) => Some(KeyCode::Char(letter)),
        _ if pressed == "Space" => Some(KeyCode::Char(' ')),
        _ => FUNCTION_KEYS.into_iter().find(|number| format!("F{number}") == pressed).map(KeyCode::F),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::action::{ScreenAction, TableAction};
    use crate::tui::keys::HelpTopic;
    use crossterm::event::{KeyEvent, KeyModifiers};

    fn chosen(pairs: &[(&str, &str)]) -> Result<Keys, Vec<String>> {
        Keys::chosen(&pairs.iter().map(|(action, key)| ((*action).to_owned(), (*key).to_owned())).collect())
    }

    fn pressed(keys: &Keys, code: KeyCode) -> Option<Action> {
        keys.action(Context::Table, &KeyEvent::new(code, KeyModifiers::NONE))
    }

    #[test]
    fn a_chosen_key_takes_the_place_of_the_usual_one_and_two_may_change_places() {
        let keys = chosen(&[("next-to-fix", "n"), ("up", "i"), ("quit", "F10"), ("mark", "x")]).unwrap();
        let now = [KeyCode::Char('n'), KeyCode::Char('i'), KeyCode::F(10), KeyCode::Char('x'), KeyCode::Up];
        let wanted = [
            Action::Table(TableAction::NextToFix),
            Action::Table(TableAction::Up),
            Action::Screen(ScreenAction::Quit),
            Action::Table(TableAction::Mark),
            Action::Table(TableAction::Up),
        ]
        .map(Some);
        assert_eq!(now.map(|code| pressed(&keys, code)), wanted);
        assert_eq!(['o', 'k', 'q', ' '].map(|letter| pressed(&keys, KeyCode::Char(letter))), [None; 4]);
        let changed = chosen(&[("sort", "f"), ("follow", "s")]).unwrap();
        assert_eq!(pressed(&changed, KeyCode::Char('f')), Some(Action::Table(TableAction::Sort)));
        assert!(
            changed
                .explained(HelpTopic::Table)
                .iter()
                .any(|(names, words)| names == "s" && words.starts_with("follow"))
        );
    }

    #[test]
    fn a_key_that_would_mean_two_things_is_refused_with_both() {
        let wrong = chosen(&[("sort", "o")]).unwrap_err();
        assert_eq!(wrong, ["o is set for both next-to-fix and sort; give one of them another key"]);
        // The box has keys of its own.
        assert!(
            chosen(&[("help", "p"), ("sizes", "x")]).unwrap_err()[0].contains("p is set for both this-print and help")
        );
    }

    #[test]
    fn what_is_no_action_or_no_key_is_named_with_the_choice_there_is() {
        let wrong = chosen(&[
            ("nxt-to-fix", "n"),
            ("quit", "Ctrl-x"),
            ("sort", "F13"),
            ("mark", ""),
            ("up", "F+1"),
            ("down", "\u{200b}"),
        ])
        .unwrap_err();
        assert_eq!(wrong.len(), 6);
        let first = "keys.nxt-to-fix: no such action; the actions are: accept, as-before";
        assert!(wrong.iter().any(|line| line.starts_with(first)), "{wrong:?}");
        for (old, now) in RENAMED {
            let wrong = chosen(&[(old, "x")]).unwrap_err();
            assert!(wrong[0].ends_with(&format!("write {now} = \"x\"")) && words().contains(&(*now).to_owned()));
        }
        assert!(wrong.iter().filter(|line| line.contains("write one letter")).count() == 5, "{wrong:?}");
        assert!(words().contains(&"deliver".to_owned()) && !words().contains(&"keep-box".to_owned()));
        let readme = include_str!("../../../README.md").replace('\n', " ");
        assert!(words().iter().all(|word| readme.contains(&format!(" {word}"))), "{words:?}", words = words());
    }
}
