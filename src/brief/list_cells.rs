//! Cells of a picture list as values: decimal commas, sizes whose unit is in the heading, two halves of a spread.

use crate::units::length::{self, in_unit};
use crate::units::{Length, LengthUnit, Size};

use super::dates;
use super::list_headings::Heading;
use super::missing_units;
use super::unknown_keys::spelt;
use super::value_error::ValueError;
use super::values::{self, SizeNames};

/// What parts the names of the two halves of a spread, each a picture of its own.
const HALVES: [&str; 3] = ["\n", " + ", ";"];
/// Month names that a spreadsheet writes where it takes two page numbers for a day, as their beginnings.
const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// Returns the pictures that a cell names for a spread: one, or two halves.
pub(super) fn pictures(text: &str) -> Vec<&str> {
    let Some(parts) = HALVES.iter().find(|sign| text.contains(**sign)) else { return vec![text] };
    text.split(parts).map(str::trim).filter(|name| !name.is_empty()).collect()
}

/// What is wrong with a name for a spread that has a plus sign without spaces around it: it may be one or two.
pub(super) fn one_or_two(name: &str) -> ValueError {
    let two = name.split('+').map(str::trim).collect::<Vec<&str>>().join(" + ");
    ValueError::fix(
        format!("\"{name}\" may be one picture or two: \" + \" between two halves has a space on either side"),
        format!("{two} for two halves, or {} for one picture with + in its name", name.replace('+', "?")),
    )
}

/// Returns a finished size, in the unit of the heading where the cell has none.
pub(super) fn size(text: &str, heading: &Heading, sizes: &SizeNames) -> Result<Size, ValueError> {
    let plain = text.replace([' ', '\n'], " ").replace('*', "x").replace(" by ", " x ");
    let plain = values::decimal_point(&plain).unwrap_or(plain);
    let with_unit = heading.unit.map(|unit| format!("{plain} {}", unit.sign()));
    let read = match values::finished_size(&plain, sizes) {
        Err(fault) => with_unit.and_then(|text| values::finished_size(&text, sizes).ok()).ok_or(fault),
        read => read,
    }?;
    let is_of_two_numbers = plain.starts_with(|c: char| c.is_ascii_digit()) && plain.contains(['x', 'X', '×']);
    Ok(if heading.is_height_first && is_of_two_numbers { read.turned() } else { read })
}

/// Returns one side of a size, in the unit of the heading where the cell has none.
pub(super) fn side(text: &str, heading: &Heading) -> Result<(Length, LengthUnit), ValueError> {
    let name = heading.field.name();
    let plain = values::decimal_point(text).unwrap_or_else(|| text.to_owned());
    let of_heading = || heading.unit.and_then(|unit| Some((in_unit(&plain, unit).ok()?, unit)));
    let read = length::parse(&plain).ok().or_else(of_heading).filter(|(side, _)| *side > Length::ZERO);
    read.ok_or_else(|| match length::number(&plain) {
        Some(_) if heading.unit.is_none() => {
            let unit = missing_units::size_units(&plain).first().copied().unwrap_or("mm");
            ValueError::fix(
                format!("{text} has no unit"),
                format!("name the unit in the heading, for example {name} ({unit})"),
            )
        }
        _ => ValueError::new(format!("\"{text}\" is not a length")),
    })
}

/// The named paper that a cell means, in any case.
pub(super) fn paper<'a>(text: &str, papers: &[&'a str]) -> Result<&'a str, ValueError> {
    let word = text.to_lowercase();
    papers.iter().find(|name| name.to_lowercase() == word).copied().ok_or_else(|| {
        let described = papers.join(", ");
        ValueError::fix(
            format!("the brief has no paper \"{text}\""),
            format!("one of {described}; or describe it in the brief below [papers.{}]", spelt(text)),
        )
    })
}

/// Returns what is wrong with a page number that a spreadsheet has made a day of.
pub(super) fn day_for_page(text: &str) -> ValueError {
    ValueError::fix(
        format!("\"{text}\" is a date, not a page: spreadsheets make dates of pages such as 12-13"),
        "format the cell as text, then type the pages again",
    )
}

/// True if a text is a day as spreadsheets write one into a CSV: `13-Dec`, `2026-12-13`.
pub(super) fn is_day(text: &str) -> bool {
    let lower = text.to_lowercase();
    let parts: Vec<&str> = lower.split(['-', ' ', '/', '.']).filter(|part| !part.is_empty()).collect();
    let is_month = |part: &&str| part.len() >= 3 && MONTHS.iter().any(|month| part.starts_with(month));
    let is_number = |part: &&str| part.bytes().all(|byte| byte.is_ascii_digit());
    !dates::candidates(text).is_empty() || parts.len() == 2 && parts.iter().any(is_month) && parts.iter().any(is_number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::list_headings::ListField;

    fn heading(unit: Option<LengthUnit>, is_height_first: bool) -> Heading {
        Heading::plain(ListField::Key("size"), unit, is_height_first)
    }

    #[test]
    fn a_size_takes_the_unit_and_the_order_of_its_heading() {
        let none = SizeNames::new();
        let read = |text: &str, unit, first| size(text, &heading(unit, first), &none).map(|size| size.show());
        let mm = Some(LengthUnit::Millimetre);
        assert_eq!(read("210 x 260", mm, false).unwrap(), "210 x 260 mm");
        assert_eq!(read("260*210", mm, true).unwrap(), "210 x 260 mm");
        assert_eq!(read("20,3 × 25,4 cm", mm, false).unwrap(), "20.3 x 25.4 cm");
        assert_eq!(read("8 by 10 in", None, false).unwrap(), "8 x 10 in");
        assert_eq!(read("A4", mm, true).unwrap(), "210 x 297 mm");
        assert_eq!(read("210 x 260", None, false).unwrap_err().what, "\"210 x 260\" has no unit");
        assert!(read("large", mm, false).is_err());
    }

    #[test]
    fn a_side_is_a_number_below_a_unit_or_a_length() {
        let width = |unit| Heading::plain(ListField::Width, unit, false);
        let mm = Some(LengthUnit::Millimetre);
        assert_eq!(side("210", &width(mm)).unwrap().0, Length::from_mm(210));
        assert_eq!(side("20,5 cm", &width(mm)).unwrap(), (Length::from_mm(205), LengthUnit::Centimetre));
        let fault = side("210", &width(None)).unwrap_err();
        assert_eq!(
            (fault.what.as_str(), fault.fix.as_deref()),
            ("210 has no unit", Some("name the unit in the heading, for example width (mm)"))
        );
        assert!(side("0", &width(mm)).is_err() && side("wide", &width(mm)).is_err() && side("-3", &width(mm)).is_err());
    }

    #[test]
    fn a_paper_is_one_of_the_brief_s_in_any_case() {
        let papers = ["body", "cover"];
        assert_eq!(paper("Cover", &papers), Ok("cover"));
        let fault = paper("matt art", &papers).unwrap_err();
        assert_eq!(
            (fault.what.as_str(), fault.fix.as_deref()),
            (
                "the brief has no paper \"matt art\"",
                Some("one of body, cover; or describe it in the brief below [papers.\"matt art\"]")
            )
        );
    }

    #[test]
    fn halves_are_two_names() {
        assert_eq!(pictures("p012-left.jpg + p013-right.jpg"), ["p012-left.jpg", "p013-right.jpg"]);
        assert_eq!(pictures("left*\nright*"), ["left*", "right*"]);
        assert_eq!(pictures("left*;right*"), ["left*", "right*"]);
        assert_eq!(pictures("p012+3.jpg"), ["p012+3.jpg"]);
        let fix = one_or_two("left*+right*").fix.unwrap();
        assert_eq!(fix, "left* + right* for two halves, or left*?right* for one picture with + in its name");
    }

    #[test]
    fn days_are_known_as_spreadsheets_write_them() {
        assert!(["13-Dec", "Dec 12", "2026-12-13", "13/12/2026"].iter().all(|text| is_day(text)));
        assert!(!["12-13", "cover", "12", "decoration"].iter().any(|text| is_day(text)));
    }
}
