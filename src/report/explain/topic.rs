//! A page of the handbook that lists things: the states, the marks of the table, the parts of the JSON.

use unicode_width::UnicodeWidthStr;

use crate::units::styled::{Line, Style};

use super::related;

/// Columns between an entry's name and its meaning.
const GAP: usize = 2;

/// A page with a list. Each entry of the list has a short page of its own, under its name.
pub struct Topic {
    /// Its names; the first one heads the page and stands in the list of all pages.
    pub names: &'static [&'static str],
    /// What the list is, in a sentence or two.
    pub about: &'static str,
    /// What stands for the entries in the list of all pages; `None` to name them.
    pub summary: Option<&'static str>,
    /// The entries: name and meaning.
    pub entries: &'static [(&'static str, &'static str)],
    /// Names of further pages.
    pub see: &'static [&'static str],
}

impl Topic {
    /// Formats the page.
    pub fn page(&self) -> Vec<Line> {
        let mut lines = vec![Line::of(Style::Head, self.names[0]), Line::plain(self.about), Line::blank()];
        let width = self.entries.iter().map(|(name, _)| name.width()).max().unwrap_or(0) + GAP;
        lines.extend(self.entries.iter().map(|(name, meaning)| {
            let gap = " ".repeat(width - name.width());
            Line::of(Style::Strong, *name).and(Style::Plain, format!("{gap}{meaning}")).indented(2, width)
        }));
        lines.extend(related::lines(self.see.iter().copied()));
        lines
    }

    /// Formats the page of the entry with a name.
    pub fn entry_page(&self, name: &str) -> Option<Vec<Line>> {
        let (name, meaning) = self.entries.iter().find(|(entry, _)| entry.to_lowercase() == name)?;
        let see = std::iter::once(self.names[0]).chain(self.see.iter().copied());
        let mut lines = vec![Line::of(Style::Head, *name), Line::plain(*meaning)];
        lines.extend(related::lines(see));
        Some(lines)
    }
}
