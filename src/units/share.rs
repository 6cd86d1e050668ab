//! Shares of a whole, written as percentages.

use std::str::FromStr;

use num_rational::Ratio;

use super::length::number;

/// A share of a whole; 1 is all of it. Exact, so that limits compare without rounding.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Share(Ratio<i128>);

/// The largest percentage that a brief may give: four inks at full strength.
const MAX_PERCENT: i128 = 400;

impl Share {
    /// Returns zero.
    pub fn zero() -> Share {
        Share(Ratio::from_integer(0))
    }

    /// Converts from hundredths.
    pub fn percent(percent: i128) -> Share {
        Share(Ratio::new(percent, 100))
    }

    /// Creates a share from a measured float, to the nearest billionth; NaN becomes zero.
    pub fn measured(share: f64) -> Share {
        const STEPS: f64 = 1e9;
        Share(Ratio::new((share * STEPS).round() as i128, STEPS as i128))
    }

    /// Converts an exact ratio.
    pub fn from_ratio(share: Ratio<i128>) -> Share {
        Share(share)
    }

    /// Returns the exact ratio.
    pub fn ratio(self) -> Ratio<i128> {
        self.0
    }

    /// Returns a float, for output.
    pub fn as_f64(self) -> f64 {
        *self.0.numer() as f64 / *self.0.denom() as f64
    }
}

/// Why a text is not a percentage.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ShareError {
    /// A number without a `%` sign.
    #[error("\"{0}\" has no unit: write \"{0} %\"")]
    NoUnit(String),
    /// Not a number from 0 to 400.
    #[error("\"{0}\" is not a percentage: write for example \"1 %\"")]
    NoNumber(String),
}

impl FromStr for Share {
    type Err = ShareError;

    /// Reads `1 %`, `0.5%`, `300 %`.
    fn from_str(text: &str) -> Result<Share, ShareError> {
        let text = text.trim();
        let Some(count) = text.strip_suffix('%') else {
            return Err(match number(text) {
                Some(_) => ShareError::NoUnit(text.to_owned()),
                None => ShareError::NoNumber(text.to_owned()),
            });
        };
        number(count)
            .filter(|v| *v >= Ratio::from_integer(0) && *v <= Ratio::from_integer(MAX_PERCENT))
            .map(|v| Share(v / Ratio::from_integer(100)))
            .ok_or_else(|| ShareError::NoNumber(text.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percentages_are_exact() {
        assert_eq!("0.5 %".parse::<Share>().unwrap(), Share::from_ratio(Ratio::new(1, 200)));
        assert_eq!("300%".parse::<Share>().unwrap().as_f64(), 3.0);
    }

    #[test]
    fn an_invalid_percentage_is_refused_with_what_to_write() {
        let wrong = |text: &str| text.parse::<Share>().unwrap_err().to_string();
        assert_eq!(wrong("15"), "\"15\" has no unit: write \"15 %\"");
        assert!(wrong("401 %").contains("not a percentage"));
        assert!(wrong("-1 %").contains("not a percentage"));
    }
}
