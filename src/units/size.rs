//! Finished sizes: width x height, or a name that the trade gives a size.

use std::str::FromStr;

use super::length::{Length, LengthError, LengthUnit, in_unit, parse};
use super::show;

/// A finished size on paper, width x height; both greater than zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Size {
    /// Across.
    pub width: Length,
    /// Down.
    pub height: Length,
    /// The unit in which it was given, and in which it is shown.
    pub unit: LengthUnit,
}

impl Size {
    /// A size given in `unit`.
    pub const fn new(width: Length, height: Length, unit: LengthUnit) -> Size {
        Size { width, height, unit }
    }

    /// Width and height swapped.
    pub const fn turned(self) -> Size {
        Size { width: self.height, height: self.width, unit: self.unit }
    }

    /// As `210 x 260 mm`.
    pub fn show(self) -> String {
        format!("{} x {}", show::length_bare(self.width, self.unit), show::length(self.height, self.unit))
    }
}

/// Why a text is no size.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SizeError {
    /// Two numbers and no unit.
    #[error("\"{0}\" has no unit: write \"{1} in\" or \"{1} mm\"")]
    NoUnit(String, String),
    /// No `x`, and no name of a size.
    #[error(
        "\"{0}\" is no size: write width x height with a unit (\"8 x 10 in\"), an ISO name (\"A4\") or a photographic \
         one (\"8R\")"
    )]
    NoSize(String),
    /// One of the two lengths is wrong.
    #[error("{0}")]
    Length(#[from] LengthError),
    /// A side of nothing.
    #[error("\"{0}\" has a side of no length")]
    Nothing(String),
}

impl FromStr for Size {
    type Err = SizeError;

    fn from_str(text: &str) -> Result<Size, SizeError> {
        let text = text.trim();
        if let Some(size) = named(text) {
            return Ok(size);
        }
        let (across, down) = text.split_once(['x', 'X', '×']).ok_or_else(|| SizeError::NoSize(text.to_owned()))?;
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

/// A size by its name: ISO A and B (upright), or nR (short side n inches; long side n + 2 up to 10 and n + 3 from 11;
/// 3R is 3.5 x 5 in and 4R is 4 x 6 in). Source of the nR rule: common practice; many of them stand in ISO 1008.
fn named(name: &str) -> Option<Size> {
    let upper = name.to_ascii_uppercase();
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
    let inches = |tenths: i64| Length::from_um(tenths * 2_540);
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
        assert_eq!(read("8 1/2 x 11 in").show(), "8.5 x 11 in");
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
        assert_eq!(wrong, "\"8x10\" has no unit: write \"8 x 10 in\" or \"8 x 10 mm\"");
        assert!("A9".parse::<Size>().is_err());
        assert!("0 x 10 in".parse::<Size>().unwrap_err().to_string().contains("no length"));
        assert!("big".parse::<Size>().unwrap_err().to_string().contains("is no size"));
    }
}
