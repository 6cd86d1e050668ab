//! Converts measured numbers for `units::show`, which alone rounds them.

use num_rational::Ratio;

use crate::units::length::NM_PER_MM;
use crate::units::{Length, LengthUnit, Share, show};

/// Steps per unit: measured numbers are kept to a millionth, far finer than anything shown.
const STEPS: f64 = 1e6;

/// Converts a measured number to an exact one; NaN becomes zero.
fn exact(value: f64) -> Ratio<i128> {
    Ratio::new((value * STEPS).round() as i128, STEPS as i128)
}

/// Formats a share, 1 for all: `18.1 %`.
pub fn share(share: f64) -> String {
    show::share(Share::from_ratio(exact(share)))
}

/// Formats a share so that it differs from the limit it fails: `1.02 %` where 1 % is required.
pub fn share_apart(share: f64, limit: f64) -> String {
    show::shares_apart(Share::from_ratio(exact(share)), Share::from_ratio(exact(limit))).0
}

/// Formats a factor: `1.6 x`.
pub fn times(times: f64) -> String {
    format!("{} x", show::decimal(exact(times), 1))
}

/// Formats a lightness, 0 to 100: `L* 18`.
pub fn lightness(l: f64) -> String {
    format!("L* {}", show::decimal(exact(l), 0))
}

/// Formats a length on paper, given in millimetres, in `unit`.
pub fn length(mm: f64, unit: LengthUnit) -> String {
    show::length(exact_length(mm), unit)
}

/// Converts a measured length in millimetres, to the nearest nanometre.
pub fn exact_length(mm: f64) -> Length {
    Length::from_nm((mm * NM_PER_MM as f64).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measured_numbers_are_rounded_as_all_others() {
        assert_eq!(share(0.181_04), "18.1 %");
        assert_eq!((share_apart(0.010_2, 0.01), share_apart(0.181, 0.15)), ("1.02 %".into(), "18.1 %".into()));
        assert_eq!(times(1.6), "1.6 x");
        assert_eq!(lightness(17.6), "L* 18");
        assert_eq!(
            (length(25.4, LengthUnit::Inch), length(-3.26, LengthUnit::Millimetre)),
            ("1 in".into(), "-3.3 mm".into())
        );
        assert_eq!(share(f64::NAN), "0 %");
    }
}
