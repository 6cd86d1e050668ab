//! Converts rows of any samples to 8 bits, grey or RGB, without alpha.

use crate::colour::ToScreen;
use crate::picture::facts::ColourModel;
use crate::picture::pixels::SampleLayout;

use super::box_downscaler::PixelSample;

/// Converts rows; keeps the memory of one.
pub struct RowConverter<'a> {
    layout: SampleLayout,
    to_screen: &'a ToScreen,
    codes: Vec<u8>,
    light: Vec<u8>,
}

/// A row of 8 bits without alpha.
pub struct EightBitRow<'r> {
    /// Grey or RGB.
    pub plain: &'r [u8],
    /// The picture's own codes: the same, or its inks.
    pub codes: &'r [u8],
}

impl<'a> RowConverter<'a> {
    /// Creates a converter for pictures of this layout. Inks become sRGB by `to_screen`, so that their lightness is
    /// that of their profile.
    pub fn new(layout: SampleLayout, to_screen: &'a ToScreen) -> RowConverter<'a> {
        RowConverter { layout, to_screen, codes: Vec::new(), light: Vec::new() }
    }

    /// Converts a row of 8-bit samples.
    pub fn of_eight<'r>(&'r mut self, samples: &'r [u8]) -> EightBitRow<'r> {
        if self.layout.model != ColourModel::Cmyk && !self.layout.has_alpha {
            return EightBitRow { plain: samples, codes: samples };
        }
        self.plain(samples, |sample| sample)
    }

    /// Converts a row of 16-bit samples.
    pub fn of_sixteen(&mut self, samples: &[u16]) -> EightBitRow<'_> {
        self.plain(samples, to_8_bits)
    }

    fn plain<S: PixelSample>(&mut self, samples: &[S], byte: impl Fn(S) -> u8) -> EightBitRow<'_> {
        let (channels, colours) = (self.layout.channels(), self.layout.colours());
        self.codes.clear();
        if channels == colours {
            self.codes.extend(samples.iter().map(|sample| byte(*sample)));
        } else {
            let pixels = samples.chunks_exact(channels);
            self.codes.extend(pixels.flat_map(|pixel| pixel[..colours].iter().map(|sample| byte(*sample))));
        }
        let codes = &self.codes;
        if self.layout.model != ColourModel::Cmyk {
            return EightBitRow { plain: codes, codes };
        }
        self.light = self.to_screen.apply(codes);
        EightBitRow { plain: &self.light, codes }
    }
}

/// Rounds a 16-bit sample to the nearest of 256 codes.
fn to_8_bits(sample: u16) -> u8 {
    ((u32::from(sample) * 255 + 32_895) >> 16) as u8
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{ProfileSpace, SampleSource};

    #[test]
    fn sixteen_bits_are_rounded_to_the_nearest_code() {
        // 65 535 = 257 x 255 (arithmetic).
        for code in 0..=255u16 {
            assert_eq!(to_8_bits(code * 257), code as u8);
            assert_eq!(to_8_bits((code * 257).saturating_add(128)), code as u8);
            assert_eq!(to_8_bits((code * 257).saturating_sub(128)), code as u8);
        }
    }

    #[test]
    fn alpha_is_left_out_and_inks_become_light() {
        let rgba = SampleLayout { width_px: 2, height_px: 1, model: ColourModel::Rgb, has_alpha: true };
        let rgb = ToScreen::new(ProfileSpace::Rgb, SampleSource::Nothing).unwrap();
        assert_eq!(RowConverter::new(rgba, &rgb).of_eight(&[1, 2, 3, 9, 4, 5, 6, 9]).plain, [1, 2, 3, 4, 5, 6]);
        let inks = SampleLayout { width_px: 2, height_px: 1, model: ColourModel::Cmyk, has_alpha: false };
        let to_screen = ToScreen::new(ProfileSpace::Cmyk, SampleSource::Nothing).unwrap();
        let mut plain = RowConverter::new(inks, &to_screen);
        let row = plain.of_eight(&[0, 0, 0, 0, 0, 0, 0, 255]);
        assert_eq!((row.plain, row.codes[7]), ([255, 255, 255, 0, 0, 0].as_slice(), 255));
    }
}
