//! The RGB encodings that a print file may carry, by their published numbers.

/// An RGB encoding recognised by primaries, white and curve, whatever a profile's name says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
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

    /// The name that export dialogs use.
    pub const fn name(self) -> &'static str {
        match self {
            Encoding::Srgb => "sRGB",
            Encoding::AdobeRgb => "Adobe RGB (1998)",
            Encoding::DisplayP3 => "Display P3",
            Encoding::ProPhoto => "ProPhoto RGB",
            Encoding::EciRgbV2 => "eciRGB v2",
        }
    }

    /// The word in a brief and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Encoding::Srgb => "srgb",
            Encoding::AdobeRgb => "adobe rgb",
            Encoding::DisplayP3 => "display p3",
            Encoding::ProPhoto => "prophoto rgb",
            Encoding::EciRgbV2 => "eci rgb v2",
        }
    }
}
