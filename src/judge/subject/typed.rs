//! Typed boxes: shares, per cent, pixels or lengths on paper, all of the upright picture.

use num_rational::Ratio;

use crate::judge::placement::Placement;
use crate::judge::subject::Area;
use crate::units::length::{self, LengthError, number};
use crate::units::show;

/// The sides of a box in the order in which they are typed.
const SIDES: [&str; 4] = ["left", "top", "right", "bottom"];

/// The sizes that typed values refer to.
#[derive(Clone, Copy, Debug)]
pub struct Measure<'a> {
    /// Upright size of the picture in pixels.
    pub picture_px: (u32, u32),
    /// Its geometry on its print; `None` where no single print is meant: lengths on paper are then an error.
    pub placement: Option<&'a Placement>,
}

/// The direction of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Along {
    /// Across, from the left edge.
    Width,
    /// Down, from the top edge.
    Height,
}

/// The reason why a typed text is not a box. Holds foreign text: show it escaped.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TypedError {
    /// There are not four values.
    #[error("\"{0}\" is not a box: type left, top, right and bottom separated by commas, such as 20%,30%,70%,80%")]
    Parts(String),
    /// A value is not a place.
    #[error(
        "\"{0}\" is not a position: type a share (0.2), per cent (20%), pixels (400px) or a length on paper (12mm)"
    )]
    NoPlace(String),
    /// A number without a unit is more than 1.
    #[error("\"{0}\" has no unit and is more than the whole: type {0}px, {0}% or {0}mm")]
    NoUnit(String),
    /// A length on paper is used without one print.
    #[error(
        "\"{0}\" is a length on paper, and the picture is for none or several prints: name the one, or type shares, \
         per cent or pixels"
    )]
    NoPrint(String),
    /// A length cannot be read.
    #[error("{0}")]
    Length(LengthError),
    /// A value is outside the picture.
    #[error("{side} {text} lies outside the picture, which is {whole}")]
    Outside {
        /// The side concerned.
        side: &'static str,
        /// The value as typed.
        text: String,
        /// The picture's size in the same unit.
        whole: String,
    },
    /// Two sides are the wrong way round.
    #[error("{low} ({from}) must be less than {high} ({to}): both count from the picture's {low} edge")]
    Crossed {
        /// The side that should come first.
        low: &'static str,
        /// The side that should come after.
        high: &'static str,
        /// The first value as typed.
        from: String,
        /// The second value as typed.
        to: String,
    },
    /// Nothing is left of the box.
    #[error("\"{0}\" is smaller than a ten-thousandth of the picture: type a larger box")]
    Small(String),
}

/// Reads `LEFT,TOP,RIGHT,BOTTOM`; each value in its own unit, counted from the left or top edge.
///
/// # Errors
/// See [`TypedError`].
pub fn area(text: &str, measure: &Measure) -> Result<Area, TypedError> {
    let values: Vec<&str> = text.split(',').map(str::trim).collect();
    let [left, top, right, bottom] = values[..] else { return Err(TypedError::Parts(text.to_owned())) };
    let side = |at: usize, text: &str| {
        let along = if at.is_multiple_of(2) { Along::Width } else { Along::Height };
        let share = place(text, along, measure)?;
        if (Ratio::from_integer(0)..=Ratio::from_integer(1)).contains(&share) {
            return Ok(share);
        }
        let whole = whole_in_unit_of(text, along, measure);
        Err(TypedError::Outside { side: SIDES[at], text: text.to_owned(), whole })
    };
    let shares = [side(0, left)?, side(1, top)?, side(2, right)?, side(3, bottom)?];
    for (low, high) in [(0, 2), (1, 3)] {
        if shares[low] >= shares[high] {
            let (from, to) = (values[low].to_owned(), values[high].to_owned());
            return Err(TypedError::Crossed { low: SIDES[low], high: SIDES[high], from, to });
        }
    }
    let [left, top, right, bottom] = shares.map(|share| *share.numer() as f64 / *share.denom() as f64);
    let area = Area::new(left, top, right, bottom).and_then(Area::round);
    area.ok_or_else(|| TypedError::Small(text.to_owned()))
}

/// Reads one value as a share of the picture's width or height; may be below 0 or above 1.
///
/// # Errors
/// See [`TypedError`].
pub fn place(text: &str, along: Along, measure: &Measure) -> Result<Ratio<i128>, TypedError> {
    let text = text.trim();
    let no_place = || TypedError::NoPlace(text.to_owned());
    let px = Ratio::from_integer(i128::from(picture_px(along, measure).max(1)));
    if let Some(count) = text.strip_suffix('%') {
        return number(count).map(|count| count / Ratio::from_integer(100)).ok_or_else(no_place);
    }
    if let Some(count) = text.strip_suffix("px") {
        return number(count).map(|count| count / px).ok_or_else(no_place);
    }
    if let Some(share) = number(text) {
        let more = share > Ratio::from_integer(1);
        return if more { Err(TypedError::NoUnit(text.to_owned())) } else { Ok(share) };
    }
    let (length, _) = length::parse(text).map_err(|error| match error {
        LengthError::NoUnit(_) | LengthError::NoNumber(_) | LengthError::UnknownUnit(_) => no_place(),
        LengthError::Negative(_) | LengthError::TooLong(_) => TypedError::Length(error),
    })?;
    let fit = measure.placement.and_then(|placement| placement.fit.as_ref());
    let fit = fit.ok_or_else(|| TypedError::NoPrint(text.to_owned()))?;
    Ok(length.inches() * fit.density.ratio() / px)
}

fn picture_px(along: Along, measure: &Measure) -> u32 {
    match along {
        Along::Width => measure.picture_px.0,
        Along::Height => measure.picture_px.1,
    }
}

/// Returns the picture's width or height, in the unit that was typed.
fn whole_in_unit_of(text: &str, along: Along, measure: &Measure) -> String {
    let px = picture_px(along, measure);
    let word = match along {
        Along::Width => "wide",
        Along::Height => "high",
    };
    let fit = measure.placement.and_then(|placement| placement.fit.as_ref());
    match (length::parse(text), fit) {
        (Ok((_, unit)), Some(fit)) => format!("{} {word} on paper", show::length(fit.density.length_of(px), unit)),
        _ if text.ends_with("px") => format!("{px} px {word}"),
        _ => format!("100 % {word}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::print;

    const PX: (u32, u32) = (2000, 1000);

    fn read(text: &str) -> Result<Area, TypedError> {
        area(text, &Measure { picture_px: PX, placement: None })
    }

    fn wrong(text: &str) -> String {
        read(text).unwrap_err().to_string()
    }

    #[test]
    fn shares_per_cent_and_pixels_mean_the_same_and_mix() {
        let wanted = Area::new(0.2, 0.3, 0.7, 0.8).unwrap();
        for text in ["0.2,0.3,0.7,0.8", "20%, 30%, 70%, 80%", "400px,300px,1400px,800px", ".2,30 %,1400 px,4/5"] {
            assert_eq!(read(text), Ok(wanted), "{text}");
        }
        assert_eq!(read("0,0,1,1"), Ok(Area::new(0.0, 0.0, 1.0, 1.0).unwrap()));
    }

    #[test]
    fn lengths_are_those_of_the_print() {
        // Arithmetic: 2000 px over 10 in = 200 ppi; 2 in = 400 px = 0.2 of the width, 127 mm = 1000 px = the whole
        // height.
        let wide = print("[margins]\nedge = \"borderless\"\n[[print]]\nsize = \"10 x 5 in\"");
        let placement = Placement::of(&wide, PX);
        let measure = Measure { picture_px: PX, placement: Some(&placement) };
        assert_eq!(area("2in,0mm,101.6mm,127mm", &measure), Ok(Area::new(0.2, 0.0, 0.4, 1.0).unwrap()));
        let outside = area("2in,0,300mm,1", &measure).unwrap_err().to_string();
        assert_eq!(outside, "right 300mm lies outside the picture, which is 254 mm wide on paper");
        assert!(wrong("2in,0,3in,1").contains("none or several prints"));
    }

    #[test]
    fn an_invalid_box_is_refused_with_what_to_type() {
        assert!(wrong("0.2,0.3,0.7").contains("separated by commas"));
        assert!(wrong("0,2,0,3,0,7,0,8").contains("separated by commas"));
        assert!(wrong("400,0,1,1").contains("type 400px, 400% or 400mm"));
        assert!(wrong("a,0,1,1").contains("is not a position"));
        assert!(wrong("1e300%,0,1,1").contains("is not a position"));
        assert!(wrong("20%,0,1,1001px").contains("bottom 1001px lies outside the picture, which is 1000 px high"));
        assert!(wrong("-1%,0,1,1").contains("left -1% lies outside"));
        assert!(wrong("70%,0,20%,1").contains("left (70%) must be less than right (20%)"));
        assert!(wrong("0.2,0.5,0.3,0.5").contains("top (0.5) must be less than bottom (0.5)"));
        assert!(wrong("0.2,0.2,0.20001,0.4").contains("smaller than"));
    }
}
