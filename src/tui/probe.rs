//! Asks the terminal, once and with a deadline, whether it can show graphics and what its background is.
//!
//! Runs in raw mode, before the alternate screen and before anything else reads keys. Keys typed meanwhile are lost.
//! There are two steps: a terminal that does not answer the first is not asked the second. An answer that has not come
//! by the deadline would arrive as keys; `late_replies.rs` discards it.
//!
//! The three answers are parsed by hand: `vte`, the usual parser, drops the strings in which kitty answers (APC), and
//! late answers are available only as keys, not as bytes.

use std::io;
use std::time::{Duration, Instant};

use crate::tui::capability::{Capability, InlinePictures, Multiplexer, TerminalBackground};
use crate::tui::picture::protocol::Protocol;
use crate::tui::thumbnail_mode::ThumbnailMode;

/// How long to wait for each step. Own trials, 2026-11: distant links answer within 0.3 s.
const DEADLINE: Duration = Duration::from_millis(1200);
/// Most bytes of an answer; a terminal that sends more is not answering this program.
const MAX_BYTES: usize = 4096;
/// Primary device attributes; attribute 4 is sixel graphics. Source: ECMA-48 and DEC VT340 manuals.
const ATTRIBUTES: &[u8] = b"\x1b[c";
const SIXEL: &str = "4";
/// A request for the background's colour (xterm control sequences, OSC 11), a kitty graphics query (its published
/// description), and the attributes again, which every terminal answers last.
const COLOUR_AND_GRAPHICS: &[u8] = b"\x1b]11;?\x1b\\\x1b_Gi=31,s=1,v=1,a=q,t=d,f=24;AAAA\x1b\\\x1b[c";
const COLOUR: &[u8] = b"\x1b]11;?\x1b\\\x1b[c";
const KITTY_CAN: &str = "i=31;OK";
/// A background whose luma is at least this (of 255) is light. Common practice: the middle.
const LIGHT_FROM: u32 = 128;

/// A terminal that can be queried.
pub trait ProbedTerminal {
    /// Sends a query.
    ///
    /// # Errors
    /// If it cannot be written.
    fn ask(&mut self, question: &[u8]) -> io::Result<()>;

    /// Waits for bytes until `until`; returns their number, 0 if none came.
    ///
    /// # Errors
    /// If the line broke. `Interrupted` means only that the caller should try again.
    fn hear(&mut self, until: Instant, buffer: &mut [u8]) -> io::Result<usize>;
}

/// The questions that a terminal is asked after its attributes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Questions {
    /// True to query the background.
    pub background: bool,
    /// True to query kitty graphics.
    pub kitty: bool,
    /// True if sixel graphics are of use.
    pub sixel: bool,
}

impl Questions {
    /// Returns the questions that are safe through a multiplexer. GNU screen passes on the one for the background but
    /// returns the answer late and in pieces; tmux takes the one for kitty's graphics as the title of its pane. Own
    /// trials, 2026-11.
    fn of(wants_graphics: bool, multiplexer: Multiplexer) -> Questions {
        Questions {
            background: multiplexer != Multiplexer::Screen,
            kitty: wants_graphics && multiplexer == Multiplexer::None,
            sixel: wants_graphics,
        }
    }
}

/// A terminal's answers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// True if it answered at all.
    pub has_answered: bool,
    /// The part received of an answer that is still expected; `None` if no answer is.
    pub out: Option<Vec<u8>>,
    /// The graphics that it supports.
    pub graphics: Option<Protocol>,
    /// The background.
    pub background: TerminalBackground,
}

/// Chooses how thumbnails reach this terminal, and notes its background in `capability`. Asks only where an answer
/// matters. Also returns the part received of an answer that is still expected.
///
/// # Errors
/// If the terminal cannot be written to.
pub fn choose(
    line: &mut dyn ProbedTerminal,
    thumbnails: ThumbnailMode,
    capability: &mut Capability,
) -> io::Result<(Protocol, Option<Vec<u8>>)> {
    let wants_graphics = match thumbnails {
        // Half blocks are quick over a network; and where UTF-8 does not work, graphics hardly will.
        ThumbnailMode::Auto => !capability.is_remote && capability.utf8,
        ThumbnailMode::Graphics => true,
        // An explicit choice needs no query: this is a person's way out where queries do harm.
        ThumbnailMode::Blocks => return Ok((Protocol::Blocks, None)),
        ThumbnailMode::Off => return Ok((Protocol::Off, None)),
    };
    let questions = Questions::of(wants_graphics, capability.multiplexer);
    let mut answer = ask(line, questions, DEADLINE)?;
    let out = answer.out.take();
    Ok((decide(thumbnails, wants_graphics, capability, &answer), out))
}

fn decide(thumbnails: ThumbnailMode, wants_graphics: bool, capability: &mut Capability, answer: &Answer) -> Protocol {
    // An answer is more reliable than a variable, which may come from another terminal.
    if answer.background != TerminalBackground::Unknown {
        capability.background = answer.background;
    }
    let guessed = match capability.inline_pictures {
        InlinePictures::Likely => Some(Protocol::Iterm),
        // Passed through SSH to terminals that then show nothing: only for a person who asked for graphics.
        InlinePictures::Hearsay if thumbnails == ThumbnailMode::Graphics => Some(Protocol::Iterm),
        InlinePictures::Hearsay | InlinePictures::No => None,
    };
    let graphics = answer.graphics.or(guessed).filter(|_| wants_graphics);
    let no_colours = capability.colours == crate::tui::capability::ColourLevel::None;
    match graphics {
        Some(protocol) if thumbnails == ThumbnailMode::Graphics || !no_colours => protocol,
        _ => Protocol::Blocks,
    }
}

/// Queries in two steps, each within `deadline`.
///
/// # Errors
/// If the line cannot be written to; silence and a broken answer are not errors.
pub fn ask(line: &mut dyn ProbedTerminal, questions: Questions, deadline: Duration) -> io::Result<Answer> {
    let mut answer = Answer { has_answered: false, out: None, graphics: None, background: TerminalBackground::Unknown };
    let first = match question(line, ATTRIBUTES, deadline)? {
        ProbeReply::Whole(first) => first,
        ProbeReply::Part(heard) => return Ok(Answer { out: Some(heard), ..answer }),
    };
    answer.has_answered = true;
    if questions.sixel && attributes(&first).is_some_and(|list| list.split(';').any(|one| one == SIXEL)) {
        answer.graphics = Some(Protocol::Sixel);
    }
    if !questions.background {
        return Ok(answer);
    }
    let second = match question(line, if questions.kitty { COLOUR_AND_GRAPHICS } else { COLOUR }, deadline)? {
        ProbeReply::Whole(second) => second,
        ProbeReply::Part(heard) => return Ok(Answer { out: Some(heard), ..answer }),
    };
    if second.contains(KITTY_CAN) {
        answer.graphics = Some(Protocol::Kitty);
    }
    match background_colour(&second) {
        Some(rgb) => {
            // Source of the weights: ITU-R BT.601 luma.
            let luma = (299 * rgb[0] + 587 * rgb[1] + 114 * rgb[2]) / 1000;
            answer.background = if luma >= LIGHT_FROM { TerminalBackground::Light } else { TerminalBackground::Dark };
        }
        // A program in between may have answered the attributes itself and passed on the other query.
        None => answer.out = Some(Vec::new()),
    }
    Ok(answer)
}

/// An answer, as far as it was received.
enum ProbeReply {
    /// All of it, up to the attributes that end it.
    Whole(String),
    /// Only this part, in time.
    Part(Vec<u8>),
}

/// Sends one query and returns what was received within `deadline`.
fn question(line: &mut dyn ProbedTerminal, question: &[u8], deadline: Duration) -> io::Result<ProbeReply> {
    line.ask(question)?;
    let until = Instant::now() + deadline;
    let mut heard = Vec::new();
    let mut buffer = [0; 256];
    while heard.len() < MAX_BYTES && Instant::now() < until {
        match line.hear(until, &mut buffer) {
            Ok(0) => break,
            Ok(count) => heard.extend_from_slice(&buffer[..count]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(_) => break,
        }
        let text = String::from_utf8_lossy(&heard);
        if attributes(&text).is_some() {
            return Ok(ProbeReply::Whole(text.into_owned()));
        }
    }
    Ok(ProbeReply::Part(heard))
}

/// Returns the list in `ESC [ ? list c`, once it is complete.
fn attributes(heard: &str) -> Option<&str> {
    heard.match_indices("\x1b[?").find_map(|(at, start)| {
        let rest = &heard[at + start.len()..];
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != ';')?;
        rest[end..].starts_with('c').then(|| &rest[..end])
    })
}

/// Returns the colour in `ESC ] 11 ; rgb:rrrr/gggg/bbbb`, each channel 0 to 255.
fn background_colour(heard: &str) -> Option<[u32; 3]> {
    let rest = &heard[heard.find("\x1b]11;rgb:")? + "\x1b]11;rgb:".len()..];
    let mut parts = rest.split(['/', '\x1b', '\x07']).map(|part| {
        let value = u32::from_str_radix(part, 16).ok()?;
        let most = 16_u32.checked_pow(u32::try_from(part.len()).ok()?)?.checked_sub(1)?;
        (value * 255).checked_div(most)
    });
    Some([parts.next()??, parts.next()??, parts.next()??])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::capability::ColourLevel;
    use std::collections::VecDeque;

    /// A terminal that answers each query from a script, a fixed number of bytes at a time.
    struct Scripted {
        answers: VecDeque<&'static [u8]>,
        at_once: usize,
        waiting: VecDeque<u8>,
        required: Vec<u8>,
    }

    fn scripted(answers: &[&'static [u8]], at_once: usize) -> Scripted {
        Scripted { answers: answers.iter().copied().collect(), at_once, waiting: VecDeque::new(), required: Vec::new() }
    }

    impl ProbedTerminal for Scripted {
        fn ask(&mut self, question: &[u8]) -> io::Result<()> {
            self.required.extend_from_slice(question);
            self.waiting.extend(self.answers.pop_front().unwrap_or_default());
            Ok(())
        }

        fn hear(&mut self, until: Instant, buffer: &mut [u8]) -> io::Result<usize> {
            let count = self.at_once.min(self.waiting.len());
            if count == 0 {
                std::thread::sleep(until.saturating_duration_since(Instant::now()));
            }
            for (slot, byte) in buffer.iter_mut().zip(self.waiting.drain(..count)) {
                *slot = byte;
            }
            Ok(count)
        }
    }

    const EVERYTHING: Questions = Questions { background: true, kitty: true, sixel: true };
    const SHORT: Duration = Duration::from_millis(40);

    #[test]
    fn a_terminal_that_never_answers_is_asked_once_and_left_in_time() {
        let mut silent = scripted(&[], 1);
        let begun = Instant::now();
        let answer = ask(&mut silent, EVERYTHING, SHORT).unwrap();
        assert!(begun.elapsed() < SHORT * 4 && !answer.has_answered);
        assert_eq!((silent.required.as_slice(), answer.out), (ATTRIBUTES, Some(Vec::new())));
    }

    #[test]
    fn answers_that_come_byte_by_byte_are_understood() {
        for at_once in [1, 2, 7, 200] {
            let mut line = scripted(&[b"\x1b[?62;4;22c", b"\x1b]11;rgb:1c1c/1c1c/1c1c\x1b\\\x1b[?62;4;22c"], at_once);
            let answer = ask(&mut line, EVERYTHING, SHORT).unwrap();
            assert_eq!(
                (answer.graphics, answer.background),
                (Some(Protocol::Sixel), TerminalBackground::Dark),
                "{at_once}"
            );
        }
    }

    #[test]
    fn kitty_is_preferred_and_whole_attributes_compared() {
        let mut kitty = scripted(&[b"\x1b[?62;c", b"\x1b]11;rgb:ffff/ffff/eeee\x07\x1b_Gi=31;OK\x1b\\\x1b[?62;c"], 3);
        let answer = ask(&mut kitty, EVERYTHING, SHORT).unwrap();
        assert_eq!((answer.graphics, answer.background), (Some(Protocol::Kitty), TerminalBackground::Light));
        let mut tmux = scripted(&[b"\x1b[?1;2c", b"\x1b[?1;2c"], 200);
        assert_eq!(ask(&mut tmux, EVERYTHING, SHORT).unwrap().graphics, None);
        let mut forty = scripted(&[b"\x1b[?64;14;40c", b"\x1b[?64c"], 200);
        assert_eq!(ask(&mut forty, EVERYTHING, SHORT).unwrap().graphics, None);
    }

    #[test]
    fn multiplexers_are_asked_only_what_they_answer_themselves() {
        let required = |multiplexer| {
            let mut line = scripted(&[b"\x1b[?1;2c", b"\x1b[?1;2c"], 200);
            ask(&mut line, Questions::of(true, multiplexer), SHORT).unwrap();
            line.required
        };
        assert_eq!(required(Multiplexer::Screen), ATTRIBUTES);
        assert_eq!(required(Multiplexer::Tmux), [ATTRIBUTES, COLOUR].concat());
        assert_eq!(required(Multiplexer::None), [ATTRIBUTES, COLOUR_AND_GRAPHICS].concat());
    }

    #[test]
    fn an_answer_that_is_still_out_is_known() {
        let out = |second: &'static [u8]| {
            let mut line = scripted(&[b"\x1b[?62;c", second], 200);
            ask(&mut line, EVERYTHING, SHORT).unwrap().out
        };
        assert_eq!(out(b"\x1b]11;rgb:1414/1414/1818\x1b\\\x1b[?62;c"), None);
        assert_eq!(out(b"\x1b]11;rgb:14"), Some(b"\x1b]11;rgb:14".to_vec()));
        assert_eq!(out(b"\x1b[?62;c"), Some(Vec::new()), "something between answered for the terminal");
    }

    #[test]
    fn keys_typed_meanwhile_do_not_confuse_the_answer() {
        let mut line = scripted(&[b"jj\x1b[A\x1b[?62;4c", b"q\x1b[?62;4c"], 200);
        assert_eq!(ask(&mut line, EVERYTHING, SHORT).unwrap().graphics, Some(Protocol::Sixel));
    }

    #[test]
    fn a_flood_that_is_no_answer_ends() {
        struct Flood;
        impl ProbedTerminal for Flood {
            fn ask(&mut self, _: &[u8]) -> io::Result<()> {
                Ok(())
            }
            fn hear(&mut self, _: Instant, buffer: &mut [u8]) -> io::Result<usize> {
                buffer.fill(b'x');
                Ok(buffer.len())
            }
        }
        assert!(!ask(&mut Flood, EVERYTHING, SHORT).unwrap().has_answered);
    }

    #[test]
    fn hearsay_counts_only_for_a_person_who_asked_for_graphics() {
        let silent = Answer { has_answered: true, out: None, graphics: None, background: TerminalBackground::Unknown };
        let mut hearsay = Capability::of(|name| match name {
            "TERM" => Some("xterm-256color".to_owned()),
            "LC_TERMINAL" => Some("iTerm2".to_owned()),
            _ => None,
        });
        assert_eq!(decide(ThumbnailMode::Auto, true, &mut hearsay, &silent), Protocol::Blocks);
        assert_eq!(decide(ThumbnailMode::Graphics, true, &mut hearsay, &silent), Protocol::Iterm);
        let sixel = Answer { graphics: Some(Protocol::Sixel), ..silent.clone() };
        assert_eq!(decide(ThumbnailMode::Auto, true, &mut hearsay, &sixel), Protocol::Sixel);
        assert_eq!(
            choose(&mut scripted(&[], 1), ThumbnailMode::Blocks, &mut hearsay).unwrap(),
            (Protocol::Blocks, None)
        );
        assert_eq!(choose(&mut scripted(&[], 1), ThumbnailMode::Off, &mut hearsay).unwrap(), (Protocol::Off, None));
        hearsay.colours = ColourLevel::None;
        assert_eq!(decide(ThumbnailMode::Auto, true, &mut hearsay, &sixel), Protocol::Blocks);
    }
}
