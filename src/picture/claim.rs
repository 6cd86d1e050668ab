//! A colour space that a file claims without an embedded profile.

use crate::colour::Encoding;

/// A colour space that the file claims without a profile.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// What it claims.
    pub encoding: Encoding,
    /// Where it claims it.
    pub source: ClaimSource,
}

/// A field of a file that claims a colour space.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClaimSource {
    /// Exif's colour space.
    ExifColourSpace,
    /// Exif's interoperability index, R03.
    ExifInteroperability,
    /// A PNG's cICP chunk.
    PngCicp,
    /// A PNG's sRGB chunk.
    PngSrgb,
    /// A PNG's gamma and primaries.
    PngGamma,
}

impl ClaimSource {
    /// Returns its name.
    pub const fn name(self) -> &'static str {
        match self {
            ClaimSource::ExifColourSpace => "Exif colour space",
            ClaimSource::ExifInteroperability => "Exif interoperability R03",
            ClaimSource::PngCicp => "PNG cICP",
            ClaimSource::PngSrgb => "PNG sRGB chunk",
            ClaimSource::PngGamma => "PNG gAMA and cHRM",
        }
    }
}

impl Claim {
    /// True if it holds even against an embedded profile. Source: W3C PNG Third Edition, priority of colour chunks.
    pub fn outranks_profile(&self) -> bool {
        self.source == ClaimSource::PngCicp
    }
}
