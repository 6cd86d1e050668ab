//! How XLSX shows a number: as a day, with zeros before it, with a unit behind it. Source: ECMA-376 part 1, 18.8.30.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::brief::list_table::CellContent;
use crate::units::LengthUnit;

/// Formats of days and times that a workbook need not define, first and last.
const BUILT_IN_DAYS: [(u32, u32); 4] = [(14, 22), (27, 36), (45, 47), (50, 58)];
/// Day 0 of the two calendars that workbooks count by.
const DAY_ZERO: [Date; 2] = [Date::constant(1899, 12, 30), Date::constant(1904, 1, 1)];
/// Digits that a spreadsheet keeps of a number, but for the first.
const DIGITS: usize = 14;
/// Longest number that is written out, in characters; longer ones are no number of a picture list.
const MAX_NUMBER_CHARACTERS: usize = 40;

/// What a format does to a number.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct NumberFormat {
    is_day: bool,
    /// Digits that are shown at least, with zeros in front.
    digits: usize,
    /// A unit of length that is shown behind the number.
    unit: Option<LengthUnit>,
}

impl NumberFormat {
    /// Returns a format by its number, and by its code where the workbook defines it.
    pub(super) fn of(id: u32, code: Option<&str>) -> NumberFormat {
        let Some(code) = code else {
            let is_day = BUILT_IN_DAYS.iter().any(|(first, last)| (*first..=*last).contains(&id));
            return NumberFormat { is_day, ..NumberFormat::default() };
        };
        let (mut bare, mut quoted) = (String::new(), String::new());
        let mut letters = code.split(';').next().unwrap_or(code).chars();
        while let Some(letter) = letters.next() {
            match letter {
                '"' => quoted.extend(letters.by_ref().take_while(|letter| *letter != '"')),
                '[' => letters.by_ref().take_while(|letter| *letter != ']').for_each(drop),
                '\\' => quoted.extend(letters.next()),
                '_' | '*' => drop(letters.next()),
                other => bare.push(other.to_ascii_lowercase()),
            }
        }
        let is_day = bare != "general" && bare.contains(['y', 'm', 'd', 'h', 's']);
        let digits = if !bare.is_empty() && bare.chars().all(|letter| letter == '0') { bare.len() } else { 0 };
        NumberFormat { is_day, digits, unit: LengthUnit::from_sign(quoted.trim()) }
    }

    /// Returns a number in this format.
    pub(super) fn shown(&self, number: f64, is_1904: bool) -> CellContent {
        if self.is_day {
            let days = (number.is_finite() && number.abs() < f64::from(i32::MAX)).then_some(number.floor() as i64);
            let day = days.and_then(|days| DAY_ZERO[usize::from(is_1904)].checked_add(days.days()).ok());
            return CellContent::Date(day.map_or_else(|| number_text(number), |day| day.to_string()));
        }
        let text = number_text(number);
        let text = format!("{text:0>width$}", width = self.digits);
        CellContent::Text(match self.unit {
            Some(unit) => format!("{text} {}", unit.sign()),
            None => text,
        })
    }
}

/// Returns a number as a spreadsheet shows it without a format: 15 digits count, and none is written that says nothing.
pub(super) fn number_text(number: f64) -> String {
    let rounded = format!("{number:.DIGITS$e}").parse().unwrap_or(number);
    let text = format!("{rounded}");
    if text.len() > MAX_NUMBER_CHARACTERS { format!("{number:e}") } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(code: &str, number: f64) -> CellContent {
        NumberFormat::of(164, Some(code)).shown(number, false)
    }

    #[test]
    fn days_are_told_from_numbers() {
        let day = CellContent::Date("2026-12-13".to_owned());
        for code in ["d-mmm", "yyyy\\-mm\\-dd", "[$-409]d/m/yy;@", "mm-dd"] {
            assert_eq!(shown(code, 46_369.25), day, "{code}");
        }
        assert_eq!(NumberFormat::of(16, None).shown(46_369.0, false), day);
        assert_eq!(NumberFormat::of(14, None).shown(46_369.0 - 1_462.0, true), day);
        let text = |text: &str| CellContent::Text(text.to_owned());
        assert_eq!(shown("General", 12.0), text("12"));
        assert_eq!(shown("#,##0.00", 20.3), text("20.3"));
        assert_eq!(NumberFormat::of(2, None).shown(0.1 + 0.2, false), text("0.3"));
    }

    #[test]
    fn zeros_and_units_that_are_shown_are_kept() {
        let text = |text: &str| CellContent::Text(text.to_owned());
        assert_eq!(shown("000", 12.0), text("012"));
        assert_eq!(shown("0\" mm\"", 210.0), text("210 mm"));
        assert_eq!(shown("0.0 \\c\\m", 20.5), text("20.5 cm"));
        assert_eq!(shown("0 \"pieces\"", 3.0), text("3"));
    }

    #[test]
    fn numbers_without_an_end_are_short() {
        for number in [f64::MAX, f64::MIN_POSITIVE, f64::INFINITY, f64::NAN] {
            assert!(number_text(number).len() <= MAX_NUMBER_CHARACTERS);
            assert!(shown("d-mmm", number).text().len() <= MAX_NUMBER_CHARACTERS);
        }
    }
}
