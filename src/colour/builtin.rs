//! Profiles of our own, written from the published numbers of an encoding.
//!
//! Knows no foreign profile.

use std::sync::OnceLock;

use lcms2::{CIExyY, CIExyYTRIPLE, Locale, MLU, Profile, Tag, TagSignature, ToneCurve};

use super::Encoding;
use super::encoding::{Curve, D50_XY};

/// Where a header holds the date and the platform on which it was made: they would make equal profiles differ.
/// Source: ICC.1:2022 section 7.2.
const DATE: std::ops::Range<usize> = 24..36;
const PLATFORM: std::ops::Range<usize> = 40..44;
/// The profile's copyright: published numbers have none.
const COPYRIGHT: &str = "No copyright, use freely";
/// What the grey profile is called.
const GREY_NAME: &str = "Grey, sRGB curve";

impl Encoding {
    /// Returns a matrix profile (ICC version 4) of this encoding, made from its published constants. The same bytes
    /// each time.
    pub fn icc_bytes(self) -> Vec<u8> {
        static MADE: [OnceLock<Vec<u8>>; Encoding::ALL.len()] = [const { OnceLock::new() }; Encoding::ALL.len()];
        MADE[self as usize].get_or_init(|| make(self)).clone()
    }
}

/// Returns a profile (ICC version 4) of grey samples whose curve is sRGB's. The same bytes each time.
pub fn grey_icc_bytes() -> Vec<u8> {
    static MADE: OnceLock<Vec<u8>> = OnceLock::new();
    let make = || {
        let curve = tone_curve(Encoding::Srgb.curve());
        let profile = Profile::new_gray(&xyy(D50_XY), &curve);
        labelled(profile.expect("the engine makes a profile of constants that are known to be sound"), GREY_NAME)
    };
    MADE.get_or_init(make).clone()
}

fn make(encoding: Encoding) -> Vec<u8> {
    let white = xyy(encoding.white_xy());
    let [red, green, blue] = encoding.primaries_xy().map(xyy);
    let primaries = CIExyYTRIPLE { Red: red, Green: green, Blue: blue };
    let curve = tone_curve(encoding.curve());
    let profile = Profile::new_rgb(&white, &primaries, &[&curve, &curve, &curve])
        .expect("the engine makes a profile of constants that are known to be sound");
    labelled(profile, encoding.name())
}

/// Returns the bytes of a profile with its name and rights, and without a date.
fn labelled(mut profile: Profile, name: &str) -> Vec<u8> {
    for (signature, text) in [(TagSignature::ProfileDescriptionTag, name), (TagSignature::CopyrightTag, COPYRIGHT)] {
        let mut words = MLU::new(1);
        words.set_text(text, Locale::none());
        profile.write_tag(signature, Tag::MLU(&words));
    }
    let mut bytes = profile.icc().expect("a profile of a few tags fits into memory");
    bytes[DATE].fill(0);
    bytes[PLATFORM].fill(0);
    bytes
}

fn xyy([x, y]: [f64; 2]) -> CIExyY {
    CIExyY { x, y, Y: 1.0 }
}

fn tone_curve(curve: Curve) -> ToneCurve {
    let Curve { gamma, a, b, slope, from } = curve;
    let made = if curve == Curve::power(gamma) {
        ToneCurve::new_parametric(1, &[gamma])
    } else {
        ToneCurve::new_parametric(4, &[gamma, a, b, slope, from])
    };
    made.expect("curve types 1 and 4 with their parameters are known to the engine")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::profile;

    #[test]
    fn every_encoding_is_recognised_in_its_own_profile() {
        for encoding in Encoding::ALL {
            let facts = profile::read(&encoding.icc_bytes()).unwrap();
            assert_eq!((facts.known_as, facts.description.as_str()), (Some(encoding), encoding.name()));
            assert_eq!((facts.class, facts.space), (profile::ProfileClass::Display, profile::ProfileSpace::Rgb));
        }
    }

    #[test]
    fn the_bytes_hold_no_date() {
        for encoding in Encoding::ALL {
            assert_eq!(make(encoding), encoding.icc_bytes());
            assert_eq!(encoding.icc_bytes()[DATE], [0; 12]);
        }
    }
}
