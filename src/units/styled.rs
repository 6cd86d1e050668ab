//! Lines of styled text, for reports that may or may not reach a terminal. Plain data without colours or widths; only
//! `tui/print.rs` turns them into escape sequences.

/// A paragraph of a report, wrapped to as many lines as the width requires.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line {
    /// Pieces of text, in order.
    pub spans: Vec<Span>,
    /// Columns left blank before the first line.
    pub indent: usize,
    /// Columns left blank before each following line, beyond `indent`.
    pub hang: usize,
}

/// A piece of a line in one style.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    /// The text; may be foreign, and is escaped on output.
    pub text: String,
    /// The style.
    pub style: Style,
}

/// The meaning of a piece of text, from which its colour follows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Style {
    /// Without emphasis.
    #[default]
    Plain,
    /// Important.
    Strong,
    /// Less important.
    Dim,
    /// Nothing to fix.
    Good,
    /// Should be fixed.
    Warn,
    /// Must be fixed.
    Bad,
    /// A heading.
    Head,
}

impl Line {
    /// Creates an empty line.
    pub fn blank() -> Line {
        Line::default()
    }

    /// Creates a line of one plain piece.
    pub fn plain(text: impl Into<String>) -> Line {
        Line::of(Style::Plain, text)
    }

    /// Creates a line of one piece.
    pub fn of(style: Style, text: impl Into<String>) -> Line {
        Line::default().and(style, text)
    }

    /// Appends a piece; no blank is put between pieces.
    #[must_use]
    pub fn and(mut self, style: Style, text: impl Into<String>) -> Line {
        self.spans.push(Span { text: text.into(), style });
        self
    }

    /// Indents the line by `indent` columns; following lines begin `hang` columns further in.
    #[must_use]
    pub fn indented(mut self, indent: usize, hang: usize) -> Line {
        (self.indent, self.hang) = (indent, hang);
        self
    }

    /// Returns the plain text.
    pub fn text(&self) -> String {
        self.spans.iter().map(|span| span.text.as_str()).collect()
    }
}

impl Span {
    /// Creates a piece of text in a style.
    pub fn new(style: Style, text: impl Into<String>) -> Span {
        Span { text: text.into(), style }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_grows_piece_by_piece() {
        let line = Line::of(Style::Bad, "FIX").and(Style::Plain, " p012.jpg").indented(2, 4);
        assert_eq!((line.text().as_str(), line.indent, line.hang), ("FIX p012.jpg", 2, 4));
        assert!(Line::blank().spans.is_empty());
    }
}
