//! Writes styled lines without a screen: reports at the prompt, into a pipe, into a file.

use std::io::{self, Write};

use crate::tui::capability::{Capability, ColourLevel};
use crate::tui::wrapped::wrapped;
use crate::units::styled::{Line, Style};

/// The form of written lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OutputStyle {
    /// Width in columns; lines are broken between words to fit.
    pub width: usize,
    /// True if escape sequences may be written.
    pub styled: bool,
}

/// Columns if the width is unknown: few enough that a line is easy to follow.
const USUAL_WIDTH: usize = 100;
/// Ends every style.
const PLAIN: &str = "\x1b[0m";

impl OutputStyle {
    /// Returns the style for standard output: styles on a terminal that has colours, none in a pipe or file.
    pub fn of_stdout() -> OutputStyle {
        use std::io::IsTerminal;
        let capability = Capability::of(|name| std::env::var(name).ok());
        let terminal = io::stdout().is_terminal();
        let columns = Some(())
            .filter(|()| terminal)
            .and_then(|()| crossterm::terminal::size().ok())
            .map(|(columns, _)| usize::from(columns));
        OutputStyle {
            width: columns.filter(|columns| *columns > 0).map_or(USUAL_WIDTH, |columns| columns.min(USUAL_WIDTH)),
            styled: terminal && !capability.is_dumb && capability.colours != ColourLevel::None,
        }
    }

    /// Returns unstyled output at a width.
    pub const fn plain(width: usize) -> OutputStyle {
        OutputStyle { width, styled: false }
    }
}

/// Writes lines; foreign text in them is escaped.
///
/// # Errors
/// If they cannot be written.
pub fn write(out: &mut dyn Write, lines: &[Line], style: OutputStyle) -> io::Result<()> {
    for line in lines {
        for row in wrapped(line, style.width) {
            for span in &row {
                match sequence(span.style).filter(|_| style.styled) {
                    Some(sequence) => write!(out, "{sequence}{}{PLAIN}", span.text)?,
                    None => out.write_all(span.text.as_bytes())?,
                }
            }
            writeln!(out)?;
        }
    }
    out.flush()
}

/// Returns the escape sequence of a style, in the sixteen named colours only: people have made these readable on their
/// own background. Source of the numbers: ECMA-48, select graphic rendition.
const fn sequence(style: Style) -> Option<&'static str> {
    match style {
        Style::Plain => None,
        Style::Strong => Some("\x1b[1m"),
        Style::Dim => Some("\x1b[2m"),
        Style::Good => Some("\x1b[32m"),
        Style::Warn => Some("\x1b[1;33m"),
        Style::Bad => Some("\x1b[1;31m"),
        Style::Head => Some("\x1b[1;4m"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(style: OutputStyle) -> String {
        let lines = [
            Line::of(Style::Bad, "FIX").and(Style::Plain, " p012\u{1b}[2J.jpg"),
            Line::plain("fix  export at 2551 x 3142 px").indented(2, 6),
        ];
        let mut out = Vec::new();
        write(&mut out, &lines, style).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn plain_paper_has_no_escape_sequences() {
        assert_eq!(
            written(OutputStyle::plain(24)),
            "FIX p012\\u{1b}[2J.jpg\n  fix  export at 2551 x\n        3142 px\n"
        );
    }

    #[test]
    fn styled_paper_has_ours_and_nobody_elses() {
        let text = written(OutputStyle { width: 80, styled: true });
        assert!(text.starts_with("\x1b[1;31mFIX\x1b[0m p012\\u{1b}[2J.jpg\n"), "{text:?}");
    }
}
