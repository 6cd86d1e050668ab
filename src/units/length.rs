//! Lengths on paper: whole nanometres, so that 1/64 in and 0.1 mm are both exact.

use std::iter::Sum;
use std::ops::{Add, Mul, Neg, Sub};
use std::str::FromStr;

use num_rational::Ratio;

/// Nanometres in an inch: 25.4 mm by definition (international yard and pound agreement, 1959).
pub const NM_PER_INCH: i64 = 25_400_000;
/// Millimetres in an inch.
pub const MM_PER_INCH: f64 = 25.4;
/// Nanometres in a millimetre.
pub const NM_PER_MM: i64 = 1_000_000;
/// Points in an inch, as page-layout programs count them: 1 pt = 1/72 in.
const POINTS_PER_INCH: i64 = 72;
/// Inches in a foot.
const INCHES_PER_FOOT: i64 = 12;
/// The longest length that a brief may give: 100 m. Keeps products of two lengths and a density inside an `i128`.
const MAX_NM: i64 = 100_000 * NM_PER_MM;

/// A length on paper in whole nanometres; negative only where it is a difference.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

/// A unit in which a length is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum LengthUnit {
    /// Millimetre, the unit of European printers.
    #[default]
    Millimetre,
    /// Centimetre.
    Centimetre,
    /// Metre.
    Metre,
    /// Inch of 25.4 mm.
    Inch,
    /// Foot of 12 in.
    Foot,
    /// Point of 1/72 in.
    Point,
}

impl LengthUnit {
    /// Returns the symbol written after the number.
    pub const fn sign(self) -> &'static str {
        match self {
            LengthUnit::Millimetre => "mm",
            LengthUnit::Centimetre => "cm",
            LengthUnit::Metre => "m",
            LengthUnit::Inch => "in",
            LengthUnit::Foot => "ft",
            LengthUnit::Point => "pt",
        }
    }

    /// Returns nanometres per unit.
    pub fn nm(self) -> Ratio<i128> {
        match self {
            LengthUnit::Millimetre => Ratio::from_integer(NM_PER_MM.into()),
            LengthUnit::Centimetre => Ratio::from_integer((10 * NM_PER_MM).into()),
            LengthUnit::Metre => Ratio::from_integer((1_000 * NM_PER_MM).into()),
            LengthUnit::Inch => Ratio::from_integer(NM_PER_INCH.into()),
            LengthUnit::Foot => Ratio::from_integer((INCHES_PER_FOOT * NM_PER_INCH).into()),
            LengthUnit::Point => Ratio::new(NM_PER_INCH.into(), POINTS_PER_INCH.into()),
        }
    }

    /// True for inches and feet: lengths beside one in this unit are shown in inches too.
    pub const fn is_of_inches(self) -> bool {
        matches!(self, LengthUnit::Inch | LengthUnit::Foot)
    }

    /// Reads a unit symbol; the inch is also accepted as `"`, `inch` and `inches`, the foot as `'`, `foot` and `feet`.
    pub fn from_sign(sign: &str) -> Option<LengthUnit> {
        Some(match sign.to_ascii_lowercase().as_str() {
            "mm" => LengthUnit::Millimetre,
            "cm" => LengthUnit::Centimetre,
            "in" | "inch" | "inches" | "\"" | "″" => LengthUnit::Inch,
            "m" | "metre" | "metres" | "meter" | "meters" => LengthUnit::Metre,
            "ft" | "foot" | "feet" | "'" | "′" => LengthUnit::Foot,
            "pt" => LengthUnit::Point,
            _ => return None,
        })
    }
}

impl Length {
    /// Zero length.
    pub const ZERO: Length = Length(0);

    /// Creates a length from nanometres.
    pub const fn from_nm(nm: i64) -> Length {
        Length(nm)
    }

    /// Creates a length from micrometres.
    pub const fn from_um(um: i64) -> Length {
        Length(um * 1_000)
    }

    /// Creates a length from whole millimetres.
    pub const fn from_mm(mm: i64) -> Length {
        Length(mm * NM_PER_MM)
    }

    /// Returns the length in nanometres.
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// Returns the length in millimetres, for output and for comparisons that need not be exact.
    pub fn mm(self) -> f64 {
        self.0 as f64 / NM_PER_MM as f64
    }

    /// Returns the length in inches, exactly.
    pub fn inches(self) -> Ratio<i128> {
        Ratio::new(self.0.into(), NM_PER_INCH.into())
    }

    /// Returns half of this length, rounded down to a nanometre.
    pub const fn half(self) -> Length {
        Length(self.0 / 2)
    }

    /// Returns `share` of this length, rounded to the nearest nanometre.
    pub fn scaled(self, share: Ratio<i128>) -> Length {
        let nm = (Ratio::from_integer(i128::from(self.0)) * share).round().to_integer();
        Length(i64::try_from(nm).unwrap_or(i64::MAX))
    }

    /// Rounds down to a multiple of `step`, which is greater than zero.
    pub fn floor_to(self, step: Length) -> Length {
        Length(self.0.div_euclid(step.0) * step.0)
    }

    /// Returns the larger of zero and this length.
    pub fn at_least_zero(self) -> Length {
        self.max(Length::ZERO)
    }

    /// Returns the absolute difference of two lengths.
    pub fn distance(self, other: Length) -> Length {
        Length((self.0 - other.0).abs())
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, times: i64) -> Length {
        Length(self.0 * times)
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, Add::add)
    }
}

/// Why a text is not a length.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    /// A number without a unit.
    #[error("\"{0}\" has no unit: write \"{0} mm\", \"{0} cm\" or \"{0} in\"")]
    NoUnit(String),
    /// A unit that is not supported.
    #[error("\"{0}\" is not a unit of length: use mm, cm, m, in, ft or pt")]
    UnknownUnit(String),
    /// The text before the unit is not a number.
    #[error("\"{0}\" is not a number: write for example \"3 mm\", \"0.5 in\" or \"1/8 in\"")]
    NoNumber(String),
    /// A number below zero.
    #[error("\"{0}\" is below zero")]
    Negative(String),
    /// A length beyond 100 m.
    #[error("\"{0}\" is longer than 100 m")]
    TooLong(String),
}

impl FromStr for Length {
    type Err = LengthError;

    /// Reads `3 mm`, `0.5in`, `1/8 in`, `1 1/4 in`, `12 pt`.
    fn from_str(text: &str) -> Result<Length, LengthError> {
        parse(text).map(|(length, _)| length)
    }
}

/// Reads a length and the unit it was written in.
///
/// # Errors
/// See [`LengthError`].
pub fn parse(text: &str) -> Result<(Length, LengthUnit), LengthError> {
    let text = text.trim();
    let at =
        text.find(|c: char| c.is_alphabetic() || ['"', '″', '\'', '′', '%'].contains(&c)).ok_or_else(
            || match number(text) {
                Some(_) => LengthError::NoUnit(text.to_owned()),
                None => LengthError::NoNumber(text.to_owned()),
            },
        )?;
    let (count, sign) = text.split_at(at);
    let unit = LengthUnit::from_sign(sign.trim()).ok_or_else(|| LengthError::UnknownUnit(sign.trim().to_owned()))?;
    Ok((in_unit(count, unit)?, unit))
}

/// Reads a bare number as a length in `unit`.
///
/// # Errors
/// See [`LengthError`].
pub fn in_unit(count: &str, unit: LengthUnit) -> Result<Length, LengthError> {
    let count = count.trim();
    let value = number(count).ok_or_else(|| LengthError::NoNumber(count.to_owned()))?;
    if value < Ratio::from_integer(0) {
        return Err(LengthError::Negative(count.to_owned()));
    }
    if value > Ratio::from_integer(i128::from(MAX_NM)) / unit.nm() {
        return Err(LengthError::TooLong(format!("{count} {}", unit.sign())));
    }
    let nm = (value * unit.nm()).round().to_integer();
    i64::try_from(nm).map(Length).map_err(|_| LengthError::TooLong(count.to_owned()))
}

/// Fractions that have a character of their own.
const FRACTIONS: [(char, &str); 9] = [
    ('½', "1/2"),
    ('¼', "1/4"),
    ('¾', "3/4"),
    ('⅓', "1/3"),
    ('⅔', "2/3"),
    ('⅛', "1/8"),
    ('⅜', "3/8"),
    ('⅝', "5/8"),
    ('⅞', "7/8"),
];

/// Reads `12`, `0.5`, `1/8`, `1 1/4`, `1-1/4` or `1¼` exactly; `None` for anything else. The numbers of a fraction are
/// whole: decimals there are not usual, and their products would leave an `i128`.
pub fn number(text: &str) -> Option<Ratio<i128>> {
    let text = text.trim();
    if let Some((before, fraction)) = FRACTIONS.iter().find_map(|(sign, one)| Some((text.strip_suffix(*sign)?, one))) {
        return number(&format!("{} {fraction}", before.trim_end()));
    }
    let (negative, text) = match text.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text),
    };
    let value = match text.split_once([' ', '-']) {
        Some((count, part)) if part.contains('/') => whole(count)? + fraction(part)?,
        Some(_) => return None,
        None if text.contains('/') => fraction(text)?,
        None => decimal(text)?,
    };
    Some(if negative { -value } else { value })
}

fn fraction(text: &str) -> Option<Ratio<i128>> {
    let (above, below) = text.split_once('/')?;
    let (above, below) = (whole(above.trim())?, whole(below.trim())?);
    (below != Ratio::from_integer(0)).then(|| above / below)
}

fn whole(text: &str) -> Option<Ratio<i128>> {
    decimal(text).filter(|_| !text.contains('.'))
}

/// Most digits on either side of the point; more would mean nothing on paper and could overflow.
const MAX_DIGITS: usize = 12;

fn decimal(text: &str) -> Option<Ratio<i128>> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |s: &str| s.len() <= MAX_DIGITS && s.bytes().all(|b| b.is_ascii_digit());
    if (whole.is_empty() && part.is_empty()) || !digits(whole) || !digits(part) {
        return None;
    }
    let all: i128 = format!("{whole}{part}").parse().ok()?;
    Some(Ratio::new(all, 10_i128.pow(u32::try_from(part.len()).ok()?)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Length {
        text.parse().unwrap()
    }

    #[test]
    fn an_inch_is_exactly_25_4_mm() {
        // Source: international yard and pound agreement, 1959; also ISO 80000-3. From memory, exact by definition.
        assert_eq!(read("1 in"), Length::from_um(25_400));
        assert_eq!(read("1/64 in").nm(), 396_875);
        assert_eq!(read("1/8 in"), Length::from_um(3_175));
    }

    #[test]
    fn lengths_are_read_in_every_unit_and_shape() {
        assert_eq!(read("3mm"), Length::from_mm(3));
        assert_eq!(read("1.5 cm"), Length::from_mm(15));
        assert_eq!(read("1 1/4 in"), Length::from_um(31_750));
        assert_eq!(read("2\""), Length::from_um(50_800));
        assert_eq!(read("72 pt"), read("1 in"));
        assert_eq!((read("1.5 m"), read("2 ft"), read("2'")), (Length::from_mm(1_500), read("24 in"), read("24 in")));
        assert_eq!((read("8½ in"), read("8 ½\""), read("¼ in")), (read("8 1/2 in"), read("8.5 in"), read("0.25 in")));
        assert_eq!(read(".5 in"), Length::from_um(12_700));
    }

    #[test]
    fn an_invalid_length_is_refused_with_what_to_write() {
        let wrong = |text: &str| text.parse::<Length>().unwrap_err().to_string();
        assert_eq!(wrong("3"), "\"3\" has no unit: write \"3 mm\", \"3 cm\" or \"3 in\"");
        assert_eq!(wrong("3 px"), "\"px\" is not a unit of length: use mm, cm, m, in, ft or pt");
        assert!(wrong("8 ½½ in").contains("not a number"));
        assert!(wrong("three mm").contains("not a unit of length") || wrong("three mm").contains("not a number"));
        assert!(wrong("1/0 in").contains("not a number"));
        // The sum of these two would overflow.
        let long = "999999999999.999999999999";
        assert!(wrong(&format!("{long} {long}/{long} in")).contains("not a number"));
        assert!(wrong("-3 mm").contains("below zero"));
        assert!(wrong("101000 mm").contains("longer than 100 m"));
        assert!(wrong("999999999999999999999999 mm").contains("not a number"));
        assert!(wrong("").contains("not a number"));
    }
}
