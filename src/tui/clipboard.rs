//! The terminal's clipboard, on this machine or at the other end of SSH: a control sequence asks the terminal to take a
//! text. No terminal answers, so nobody can say whether it did.
//!
//! Source of the sequence: xterm's control sequences, OSC 52. Of its ways through multiplexers: the manuals of tmux
//! (set-clipboard, allow-passthrough) and GNU screen (device control strings are passed on).

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

use crate::tui::capability::{Capability, Multiplexer};
use crate::units::words::acts_on_line;

/// Most bytes of a text that is copied: some terminals take no more than 74,994 letters of base64. Source: from memory;
/// common practice.
const MAX_BYTES: usize = 48 * 1024;
/// Letters of the sequence that GNU screen gets in one string; it takes 768 at most. Source: its manual, and room for
/// what is put around them.
const SCREEN_CHUNK: usize = 512;

/// How a text gets to the terminal's clipboard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ClipboardRoute {
    /// Straight to the terminal.
    #[default]
    Terminal,
    /// Through tmux, which keeps it or passes it on as it is set.
    Tmux,
    /// Through GNU screen, which passes it on.
    Screen,
    /// There is no clipboard: the console of the system.
    None,
}

impl ClipboardRoute {
    /// Returns the way that the environment suggests.
    pub fn of(capability: &Capability) -> ClipboardRoute {
        match capability.multiplexer {
            _ if capability.is_console => ClipboardRoute::None,
            Multiplexer::None => ClipboardRoute::Terminal,
            Multiplexer::Tmux => ClipboardRoute::Tmux,
            Multiplexer::Screen => ClipboardRoute::Screen,
        }
    }
}

/// Texts on their way to the clipboard.
#[derive(Debug, Default)]
pub struct Clipboard {
    route: ClipboardRoute,
    waiting: Option<Vec<u8>>,
}

impl Clipboard {
    /// Creates a clipboard that is reached by this way.
    pub fn new(route: ClipboardRoute) -> Clipboard {
        Clipboard { route, waiting: None }
    }

    /// Sends a text with the next frame, without control characters; returns what can honestly be said of it: the words
    /// that follow its name.
    pub fn send(&mut self, text: &str) -> &'static str {
        let text: String = text.chars().filter(|letter| *letter == '\n' || !acts_on_line(*letter)).collect();
        if text.len() > MAX_BYTES {
            return "is too long for a terminal's clipboard";
        }
        let osc = format!("\x1b]52;c;{}\x07", STANDARD.encode(&text));
        let (sequence, words) = match self.route {
            ClipboardRoute::None => return "not copied: the console has no clipboard",
            ClipboardRoute::Terminal => (osc, "sent to the terminal's clipboard"),
            // tmux takes the first if set-clipboard is on, and passes on the second if allow-passthrough is.
            ClipboardRoute::Tmux => {
                let passed_on = format!("\x1bPtmux;{}\x1b\\", osc.replace('\x1b', "\x1b\x1b"));
                (osc + &passed_on, "sent to tmux for the clipboard")
            }
            ClipboardRoute::Screen => (in_chunks(&osc), "sent through screen to the clipboard"),
        };
        self.waiting = Some(sequence.into_bytes());
        words
    }

    /// Returns the bytes that wait to be written, once.
    pub fn take(&mut self) -> Option<Vec<u8>> {
        self.waiting.take()
    }
}

/// Returns a sequence as device control strings, each short enough for GNU screen.
fn in_chunks(sequence: &str) -> String {
    let chunks = sequence.as_bytes().chunks(SCREEN_CHUNK);
    chunks.map(|chunk| format!("\x1bP{}\x1b\\", String::from_utf8_lossy(chunk))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sent(route: ClipboardRoute, text: &str) -> (String, &'static str) {
        let mut clipboard = Clipboard::new(route);
        let words = clipboard.send(text);
        let bytes = String::from_utf8(clipboard.take().unwrap_or_default()).unwrap();
        assert!(clipboard.take().is_none(), "it is written once");
        (bytes, words)
    }

    #[test]
    fn a_text_goes_out_as_base64_without_control_characters() {
        let (bytes, words) = sent(ClipboardRoute::Terminal, "2551 x 3142\x1b]0;no\x07\u{202e}\nsRGB");
        let payload = bytes.strip_prefix("\x1b]52;c;").unwrap().strip_suffix('\x07').unwrap();
        assert_eq!(STANDARD.decode(payload).unwrap(), b"2551 x 3142]0;no\nsRGB");
        assert_eq!(words, "sent to the terminal's clipboard");
    }

    #[test]
    fn multiplexers_get_it_by_their_own_rules() {
        let (tmux, _) = sent(ClipboardRoute::Tmux, "ab");
        assert_eq!(tmux, "\x1b]52;c;YWI=\x07\x1bPtmux;\x1b\x1b]52;c;YWI=\x07\x1b\\");
        let (screen, _) = sent(ClipboardRoute::Screen, &"a".repeat(900));
        let parts: Vec<&str> =
            screen.split_terminator("\x1b\\").map(|part| part.strip_prefix("\x1bP").unwrap()).collect();
        assert!(parts.len() > 1 && parts.iter().all(|part| part.len() <= SCREEN_CHUNK));
        assert_eq!(parts.concat(), sent(ClipboardRoute::Terminal, &"a".repeat(900)).0);
    }

    #[test]
    fn what_cannot_be_copied_is_said_and_not_sent() {
        assert_eq!(sent(ClipboardRoute::None, "a"), (String::new(), "not copied: the console has no clipboard"));
        let (bytes, words) = sent(ClipboardRoute::Terminal, &"a".repeat(MAX_BYTES + 1));
        assert_eq!((bytes.as_str(), words), ("", "is too long for a terminal's clipboard"));
    }
}
