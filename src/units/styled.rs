//! Lines of text with styles, for reports that may or may not reach a terminal. Plain data without
//! colours or widths; only `tui/print.rs` turns them into escape sequences.

/// One paragraph of a report: written on as many lines as the width asks for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line {
    /// What it says.
    pub spans: Vec<Span>,
    /// Columns left blank before the first line.
    pub indent: usize,
    /// Columns left blank before each following line, beyond `indent`.
    pub hang: usize,
}

/// A piece of a line in one style.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    /// The text; may be foreign, it is escaped when it is written.
    pub text: String,
    /// How it looks.
    pub style: Style,
}

/// How a piece of text looks; the meaning, not the colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Style {
    /// As everything else.
    #[default]
    Plain,
    /// Important.
    Strong,
    /// Beside the point.
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
    /// An empty line.
    pub fn blank() -> Line {
        Line::default()
    }

    /// A line of one plain piece.
    pub fn plain(text: impl Into<String>) -> Line {
        Line::of(Style::Plain, text)
    }

    /// A line of one piece.
    pub fn of(style: Style, text: impl Into<String>) -> Line {
        Line::default().and(style, text)
    }

    /// The line with one more piece; pieces follow one another without a blank.
    #[must_use]
    pub fn and(mut self, style: Style, text: impl Into<String>) -> Line {
        self.spans.push(Span { text: text.into(), style });
        self
    }

    /// The line moved in by so many columns; following lines begin `hang` columns further in.
    #[must_use]
    pub fn indented(mut self, indent: usize, hang: usize) -> Line {
        (self.indent, self.hang) = (indent, hang);
        self
    }

    /// The text alone.
    pub fn text(&self) -> String {
        self.spans.iter().map(|span| span.text.as_str()).collect()
    }
}

impl Span {
    /// A piece of text in a style.
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
