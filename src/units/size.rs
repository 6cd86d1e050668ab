//! Finished sizes: width x height, or a trade name.

use std::str::FromStr;

use super::length::{Length, LengthError, LengthUnit, in_unit, parse};
use super::show;

/// A finished size on paper, width x height; both greater than zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Size {
    /// Horizontal side.
    pub width: Length,
    /// Vertical side.
    pub height: Length,
    /// The unit in which it was given, and in which it is shown.
    pub unit: LengthUnit,
}

impl Size {
    /// Creates a size given in `unit`.
    pub const fn new(width: Length, height: Length, unit: LengthUnit) -> Size {
        Size { width, height, unit }
    }

    /// Swaps width and height.
    pub const fn turned(self) -> Size {
        Size { width: self.height, height: self.width, unit: self.unit }
    }

    /// One half of it, left or right.
    pub const fn half_across(self) -> Size {
        Size { width: self.width.half(), height: self.height, unit: self.unit }
    }

    /// Formats as `210 x 260 mm`.
    pub fn show(self) -> String {
        let bare = |side| show::length_bare(side, self.unit);
        format!("{} x {} {}", bare(self.width), bare(self.height), self.unit.sign())
    }
}

/// Why a text is not a size.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SizeError {
    /// Two numbers and no unit.
    #[error("\"{0}\" has no unit: write \"{1} in\", \"{1} cm\" or \"{1} mm\"")]
    NoUnit(String, String),
    /// No `x`, and not the name of a size.
    #[error(
        "\"{0}\" is not a size: write width x height with a unit (\"8 x 10 in\") or the name of a size (\"A4\", \"A4 \
         landscape\", \"Letter\", \"8R\")"
    )]
    NoSize(String),
    /// One of the two lengths is wrong.
    #[error("{0}")]
    Length(#[from] LengthError),
    /// A side of zero length.
    #[error("\"{0}\" has a side of zero length")]
    Nothing(String),
}

impl FromStr for Size {
    type Err = SizeError;

    fn from_str(text: &str) -> Result<Size, SizeError> {
        let text = text.trim();
        if let Some(size) = find_named(text) {
            return Ok(size);
        }
        if let Some((rest, lies)) = orientation(text) {
            let size: Size = rest.parse()?;
            return Ok(if (size.width > size.height) == lies { size } else { size.turned() });
        }
        let (across, down) = text.split_once(['x', 'X', '×']).ok_or_else(|| SizeError::NoSize(text.to_owned()))?;
        if across.trim().is_empty() || down.trim().is_empty() {
            return Err(SizeError::NoSize(text.to_owned()));
        }
        let (height, unit) = match parse(down) {
            Err(LengthError::NoUnit(_)) if parse(across).is_err() => {
                let plain = format!("{} x {}", across.trim(), down.trim());
                return Err(SizeError::NoUnit(text.to_owned(), plain));
            }
            other => other?,
        };
        let width = match in_unit(across, unit) {
            Err(LengthError::NoNumber(_)) => across.parse()?,
            other => other?,
        };
        if width == Length::ZERO || height == Length::ZERO {
            return Err(SizeError::Nothing(text.to_owned()));
        }
        Ok(Size::new(width, height, unit))
    }
}

/// ISO A sizes in mm, A0 to A7. Source: ISO 216:2007.
pub const ISO_A: [(i64, i64); 8] =
    [(841, 1189), (594, 841), (420, 594), (297, 420), (210, 297), (148, 210), (105, 148), (74, 105)];
/// ISO B sizes in mm, B0 to B6. Source: ISO 216:2007.
pub const ISO_B: [(i64, i64); 7] =
    [(1000, 1414), (707, 1000), (500, 707), (353, 500), (250, 353), (176, 250), (125, 176)];

/// Sizes of office paper in tenths of an inch. Source: ANSI/ASME Y14.1, and from memory for Legal.
const OFFICE: [(&str, (i64, i64)); 4] =
    [("LETTER", (85, 110)), ("LEGAL", (85, 140)), ("TABLOID", (110, 170)), ("LEDGER", (170, 110))];
/// Usual sizes of photographic prints in inches, by area. Source: common practice; many of them are in ISO 1008.
pub const LAB_IN: [(i64, i64); 19] = [
    (4, 6),
    (5, 7),
    (8, 8),
    (8, 10),
    (8, 12),
    (12, 12),
    (11, 14),
    (12, 16),
    (12, 18),
    (16, 20),
    (16, 24),
    (20, 20),
    (18, 24),
    (20, 24),
    (20, 30),
    (24, 30),
    (24, 36),
    (30, 40),
    (40, 60),
];
/// Usual sizes of European labs in centimetres, by area. Source: common practice of European labs, from memory.
pub const LAB_CM: [(i64, i64); 9] =
    [(9, 13), (10, 15), (13, 18), (20, 30), (30, 40), (30, 45), (40, 60), (50, 70), (60, 90)];

/// Splits off the word for the orientation; true means landscape.
fn orientation(text: &str) -> Option<(&str, bool)> {
    [("landscape", true), ("portrait", false)].into_iter().find_map(|(word, lies)| {
        let at = text.to_ascii_lowercase().find(word)?;
        let (before, behind) = (&text[..at], &text[at + word.len()..]);
        let rest = if before.trim().is_empty() { behind } else { before };
        let alone = before.trim().is_empty() != behind.trim().is_empty();
        alone.then(|| (rest.trim_matches([' ', ',', '-']), lies))
    })
}

/// Looks up a size by its name: ISO A and B (upright), Letter and other office papers, or nR (short side n inches; long
/// side n + 2 up to 10 and n + 3 from 11; 3R is 3.5 x 5 in and 4R is 4 x 6 in). Source of the nR rule: common practice;
/// many of them are in ISO 1008.
fn find_named(name: &str) -> Option<Size> {
    let upper = name.to_ascii_uppercase();
    let inches = |tenths: i64| Length::from_um(tenths * 2_540);
    let office = upper.strip_prefix("US ").unwrap_or(&upper);
    if let Some((_, (w, h))) = OFFICE.iter().find(|(name, _)| *name == office) {
        return Some(Size::new(inches(*w), inches(*h), LengthUnit::Inch));
    }
    let iso = |table: &[(i64, i64)], digit: &str| {
        let (w, h) = *table.get(digit.parse::<usize>().ok()?)?;
        Some(Size::new(Length::from_mm(w), Length::from_mm(h), LengthUnit::Millimetre))
    };
    if let Some(digit) = upper.strip_prefix('A') {
        return iso(&ISO_A, digit);
    }
    if let Some(digit) = upper.strip_prefix('B') {
        return iso(&ISO_B, digit);
    }
    let tenths = match upper.strip_suffix('R')?.parse::<i64>().ok()? {
        3 => (35, 50),
        n @ 4..=10 => (10 * n, 10 * n + 20),
        n @ 11..=30 => (10 * n, 10 * n + 30),
        _ => return None,
    };
    Some(Size::new(inches(tenths.0), inches(tenths.1), LengthUnit::Inch))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Size {
        text.parse().unwrap()
    }

    #[test]
    fn sizes_are_width_by_height() {
        let size = read("8 x 10 in");
        assert_eq!((size.width, size.height), (Length::from_um(203_200), Length::from_um(254_000)));
        assert_eq!(read("210x260mm").show(), "210 x 260 mm");
        assert_eq!(read("5 in x 7 in"), read("5 x 7 in"));
        for text in ["8 1/2 x 11 in", "8½ x 11 in", "8-1/2x11in", "8 1/2\" x 11\"", "Letter", "US Letter"] {
            assert_eq!(read(text).show(), "8.5 x 11 in", "{text}");
        }
        assert_eq!((read("1.2 x 0.8 m").show(), read("4 x 6 ft").show()), ("1.2 x 0.8 m".into(), "4 x 6 ft".into()));
    }

    #[test]
    fn a_size_keeps_its_orientation() {
        for text in ["A4 landscape", "Landscape A4", "a4, landscape", "A4-landscape", "210 x 297 mm landscape"] {
            assert_eq!(read(text).show(), "297 x 210 mm", "{text}");
        }
        assert_eq!((read("A4 portrait"), read("letter landscape")), (read("A4"), read("11 x 8.5 in")));
        for wrong in ["landscape", "A4 landscape landscape", "landscape portrait", "A4 landscape, please"] {
            assert!(wrong.parse::<Size>().is_err(), "{wrong}");
        }
    }

    #[test]
    fn iso_sizes_halve_the_long_side_and_drop_the_fraction() {
        // Source: ISO 216, the rule by which each size follows from the one before.
        for pair in ISO_A.windows(2) {
            assert_eq!(pair[1], (pair[0].1 / 2, pair[0].0));
        }
        assert_eq!(read("A4").show(), "210 x 297 mm");
        assert_eq!(read("b5").show(), "176 x 250 mm");
    }

    #[test]
    fn photographic_names_are_read_in_inches() {
        // Source: common practice, ISO 1008 for many of them.
        assert_eq!(read("8R"), read("8 x 10 in"));
        assert_eq!(read("3R"), read("3.5 x 5 in"));
        assert_eq!(read("4R"), read("4 x 6 in"));
        assert_eq!(read("11R"), read("11 x 14 in"));
    }

    #[test]
    fn a_bare_size_offers_both_units() {
        let wrong = "8x10".parse::<Size>().unwrap_err().to_string();
        assert_eq!(wrong, "\"8x10\" has no unit: write \"8 x 10 in\", \"8 x 10 cm\" or \"8 x 10 mm\"");
        assert!("A9".parse::<Size>().is_err());
        assert!("0 x 10 in".parse::<Size>().unwrap_err().to_string().contains("zero length"));
        assert!("A9x".parse::<Size>().unwrap_err().to_string().starts_with("\"A9x\" is not a size"));
        assert!("big".parse::<Size>().unwrap_err().to_string().contains("is not a size"));
    }
}
