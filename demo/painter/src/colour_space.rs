//! The encodings of finished pictures.

/// The RGB space in which a picture is encoded, which also sets how saturated it is developed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColourSpace {
    /// sRGB: IEC 61966-2-1.
    Srgb,
    /// Adobe RGB (1998), developed with more saturation, so that greens leave sRGB
    /// (its reds cannot: the two share that primary).
    AdobeRgb,
}

impl ColourSpace {
    /// Returns the factor on the distance from grey in linear light; found by trial on a screen.
    pub(crate) fn saturation(self) -> f32 {
        match self {
            ColourSpace::Srgb => 1.12,
            ColourSpace::AdobeRgb => 1.36,
        }
    }

    /// Encodes a linear level (0..1) to a level in 0..1.
    pub fn encode(self, level: f32) -> f32 {
        match self {
            // IEC 61966-2-1.
            ColourSpace::Srgb if level < 0.003_130_8 => 12.92 * level,
            ColourSpace::Srgb => 1.055 * level.powf(1.0 / 2.4) - 0.055,
            // Adobe RGB (1998): gamma 563/256.
            ColourSpace::AdobeRgb => level.powf(256.0 / 563.0),
        }
    }

    /// Decodes an encoded level (0..1) to a linear one (0..1).
    pub fn decode(self, level: f32) -> f32 {
        match self {
            ColourSpace::Srgb if level < 0.040_45 => level / 12.92,
            ColourSpace::Srgb => ((level + 0.055) / 1.055).powf(2.4),
            ColourSpace::AdobeRgb => level.powf(563.0 / 256.0),
        }
    }
}
