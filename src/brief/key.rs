//! A key of a brief: its name, the kind of its value, and what is said of it.

use super::model::{Brief, Print};
use super::requirements::Requirements;

/// One key.
#[derive(Debug)]
pub struct BriefKey {
    /// Table and name: `density.minimum`; a key above the first table has its name alone. The name `*` matches any.
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
    /// How the value of a checked brief is shown.
    pub shown: Shown,
}

impl BriefKey {
    /// Returns its table; empty above the first table.
    pub fn table(&self) -> &'static str {
        self.path.split_once('.').map_or("", |(table, _)| table)
    }

    /// Returns its name in the table.
    pub fn name(&self) -> &'static str {
        self.path.split_once('.').map_or(self.path, |(_, name)| name)
    }

    /// Returns its value in words, if it is one of the requirements.
    pub fn of_requirements(&self, required: &Requirements) -> Option<String> {
        if let Shown::Requirements(value) = self.shown { Some(value(required)) } else { None }
    }

    /// Returns its value in words, if it is a print's own and the print has it.
    pub fn of_print(&self, print: &Print) -> Option<String> {
        if let Shown::Print(value) = self.shown { value(print) } else { None }
    }

    /// Returns the line that a brief would hold.
    pub fn line(&self, value: &str) -> String {
        match self.path {
            "rules.*" => format!("\"density.minimum\" = {value}"),
            "sizes.*" => format!("full = {value}"),
            "papers.*" => format!("body = {value}"),
            "answered.*" => format!("\"paper.dmax\" = {value}"),
            _ => format!("{} = {value}", self.name()),
        }
    }
}

/// Where a checked brief has the value of a key, and the value in words.
#[derive(Clone, Copy, Debug)]
pub enum Shown {
    /// In the brief: a key above the first table.
    Order(fn(&Brief) -> String),
    /// In a print: a key of `[[print]]`; `None` where the print has no such value.
    Print(fn(&Print) -> Option<String>),
    /// In the requirements, of the order and of each print.
    Requirements(fn(&Requirements) -> String),
    /// Not by one key: the names of `[sizes]` and `[rules]` are the brief's own.
    AnyNames,
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
    /// A page number, or those of two facing pages: `12` or `12-13`; least and most.
    Pages(u32, u32),
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
    /// A rule or a group of rules, or a list of them.
    Rules,
    /// How names are spelt: `lower case, digits, hyphen`.
    Spelling,
    /// A regular expression.
    Regex,
    /// A table with the keys of `[paper]`.
    Paper,
    /// A template with names in braces.
    Template(&'static [&'static str]),
}

impl ValueKind {
    /// Returns what to write, in words.
    pub fn words(self) -> String {
        let of = |choices: &[&str]| choices.join(", ");
        match self {
            ValueKind::Text => "text in quotes".to_owned(),
            ValueKind::Date => "a date, year-month-day".to_owned(),
            ValueKind::YesNo => "true or false".to_owned(),
            ValueKind::Choice(choices) => format!("one of {}", of(choices)),
            ValueKind::Choices(choices) => format!("one or a list of {}", of(choices)),
            ValueKind::Count(least, most) => format!("a whole number from {least} to {most}"),
            ValueKind::Pages(least, most) => {
                format!("a page number from {least} to {most}, or a spread of two in quotes, \"12-13\"")
            }
            ValueKind::Counts(choices) => {
                let choices: Vec<String> = choices.iter().map(u32::to_string).collect();
                format!("one or a list of {}", choices.join(", "))
            }
            ValueKind::Black => "a Dmax from 0.5 to 4".to_owned(),
            ValueKind::Lightness => "a lightness, \"L* 94\"".to_owned(),
            ValueKind::Size => "width x height in mm, cm, m, in or ft, or the name of a size".to_owned(),
            ValueKind::Length => "a length in mm, cm, m, in, ft or pt".to_owned(),
            ValueKind::Sides => "a length, or a length for each side".to_owned(),
            ValueKind::Lengths => "a list of lengths".to_owned(),
            ValueKind::Density => "pixels per inch, \"300 ppi\"".to_owned(),
            ValueKind::Ruling => "lines, \"150 lpi\" or \"60 lines/cm\"".to_owned(),
            ValueKind::Share(least, most) => format!("a percentage from {least} % to {most} %"),
            ValueKind::Factor => "a factor, \"1.2 x\"".to_owned(),
            ValueKind::Bytes => "a file size in kB, MB or GB".to_owned(),
            ValueKind::File => "a path, relative to the brief".to_owned(),
            ValueKind::Pattern => "a pattern for file names, with * and ?".to_owned(),
            ValueKind::Patterns => "a list of patterns for paths".to_owned(),
            ValueKind::Rules => "one or a list of rules, or groups of rules".to_owned(),
            ValueKind::Spelling => format!("any of {}", of(SPELLINGS)),
            ValueKind::Regex => "a regular expression for the whole name without its extension".to_owned(),
            ValueKind::Paper => "a table with the keys of [paper]".to_owned(),
            ValueKind::Template(names) => format!("text with any of {{{}}}", names.join("}, {")),
        }
    }
}

/// What a spelling of names may be made of.
pub const SPELLINGS: &[&str] =
    &["lower case", "upper case", "letters", "digits", "hyphen", "underscore", "dot", "space"];

/// The sides that a margin may name: those of the upright print, and those of a page.
pub const SIDES: &[&str] = &["top", "right", "bottom", "left", "outer", "spine"];
