//! The colours of a sheet that is printed: codes of its space for a colour, and other pictures' samples in its space.

use std::borrow::Cow;

use lcms2::{AllowCache, Flags, Intent, Profile, ThreadContext, Transform};

use super::builtin::grey_icc_bytes;
use super::to_screen::{format_of, profile_of, samples_per_pixel};
use super::{Encoding, PaperProfile, ProfileFault, ProfileSpace, Rgb, SampleSource};

/// Steps of 16 bits in one of 8.
const STEPS: f64 = 257.0;

/// The space of a sheet.
#[derive(Clone, Copy, Debug)]
pub enum SheetSpace<'a> {
    /// A known RGB encoding.
    Rgb(Encoding),
    /// Grey with the curve of sRGB.
    Grey,
    /// The printer's own.
    Paper(&'a PaperProfile),
}

/// A sheet's colours.
pub struct SheetColours<'a> {
    space: SheetSpace<'a>,
    profile: Vec<u8>,
}

/// Another picture's samples in the sheet's space.
pub struct ToSheet(SheetTransform);

enum SheetTransform {
    /// They are in it already.
    Same,
    /// The transform, and the engine's context that it lives in, which is dropped last.
    Engine { transform: Transform<u8, u8, ThreadContext, AllowCache>, from: usize, to: usize, _context: ThreadContext },
}

impl<'a> SheetColours<'a> {
    /// Creates the colours of a sheet in this space.
    pub fn new(space: SheetSpace<'a>) -> SheetColours<'a> {
        let profile = match space {
            SheetSpace::Rgb(encoding) => encoding.icc_bytes(),
            SheetSpace::Grey => grey_icc_bytes(),
            SheetSpace::Paper(paper) => paper.bytes().to_vec(),
        };
        SheetColours { space, profile }
    }

    /// Returns the profile that explains the codes: a file of the sheet embeds it.
    pub fn profile(&self) -> &[u8] {
        &self.profile
    }

    /// Returns the kind of the sheet's samples: grey, RGB or CMYK.
    pub fn sample_space(&self) -> ProfileSpace {
        match self.space {
            SheetSpace::Rgb(_) => ProfileSpace::Rgb,
            SheetSpace::Grey => ProfileSpace::Grey,
            SheetSpace::Paper(paper) => paper.facts().space,
        }
    }

    /// Returns the number of samples in a pixel.
    pub fn channels(&self) -> usize {
        samples_per_pixel(self.sample_space()).unwrap_or(3)
    }

    /// Returns the 8-bit codes of a colour, L*, a*, b* relative to the paper's white; inks count from no ink (0)
    /// upwards.
    pub fn codes(&self, colour: [f64; 3]) -> Vec<u8> {
        let rounded = |code: f64| code.round().clamp(0.0, 255.0) as u8;
        match self.space {
            SheetSpace::Rgb(encoding) => Rgb::new(encoding).codes(colour).map(rounded).to_vec(),
            SheetSpace::Grey => {
                let neutral = [colour[0], 0.0, 0.0];
                vec![rounded(Rgb::new(Encoding::Srgb).codes(neutral)[1])]
            }
            SheetSpace::Paper(paper) => {
                paper.codes(colour).into_iter().map(|code| rounded(f64::from(code) / STEPS)).collect()
            }
        }
    }

    /// Returns the nearest colour in the space's gamut.
    pub fn clip_to_gamut(&self, colour: [f64; 3]) -> [f64; 3] {
        match self.space {
            SheetSpace::Rgb(encoding) => Rgb::new(encoding).nearest_if_outside(colour).unwrap_or(colour),
            SheetSpace::Grey => [colour[0].clamp(0.0, 100.0), 0.0, 0.0],
            SheetSpace::Paper(paper) => paper.clip_to_gamut(&[colour])[0],
        }
    }

    /// Returns the conversion of samples with this meaning to the sheet's space: relative colorimetric with black point
    /// compensation, as an export converts. Samples of that space, or of the same model without a profile, stay as they
    /// are.
    ///
    /// # Errors
    /// Inks without a profile on a sheet of another space, or a profile that cannot be used.
    pub fn transform_from(&self, space: ProfileSpace, source: SampleSource<'_>) -> Result<ToSheet, ProfileFault> {
        if self.is_own(space, source) {
            return Ok(ToSheet(SheetTransform::Same));
        }
        let profile = match (profile_of(space, source)?, space) {
            (Some(profile), _) => profile,
            (None, ProfileSpace::Grey) => Cow::Owned(grey_icc_bytes()),
            (None, ProfileSpace::Rgb) => Cow::Owned(Encoding::Srgb.icc_bytes()),
            (None, _) => return Err(ProfileFault::new("nothing says what its inks mean")),
        };
        let context = ThreadContext::new();
        let from = Profile::new_icc_context(&context, &profile)?;
        let to = Profile::new_icc_context(&context, &self.profile)?;
        let (formats, intent) = ((format_of(space), format_of(self.sample_space())), Intent::RelativeColorimetric);
        let flags = Flags::BLACKPOINT_COMPENSATION;
        let transform = Transform::new_flags_context(&context, &from, formats.0, &to, formats.1, intent, flags);
        let (from, to) = (samples_per_pixel(space).unwrap_or(3), self.channels());
        Ok(ToSheet(SheetTransform::Engine { transform: transform?, from, to, _context: context }))
    }

    fn is_own(&self, space: ProfileSpace, source: SampleSource<'_>) -> bool {
        let silent = space == self.sample_space() && matches!(source, SampleSource::Nothing);
        silent
            || match (self.space, source) {
                (SheetSpace::Rgb(one), SampleSource::Encoding(other)) => one == other && space == ProfileSpace::Rgb,
                (SheetSpace::Paper(paper), SampleSource::Profile(bytes)) => paper.bytes() == bytes,
                _ => false,
            }
    }
}

impl ToSheet {
    /// True if samples stay as they are.
    pub fn is_same(&self) -> bool {
        matches!(self.0, SheetTransform::Same)
    }

    /// Converts interleaved 8-bit samples to the sheet's space.
    pub fn apply(&self, samples: Vec<u8>) -> Vec<u8> {
        match &self.0 {
            SheetTransform::Same => samples,
            SheetTransform::Engine { transform, from, to, .. } => {
                let pixels = samples.len() / from;
                let mut own = vec![0; pixels * to];
                transform.transform_pixels(&samples[..pixels * from], &mut own);
                own
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_colours_codes_mean_that_colour() {
        for encoding in Encoding::ALL {
            let (sheet, rgb) = (SheetColours::new(SheetSpace::Rgb(encoding)), Rgb::new(encoding));
            for light in (0..=100).step_by(5) {
                let codes = sheet.codes([f64::from(light), 0.0, 0.0]);
                let found = rgb.lab([0, 1, 2].map(|at| f64::from(codes[at])));
                assert!((found[0] - f64::from(light)).abs() < 0.35, "{encoding:?} {light}: {found:?}");
            }
        }
        // Source: IEC 61966-2-1: L* 50 is light 0.184 19, code 118.9.
        assert_eq!(SheetColours::new(SheetSpace::Grey).codes([50.0, 0.0, 0.0]), [119]);
    }

    #[test]
    fn samples_of_the_sheets_own_space_stay_untouched() {
        let sheet = SheetColours::new(SheetSpace::Rgb(Encoding::AdobeRgb));
        let way = |source| sheet.transform_from(ProfileSpace::Rgb, source).unwrap();
        assert!(way(SampleSource::Encoding(Encoding::AdobeRgb)).is_same() && way(SampleSource::Nothing).is_same());
        let own = way(SampleSource::Encoding(Encoding::Srgb)).apply(vec![255, 0, 0, 128, 128, 128]);
        // sRGB's red in Adobe RGB (1998), from the two published matrices: 218.9, 0, 0. Greys move with the curve.
        assert!(own[0].abs_diff(219) <= 1 && own[1] <= 1 && own[2] <= 1 && own[3].abs_diff(127) <= 1, "{own:?}");
    }

    #[test]
    fn grey_onto_rgb_stays_neutral_and_inks_without_a_profile_are_refused() {
        let sheet = SheetColours::new(SheetSpace::Rgb(Encoding::Srgb));
        let grey = sheet.transform_from(ProfileSpace::Grey, SampleSource::Nothing).unwrap().apply(vec![0, 100, 255]);
        assert!(
            grey.as_chunks::<3>()
                .0
                .iter()
                .zip([0u8, 100, 255])
                .all(|(rgb, wanted)| { rgb.iter().all(|code| code.abs_diff(wanted) <= 1) })
        );
        assert!(sheet.transform_from(ProfileSpace::Cmyk, SampleSource::Nothing).is_err());
    }
}
