//! What the terminal can show according to its environment: colours, letters, background, multiplexer, distance.
//!
//! Reads variables through a function, so that tests can supply their own; sends the terminal nothing (see `probe`).

/// The number of colours that may be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ColourLevel {
    /// No colours: `NO_COLOR` is set.
    None,
    /// The sixteen colours that every terminal names.
    Sixteen,
    /// The 6 x 6 x 6 cube and 24 greys of xterm.
    Indexed,
    /// Any colour.
    Full,
}

/// The background of the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TerminalBackground {
    /// Dark.
    Dark,
    /// Light.
    Light,
    /// The background is not known.
    Unknown,
}

/// What the environment reports about the terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Capability {
    /// The number of colours that may be used.
    pub colours: ColourLevel,
    /// True if characters beyond ASCII can be shown.
    pub utf8: bool,
    /// The background of the text.
    pub background: TerminalBackground,
    /// True for a terminal without cursor movement, or none at all.
    pub is_dumb: bool,
    /// True for the console of the system, which has no clipboard.
    pub is_console: bool,
    /// The multiplexer between the program and the terminal.
    pub multiplexer: Multiplexer,
    /// True if a network is between them.
    pub is_remote: bool,
    /// How likely it is that the terminal supports iTerm2's inline pictures.
    pub inline_pictures: InlinePictures,
}

/// A program between this one and the terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Multiplexer {
    /// No multiplexer.
    None,
    /// tmux: answers what it knows itself, and takes what it does not know for a title.
    Tmux,
    /// GNU screen, or a program that calls itself so: passes queries on but returns the answers late and in pieces.
    Screen,
}

/// How likely a terminal is to support iTerm2's inline pictures; there is no query for that.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum InlinePictures {
    /// No variable names it.
    No,
    /// `LC_TERMINAL` names it, which travels through SSH into terminals that do not support them.
    Hearsay,
    /// `TERM_PROGRAM` names it, which is set by the terminal itself.
    Likely,
}

impl Capability {
    /// Reads environment variables; an empty variable counts as not set.
    pub fn of(variable: impl Fn(&str) -> Option<String>) -> Capability {
        let get = |name: &str| variable(name).filter(|value| !value.is_empty());
        let term = get("TERM").unwrap_or_default();
        let multiplexer = if get("TMUX").is_some() || term.starts_with("tmux") {
            Multiplexer::Tmux
        } else if get("STY").is_some() || term.starts_with("screen") {
            Multiplexer::Screen
        } else {
            Multiplexer::None
        };
        Capability {
            colours: colours(&get, &term, multiplexer == Multiplexer::Screen),
            utf8: utf8(&get),
            background: get("COLORFGBG").map_or(TerminalBackground::Unknown, |value| background(&value)),
            is_dumb: term.is_empty() || term == "dumb",
            is_console: term == "linux",
            multiplexer,
            is_remote: get("SSH_CONNECTION").is_some() || get("SSH_TTY").is_some(),
            inline_pictures: if multiplexer != Multiplexer::None {
                InlinePictures::No
            } else if get("TERM_PROGRAM").is_some_and(|name| name == "iTerm.app") {
                InlinePictures::Likely
            } else if get("LC_TERMINAL").is_some_and(|name| name == "iTerm2") {
                InlinePictures::Hearsay
            } else {
                InlinePictures::No
            },
        }
    }
}

/// Returns full colour where the terminal claims it, except under GNU screen, which garbles it whatever it inherited
/// (own trial, 2026-11).
fn colours(get: &impl Fn(&str) -> Option<String>, term: &str, screen: bool) -> ColourLevel {
    if get("NO_COLOR").is_some() {
        return ColourLevel::None;
    }
    let full = get("COLORTERM").is_some_and(|value| value == "truecolor" || value == "24bit");
    let level = if full {
        ColourLevel::Full
    } else if term.contains("256color") {
        ColourLevel::Indexed
    } else {
        ColourLevel::Sixteen
    };
    if screen { level.min(ColourLevel::Indexed) } else { level }
}

/// True if the first locale variable that is set names UTF-8; if none is set, UTF-8 is assumed, as containers often set
/// none. Source of the order: POSIX, environment variables of locales.
fn utf8(get: &impl Fn(&str) -> Option<String>) -> bool {
    ["LC_ALL", "LC_CTYPE", "LANG"].iter().find_map(|name| get(name)).is_none_or(|locale| {
        let locale = locale.to_ascii_lowercase();
        locale.contains("utf-8") || locale.contains("utf8")
    })
}

/// Reads `foreground;background` as colour numbers; 0 to 6 and 8 are dark. Source: rxvt's custom, from memory.
fn background(value: &str) -> TerminalBackground {
    match value.rsplit(';').next().and_then(|number| number.parse::<u8>().ok()) {
        Some(0..=6 | 8) => TerminalBackground::Dark,
        Some(7 | 9..=15) => TerminalBackground::Light,
        _ => TerminalBackground::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(variables: &[(&str, &str)]) -> Capability {
        Capability::of(|name| variables.iter().find(|(n, _)| *n == name).map(|(_, value)| (*value).to_owned()))
    }

    #[test]
    fn colours_follow_no_color_then_colorterm_then_term() {
        assert_eq!(of(&[("TERM", "xterm")]).colours, ColourLevel::Sixteen);
        assert_eq!(of(&[("TERM", "xterm-256color")]).colours, ColourLevel::Indexed);
        assert_eq!(of(&[("TERM", "xterm"), ("COLORTERM", "truecolor")]).colours, ColourLevel::Full);
        assert_eq!(of(&[("TERM", "xterm"), ("COLORTERM", "truecolor"), ("NO_COLOR", "1")]).colours, ColourLevel::None);
        assert_eq!(of(&[("TERM", "xterm-256color"), ("NO_COLOR", "")]).colours, ColourLevel::Indexed);
    }

    #[test]
    fn gnu_screen_gets_at_most_256_colours() {
        let inherited = [("TERM", "screen"), ("STY", "1.x"), ("COLORTERM", "truecolor")];
        assert_eq!(of(&inherited).colours, ColourLevel::Indexed);
        let tmux = [("TERM", "screen-256color"), ("TMUX", "/tmp/x"), ("COLORTERM", "truecolor")];
        assert_eq!(of(&tmux).colours, ColourLevel::Full);
    }

    #[test]
    fn only_a_locale_that_says_otherwise_is_not_utf8() {
        assert!(of(&[]).utf8);
        assert!(of(&[("LANG", "en_GB.UTF-8")]).utf8);
        assert!(!of(&[("LC_ALL", "C"), ("LANG", "en_GB.UTF-8")]).utf8);
        assert!(of(&[("LC_ALL", ""), ("LC_CTYPE", "C.utf8")]).utf8);
    }

    #[test]
    fn hearsay_of_inline_pictures_does_not_reach_through_a_multiplexer() {
        assert_eq!(of(&[("LC_TERMINAL", "iTerm2")]).inline_pictures, InlinePictures::Hearsay);
        assert_eq!(of(&[("LC_TERMINAL", "iTerm2"), ("TMUX", "x")]).inline_pictures, InlinePictures::No);
        assert_eq!(of(&[("TERM_PROGRAM", "iTerm.app")]).inline_pictures, InlinePictures::Likely);
    }

    #[test]
    fn the_background_is_the_last_number() {
        assert_eq!(of(&[("COLORFGBG", "15;0")]).background, TerminalBackground::Dark);
        assert_eq!(of(&[("COLORFGBG", "0;default;15")]).background, TerminalBackground::Light);
        assert_eq!(of(&[("COLORFGBG", "default;default")]).background, TerminalBackground::Unknown);
    }

    #[test]
    fn a_dumb_terminal_is_known() {
        assert!(of(&[]).is_dumb && of(&[("TERM", "dumb")]).is_dumb && !of(&[("TERM", "xterm")]).is_dumb);
    }
}
