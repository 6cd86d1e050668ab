//! Every key of a brief, one row each: the parser, its suggestions, `brief show`, `brief ask` and the key reference all
//! read these rows. A new key is one row here and one line where its value is put to work.
//!
//! Knows no value that a brief holds.

mod file;
mod margins;
mod order;
mod paper;
mod print;

/// One key.
#[derive(Debug)]
pub struct BriefKey {
    /// Table and name: `density.least`; a key above the first table has its name alone. A name of `*` stands for any.
    pub path: &'static str,
    /// What its value is.
    pub kind: ValueKind,
    /// The value without the key, in words.
    pub default: &'static str,
    /// Where the default comes from.
    pub source: &'static str,
    /// What it says, in one line.
    pub about: &'static str,
    /// A value as it is written in a brief; differs from the default.
    pub example: &'static str,
    /// What to ask the printer when the brief does not say it.
    pub question: Option<&'static str>,
}

impl BriefKey {
    /// The table it stands in; empty above the first table.
    pub fn table(&self) -> &'static str {
        self.path.split_once('.').map_or("", |(table, _)| table)
    }

    /// Its name in the table.
    pub fn name(&self) -> &'static str {
        self.path.split_once('.').map_or(self.path, |(_, name)| name)
    }

    /// Whether a print may say it too: the print's own keys, and those of every table but `[sizes]`.
    pub fn in_print(&self) -> bool {
        table(self.table()).is_some_and(|table| table.in_print)
    }

    /// The line that a brief would hold.
    pub fn line(&self, value: &str) -> String {
        match self.path {
            "rules.*" => format!("\"density.least\" = {value}"),
            "sizes.*" => format!("full = {value}"),
            _ => format!("{} = {value}", self.name()),
        }
    }
}

/// What a key's value is, with its unit or its choices.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ValueKind {
    /// Any words.
    Text,
    /// A day: `2026-12-18`.
    Date,
    /// Yes or no: `true` or `false`.
    YesNo,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// One of these words, or a list of them.
    Choices(&'static [&'static str]),
    /// A whole number, least and most.
    Count(u32, u32),
    /// One of these numbers, or a list of them.
    Counts(&'static [u32]),
    /// A density of black, D.
    Black,
    /// A lightness, `L* 94`.
    Lightness,
    /// Width x height with a unit, or a name of a size.
    Size,
    /// A length with its unit.
    Length,
    /// A length, or a table of lengths by side.
    Sides,
    /// A list of lengths.
    Lengths,
    /// Pixels per inch on paper.
    Density,
    /// Lines of a halftone screen, `150 lpi` or `60 lines/cm`.
    Ruling,
    /// A percentage, least and most.
    Share(u32, u32),
    /// How many times as large, `1.2 x`.
    Factor,
    /// A size on disk, `120 MB`.
    Bytes,
    /// A file's path, relative to the brief.
    File,
    /// A pattern over names.
    Pattern,
    /// A list of patterns over paths.
    Patterns,
    /// How names are spelt: `lower case, digits, hyphen`.
    Spelling,
    /// A regular expression.
    Regex,
    /// A template with names in braces.
    Template(&'static [&'static str]),
}

impl ValueKind {
    /// What to write, in words.
    pub fn words(self) -> String {
        let of = |choices: &[&str]| choices.join(", ");
        match self {
            ValueKind::Text => "words in quotes".to_owned(),
            ValueKind::Date => "a day, year-month-day".to_owned(),
            ValueKind::YesNo => "true or false".to_owned(),
            ValueKind::Choice(choices) => format!("one of {}", of(choices)),
            ValueKind::Choices(choices) => format!("one or a list of {}", of(choices)),
            ValueKind::Count(least, most) => format!("a whole number from {least} to {most}"),
            ValueKind::Counts(choices) => {
                let choices: Vec<String> = choices.iter().map(u32::to_string).collect();
                format!("one or a list of {}", choices.join(", "))
            }
            ValueKind::Black => "a density of black (D), from 0.5 to 4".to_owned(),
            ValueKind::Lightness => "a lightness, \"L* 94\"".to_owned(),
            ValueKind::Size => "width x height with mm, cm, m, in or ft, or a name of a size".to_owned(),
            ValueKind::Length => "a length in mm, cm, m, in, ft or pt".to_owned(),
            ValueKind::Sides => "a length, or lengths by side".to_owned(),
            ValueKind::Lengths => "a list of lengths".to_owned(),
            ValueKind::Density => "pixels per inch, \"300 ppi\"".to_owned(),
            ValueKind::Ruling => "lines, \"150 lpi\" or \"60 lines/cm\"".to_owned(),
            ValueKind::Share(least, most) => format!("a percentage from {least} % to {most} %"),
            ValueKind::Factor => "times as large, \"1.2 x\"".to_owned(),
            ValueKind::Bytes => "a size on disk in kB, MB or GB".to_owned(),
            ValueKind::File => "a path, relative to the brief".to_owned(),
            ValueKind::Pattern => "a pattern over names, with * and ?".to_owned(),
            ValueKind::Patterns => "a list of patterns over paths".to_owned(),
            ValueKind::Spelling => format!("of {}", of(SPELLINGS)),
            ValueKind::Regex => "a regular expression for the whole name without extension".to_owned(),
            ValueKind::Template(names) => format!("words with {{{}}}", names.join("}, {")),
        }
    }
}

/// What a spelling of names may be made of.
pub const SPELLINGS: &[&str] =
    &["lower case", "upper case", "letters", "digits", "hyphen", "underscore", "dot", "space"];

/// The sides that a margin may name: those of the upright print, and those of a page.
pub const SIDES: &[&str] = &["top", "right", "bottom", "left", "outer", "spine"];

/// One table of a brief.
#[derive(Debug)]
pub struct Table {
    /// Its name; empty for the keys above the first table.
    pub name: &'static str,
    /// Its keys, in the order in which they are shown.
    pub keys: &'static [BriefKey],
    /// Whether its keys may stand in a print.
    pub in_print: bool,
}

/// Every table, in the order in which a brief is written.
pub static TABLES: &[Table] = &[
    Table { name: "", keys: order::TOP, in_print: false },
    Table { name: "sizes", keys: order::SIZES, in_print: false },
    Table { name: "paper", keys: paper::PAPER, in_print: true },
    Table { name: "file", keys: file::FILE, in_print: true },
    Table { name: "colour", keys: file::COLOUR, in_print: true },
    Table { name: "density", keys: margins::DENSITY, in_print: true },
    Table { name: "margins", keys: margins::MARGINS, in_print: true },
    Table { name: "tone", keys: file::TONE, in_print: true },
    Table { name: "detail", keys: file::DETAIL, in_print: true },
    Table { name: "rules", keys: order::RULES, in_print: true },
    Table { name: "handover", keys: order::HANDOVER, in_print: true },
    Table { name: "print", keys: print::PRINT, in_print: true },
];

/// Every key.
pub fn all() -> impl Iterator<Item = &'static BriefKey> {
    TABLES.iter().flat_map(|table| table.keys)
}

/// The table of a name.
pub fn table(name: &str) -> Option<&'static Table> {
    TABLES.iter().find(|table| table.name == name)
}

/// The key of a path such as `density.least`; any path under `rules.` and `sizes.` has their row.
pub fn find(path: &str) -> Option<&'static BriefKey> {
    match path.split_once('.') {
        Some(("rules", _)) => order::RULES.first(),
        Some(("sizes", _)) => order::SIZES.first(),
        _ => all().find(|key| key.path == path),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_key_stands_once_and_in_its_own_table() {
        let mut seen = BTreeSet::new();
        for table in TABLES {
            for key in table.keys {
                assert_eq!(key.table(), table.name, "{}", key.path);
                assert!(seen.insert(key.path), "{} stands twice", key.path);
                assert_eq!(find(key.path).map(|found| found.path), Some(key.path));
                let told = [key.default, key.source, key.about, key.example];
                assert!(told.iter().all(|text| !text.is_empty() && !text.ends_with('.')), "{}", key.path);
                assert!(key.question.is_none_or(|question| question.ends_with('?')), "{}", key.path);
            }
        }
    }
}
