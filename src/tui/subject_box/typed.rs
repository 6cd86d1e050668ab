//! Typed positions: `12.5 %`, `31 mm`, `400 px`, counted from the picture's left or top edge.

use num_rational::Ratio;

use crate::tui::numbers;
use crate::units::length::{self, LengthError, LengthUnit, NM_PER_MM};
use crate::units::show;

/// The size of the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PictureScale {
    /// Upright, in pixels.
    pub picture_px: (u32, u32),
    /// On paper, in mm; `None` without a print.
    pub paper_mm: Option<(f64, f64)>,
}

/// Why a text is not a position in the picture.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PositionError {
    /// A number without a unit.
    #[error("\"{0}\" has no unit: type \"{0} %\", \"{0} mm\" or \"{0} px\"")]
    NoUnit(String),
    /// No number with a known unit.
    #[error("\"{0}\" is not a position: type for example \"12.5 %\", \"31 mm\" or \"400 px\"")]
    NoNumber(String),
    /// A length although there is no paper.
    #[error("its size on paper is not known: type % or px")]
    NoPaper,
    /// A position outside the picture.
    #[error("{0} is outside the picture, which ends at {1}")]
    Outside(String, String),
}

/// Parses a position, as a share of the picture's width (`across`) or height.
///
/// # Errors
/// See [`PositionError`].
pub fn place(text: &str, across: bool, scale: &PictureScale) -> Result<f64, PositionError> {
    let text = text.trim();
    let no_number = || PositionError::NoNumber(text.to_owned());
    let of = |one: (f64, f64)| if across { one.0 } else { one.1 };
    let float = |ratio: Ratio<i128>| *ratio.numer() as f64 / *ratio.denom() as f64;
    let (share, whole) = if let Some(count) = text.strip_suffix('%') {
        let count = length::number(count).filter(|count| *count >= Ratio::from_integer(0)).ok_or_else(no_number)?;
        (float(count / Ratio::from_integer(100)), "100 %".to_owned())
    } else if let Some(count) = text.strip_suffix("px") {
        let px = if across { scale.picture_px.0 } else { scale.picture_px.1 };
        let count = length::number(count).map(float).filter(|count| *count >= 0.0).ok_or_else(no_number)?;
        (count / f64::from(px), format!("{px} px"))
    } else {
        let (length, unit) = length::parse(text).map_err(|error| match error {
            LengthError::NoUnit(text) => PositionError::NoUnit(text),
            _ => no_number(),
        })?;
        let mm = of(scale.paper_mm.ok_or(PositionError::NoPaper)?);
        (length.nm() as f64 / NM_PER_MM as f64 / mm, numbers::length(mm, unit))
    };
    if share > 1.0 {
        return Err(PositionError::Outside(text.to_owned(), whole));
    }
    Ok(share)
}

impl PictureScale {
    /// Formats a position across (or down) the picture on paper, in `unit`; `None` without paper.
    pub fn on_paper(&self, share: f64, across: bool, unit: LengthUnit) -> Option<String> {
        let (width, height) = self.paper_mm?;
        Some(numbers::length(share * if across { width } else { height }, unit))
    }

    /// Formats the width x height of a part on paper: `130 x 185 mm`.
    pub fn size_on_paper(&self, (across, down): (f64, f64), unit: LengthUnit) -> Option<String> {
        let (width, height) = self.paper_mm?;
        let width = show::length_bare(numbers::exact_length(across * width), unit);
        Some(format!("{width} x {}", numbers::length(down * height, unit)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCALE: PictureScale = PictureScale { picture_px: (2000, 1000), paper_mm: Some((200.0, 100.0)) };

    #[test]
    fn every_unit_names_the_same_place() {
        for text in ["15.5 %", "31 mm", "3.1cm", "310 px", "310px", " 15.5% "] {
            assert!((place(text, true, &SCALE).unwrap() - 0.155).abs() < 1e-9, "{text}");
        }
        assert!((place("1/2 in", false, &SCALE).unwrap() - 0.127).abs() < 1e-9);
        assert_eq!(place("0 px", false, &SCALE), Ok(0.0));
        assert_eq!(place("100 %", false, &SCALE), Ok(1.0));
    }

    #[test]
    fn what_is_no_position_says_what_to_type() {
        let wrong = |text: &str, scale: &PictureScale| place(text, true, scale).unwrap_err().to_string();
        assert_eq!(wrong("31", &SCALE), "\"31\" has no unit: type \"31 %\", \"31 mm\" or \"31 px\"");
        assert_eq!(wrong("201 mm", &SCALE), "201 mm is outside the picture, which ends at 200 mm");
        assert_eq!(wrong("900%", &SCALE), "900% is outside the picture, which ends at 100 %");
        assert_eq!(wrong("2001 px", &SCALE), "2001 px is outside the picture, which ends at 2000 px");
        assert_eq!(
            wrong("31 mm", &PictureScale { paper_mm: None, ..SCALE }),
            "its size on paper is not known: type % or px"
        );
        for text in ["mm", "-3 px", "three px", "5 ells", "", "-1 %", "px"] {
            assert!(wrong(text, &SCALE).contains("is not a position"), "{text}");
        }
    }

    #[test]
    fn places_are_shown_in_the_prints_own_unit() {
        assert_eq!(SCALE.on_paper(0.155, true, LengthUnit::Millimetre).unwrap(), "31 mm");
        assert_eq!(SCALE.on_paper(0.127, false, LengthUnit::Inch).unwrap(), "0.5 in");
        assert_eq!(SCALE.size_on_paper((0.65, 0.5), LengthUnit::Millimetre).unwrap(), "130 x 50 mm");
        assert_eq!(PictureScale { paper_mm: None, ..SCALE }.on_paper(0.1, true, LengthUnit::Inch), None);
    }
}
