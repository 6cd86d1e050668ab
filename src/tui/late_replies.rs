//! Terminal answers that arrive too late, or in pieces, among the keys: recognised by their form and discarded.
//!
//! Independent of any terminal and clock. Keys that begin like an answer are held back until it is clear what they are:
//! an escape by itself for a tenth of a second, and only while an answer is still expected.

use std::time::{Duration, Instant};

use crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

/// How long an answer is expected after the query. Own trials, 2026-11: a terminal behind two multiplexers and a slow
/// line took 3 s.
const EXPECTED_FOR: Duration = Duration::from_secs(10);
/// How long an escape by itself is held back: longer than the pause between two bytes of a slow answer (50 ms seen),
/// shorter than a person notices in the first seconds.
const HELD_FOR: Duration = Duration::from_millis(120);
/// After a pause this long the rest of an answer is taken as lost.
const TORN_AFTER: Duration = Duration::from_secs(1);

/// The progress of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum ReplyProgress {
    /// Not within an answer.
    Outside,
    /// After the escape.
    Escape,
    /// After `ESC [`.
    Bracket,
    /// In the attributes, `ESC [ ?`.
    Attributes,
    /// At the start of a string: the characters still needed to be sure that it is an answer, and the state after them.
    Opening(&'static str, &'static ReplyProgress),
    /// In a colour, before its end.
    Colour,
    /// After `ESC P`.
    Device,
    /// In another string, before its end.
    String,
    /// After an escape in a string, which begins its end.
    StringEnd,
}

/// The effect of one character.
enum Step {
    /// The answer continues in this state.
    On(ReplyProgress),
    /// The answer is complete.
    Whole,
    /// This is not an answer.
    Not,
}

impl ReplyProgress {
    /// Returns the effect of a character. Source of the forms: xterm control sequences (OSC 11, attributes), ECMA-48
    /// (strings and their end), the published description of kitty's graphics.
    fn step(self, c: char) -> Step {
        match (self, c) {
            (ReplyProgress::Outside, '\x1b') => Step::On(ReplyProgress::Escape),
            (ReplyProgress::Escape, '[') => Step::On(ReplyProgress::Bracket),
            (ReplyProgress::Escape, ']') => Step::On(ReplyProgress::Opening("11;", &ReplyProgress::Colour)),
            (ReplyProgress::Escape, '_') => Step::On(ReplyProgress::Opening("Gi=", &ReplyProgress::String)),
            (ReplyProgress::Escape, 'P') => Step::On(ReplyProgress::Device),
            (ReplyProgress::Bracket, '?') => Step::On(ReplyProgress::Attributes),
            (ReplyProgress::Attributes, '0'..='9' | ';') => Step::On(ReplyProgress::Attributes),
            (ReplyProgress::Device, '0' | '1' | '>') => Step::On(ReplyProgress::String),
            (ReplyProgress::Opening(wanted, then), c) if wanted.starts_with(c) => {
                let rest = &wanted[c.len_utf8()..];
                Step::On(if rest.is_empty() { *then } else { ReplyProgress::Opening(rest, then) })
            }
            (ReplyProgress::Colour, '0'..='9' | 'a'..='f' | 'A'..='F' | 'r' | 'g' | ':' | '/') => {
                Step::On(ReplyProgress::Colour)
            }
            (ReplyProgress::Colour | ReplyProgress::String, '\x1b') => Step::On(ReplyProgress::StringEnd),
            (ReplyProgress::Colour | ReplyProgress::String, '\x07') => Step::Whole,
            (ReplyProgress::String, c) if !c.is_control() => Step::On(ReplyProgress::String),
            (ReplyProgress::StringEnd, '\\') | (ReplyProgress::Attributes, 'c') => Step::Whole,
            _ => Step::Not,
        }
    }

    /// True if what has arrived can only be an answer, even if no more of it comes.
    const fn is_sure(self) -> bool {
        matches!(
            self,
            ReplyProgress::Attributes | ReplyProgress::Colour | ReplyProgress::String | ReplyProgress::StringEnd
        )
    }
}

/// A filter of terminal events that lets through all but the remains of an answer.
#[derive(Debug)]
pub struct LateReplies {
    place: ReplyProgress,
    held: Vec<Event>,
    last: Instant,
    until: Option<Instant>,
}

impl LateReplies {
    /// Creates a filter that lets everything through.
    pub fn none(now: Instant) -> LateReplies {
        LateReplies { place: ReplyProgress::Outside, held: Vec::new(), last: now, until: None }
    }

    /// Creates a filter that expects the rest of an answer that began with `heard`.
    pub fn of(heard: &[u8], now: Instant) -> LateReplies {
        let mut late_replies = LateReplies { until: Some(now + EXPECTED_FOR), ..LateReplies::none(now) };
        for c in String::from_utf8_lossy(heard).chars() {
            late_replies.place = match late_replies.place.step(c) {
                Step::On(place) => place,
                Step::Whole => ReplyProgress::Outside,
                Step::Not if c == '\x1b' => ReplyProgress::Escape,
                Step::Not => ReplyProgress::Outside,
            };
        }
        late_replies
    }

    /// Takes an event; returns the events to let through now.
    pub fn take(&mut self, event: Event, now: Instant) -> Vec<Event> {
        let mut through = self.release(now);
        if self.place == ReplyProgress::Outside && self.until.is_none_or(|until| now >= until) {
            self.until = None;
            through.push(event);
            return through;
        }
        self.last = now;
        let Some(characters) = characters(&event) else {
            through.append(&mut self.held);
            self.place = ReplyProgress::Outside;
            through.push(event);
            return through;
        };
        // True if an answer was under way before this event, which may itself begin one.
        let begins = self.place != ReplyProgress::Outside;
        self.held.push(event.clone());
        for c in characters {
            match self.place.step(c) {
                Step::On(place) => self.place = place,
                Step::Whole => {
                    self.place = ReplyProgress::Outside;
                    self.held.clear();
                }
                Step::Not => {
                    // The events held back are keys.
                    let mut held = std::mem::take(&mut self.held);
                    held.pop();
                    let was_sure = std::mem::replace(&mut self.place, ReplyProgress::Outside).is_sure();
                    if !was_sure {
                        through.append(&mut held);
                    }
                    if begins {
                        through.extend(self.take(event, now));
                    } else {
                        through.push(event);
                    }
                    return through;
                }
            }
        }
        if self.place.is_sure() {
            self.held.clear();
        }
        through
    }

    /// Returns when the held events are let through if nothing more comes.
    pub fn due(&self) -> Option<Instant> {
        (self.place != ReplyProgress::Outside).then(|| self.last + self.patience())
    }

    /// Lets through events that have been held back for long enough.
    pub fn release(&mut self, now: Instant) -> Vec<Event> {
        if self.due().is_none_or(|due| now < due) {
            return Vec::new();
        }
        self.place = ReplyProgress::Outside;
        std::mem::take(&mut self.held)
    }

    fn patience(&self) -> Duration {
        if self.place == ReplyProgress::Escape { HELD_FOR } else { TORN_AFTER }
    }
}

/// Returns the characters that an event was made of, if they can belong to an answer.
fn characters(event: &Event) -> Option<Vec<char>> {
    let Event::Key(KeyEvent { code, modifiers, kind: KeyEventKind::Press, .. }) = event else { return None };
    match (code, modifiers.difference(KeyModifiers::SHIFT)) {
        (KeyCode::Esc, KeyModifiers::NONE) => Some(vec!['\x1b']),
        (KeyCode::Char(c), KeyModifiers::NONE) => Some(vec![*c]),
        (KeyCode::Char(c), KeyModifiers::ALT) => Some(vec!['\x1b', *c]),
        (KeyCode::Char('g'), KeyModifiers::CONTROL) => Some(vec!['\x07']),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The keys that a key reader makes of bytes that arrive together, or one by one.
    fn keys(bytes: &str, torn: bool) -> Vec<Event> {
        let mut keys = Vec::new();
        let mut alt = false;
        for c in bytes.chars() {
            let (code, modifiers) = match c {
                '\x1b' if !torn => {
                    alt = true;
                    continue;
                }
                '\x1b' => (KeyCode::Esc, KeyModifiers::NONE),
                '\x07' => (KeyCode::Char('g'), KeyModifiers::CONTROL),
                c => (KeyCode::Char(c), if alt { KeyModifiers::ALT } else { KeyModifiers::NONE }),
            };
            alt = false;
            keys.push(Event::Key(KeyEvent::new(code, modifiers)));
        }
        keys
    }

    /// Returns what is let through of successive events, `pause_ms` milliseconds apart.
    fn through(late_replies: &mut LateReplies, events: &[Event], pause_ms: u64, begun: Instant) -> Vec<Event> {
        let mut now = begun;
        let mut through = Vec::new();
        for event in events {
            now += Duration::from_millis(pause_ms);
            through.extend(late_replies.take(event.clone(), now));
        }
        through.extend(late_replies.release(now + TORN_AFTER));
        through
    }

    const COLOUR: &str = "\x1b]11;rgb:1414/1414/1818\x1b\\";
    const ALL: &str = "\x1b]11;rgb:1414/1414/1818\x07\x1b_Gi=31;OK\x1b\\\x1b[?62;4;22c";

    #[test]
    fn late_answers_are_thrown_away_at_once_and_byte_by_byte() {
        for answer in [COLOUR, ALL] {
            for (torn, pause_ms) in [(false, 0), (true, 0), (true, 50)] {
                let now = Instant::now();
                let mut late_replies = LateReplies::of(b"", now);
                let events = [keys("j", torn), keys(answer, torn), keys("q", torn)].concat();
                assert_eq!(
                    through(&mut late_replies, &events, pause_ms, now),
                    keys("jq", torn),
                    "{answer:?} {pause_ms}"
                );
            }
        }
    }

    #[test]
    fn an_answer_that_was_heard_in_part_is_thrown_away_to_its_end() {
        let whole = COLOUR.as_bytes();
        for heard in 1..whole.len() {
            let now = Instant::now();
            let mut late_replies = LateReplies::of(&whole[..heard], now);
            let rest = keys(&COLOUR[heard..], true);
            let events = [rest, keys("?", true)].concat();
            assert_eq!(through(&mut late_replies, &events, 5, now), keys("?", true), "{heard}");
        }
    }

    #[test]
    fn a_torn_answer_takes_no_key_after_it() {
        let now = Instant::now();
        let mut late_replies = LateReplies::of(b"\x1b]11;rgb:14", now);
        assert_eq!(late_replies.take(keys("j", true).remove(0), now + TORN_AFTER), keys("j", true));
        let arrow = Event::Key(KeyEvent::new(KeyCode::Down, KeyModifiers::NONE));
        let mut late_replies = LateReplies::of(b"\x1b]11;rgb:14", now);
        assert_eq!(late_replies.take(arrow.clone(), now), [arrow]);
        assert_eq!(late_replies.take(keys("q", true).remove(0), now), keys("q", true));
        let mut late_replies = LateReplies::of(b"\x1b]11;rgb:14", now);
        assert_eq!(late_replies.take(keys("q", true).remove(0), now), keys("q", true), "no letter of a colour");
    }

    #[test]
    fn keys_are_keys_and_an_escape_by_itself_comes_a_moment_later() {
        let now = Instant::now();
        let mut late_replies = LateReplies::of(b"", now);
        let typed = keys("/p]1_[?c\x1bj\x1b\x1b[x", true);
        assert_eq!(through(&mut late_replies, &typed, 1, now), typed);
        let mut late_replies = LateReplies::of(b"", now);
        let escape = keys("\x1b", true);
        assert_eq!(late_replies.take(escape[0].clone(), now), []);
        assert_eq!(late_replies.due(), Some(now + HELD_FOR));
        assert_eq!(late_replies.release(now + HELD_FOR), escape);
        assert_eq!(late_replies.due(), None);
    }

    #[test]
    fn a_letter_with_the_alt_key_is_let_through_at_any_time() {
        let now = Instant::now();
        for before in ["", "\x1b", "\x1b]11;rgb:14"] {
            let mut late_replies = LateReplies::of(before.as_bytes(), now);
            let typed = keys("\x1bx", false);
            assert_eq!(through(&mut late_replies, &typed, 1, now), typed, "{before:?}");
        }
    }

    #[test]
    fn nothing_is_held_back_where_no_answer_is_expected_any_more() {
        let now = Instant::now();
        let escape = keys("\x1b", true).remove(0);
        assert_eq!(LateReplies::none(now).take(escape.clone(), now), std::slice::from_ref(&escape));
        assert_eq!(LateReplies::of(b"", now).take(escape.clone(), now + EXPECTED_FOR), [escape]);
    }
}
