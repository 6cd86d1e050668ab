//! One value of a brief, read by the kind of its key: from TOML or from a cell of the picture list.

use std::collections::BTreeMap;
use std::path::PathBuf;

use num_rational::Ratio;

use crate::units::bytes::{self, BytesError};
use crate::units::length::number;
use crate::units::{Length, LengthUnit, Ppi, Share, Size, length, show};

use super::dates;
use super::key::{BriefKey, SPELLINGS, ValueKind};
use super::missing_units;
use super::model::Pages;
use super::page_numbers;
use super::picture_patterns::Pattern;
use super::trade_terms::{self, TradeMeaning};
use super::value_error::ValueError;
use crate::units::spelling::nearest;

/// A value that is well formed.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Value {
    Text(String),
    /// A file: its path, relative to where the brief's own path is.
    Path(PathBuf),
    Word(&'static str),
    Words(Vec<&'static str>),
    YesNo(bool),
    Count(u32),
    Pages(Pages),
    Counts(Vec<u32>),
    /// A plain number: D, L*, lines per inch, a factor.
    Number(f64),
    /// Lines per inch, exact.
    Ruling(Ratio<i128>),
    Size(Size),
    Length(Length, LengthUnit),
    Lengths(Vec<Length>),
    Sides(MarginValue),
    Density(Ppi),
    Share(Share),
    Bytes(u64),
    Pattern(Pattern),
    Patterns(Vec<Pattern>),
    Texts(Vec<String>),
}

/// A margin as the brief says it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum MarginValue {
    /// The same all round.
    All(Length, LengthUnit),
    /// By side; sides that are not named have none.
    By(Vec<(&'static str, Length)>, LengthUnit),
}

/// Names for sizes, from `[sizes]`.
pub(super) type SizeNames = BTreeMap<String, Size>;

/// Lines of a halftone screen that any press could hold, per inch. Source: newspaper 85 to art books 300 lpi (a
/// published sharpening handbook), with room on both sides.
const RULINGS_LPI: std::ops::RangeInclusive<i128> = 20..=600;
/// Centimetres in ten inches are 25.4: lines/cm x 2.54 = lpi.
const LPI_PER_LINE_CM: Ratio<i128> = Ratio::new_raw(254, 100);
/// Least and most Dmax that a brief may name, in D. Common practice, no source.
const DMAX_BOUNDS: (Ratio<i128>, Ratio<i128>) = (Ratio::new_raw(1, 2), Ratio::new_raw(4, 1));
/// Least and most L* of a paper's white that a brief may name: darker is no printing paper. Common practice, no source.
const WHITE_BOUNDS_L: (Ratio<i128>, Ratio<i128>) = (Ratio::new_raw(40, 1), Ratio::new_raw(100, 1));
/// Most enlargement that a brief may allow. Common practice, no source.
const MAX_ENLARGED: i128 = 10;
/// Longest text of a value, in characters; longer ones are a slip.
const MAX_TEXT_CHARACTERS: usize = 2_000;

/// Longest list of choices that says what is wrong; a longer one says what to write. Own choice.
const SHORT_LIST: usize = 6;
/// Digits behind a comma that may part thousands.
const THOUSANDS_DIGITS: usize = 3;

/// Reads a key's value from words, those of the trade included.
pub(super) fn read_for_key(key: &BriefKey, text: &str, sizes: &SizeNames) -> Result<Value, ValueError> {
    match trade_terms::meaning(key, text) {
        Some(TradeMeaning::Same(word)) => from_text(key.kind, word, sizes),
        Some(TradeMeaning::Instead(what, word)) => Err(ValueError::instead(what, word)),
        Some(TradeMeaning::Answer(what, fix)) => Err(ValueError::fix(what, fix)),
        None => from_text(key.kind, text, sizes),
    }
}

/// Reads a value from words.
pub(super) fn from_text(kind: ValueKind, text: &str, sizes: &SizeNames) -> Result<Value, ValueError> {
    read(kind, text, sizes).map_err(|fault| with_point(kind, text.trim(), sizes).unwrap_or(fault))
}

/// Returns what is wrong with a number that has a decimal comma, if a point in its place makes sense of it.
fn with_point(kind: ValueKind, text: &str, sizes: &SizeNames) -> Option<ValueError> {
    let numeric = !missing_units::units(kind, text).is_empty()
        || matches!(kind, ValueKind::Lightness | ValueKind::Ruling | ValueKind::Black);
    let pointed = decimal_point(text).filter(|_| numeric)?;
    let instead = match read(kind, &pointed, sizes) {
        Ok(_) => pointed,
        Err(fault) => fault.instead?,
    };
    Some(ValueError::instead(format!("\"{text}\" has a decimal comma; a brief takes a point"), instead))
}

/// Returns a text with the decimal commas between its digits as points. A comma before three digits is left: it may
/// stand for thousands.
pub(super) fn decimal_point(text: &str) -> Option<String> {
    let is_digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let decimal = |at: usize| {
        let behind = text[at + 1..].chars().take_while(char::is_ascii_digit).count();
        is_digit(text[..at].chars().next_back()) && behind > 0 && behind != THOUSANDS_DIGITS
    };
    let commas: Vec<usize> = text.match_indices(',').map(|(at, _)| at).collect();
    (!commas.is_empty() && commas.iter().all(|at| decimal(*at))).then(|| text.replace(',', "."))
}

fn read(kind: ValueKind, text: &str, sizes: &SizeNames) -> Result<Value, ValueError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(ValueError::new("there is nothing between the quotes"));
    }
    if text.chars().count() > MAX_TEXT_CHARACTERS {
        return Err(ValueError::new(format!("the text is longer than {MAX_TEXT_CHARACTERS} characters")));
    }
    match kind {
        ValueKind::Text | ValueKind::File | ValueKind::Rules => Ok(Value::Text(text.to_owned())),
        ValueKind::Paper => Err(ValueError::new(format!("\"{text}\" is not a table"))),
        ValueKind::Date => date(text),
        ValueKind::YesNo => yes_no(text),
        ValueKind::Choice(words) => choice(text, words).map(Value::Word),
        ValueKind::Choices(words) => choice(text, words).map(|word| Value::Words(vec![word])),
        ValueKind::Count(least, most) => count(text, least, most).map(Value::Count),
        ValueKind::Pages(least, most) => page_numbers::parse(text, least, most).map(Value::Pages),
        ValueKind::Counts(known) => read_known_count(text, known).map(|count| Value::Counts(vec![count])),
        ValueKind::Black => black(text),
        ValueKind::Lightness => lightness(text),
        ValueKind::Size => finished_size(text, sizes).map(Value::Size),
        ValueKind::Length => one_length(text).map(|(length, unit)| Value::Length(length, unit)),
        ValueKind::Lengths => one_length(text).map(|(length, _)| Value::Lengths(vec![length])),
        ValueKind::Sides => one_length(text).map(|(length, unit)| Value::Sides(MarginValue::All(length, unit))),
        ValueKind::Density => text.parse().map(Value::Density).map_err(|error| unitless(error, text, &["ppi"])),
        ValueKind::Ruling => ruling(text),
        ValueKind::Share(least, most) => share(text, least, most),
        ValueKind::Factor => factor(text),
        ValueKind::Bytes => bytes(text),
        ValueKind::Pattern => pattern(text).map(Value::Pattern),
        ValueKind::Patterns => pattern(text).map(|pattern| Value::Patterns(vec![pattern])),
        ValueKind::Spelling => spelling_pattern(text).map(|_| Value::Text(text.to_owned())),
        ValueKind::Regex => regex(text),
        ValueKind::Template(names) => template(text, names),
    }
}

/// Returns an error of the units, without the remedy in its words; with the number and the unit if only that was
/// missing.
fn unitless(error: impl std::fmt::Display, text: &str, units: &[&str]) -> ValueError {
    let message = error.to_string();
    let what = message.split(": write").next().unwrap_or(&message).to_owned();
    match units.first() {
        Some(unit) if number(text).is_some_and(|value| value >= Ratio::from_integer(0)) => {
            ValueError::instead(what, format!("{text} {unit}"))
        }
        _ => ValueError::new(what),
    }
}

fn one_length(text: &str) -> Result<(Length, LengthUnit), ValueError> {
    length::parse(text).map_err(|error| unitless(error, text, &["mm"]))
}

pub(super) fn finished_size(text: &str, sizes: &SizeNames) -> Result<Size, ValueError> {
    if let Some(size) = sizes.get(text) {
        return Ok(*size);
    }
    text.parse::<Size>().map_err(|error| {
        use crate::units::size::SizeError;
        let known: Vec<&str> = sizes.keys().map(String::as_str).collect();
        match error {
            SizeError::NoUnit(text, plain) => {
                let what = format!("\"{text}\" has no unit");
                match missing_units::size_units(&plain).first() {
                    Some(unit) => ValueError::instead(what, format!("{plain} {unit}")),
                    None => ValueError::new(what),
                }
            }
            SizeError::NoSize(_) if !known.is_empty() => {
                let what = format!("\"{text}\" is neither a size nor a name of [sizes] ({})", known.join(", "));
                ValueError::near(what, nearest(text, known))
            }
            other => unitless(other, text, &[]),
        }
    })
}

fn choice(text: &str, words: &'static [&'static str]) -> Result<&'static str, ValueError> {
    let lower = text.to_lowercase();
    if let Some(word) = words.iter().find(|word| **word == lower) {
        return Ok(word);
    }
    let near = nearest(text, words.iter().copied());
    let (what, fix) = not_among(&format!("\"{text}\""), words);
    Err(near.map_or_else(|| ValueError::fix(&what, fix), |near| ValueError::instead(&what, near)))
}

/// Returns what is wrong with a value that is none of a closed list, and what to write: the list, which is named once.
fn not_among(value: &str, words: &[&str]) -> (String, String) {
    let all = words.join(", ");
    if words.len() <= SHORT_LIST {
        (format!("{value} is none of {all}"), "write one of these words".to_owned())
    } else {
        (format!("{value} is not a word that this key takes"), format!("write one of {all}"))
    }
}

fn count(text: &str, least: u32, most: u32) -> Result<u32, ValueError> {
    text.parse::<u32>()
        .ok()
        .filter(|count| (least..=most).contains(count))
        .ok_or_else(|| ValueError::new(format!("{text} is not a whole number from {least} to {most}")))
}

/// Returns one of the known numbers.
pub(super) fn read_known_count(text: &str, known: &[u32]) -> Result<u32, ValueError> {
    text.parse::<u32>().ok().filter(|count| known.contains(count)).ok_or_else(|| {
        let known: Vec<String> = known.iter().map(u32::to_string).collect();
        ValueError::new(format!("{text} is none of {}", known.join(", ")))
    })
}

fn date(text: &str) -> Result<Value, ValueError> {
    text.parse::<jiff::civil::Date>().map(|date| Value::Text(date.to_string())).map_err(|_| {
        let what = format!("\"{text}\" is not a date written year-month-day");
        match dates::candidates(text)[..] {
            [day] => ValueError::instead(what, day.to_string()),
            [one, other] => ValueError::fix(what, format!("write {one} or {other}, whichever you mean")),
            _ => ValueError::new(what),
        }
    })
}

fn yes_no(text: &str) -> Result<Value, ValueError> {
    match text.to_lowercase().as_str() {
        "true" | "yes" => Ok(Value::YesNo(true)),
        "false" | "no" => Ok(Value::YesNo(false)),
        _ => Err(ValueError::new(format!("\"{text}\" is neither true nor false"))),
    }
}

/// Returns a number within bounds, as a float.
fn within(text: &str, bounds: (Ratio<i128>, Ratio<i128>)) -> Option<f64> {
    let value = number(text).filter(|value| (bounds.0..=bounds.1).contains(value))?;
    Some(*value.numer() as f64 / *value.denom() as f64)
}

fn black(text: &str) -> Result<Value, ValueError> {
    within(text, DMAX_BOUNDS)
        .map(Value::Number)
        .ok_or_else(|| ValueError::new(format!("{text} is not a Dmax from 0.5 to 4")))
}

fn lightness(text: &str) -> Result<Value, ValueError> {
    let count = text.strip_prefix("L*").or_else(|| text.strip_prefix("l*"));
    match count.and_then(|count| within(count, WHITE_BOUNDS_L)) {
        Some(value) => Ok(Value::Number(value)),
        None if number(text).is_some() => Err(ValueError::instead(format!("{text} has no L*"), format!("L* {text}"))),
        None => {
            let (least, most) = WHITE_BOUNDS_L;
            Err(ValueError::new(format!("\"{text}\" is not a lightness from L* {least} to L* {most}")))
        }
    }
}

/// Returns a number and the text after it.
fn split(text: &str) -> (&str, &str) {
    let at = text.find(|c: char| c.is_alphabetic() || c == '×').unwrap_or(text.len());
    (text[..at].trim(), text[at..].trim())
}

fn ruling(text: &str) -> Result<Value, ValueError> {
    let (count, sign) = split(text);
    let times = match sign.to_lowercase().as_str() {
        "lpi" | "lines/in" => Ratio::from_integer(1),
        "lines/cm" | "l/cm" | "lpcm" => LPI_PER_LINE_CM,
        "" if number(count).is_some() => {
            return Err(ValueError::instead(format!("{text} has no unit"), format!("{count} lpi")));
        }
        _ => return Err(ValueError::new(format!("\"{text}\" is not a screen ruling: use lpi or lines/cm"))),
    };
    let (least, most) = (*RULINGS_LPI.start(), *RULINGS_LPI.end());
    let bounds = Ratio::from_integer(least)..=Ratio::from_integer(most);
    let lpi = number(count).map(|value| value * times).filter(|lpi| bounds.contains(lpi));
    lpi.map(Value::Ruling)
        .ok_or_else(|| ValueError::new(format!("\"{text}\" is not a screen ruling from {least} to {most} lpi")))
}

fn share(text: &str, least: u32, most: u32) -> Result<Value, ValueError> {
    let share: Share = text.parse().map_err(|error| unitless(error, text, &["%"]))?;
    let within = Share::percent(least.into())..=Share::percent(most.into());
    if within.contains(&share) {
        return Ok(Value::Share(share));
    }
    Err(ValueError::new(format!("{} is not between {least} % and {most} %", show::share(share))))
}

fn factor(text: &str) -> Result<Value, ValueError> {
    let (count, sign) = split(text);
    match sign {
        "x" | "X" | "×" => within(count, (Ratio::from_integer(1), Ratio::from_integer(MAX_ENLARGED)))
            .map(Value::Number)
            .ok_or_else(|| ValueError::new(format!("\"{text}\" is not between 1 x and {MAX_ENLARGED} x"))),
        "" if number(count).is_some() => Err(ValueError::instead(format!("{text} has no x"), format!("{count} x"))),
        _ => Err(ValueError::new(format!("\"{text}\" is not a factor such as 1.2 x"))),
    }
}

fn bytes(text: &str) -> Result<Value, ValueError> {
    bytes::parse(text).map(Value::Bytes).map_err(|error| match &error {
        BytesError::NoUnit(count) => ValueError::instead(format!("{count} has no unit"), format!("{count} MB")),
        BytesError::NoSize(_) | BytesError::Beyond(_) => ValueError::new(error.to_string()),
    })
}

fn pattern(text: &str) -> Result<Pattern, ValueError> {
    Pattern::new(text).map_err(|why| ValueError::new(format!("\"{text}\" is not a valid pattern: {why}")))
}

/// Returns the regular expression for a spelling of names: `lower case, digits` is `[a-z0-9]+`.
pub(super) fn spelling_pattern(text: &str) -> Result<String, ValueError> {
    let mut letters = String::new();
    for word in text.split([',', ';']).flat_map(|part| part.split(" and ")).map(str::trim) {
        letters.push_str(match word.to_lowercase().as_str() {
            "lower case" | "lower-case letters" => "a-z",
            "upper case" => "A-Z",
            "letters" => "A-Za-z",
            "digits" => "0-9",
            "hyphen" | "hyphens" => r"\-",
            "underscore" | "underscores" => "_",
            "dot" => r"\.",
            "space" => " ",
            _ => {
                let near = nearest(word, SPELLINGS.iter().copied()).map(|near| text.replacen(word, near, 1));
                let (what, fix) = not_among(&format!("\"{word}\""), SPELLINGS);
                return Err(near.map_or_else(|| ValueError::fix(&what, fix), |near| ValueError::instead(&what, near)));
            }
        });
    }
    Ok(format!("[{letters}]+"))
}

fn regex(text: &str) -> Result<Value, ValueError> {
    let whole = format!("^(?:{text})$");
    regex::Regex::new(&whole).map(|_| Value::Text(text.to_owned())).map_err(|error| {
        let message = error.to_string();
        let why = message.lines().last().unwrap_or("").trim_start_matches("error: ").to_owned();
        ValueError::new(format!("\"{text}\" is not a valid regular expression: {why}"))
    })
}

fn template(text: &str, names: &[&str]) -> Result<Value, ValueError> {
    let mut rest = text;
    while let Some(open) = rest.find(['{', '}']) {
        let Some(close) = rest[open..].find('}').filter(|_| rest[open..].starts_with('{')) else {
            return Err(ValueError::new(format!("\"{text}\" has an unmatched brace")));
        };
        let name = &rest[open + 1..open + close];
        if !names.contains(&name) {
            let what = format!("{{{name}}} is none of {{{}}}", names.join("}, {"));
            let near = nearest(name, names.iter().copied());
            let near = near.map(|near| text.replacen(&format!("{{{name}}}"), &format!("{{{near}}}"), 1));
            return Err(ValueError::near(what, near.as_deref()));
        }
        rest = &rest[open + close + 1..];
    }
    if text.contains(['/', '\\']) {
        return Err(ValueError::new(format!("\"{text}\" has a slash: delivered files go into one folder")));
    }
    Ok(Value::Text(text.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_as(kind: ValueKind, text: &str) -> Result<Value, ValueError> {
        from_text(kind, text, &SizeNames::new())
    }

    #[test]
    fn rulings_are_understood_by_inch_and_centimetre() {
        // Source: 1 in = 2.54 cm, so 60 lines/cm = 152.4 lpi.
        assert_eq!(read_as(ValueKind::Ruling, "60 lines/cm"), Ok(Value::Ruling(Ratio::new(1524, 10))));
        assert_eq!(read_as(ValueKind::Ruling, "150 lpi"), Ok(Value::Ruling(Ratio::from_integer(150))));
        assert_eq!(read_as(ValueKind::Ruling, "150").unwrap_err().instead, Some("150 lpi".to_owned()));
        assert!(read_as(ValueKind::Ruling, "5 lpi").is_err());
    }

    #[test]
    fn a_bare_number_is_offered_its_unit() {
        for (kind, text, instead) in [
            (ValueKind::Density, "240", "240 ppi"),
            (ValueKind::Share(0, 100), "15", "15 %"),
            (ValueKind::Length, "3", "3 mm"),
            (ValueKind::Factor, "1.2", "1.2 x"),
            (ValueKind::Bytes, "120", "120 MB"),
            (ValueKind::Lightness, "94", "L* 94"),
            (ValueKind::Size, "8x10", "8 x 10 in"),
        ] {
            let fault = read_as(kind, text).unwrap_err();
            assert_eq!(fault.instead.as_deref(), Some(instead), "{fault:?}");
            assert!(!fault.what.contains("write"), "{fault:?}");
        }
    }

    #[test]
    fn a_decimal_comma_is_answered_with_a_point() {
        for (kind, text, instead) in [
            (ValueKind::Size, "20,5 x 30 cm", Some("20.5 x 30 cm")),
            (ValueKind::Size, "20,5 x 30", Some("20.5 x 30 in")),
            (ValueKind::Length, "3,2 mm", Some("3.2 mm")),
            (ValueKind::Factor, "1,2", Some("1.2 x")),
            (ValueKind::Share(0, 100), "7,5 %", Some("7.5 %")),
            (ValueKind::Density, "1,200 ppi", None),
        ] {
            assert_eq!(read_as(kind, text).unwrap_err().instead.as_deref(), instead, "{text}");
        }
    }

    #[test]
    fn a_spelling_is_a_regular_expression() {
        assert_eq!(spelling_pattern("lower case, digits, hyphen").unwrap(), r"[a-z0-9\-]+");
        assert_eq!(spelling_pattern("letters and digits").unwrap(), "[A-Za-z0-9]+");
        assert_eq!(spelling_pattern("lowercase, digits").unwrap_err().instead, Some("lower case, digits".to_owned()));
    }

    #[test]
    fn sizes_on_disk_are_decimal_unless_said() {
        assert_eq!(read_as(ValueKind::Bytes, "1.5 MB"), Ok(Value::Bytes(1_500_000)));
        assert_eq!(read_as(ValueKind::Bytes, "1 MiB"), Ok(Value::Bytes(1_048_576)));
        assert!(read_as(ValueKind::Bytes, "3 pages").is_err());
    }

    #[test]
    fn templates_hold_known_names_only() {
        let kind = ValueKind::Template(&["page", "name"]);
        assert!(read_as(kind, "{page}-{name}").is_ok());
        assert_eq!(read_as(kind, "{pag}-x").unwrap_err().instead, Some("{page}-x".to_owned()));
        for wrong in ["{page", "page}", "../{page}"] {
            assert!(read_as(kind, wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn choices_take_any_case_and_offer_the_nearest() {
        let kind = ValueKind::Choice(&["gloss", "matte"]);
        assert_eq!(read_as(kind, "Matte"), Ok(Value::Word("matte")));
        assert_eq!(read_as(kind, "matt").unwrap_err().instead, Some("matte".to_owned()));
    }
}
