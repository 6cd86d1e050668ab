//! Small pictures to sRGB, for looking at on a screen. Never for measuring.
//!
//! Knows samples and a source of their meaning, and nothing of the screen.

use std::borrow::Cow;

use lcms2::{AllowCache, Flags, Intent, PixelFormat, Profile, ThreadContext, Transform};

use super::profile::CheckedProfile;
use super::{Encoding, ProfileClass, ProfileFault, ProfileSpace};

/// What gives samples their meaning.
#[derive(Clone, Copy, Debug)]
pub enum SampleSource<'a> {
    /// A recognised encoding: our own profile of it.
    Encoding(Encoding),
    /// The bytes of an embedded profile.
    Profile(&'a [u8]),
    /// Nothing: grey and RGB are taken for sRGB, inks by the plain formula.
    Nothing,
}

/// Turns 8-bit samples into sRGB, relative colorimetric with black point compensation. May move between threads.
pub struct ToScreen {
    space: ProfileSpace,
    transform: ShownTransform,
}

enum ShownTransform {
    /// No engine: RGB as it is, grey thrice, inks by the plain formula.
    Plain,
    /// The transform, and the engine's context that it lives in, which is dropped last.
    Engine { transform: Transform<u8, u8, ThreadContext, AllowCache>, _context: ThreadContext },
}

impl ToScreen {
    /// Creates the transform of samples of a space: RGB, grey or CMYK, inks counted from no ink (0) upwards.
    ///
    /// # Errors
    /// The profile is unsound, of another space than the samples, or not for pictures.
    pub fn new(space: ProfileSpace, source: SampleSource<'_>) -> Result<ToScreen, ProfileFault> {
        if samples_per_pixel(space).is_none() {
            return Err(ProfileFault::new(format!("{} samples cannot be shown", space.word())));
        }
        let transform = match (source, profile_of(space, source)?) {
            (SampleSource::Encoding(Encoding::Srgb), _) | (_, None) => ShownTransform::Plain,
            (_, Some(bytes)) => engine(space, &bytes)?,
        };
        Ok(ToScreen { space, transform })
    }

    /// Converts interleaved samples to interleaved sRGB; samples beyond the last whole pixel are left out.
    pub fn apply(&self, samples: &[u8]) -> Vec<u8> {
        let per_pixel = samples_per_pixel(self.space).unwrap_or(3);
        let pixels = samples.len() / per_pixel;
        let samples = &samples[..pixels * per_pixel];
        match &self.transform {
            ShownTransform::Engine { transform, .. } => {
                let mut rgb = vec![0; pixels * 3];
                transform.transform_pixels(samples, &mut rgb);
                rgb
            }
            ShownTransform::Plain => match self.space {
                ProfileSpace::Grey => samples.iter().flat_map(|&grey| [grey; 3]).collect(),
                ProfileSpace::Cmyk => samples.as_chunks::<4>().0.iter().flat_map(|&inks| plain_pixel(inks)).collect(),
                _ => samples.to_vec(),
            },
        }
    }
}

/// Converts inks to RGB without a profile: white less the ink and the black. For looking only.
fn plain_pixel([c, m, y, k]: [u8; 4]) -> [u8; 3] {
    [c, m, y].map(|ink| 255 - ink.saturating_add(k))
}

/// Returns the bytes of the profile that explains samples; `None` where the engine is not asked.
pub(super) fn profile_of(space: ProfileSpace, source: SampleSource<'_>) -> Result<Option<Cow<'_, [u8]>>, ProfileFault> {
    let bytes = match source {
        SampleSource::Encoding(encoding) if space == ProfileSpace::Rgb => return Ok(Some(encoding.icc_bytes().into())),
        SampleSource::Nothing | SampleSource::Encoding(_) => return Ok(None),
        SampleSource::Profile(bytes) => bytes,
    };
    let checked = CheckedProfile::new(bytes)?;
    if checked.space() != space {
        return Err(ProfileFault::new(format!(
            "a {} profile cannot explain {} samples",
            checked.space().word(),
            space.word()
        )));
    }
    if matches!(checked.class(), ProfileClass::Link | ProfileClass::Other) {
        return Err(ProfileFault::new("a profile of this class cannot explain a picture"));
    }
    Ok(Some(checked.bytes().into()))
}

/// Returns how the engine takes 8-bit samples of a space.
pub(super) const fn format_of(space: ProfileSpace) -> PixelFormat {
    match space {
        ProfileSpace::Grey => PixelFormat::GRAY_8,
        ProfileSpace::Cmyk => PixelFormat::CMYK_8,
        _ => PixelFormat::RGB_8,
    }
}

pub(super) fn samples_per_pixel(space: ProfileSpace) -> Option<usize> {
    match space {
        ProfileSpace::Grey => Some(1),
        ProfileSpace::Rgb => Some(3),
        ProfileSpace::Cmyk => Some(4),
        ProfileSpace::Lab | ProfileSpace::Other => None,
    }
}

fn engine(space: ProfileSpace, checked_bytes: &[u8]) -> Result<ShownTransform, ProfileFault> {
    let context = ThreadContext::new();
    let from = Profile::new_icc_context(&context, checked_bytes)?;
    let to = Profile::new_icc_context(&context, &Encoding::Srgb.icc_bytes())?;
    let transform = Transform::new_flags_context(
        &context,
        &from,
        format_of(space),
        &to,
        PixelFormat::RGB_8,
        Intent::RelativeColorimetric,
        Flags::BLACKPOINT_COMPENSATION,
    )?;
    Ok(ShownTransform::Engine { transform, _context: context })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn is_send<T: Send>() {}

    #[test]
    fn a_transform_may_move_to_a_worker() {
        is_send::<ToScreen>();
    }

    #[test]
    fn srgb_stays_unchanged_with_or_without_a_profile() {
        let ramp: Vec<u8> = (0..=254).collect();
        for source in [SampleSource::Nothing, SampleSource::Encoding(Encoding::Srgb)] {
            assert_eq!(ToScreen::new(ProfileSpace::Rgb, source).unwrap().apply(&ramp), ramp);
        }
    }

    #[test]
    fn wide_colours_come_out_as_the_published_matrices_say() {
        // Source: worked from the standards' primaries and curves: Adobe RGB (200, 60, 40) is sRGB (231.5, 57.4, 34.0).
        let to_screen = ToScreen::new(ProfileSpace::Rgb, SampleSource::Encoding(Encoding::AdobeRgb)).unwrap();
        let found = to_screen.apply(&[200, 60, 40]);
        for (found, wanted) in found.iter().zip([231.5, 57.4, 34.0]) {
            assert!((f64::from(*found) - wanted).abs() <= 2.0, "{found} against {wanted}");
        }
        assert_eq!(to_screen.apply(&[0, 0, 0, 255, 255, 255]), [0, 0, 0, 255, 255, 255]);
    }

    #[test]
    fn grey_and_inks_can_be_looked_at_without_a_profile() {
        assert_eq!(
            ToScreen::new(ProfileSpace::Grey, SampleSource::Nothing).unwrap().apply(&[7, 9]),
            [7, 7, 7, 9, 9, 9]
        );
        let inks = ToScreen::new(ProfileSpace::Cmyk, SampleSource::Nothing).unwrap();
        assert_eq!(inks.apply(&[0, 0, 0, 0, 255, 10, 0, 20, 0, 0, 0, 255]), [255, 255, 255, 0, 225, 235, 0, 0, 0]);
    }

    #[test]
    fn a_profile_of_another_space_is_refused() {
        let bytes = Encoding::AdobeRgb.icc_bytes();
        assert!(ToScreen::new(ProfileSpace::Cmyk, SampleSource::Profile(&bytes)).is_err());
        assert!(ToScreen::new(ProfileSpace::Rgb, SampleSource::Profile(&bytes[..200])).is_err());
        assert!(ToScreen::new(ProfileSpace::Rgb, SampleSource::Profile(&bytes)).is_ok());
    }
}
