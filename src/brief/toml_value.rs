//! Reads one TOML value by its key; each error names the line to write instead.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use crate::units::{Length, LengthUnit};

use super::key::{BriefKey, SIDES, ValueKind};
use super::layers::BriefPart;
use super::missing_units;
use super::source::{SourceFile, TextPosition};
use super::sources::BriefSources;
use super::unknown_keys;
use super::value_error::ValueError;
use super::values::{self, MarginValue, SizeNames, Value};
use crate::units::spelling::nearest;

/// A length of one side, as it is written. Source: the usual bleed.
const SIDE_EXAMPLE: &str = "\"3 mm\"";

/// What is needed to read a value and to say what is wrong with it.
pub(super) struct ValueReader<'r, 'a> {
    pub(super) sources: &'r mut BriefSources<'a>,
    pub(super) sizes: &'r SizeNames,
    /// The key, and its name as the brief writes it.
    pub(super) key: &'static BriefKey,
    pub(super) name: &'r str,
    /// The byte range of the whole value.
    pub(super) whole: Range<usize>,
}

impl ValueReader<'_, '_> {
    /// Returns the value of the key, or nothing and at least one problem.
    pub(super) fn read(&mut self, value: &Spanned<DeValue<'_>>) -> Option<Value> {
        let span = value.span();
        match (self.key.kind, value.get_ref()) {
            (ValueKind::Sides, DeValue::Table(sides)) => self.sides(sides, span),
            (
                ValueKind::Choices(_)
                | ValueKind::Counts(_)
                | ValueKind::Lengths
                | ValueKind::Patterns
                | ValueKind::Rules,
                DeValue::Array(list),
            ) => self.list(list, span),
            (_, one) => self.one(one, span),
        }
    }

    /// Returns a value that is no list and no table.
    fn one(&mut self, value: &DeValue<'_>, span: Range<usize>) -> Option<Value> {
        let kind = self.key.kind;
        let bare = matches!(kind, ValueKind::Count(..) | ValueKind::Counts(_) | ValueKind::Black);
        let read = match value {
            DeValue::String(_) if bare || kind == ValueKind::YesNo => Err(self.of_another_type(value)),
            DeValue::String(text) => values::read_for_key(self.key, text, self.sizes),
            DeValue::Integer(number) if bare || matches!(kind, ValueKind::Pages(..)) => {
                values::from_text(kind, &number.to_string(), self.sizes)
            }
            DeValue::Float(number) if bare => values::from_text(kind, number.as_str(), self.sizes),
            DeValue::Integer(number) if number.radix() == 10 => self.bare_number(number.as_str()),
            DeValue::Float(number) => self.bare_number(number.as_str()),
            DeValue::Boolean(yes) if kind == ValueKind::YesNo => Ok(Value::YesNo(*yes)),
            DeValue::Datetime(day) if kind == ValueKind::Date && day.time.is_none() => {
                values::from_text(kind, &day.to_string(), self.sizes)
            }
            other => Err(self.of_another_type(other)),
        };
        read.map_err(|fault| self.wrong(span, fault)).ok()
    }

    /// Returns a number without quotes where a unit is needed.
    fn bare_number(&self, number: &str) -> Result<Value, ValueError> {
        let Some(unit) = missing_units::units(self.key.kind, number).first().copied() else {
            return Err(ValueError::new(format!("{} is {}, not a number", self.name, self.key.kind.words())));
        };
        Err(ValueError::instead(format!("{number} has no unit"), format!("{number} {unit}")))
    }

    fn of_another_type(&self, value: &DeValue<'_>) -> ValueError {
        let found = match value {
            DeValue::String(text) => {
                let text = text.trim();
                let what = format!("{} is {}, without quotes", self.name, self.key.kind.words());
                let fits = values::from_text(self.key.kind, text, self.sizes).is_ok();
                return if fits { ValueError::instead(what, text) } else { ValueError::new(what) };
            }
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => match self.part_of_header() {
                None => "a table",
                Some(part) => {
                    let what = format!("{} is {}, not a table", self.name, self.key.kind.words());
                    return ValueError::fix(what, unknown_keys::line_in_its_place(part, self.key, self.key.example));
                }
            },
        };
        ValueError::new(format!("{} is {}, not {found}", self.name, self.key.kind.words()))
    }

    /// Returns a list, each of its members read alone.
    fn list(&mut self, list: &DeArray<'_>, span: Range<usize>) -> Option<Value> {
        let read: Vec<Option<Value>> = list.iter().map(|one| self.one(one.get_ref(), one.span())).collect();
        let read: Vec<Value> = read.into_iter().collect::<Option<_>>()?;
        let may_be_empty = matches!(self.key.kind, ValueKind::Lengths | ValueKind::Patterns | ValueKind::Rules)
            || self.key.path == "file.credit";
        if read.is_empty() && !may_be_empty {
            self.wrong(span, ValueError::new(format!("{} is an empty list", self.name)));
            return None;
        }
        Some(join_members(self.key.kind, read))
    }

    /// Returns a margin by side.
    fn sides(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Value> {
        let before = self.sources.problems.len();
        let mut sides: Vec<(&'static str, Length)> = Vec::new();
        let mut unit: Option<LengthUnit> = None;
        for (name, value) in table {
            let Some(side) = SIDES.iter().find(|side| **side == name.get_ref().as_ref()) else {
                let what = format!("\"{}\" is none of {}", name.get_ref(), SIDES.join(", "));
                let fix = match nearest(name.get_ref(), SIDES.iter().copied()) {
                    Some(side) => self.line_with(name.span(), side),
                    None => "name each side that has a margin; sides left out have none".to_owned(),
                };
                self.say(name.span(), what, fix);
                continue;
            };
            let read = match value.get_ref() {
                DeValue::String(text) => values::from_text(ValueKind::Length, text, self.sizes),
                DeValue::Integer(number) => self.bare_number(number.as_str()),
                DeValue::Float(number) => self.bare_number(number.as_str()),
                other => Err(self.of_another_type(other)),
            };
            match read {
                Ok(Value::Length(length, in_unit)) => {
                    unit.get_or_insert(in_unit);
                    sides.push((side, length));
                }
                Ok(_) => {}
                Err(fault) if fault.instead.is_none() => {
                    let fix = format!("for example: {}", self.line_with(value.span(), SIDE_EXAMPLE));
                    self.say(value.span(), fault.what, fix);
                }
                Err(fault) => self.wrong(value.span(), fault),
            }
        }
        let named = |names: &[&str]| sides.iter().any(|(side, _)| names.contains(side));
        if named(&["left", "right"]) && named(&["outer", "spine"]) {
            let fix = "name left and right, or outer and spine, but not both";
            self.say(span.clone(), "a side is named twice: outer and spine are the left and right of a page", fix);
        }
        if self.sources.problems.len() > before {
            return None;
        }
        let Some(unit) = unit else {
            let what = format!("{} names none of {}", self.name, SIDES.join(", "));
            self.say(span, what, format!("name at least one side, for example: top = {SIDE_EXAMPLE}"));
            return None;
        };
        Some(Value::Sides(MarginValue::By(sides, unit)))
    }

    fn wrong(&mut self, span: Range<usize>, fault: ValueError) {
        let quoted = !matches!(
            self.key.kind,
            ValueKind::Count(..) | ValueKind::Counts(_) | ValueKind::Black | ValueKind::YesNo | ValueKind::Date
        );
        let fix = match (fault.instead, fault.fix) {
            (Some(text), _) if quoted => {
                let others = self.other_units(span.clone(), &text).into_iter().map(|other| quote(&other));
                std::iter::once(self.line_with(span.clone(), &quote(&text)))
                    .chain(others)
                    .collect::<Vec<_>>()
                    .join(", or ")
            }
            (Some(text), _) => self.line_with(span.clone(), &text),
            (None, Some(fix)) => fix,
            (None, None) => self.example(),
        };
        self.say(span, fault.what, fix);
    }

    /// Returns the same number in the other units that may have been meant, where several are usual and none was
    /// written.
    fn other_units(&self, span: Range<usize>, text: &str) -> Vec<String> {
        let Some(written) = self.sources.brief.slice(span) else { return Vec::new() };
        missing_units::other_units(self.key.kind, written.trim_end_matches(['"', '\'']).trim_end(), text)
    }

    fn say(&mut self, span: Range<usize>, what: impl Into<String>, fix: impl Into<String>) {
        self.sources.report(TextPosition { which: SourceFile::Brief, at: span.start }, what, fix);
    }

    /// Returns the part of the brief in which the key is written as the name of a table, in brackets on a line of its
    /// own.
    fn part_of_header(&self) -> Option<BriefPart> {
        let brief = &self.sources.brief;
        let name = brief.line(brief.line_column(self.whole.start).0).trim_start().strip_prefix('[')?;
        Some(match name.split_once('.') {
            Some(("print", _)) => BriefPart::Print,
            Some(("version", _)) => BriefPart::Version,
            _ => BriefPart::Order,
        })
    }

    fn example(&self) -> String {
        let example = format!("for example: {}", self.line_with(self.whole.clone(), self.key.example));
        match self.size_name() {
            Some(name) => format!("{example}; or define {name} under [sizes]"),
            None => example,
        }
    }

    /// Returns the name that stands where a finished size belongs, if it could be one of `[sizes]`.
    fn size_name(&self) -> Option<&str> {
        let written = self.sources.brief.slice(self.whole.clone()).filter(|_| self.key.path == "print.size")?;
        let name = written.strip_prefix(['"', '\''])?.trim_end_matches(['"', '\'']);
        let is_name = !name.is_empty() && name.chars().all(|c| c.is_ascii_lowercase() || c == '_' || c == '-');
        is_name.then_some(name)
    }

    /// Returns the line with a part of it replaced; of a value over several lines, the first line with a value of one
    /// line.
    fn line_with(&self, span: Range<usize>, instead: &str) -> String {
        let brief = &self.sources.brief;
        brief.line_with(span, instead).unwrap_or_else(|| brief.line_until(self.whole.start, self.key.example))
    }
}

/// Returns the members of a list as one value.
fn join_members(kind: ValueKind, read: Vec<Value>) -> Value {
    let (mut words, mut counts, mut lengths, mut patterns) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let mut texts = Vec::new();
    for value in read {
        match value {
            Value::Words(more) => words.extend(more),
            Value::Counts(more) => counts.extend(more),
            Value::Lengths(more) => lengths.extend(more),
            Value::Patterns(more) => patterns.extend(more),
            Value::Text(one) => texts.push(one),
            _ => {}
        }
    }
    match kind {
        ValueKind::Counts(_) => Value::Counts(counts),
        ValueKind::Lengths => Value::Lengths(lengths),
        ValueKind::Patterns => Value::Patterns(patterns),
        ValueKind::Rules => Value::Texts(texts),
        _ => Value::Words(words),
    }
}

/// Returns a text as a TOML string.
pub(super) fn quote(text: &str) -> String {
    if text.contains(['"', '\\']) && !text.contains('\'') {
        return format!("'{text}'");
    }
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('"');
    for c in text.chars() {
        match c {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            c if c.is_control() => quoted.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quoted_text_reads_back_as_itself() {
        for text in ["plain", "in \"quotes\"", "both ' and \"", "back\\slash", "it's", "tab\tand\u{7f}"] {
            let line = format!("a = {}", quote(text));
            let table: toml::Table = line.parse().unwrap();
            assert_eq!(table["a"].as_str(), Some(text), "{line}");
        }
    }
}
