//! Wraps styled lines to a width with hanging indents, and cuts texts to a width. Widths are columns of a terminal.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::units::styled::{Line, Span, Style};
use crate::units::words::visible;

/// Fewest columns of text beside an indent; in a narrower space the indent is reduced.
const MIN_TEXT: usize = 8;

/// Wraps a line into rows of at most `width` columns; foreign text is escaped. An empty line gives one empty row.
pub fn wrapped(line: &Line, width: usize) -> Vec<Vec<Span>> {
    let indent = |columns: usize| columns.min(width.saturating_sub(MIN_TEXT));
    let (first, next) = (indent(line.indent), indent(line.indent + line.hang));
    let mut rows =
        WrappedRows { rows: Vec::new(), row: Vec::new(), used: first, start: first, next, width: width.max(1) };
    for word in words(line) {
        rows.push(&word);
    }
    rows.finish(first)
}

/// A word: the blanks before it, and its pieces.
#[derive(Default)]
struct Word {
    gap: usize,
    pieces: Vec<Span>,
}

impl Word {
    fn width(&self) -> usize {
        self.pieces.iter().map(|piece| piece.text.width()).sum()
    }

    fn push(&mut self, c: char, style: Style) {
        match self.pieces.last_mut().filter(|piece| piece.style == style) {
            Some(piece) => piece.text.push(c),
            None => self.pieces.push(Span::new(style, c)),
        }
    }
}

fn words(line: &Line) -> Vec<Word> {
    let mut words = Vec::new();
    let mut word = Word::default();
    for span in &line.spans {
        for c in visible(&span.text).chars() {
            if c != ' ' {
                word.push(c, span.style);
                continue;
            }
            if !word.pieces.is_empty() {
                words.push(std::mem::take(&mut word));
            }
            word.gap += 1;
        }
    }
    if !word.pieces.is_empty() {
        words.push(word);
    }
    words
}

struct WrappedRows {
    rows: Vec<Vec<Span>>,
    row: Vec<Span>,
    used: usize,
    start: usize,
    next: usize,
    width: usize,
}

impl WrappedRows {
    fn push(&mut self, word: &Word) {
        let width = word.width();
        if self.used > self.start && self.used + word.gap + width > self.width {
            self.break_row();
        } else {
            self.blank(word);
        }
        for piece in &word.pieces {
            for c in piece.text.chars() {
                let columns = c.width().unwrap_or(0);
                if self.used + columns > self.width && self.used > self.start {
                    self.break_row();
                }
                self.char(c, columns, piece.style);
            }
        }
    }

    fn char(&mut self, c: char, columns: usize, style: Style) {
        self.used += columns;
        match self.row.last_mut().filter(|span| span.style == style) {
            Some(span) => span.text.push(c),
            None => self.row.push(Span::new(style, c)),
        }
    }

    /// Adds the blanks before a word; they have a style only if both neighbours have it.
    fn blank(&mut self, word: &Word) {
        let next = word.pieces.first().map_or(Style::Plain, |piece| piece.style);
        let style = self.row.last().map(|span| span.style).filter(|before| *before == next).unwrap_or_default();
        for _ in 0..word.gap {
            self.char(' ', 1, style);
        }
    }

    fn break_row(&mut self) {
        self.rows.push(std::mem::take(&mut self.row));
        (self.used, self.start) = (self.next, self.next);
    }

    fn finish(mut self, first: usize) -> Vec<Vec<Span>> {
        self.rows.push(self.row);
        for (i, row) in self.rows.iter_mut().enumerate() {
            let indent = if i == 0 { first } else { self.next };
            if indent > 0 && !row.is_empty() {
                row.insert(0, Span::new(Style::Plain, " ".repeat(indent)));
            }
        }
        self.rows
    }
}

/// Escapes a text and cuts it to at most `width` columns; `ellipsis` shows that something was left out.
pub fn cut(text: &str, width: usize, ellipsis: &str) -> String {
    let text = visible(text);
    if text.width() <= width {
        return text.into_owned();
    }
    let room = width.saturating_sub(ellipsis.width());
    let mut kept = String::new();
    let mut used = 0;
    for c in text.chars() {
        used += c.width().unwrap_or(0);
        if used > room {
            break;
        }
        kept.push(c);
    }
    let mut kept = kept.trim_end().to_owned();
    if ellipsis.width() <= width {
        kept.push_str(ellipsis);
    }
    kept
}

/// Escapes a file's name and cuts it in the middle, so that the extension is kept.
pub fn cut_name(name: &str, width: usize, ellipsis: &str) -> String {
    /// Most columns of the end with the extension.
    const MAX_END: usize = 8;
    let shown = visible(name);
    if shown.width() <= width {
        return shown.into_owned();
    }
    let end = shown.char_indices().rev().nth(MAX_END - 1).map_or("", |(at, _)| &shown[at..]);
    if width < MAX_END * 2 || end.width() > MAX_END * 2 {
        return cut(name, width, ellipsis);
    }
    let start = cut(&shown, width - end.width(), ellipsis);
    format!("{start}{end}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(line: &Line, width: usize) -> Vec<String> {
        wrapped(line, width).iter().map(|row| row.iter().map(|span| span.text.as_str()).collect()).collect()
    }

    #[test]
    fn following_rows_hang() {
        let line = Line::of(Style::Dim, "found ").and(Style::Plain, "export at 2551 x 3142 px").indented(1, 6);
        assert_eq!(texts(&line, 20), [" found export at", "       2551 x 3142", "       px"]);
    }

    #[test]
    fn a_word_of_two_styles_is_not_broken_between_them() {
        let line = Line::of(Style::Plain, "it has ").and(Style::Bad, "214").and(Style::Plain, "; 240 needed");
        assert_eq!(texts(&line, 10), ["it has", "214; 240", "needed"]);
    }

    #[test]
    fn long_words_are_broken_and_wide_letters_counted() {
        assert_eq!(texts(&Line::plain("abcdefghij"), 4), ["abcd", "efgh", "ij"]);
        assert_eq!(texts(&Line::plain("梅のタルト"), 5), ["梅の", "タル", "ト"]);
        assert_eq!(texts(&Line::blank(), 5), [""]);
    }

    #[test]
    fn foreign_text_is_escaped() {
        assert_eq!(texts(&Line::plain("a\u{1b}[31m"), 40), ["a\\u{1b}[31m"]);
        assert_eq!(cut("a\u{1b}b", 40, "…"), "a\\u{1b}b");
    }

    #[test]
    fn cut_texts_fill_their_width_and_names_keep_their_extension() {
        assert_eq!(cut("plum tart", 6, "…"), "plum…");
        assert_eq!(cut("梅のタルト", 5, "…"), "梅の…");
        assert_eq!(cut("plum", 4, "…"), "plum");
        assert_eq!(cut_name("p012-plum-tart-with-almonds.jpg", 20, "…"), "p012-plum-t…onds.jpg");
    }
}
