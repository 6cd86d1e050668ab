//! Formatting of numbers. Every number that a person sees is rounded here and nowhere else.

use std::fmt;

use num_rational::Ratio;

use super::{Length, LengthUnit, Ppi, Share};

/// Most decimals used to make a failing number differ from its limit.
const MAX_DECIMALS: usize = 6;

/// Formats a ratio with at most `decimals` decimals, rounded to the nearest, trailing zeros dropped.
pub fn decimal(value: Ratio<i128>, decimals: usize) -> String {
    let scale = 10_i128.pow(u32::try_from(decimals).unwrap_or(0));
    let scaled = (value * Ratio::from_integer(scale)).round().to_integer();
    let (whole, part) = (scaled.abs() / scale, scaled.abs() % scale);
    let sign = if scaled < 0 { "-" } else { "" };
    if part == 0 {
        return format!("{sign}{whole}");
    }
    let part = format!("{part:0decimals$}");
    format!("{sign}{whole}.{}", part.trim_end_matches('0'))
}

/// Formats two different numbers with as many decimals as it takes for them to differ, starting from `decimals`.
pub fn apart(value: Ratio<i128>, limit: Ratio<i128>, decimals: usize) -> (String, String) {
    for decimals in decimals..=MAX_DECIMALS {
        let (a, b) = (decimal(value, decimals), decimal(limit, decimals));
        if a != b || value == limit {
            return (a, b);
        }
    }
    let side = if value < limit { "just under" } else { "just over" };
    let limit = decimal(limit, decimals);
    (format!("{side} {limit}"), limit)
}

/// A thousandth of an inch, in nanometres. Source: the inch is 25.4 mm (international yard and pound agreement, 1959).
const MIL_NM: i64 = 25_400;

/// Returns the decimals of a length in each unit: a tenth of a millimetre; a thousandth of an inch, so that 1/8 in is
/// exact.
const fn length_decimals(unit: LengthUnit) -> usize {
    match unit {
        LengthUnit::Millimetre | LengthUnit::Point => 1,
        LengthUnit::Centimetre => 2,
        LengthUnit::Inch => 3,
        LengthUnit::Metre | LengthUnit::Foot => 4,
    }
}

/// Formats a length with its unit: `3 mm`, `0.125 in`. One that is whole in millimetres and not to a thousandth of an
/// inch was written in millimetres, and is shown so: `20 mm` instead of `0.787 in`.
pub fn length(length: Length, unit: LengthUnit) -> String {
    let is_metric = length.nm() % Length::from_mm(1).nm() == 0 && length.nm() % MIL_NM != 0;
    let unit = if unit == LengthUnit::Inch && is_metric { LengthUnit::Millimetre } else { unit };
    format!("{} {}", length_bare(length, unit), unit.sign())
}

impl fmt::Display for Length {
    /// Formats in millimetres with at most one decimal.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&length(*self, LengthUnit::Millimetre))
    }
}

/// Formats a length with its unit, rounded up: the distance that something has to be moved.
pub fn length_no_less(exact: Length, unit: LengthUnit) -> String {
    let scale = Ratio::from_integer(10_i128.pow(length_decimals(unit) as u32));
    let steps = (Ratio::from_integer(i128::from(exact.nm())) / unit.nm() * scale).ceil();
    format!("{} {}", decimal(steps / scale, length_decimals(unit)), unit.sign())
}

/// Formats a length without its unit, for the first of two.
pub fn length_bare(length: Length, unit: LengthUnit) -> String {
    let value = Ratio::from_integer(i128::from(length.nm())) / unit.nm();
    decimal(value, length_decimals(unit))
}

/// Formats a density: `300 ppi`, rounded to a whole number.
pub fn ppi(ppi: Ppi) -> String {
    format!("{} ppi", decimal(ppi.ratio(), 0))
}

/// Formats a density and the limit it fails, never as equal: `(239.6 ppi, 240)`.
pub fn ppi_apart(value: Ppi, limit: Ppi) -> (String, String) {
    let (a, b) = apart(value.ratio(), limit.ratio(), 0);
    (format!("{a} ppi"), b)
}

/// Rounds a measured number to millionths.
fn to_ratio(number: f64) -> Ratio<i128> {
    Ratio::new((number * 1e6).round() as i128, 1_000_000)
}

/// Formats a measured number and the limit it fails, with one decimal or as many as it takes for them to differ.
pub fn numbers_apart(value: f64, limit: f64) -> (String, String) {
    apart(to_ratio(value), to_ratio(limit), 1)
}

/// Formats a share as a percentage with at most one decimal: `16.7 %`.
pub fn share(share: Share) -> String {
    format!("{} %", decimal(share.ratio() * Ratio::from_integer(100), 1))
}

/// Formats a share and the limit it fails, never as equal.
pub fn shares_apart(value: Share, limit: Share) -> (String, String) {
    let hundred = Ratio::from_integer(100);
    let (a, b) = apart(value.ratio() * hundred, limit.ratio() * hundred, 1);
    (format!("{a} %"), format!("{b} %"))
}

/// Formats a measured number with the unit of a finding: `18.1 %` of a share, `250 ppi`, at most two decimals.
pub fn measured(value: f64, unit: &str) -> String {
    match unit {
        "share" => share(Share::measured(value)),
        "" => decimal(to_ratio(value), 2),
        _ => format!("{} {unit}", decimal(to_ratio(value), 2)),
    }
}

/// Formats a measured length on paper, to a hundredth of a millimetre: `0.15 mm`.
pub fn hundredths_mm(mm: f64) -> String {
    format!("{} mm", decimal(to_ratio(mm), 2))
}

/// Formats a measured length on paper and the limit it fails, never as equal, to a hundredth of a millimetre.
pub fn hundredths_mm_apart(mm: f64, limit_mm: f64) -> (String, String) {
    let (a, b) = apart(to_ratio(mm), to_ratio(limit_mm), 2);
    (format!("{a} mm"), format!("{b} mm"))
}

/// Formats the shares of a box for typing, with four decimals: `0.2,0.3,0.7,0.8`.
pub fn shares_typed(sides: [f64; 4]) -> String {
    sides.map(|side| ((side * 10_000.0).round() / 10_000.0).to_string()).join(",")
}

/// Formats width x height in pixels: `2551 x 3142 px`.
pub fn pixels(size: (u32, u32)) -> String {
    format!("{} x {} px", size.0, size.1)
}

/// Formats a count of bytes in decimal units, as operating systems and upload forms count them: `4.2 MB`.
pub fn bytes(bytes: u64) -> String {
    match bytes {
        0..1_000 => format!("{bytes} bytes"),
        1_000..1_000_000 => format!("{} kB", decimal(Ratio::new(i128::from(bytes), 1_000), 0)),
        1_000_000..1_000_000_000 => format!("{} MB", decimal(Ratio::new(i128::from(bytes), 1_000_000), 1)),
        _ => format!("{} GB", decimal(Ratio::new(i128::from(bytes), 1_000_000_000), 2)),
    }
}

/// Formats a count with its noun: `1 picture`, `3 pictures`.
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failing_number_is_never_printed_equal_to_its_limit() {
        let limit = Ratio::from_integer(240);
        assert_eq!(apart(Ratio::new(2399, 10), limit, 0), ("239.9".into(), "240".into()));
        assert_eq!(apart(Ratio::new(239_999_999_999, 1_000_000_000), limit, 0).0, "just under 240");
        assert_eq!(apart(Ratio::from_integer(214), limit, 0), ("214".into(), "240".into()));
    }

    #[test]
    fn trailing_zeros_are_dropped_and_signs_kept() {
        assert_eq!(decimal(Ratio::new(25, 10), 3), "2.5");
        assert_eq!(decimal(Ratio::new(-1, 8), 3), "-0.125");
        assert_eq!(decimal(Ratio::new(-1, 1000), 1), "0");
        assert_eq!(decimal(Ratio::from_integer(300), 0), "300");
    }

    #[test]
    fn lengths_are_shown_in_the_unit_requested() {
        assert_eq!(length(Length::from_mm(20), LengthUnit::Inch), "20 mm");
        assert_eq!(length(Length::from_mm(127), LengthUnit::Inch), "5 in");
        assert_eq!(length(Length::from_um(3_175), LengthUnit::Inch), "0.125 in");
        assert_eq!(length(Length::from_um(3_175), LengthUnit::Inch), "0.125 in");
        assert_eq!(length(Length::from_um(3_175), LengthUnit::Millimetre), "3.2 mm");
        assert_eq!(length_no_less(Length::from_um(3_110), LengthUnit::Millimetre), "3.2 mm");
        assert_eq!(length_no_less(Length::from_um(3_100), LengthUnit::Millimetre), "3.1 mm");
        assert_eq!(bytes(4_213_377), "4.2 MB");
    }
}
