//! Print density: pixels per inch on paper, kept as an exact ratio.

use std::str::FromStr;

use num_rational::Ratio;

use super::length::{Length, number};

/// Pixels per inch on paper; greater than zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ppi(Ratio<i128>);

/// A centimetre is 50/127 in; so px/cm x 127/50 = px/in.
const CM_PER_INCH: (i128, i128) = (127, 50);
/// The largest density that a brief may give, in ppi: above every printing process. Own choice.
const DENSEST: i128 = 10_000;

impl Ppi {
    /// Creates a density of whole pixels per inch; `ppi` is greater than zero.
    pub fn whole(ppi: u32) -> Ppi {
        Ppi(Ratio::from_integer(i128::from(ppi.max(1))))
    }

    /// Creates a density from an exact ratio; `None` unless greater than zero.
    pub fn from_ratio(ppi: Ratio<i128>) -> Option<Ppi> {
        (ppi > Ratio::from_integer(0)).then_some(Ppi(ppi))
    }

    /// Returns the density of `px` pixels spread over a length; `None` if either is zero.
    pub fn over(px: u32, length: Length) -> Option<Ppi> {
        (px > 0 && length > Length::ZERO).then(|| Ppi(Ratio::from_integer(i128::from(px)) / length.inches()))
    }

    /// Returns the exact ratio.
    pub fn ratio(self) -> Ratio<i128> {
        self.0
    }

    /// Returns a float, for output.
    pub fn as_f64(self) -> f64 {
        *self.0.numer() as f64 / *self.0.denom() as f64
    }

    /// Multiplies the density by a share, such as 0.99 for a tolerance of one per cent; `share` is greater than zero.
    pub fn times(self, share: Ratio<i128>) -> Ppi {
        Ppi(self.0 * share)
    }

    /// Returns the pixels that a length needs, rounded to the nearest as exporters do; at least 1.
    pub fn pixels(self, length: Length) -> u32 {
        let px = (self.0 * length.inches()).round().to_integer();
        u32::try_from(px.max(1)).unwrap_or(u32::MAX)
    }

    /// Returns the pixels that a length needs, before rounding.
    pub fn pixels_exact(self, length: Length) -> Ratio<i128> {
        self.0 * length.inches()
    }

    /// Returns the length that `px` pixels cover.
    pub fn length_of(self, px: u32) -> Length {
        let nm = (Ratio::from_integer(i128::from(px)) / self.0
            * Ratio::from_integer(i128::from(super::length::NM_PER_INCH)))
        .floor()
        .to_integer();
        Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX))
    }
}

/// Why a text is not a density.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DensityError {
    /// A number without a unit.
    #[error("\"{0}\" has no unit: write \"{0} ppi\"")]
    NoUnit(String),
    /// A unit that is not one of density.
    #[error("\"{0}\" is not a unit of resolution: use ppi (or px/cm)")]
    UnknownUnit(String),
    /// Not a number, or not above zero.
    #[error("\"{0}\" is not a resolution: write for example \"300 ppi\"")]
    NoNumber(String),
}

impl FromStr for Ppi {
    type Err = DensityError;

    /// Reads `300 ppi` or `118.11 px/cm`; `dpi` is accepted, since printers write it.
    fn from_str(text: &str) -> Result<Ppi, DensityError> {
        let text = text.trim();
        let at = text.find(char::is_alphabetic).ok_or_else(|| match number(text) {
            Some(_) => DensityError::NoUnit(text.to_owned()),
            None => DensityError::NoNumber(text.to_owned()),
        })?;
        let (count, sign) = (text[..at].trim(), text[at..].trim());
        let value = number(count).ok_or_else(|| DensityError::NoNumber(text.to_owned()))?;
        let ppi = match sign.to_ascii_lowercase().as_str() {
            "ppi" | "dpi" => value,
            "px/cm" => value * Ratio::new(CM_PER_INCH.0, CM_PER_INCH.1),
            _ => return Err(DensityError::UnknownUnit(sign.to_owned())),
        };
        if ppi > Ratio::from_integer(DENSEST) {
            return Err(DensityError::NoNumber(text.to_owned()));
        }
        Ppi::from_ratio(ppi).ok_or_else(|| DensityError::NoNumber(text.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(text: &str) -> Length {
        text.parse().unwrap()
    }

    #[test]
    fn eight_by_ten_inches_at_300_need_2400_by_3000_px() {
        // Source: arithmetic from the definition of the inch; and every lab's size table has it.
        let ppi = Ppi::whole(300);
        assert_eq!((ppi.pixels(inches("8 in")), ppi.pixels(inches("10 in"))), (2400, 3000));
    }

    #[test]
    fn pixels_are_rounded_to_the_nearest_as_exporters_do() {
        // A4 at 300 ppi: exact 2480.31 x 3507.87 (ISO 216: 210 x 297 mm).
        let ppi = Ppi::whole(300);
        assert_eq!((ppi.pixels(inches("210 mm")), ppi.pixels(inches("297 mm"))), (2480, 3508));
    }

    #[test]
    fn a_centimetre_density_is_the_same_density() {
        // 300 ppi = 118.110 px/cm (arithmetic).
        let ppi: Ppi = "118.11 px/cm".parse().unwrap();
        assert!((ppi.as_f64() - 300.0).abs() < 0.001);
    }

    #[test]
    fn an_invalid_density_is_refused_with_what_to_write() {
        let wrong = |text: &str| text.parse::<Ppi>().unwrap_err().to_string();
        assert_eq!(wrong("300"), "\"300\" has no unit: write \"300 ppi\"");
        assert!(wrong("300 lpi").contains("not a unit of resolution"));
        assert!(wrong("0 ppi").contains("not a resolution"));
        assert!(wrong("-1 ppi").contains("not a resolution"));
    }
}
