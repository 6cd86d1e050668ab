//! The RGB encodings that a print file may carry, by their published numbers.
//!
//! Knows no profile format; `colour/builtin.rs` writes profiles from these numbers, `colour/profile/recognise.rs` finds
//! them in foreign ones.

use serde::{Deserialize, Serialize};

/// An RGB encoding recognised by primaries, white and curve, whatever a profile's name says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Encoding {
    /// IEC 61966-2-1:1999.
    Srgb,
    /// Adobe RGB (1998) colour image encoding, 2005-05.
    AdobeRgb,
    /// ICC registry: primaries of SMPTE RP 431-2, white D65, the sRGB curve.
    DisplayP3,
    /// ISO 22028-2:2013, ROMM RGB, also called ProPhoto RGB.
    ProPhoto,
    /// ISO/TS 22028-4:2012, eciRGB v2.
    EciRgbV2,
}

impl Encoding {
    /// Every encoding we recognise.
    pub const ALL: [Encoding; 5] =
        [Encoding::Srgb, Encoding::AdobeRgb, Encoding::DisplayP3, Encoding::ProPhoto, Encoding::EciRgbV2];

    /// Returns the name that export dialogs use.
    pub const fn name(self) -> &'static str {
        match self {
            Encoding::Srgb => "sRGB",
            Encoding::AdobeRgb => "Adobe RGB (1998)",
            Encoding::DisplayP3 => "Display P3",
            Encoding::ProPhoto => "ProPhoto RGB",
            Encoding::EciRgbV2 => "eciRGB v2",
        }
    }

    /// Returns the word in a brief and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Encoding::Srgb => "srgb",
            Encoding::AdobeRgb => "adobe rgb",
            Encoding::DisplayP3 => "display p3",
            Encoding::ProPhoto => "prophoto rgb",
            Encoding::EciRgbV2 => "eci rgb v2",
        }
    }

    /// Returns the CIE 1931 xy of the red, green and blue primary. Source: the standard named at each variant.
    pub const fn primaries_xy(self) -> [[f64; 2]; 3] {
        match self {
            Encoding::Srgb => [[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]],
            Encoding::AdobeRgb => [[0.64, 0.33], [0.21, 0.71], [0.15, 0.06]],
            Encoding::DisplayP3 => [[0.680, 0.320], [0.265, 0.690], [0.150, 0.060]],
            Encoding::ProPhoto => [[0.7347, 0.2653], [0.1596, 0.8404], [0.0366, 0.0001]],
            Encoding::EciRgbV2 => [[0.67, 0.33], [0.21, 0.71], [0.14, 0.08]],
        }
    }

    /// Returns the CIE 1931 xy of the white. Source: the standard named at each variant.
    pub const fn white_xy(self) -> [f64; 2] {
        match self {
            Encoding::Srgb | Encoding::AdobeRgb | Encoding::DisplayP3 => D65_XY,
            Encoding::ProPhoto | Encoding::EciRgbV2 => D50_XY,
        }
    }

    /// Returns the curve from code value to linear light, the same for all three channels.
    pub const fn curve(self) -> Curve {
        match self {
            Encoding::Srgb | Encoding::DisplayP3 => SRGB_CURVE,
            Encoding::AdobeRgb => ADOBE_RGB_CURVE,
            Encoding::ProPhoto => PROPHOTO_CURVE,
            Encoding::EciRgbV2 => L_STAR_CURVE,
        }
    }

    /// Returns the XYZ of red, green and blue at full strength, adapted to D50 by the Bradford matrix (ICC.1 Annex E):
    /// the colorants of a matrix profile. Computed from primaries and white, so `[red, green, blue][X, Y, Z]`.
    pub const fn colorants_d50(self) -> [[f64; 3]; 3] {
        match self {
            Encoding::Srgb => [
                [0.436_041_3, 0.222_484_5, 0.013_920_2],
                [0.385_112_9, 0.716_905_1, 0.097_067_2],
                [0.143_045_8, 0.060_610_4, 0.713_912_6],
            ],
            Encoding::AdobeRgb => [
                [0.609_740_8, 0.311_112_5, 0.019_465_4],
                [0.205_272_6, 0.625_675_1, 0.060_874_5],
                [0.149_186_7, 0.063_212_3, 0.744_560_1],
            ],
            Encoding::DisplayP3 => [
                [0.515_118_7, 0.241_189_2, -0.001_050_5],
                [0.291_977_8, 0.692_244_1, 0.041_879_1],
                [0.157_103_5, 0.066_566_8, 0.784_071_3],
            ],
            Encoding::ProPhoto => [
                [0.797_666_1, 0.288_037_0, 0.0],
                [0.135_192_3, 0.711_877_3, 0.0],
                [0.031_341_6, 0.000_085_6, 0.824_900_0],
            ],
            Encoding::EciRgbV2 => [
                [0.650_235_3, 0.320_265_1, 0.0],
                [0.178_082_3, 0.602_087_8, 0.067_840_9],
                [0.135_882_4, 0.077_647_1, 0.757_059_1],
            ],
        }
    }
}

/// White D65 as the RGB standards round it.
pub const D65_XY: [f64; 2] = [0.3127, 0.3290];
/// White D50 as ISO 22028-2 rounds it.
pub const D50_XY: [f64; 2] = [0.3457, 0.3585];

/// A curve from code value to linear light, both 0 to 1: `(a v + b) ^ gamma` from `from` upwards, `slope v` below.
/// The form is that of an ICC parametric curve, function 3 (ICC.1:2022 section 10.18).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    /// The exponent.
    pub gamma: f64,
    /// Factor inside the power.
    pub a: f64,
    /// Offset inside the power.
    pub b: f64,
    /// Slope of the straight piece.
    pub slope: f64,
    /// The code value, 0 to 1, at which the power begins.
    pub from: f64,
}

impl Curve {
    /// Creates a curve that is a plain power.
    pub const fn power(gamma: f64) -> Curve {
        Curve { gamma, a: 1.0, b: 0.0, slope: 0.0, from: 0.0 }
    }

    /// Returns the linear light of a code value, both 0 to 1.
    pub fn linear(self, code: f64) -> f64 {
        if code >= self.from { (self.a * code + self.b).max(0.0).powf(self.gamma) } else { self.slope * code }
    }

    /// Returns the code value of linear light, both 0 to 1.
    pub fn code(self, light: f64) -> f64 {
        let power = (light.max(0.0).powf(1.0 / self.gamma) - self.b) / self.a;
        if power >= self.from { power } else { light / self.slope }
    }
}

/// Source: IEC 61966-2-1:1999.
pub const SRGB_CURVE: Curve =
    Curve { gamma: 2.4, a: 1.0 / 1.055, b: 0.055 / 1.055, slope: 1.0 / 12.92, from: 0.040_45 };
/// 2 + 51/256. Source: Adobe RGB (1998) colour image encoding, 2005-05.
pub const ADOBE_RGB_CURVE: Curve = Curve::power(563.0 / 256.0);
/// 1.8 with a straight piece below 1/512 of the light. Source: ISO 22028-2:2013.
pub const PROPHOTO_CURVE: Curve = Curve { gamma: 1.8, a: 1.0, b: 0.0, slope: 1.0 / 16.0, from: 16.0 / 512.0 };
/// L* as a code value. Source: ICC registry entry of eciRGB (2008); ISO/TS 22028-4:2012.
pub const L_STAR_CURVE: Curve = Curve { gamma: 3.0, a: 1.0 / 1.16, b: 0.16 / 1.16, slope: 1.0 / 9.033, from: 0.08 };

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_found_again_from_its_light() {
        for encoding in Encoding::ALL {
            let curve = encoding.curve();
            for code in 0..=255 {
                let code = f64::from(code) / 255.0;
                let found = curve.code(curve.linear(code));
                assert!((found - code).abs() < 1e-4, "{encoding:?}: {found} against {code}");
            }
        }
    }

    #[test]
    fn curves_give_the_published_light() {
        // Source: the formulas of the standards, worked out independently (128 and 192 of 255).
        let wanted = [
            (Encoding::Srgb, 0.215_860_5, 0.527_115_1),
            (Encoding::AdobeRgb, 0.219_638_0, 0.535_760_4),
            (Encoding::DisplayP3, 0.215_860_5, 0.527_115_1),
            (Encoding::ProPhoto, 0.289_204_9, 0.600_025_7),
            (Encoding::EciRgbV2, 0.185_833_0, 0.487_477_3),
        ];
        for (encoding, mid, high) in wanted {
            assert!((encoding.curve().linear(128.0 / 255.0) - mid).abs() < 1e-6, "{encoding:?}");
            assert!((encoding.curve().linear(192.0 / 255.0) - high).abs() < 1e-6, "{encoding:?}");
        }
    }

    #[test]
    fn the_colorants_of_an_encoding_add_up_to_the_white_of_the_connection_space() {
        // Source: ICC.1:2022, profile connection space illuminant 0.9642, 1, 0.8249.
        for encoding in Encoding::ALL {
            let colorants = encoding.colorants_d50();
            for (axis, white) in [0.9642, 1.0, 0.8249].into_iter().enumerate() {
                let sum: f64 = colorants.iter().map(|colorant| colorant[axis]).sum();
                assert!((sum - white).abs() < 2e-4, "{encoding:?} axis {axis}: {sum}");
            }
        }
    }
}
