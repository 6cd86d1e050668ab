//! Colours and styles for dark and light backgrounds and for many, few or no colours; signs in UTF-8 and ASCII.

use ratatui::style::{Color, Modifier, Style};

use crate::brief::requirements::Level;
use crate::judge::RowState;
use crate::tui::capability::{Capability, ColourLevel, TerminalBackground};
use crate::tui::palette::nearest;
use crate::units::styled;

/// The styles and signs that drawing uses.
#[derive(Clone, Debug)]
pub struct Theme {
    /// The number of colours in use.
    pub colours: ColourLevel,
    /// Less important text.
    pub dim: Style,
    /// Important text.
    pub strong: Style,
    /// The header line.
    pub band: Style,
    /// Less important words on that line.
    pub band_dim: Style,
    /// Heads of columns and sections.
    pub head: Style,
    /// Lines between regions.
    pub rule: Style,
    /// A key to press.
    pub key: Style,
    /// The style added to the selected row.
    pub selected: Style,
    /// Nothing to fix.
    pub good: Style,
    /// Should be fixed.
    pub warn: Style,
    /// Must be fixed.
    pub bad: Style,
    /// A print without a picture.
    pub missing: Style,
    /// A picture without a print.
    pub extra: Style,
    /// The word FIX, filled so that it is noticed first.
    pub bad_filled: Style,
    /// The signs in use.
    pub signs: Glyphs,
}

/// Signs other than letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Glyphs {
    /// The line between regions side by side.
    pub vertical: &'static str,
    /// The line between regions one above the other.
    pub horizontal: &'static str,
    /// The sign before the selected row.
    pub selected: &'static str,
    /// The sign from an old value to a new one.
    pub arrow: &'static str,
    /// The sign for omitted text.
    pub ellipsis: &'static str,
    /// The sign between words of one line.
    pub dot: &'static str,
    /// The signs of work done and work to do, in a bar.
    pub bar: (&'static str, &'static str),
    /// Fillings of a cell, from nothing to all, in equal steps.
    pub levels: [&'static str; 9],
    /// A pointer to what is above.
    pub up: &'static str,
    /// True if half blocks can be shown.
    pub has_half_blocks: bool,
}

/// For terminals that show characters beyond ASCII.
pub const UTF8_SIGNS: Glyphs = Glyphs {
    vertical: "│",
    horizontal: "─",
    selected: "▌",
    arrow: "→",
    ellipsis: "…",
    dot: " · ",
    bar: ("━", "─"),
    levels: [" ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"],
    up: "▲",
    has_half_blocks: true,
};
/// For other terminals.
pub const ASCII_SIGNS: Glyphs = Glyphs {
    vertical: "|",
    horizontal: "-",
    selected: ">",
    arrow: "->",
    ellipsis: "~",
    dot: " - ",
    bar: ("=", "."),
    levels: [" ", ".", ":", "-", "=", "+", "*", "#", "@"],
    up: "^",
    has_half_blocks: false,
};

/// A set of colours for one background. Own choice: the reds, ochres and greens of a kitchen, each at least 4.5 : 1
/// against the background it is made for (3 : 1 against both where the background is not known).
struct Inks {
    dim: [u8; 3],
    head: [u8; 3],
    rule: [u8; 3],
    good: [u8; 3],
    warn: [u8; 3],
    bad: [u8; 3],
    missing: [u8; 3],
    extra: [u8; 3],
    band: Option<([u8; 3], [u8; 3], [u8; 3])>,
    selected: Option<([u8; 3], [u8; 3])>,
    filled: ([u8; 3], [u8; 3]),
}

const ON_DARK: Inks = Inks {
    dim: [146, 146, 140],
    head: [190, 178, 152],
    rule: [84, 84, 80],
    good: [142, 184, 120],
    warn: [228, 176, 84],
    bad: [240, 122, 104],
    missing: [204, 150, 206],
    extra: [126, 178, 208],
    band: Some(([58, 50, 46], [244, 236, 222], [196, 184, 164])),
    selected: Some(([56, 56, 62], [238, 234, 226])),
    filled: ([175, 44, 40], [255, 246, 238]),
};
const ON_LIGHT: Inks = Inks {
    dim: [110, 108, 102],
    head: [112, 88, 44],
    rule: [188, 184, 174],
    good: [52, 110, 50],
    warn: [146, 92, 0],
    bad: [182, 40, 32],
    missing: [128, 62, 138],
    extra: [32, 98, 140],
    band: Some(([72, 60, 54], [250, 244, 234], [212, 202, 184])),
    selected: Some(([232, 226, 212], [40, 36, 32])),
    filled: ([182, 40, 32], [255, 250, 244]),
};
const ON_UNKNOWN: Inks = Inks {
    dim: [128, 126, 122],
    head: [150, 122, 70],
    rule: [128, 126, 122],
    good: [78, 140, 70],
    warn: [182, 122, 20],
    bad: [214, 72, 58],
    missing: [160, 92, 170],
    extra: [58, 128, 172],
    band: Some(([72, 60, 54], [250, 244, 234], [212, 202, 184])),
    selected: None,
    filled: ([182, 44, 40], [255, 250, 244]),
};

impl Theme {
    /// Returns the theme for a terminal's abilities.
    pub fn of(capability: &Capability) -> Theme {
        let signs = if capability.utf8 { UTF8_SIGNS } else { ASCII_SIGNS };
        match capability.colours {
            ColourLevel::None => Theme::colourless(signs),
            ColourLevel::Sixteen => Theme::sixteen(signs),
            level => Theme::inked(level, capability.background, signs),
        }
    }

    /// Returns a theme without colours: `Color::Reset` throughout, since a terminal library that drops colours writes a
    /// sequence for them that also drops attributes.
    fn colourless(signs: Glyphs) -> Theme {
        let (plain, bold) = (Style::new(), Style::new().add_modifier(Modifier::BOLD));
        let reversed = Style::new().add_modifier(Modifier::REVERSED);
        Theme {
            colours: ColourLevel::None,
            dim: plain,
            strong: bold,
            band: reversed,
            band_dim: reversed,
            head: bold,
            rule: plain,
            key: bold,
            selected: reversed,
            good: plain,
            warn: bold,
            bad: bold,
            missing: bold,
            extra: plain,
            bad_filled: bold,
            signs,
        }
    }

    fn sixteen(signs: Glyphs) -> Theme {
        let colour = |colour| Style::new().fg(colour);
        let bold = Modifier::BOLD;
        Theme {
            colours: ColourLevel::Sixteen,
            dim: Style::new().add_modifier(Modifier::DIM),
            head: colour(Color::Yellow),
            rule: Style::new().add_modifier(Modifier::DIM),
            good: colour(Color::Green),
            warn: colour(Color::Yellow).add_modifier(bold),
            bad: colour(Color::Red).add_modifier(bold),
            missing: colour(Color::Magenta),
            extra: colour(Color::Cyan),
            bad_filled: Style::new().fg(Color::White).bg(Color::Red).add_modifier(bold),
            ..Theme::colourless(signs)
        }
    }

    fn inked(level: ColourLevel, background: TerminalBackground, signs: Glyphs) -> Theme {
        let inks = match background {
            TerminalBackground::Dark => &ON_DARK,
            TerminalBackground::Light => &ON_LIGHT,
            TerminalBackground::Unknown => &ON_UNKNOWN,
        };
        let ink = |rgb| Style::new().fg(nearest(rgb, level));
        let bold = Modifier::BOLD;
        let reversed = Style::new().add_modifier(Modifier::REVERSED);
        let (band, band_dim) = inks.band.map_or((reversed, reversed), |(ground, text, less)| {
            let ground = nearest(ground, level);
            (ink(text).bg(ground), ink(less).bg(ground))
        });
        Theme {
            colours: level,
            dim: ink(inks.dim),
            strong: Style::new().add_modifier(bold),
            band: band.add_modifier(bold),
            band_dim,
            head: ink(inks.head),
            rule: ink(inks.rule),
            key: Style::new().add_modifier(bold),
            selected: inks.selected.map_or(reversed, |(ground, text)| ink(text).bg(nearest(ground, level))),
            good: ink(inks.good),
            warn: ink(inks.warn).add_modifier(bold),
            bad: ink(inks.bad).add_modifier(bold),
            missing: ink(inks.missing).add_modifier(bold),
            extra: ink(inks.extra),
            bad_filled: ink(inks.filled.1).bg(nearest(inks.filled.0, level)).add_modifier(bold),
            signs,
        }
    }

    /// True if a picture can be painted with half blocks.
    pub fn paints(&self) -> bool {
        self.signs.has_half_blocks && self.colours != ColourLevel::None
    }

    /// True if the selected row is shown reversed; colours on it would be reversed too and are left out.
    pub fn reverses(&self) -> bool {
        self.selected.add_modifier.contains(Modifier::REVERSED)
    }

    /// Returns a state's style.
    pub fn state(&self, state: RowState) -> Style {
        match state {
            RowState::Fix => self.bad,
            RowState::Missing => self.missing,
            RowState::Warn => self.warn,
            RowState::Extra => self.extra,
            RowState::Arriving | RowState::Checking => self.dim,
            RowState::Pass => self.good,
        }
    }

    /// Returns a level's style.
    pub fn level(&self, level: Level) -> Style {
        match level {
            Level::Must => self.bad,
            Level::Should => self.warn,
            Level::Note | Level::Off => self.dim,
        }
    }

    /// Converts a report's style.
    pub fn styled(&self, style: styled::Style) -> Style {
        match style {
            styled::Style::Plain => Style::new(),
            styled::Style::Strong => self.strong,
            styled::Style::Dim => self.dim,
            styled::Style::Good => self.good,
            styled::Style::Warn => self.warn,
            styled::Style::Bad => self.bad,
            styled::Style::Head => self.head.add_modifier(Modifier::BOLD),
        }
    }
}

/// Returns the mark beside a number on which a rule of this level fails, so that nothing depends on colour alone.
pub const fn level_mark(level: Level) -> &'static str {
    match level {
        Level::Must => "!",
        Level::Should => "~",
        Level::Note | Level::Off => " ",
    }
}
