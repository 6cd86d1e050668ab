//! How far two profiles are apart, whatever their bytes and names: the colours that both give a grid of samples.

use std::sync::Arc;

use lcms2::{Flags, Intent, PixelFormat, Profile, ThreadContext, Transform};

use super::engine_lab::{from_engine, white};
use super::profile::CheckedProfile;
use super::{ProfileSpace, delta_e_2000};

/// Steps of each channel that are compared: 5 x 5 x 5 x 5 colours of four inks.
const STEPS: usize = 5;
/// Full ink or light, in the engine's numbers of 8 bits.
const FULL: usize = 255;

/// The colours that a profile gives the grid: L*, a*, b* in the engine's numbers, relative colorimetric.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GridColours(Arc<[[u16; 3]]>);

/// How far two profiles are apart, in Delta E 2000.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProfileDistance {
    /// In the mean.
    pub mean: f64,
    /// At most.
    pub most: f64,
}

impl GridColours {
    /// Returns the colours of a grid of samples through a sound profile for grey, RGB or four inks; `None` where the
    /// engine cannot use it.
    pub(super) fn of(profile: &CheckedProfile<'_>) -> Option<GridColours> {
        let (channels, format) = match profile.space() {
            ProfileSpace::Grey => (1, PixelFormat::GRAY_8),
            ProfileSpace::Rgb => (3, PixelFormat::RGB_8),
            ProfileSpace::Cmyk => (4, PixelFormat::CMYK_8),
            ProfileSpace::Lab | ProfileSpace::Other => return None,
        };
        let count = STEPS.pow(channels);
        let code = |at: usize, channel: u32| (at / STEPS.pow(channel) % STEPS * FULL / (STEPS - 1)) as u8;
        let grid: Vec<u8> = (0..count).flat_map(|at| (0..channels).map(move |channel| code(at, channel))).collect();
        let context = ThreadContext::new();
        let from = Profile::new_icc_context(&context, profile.bytes()).ok()?;
        let lab = Profile::new_lab4_context(&context, &white()).ok()?;
        let (intent, flags) = (Intent::RelativeColorimetric, Flags::NO_CACHE | Flags::NO_OPTIMIZE);
        let way: Transform<u8, [u16; 3], _, _> =
            Transform::new_flags_context(&context, &from, format, &lab, PixelFormat::Lab_16, intent, flags).ok()?;
        let mut meant = vec![[0u16; 3]; count];
        way.transform_pixels(&grid, &mut meant);
        Some(GridColours(meant.into()))
    }

    /// Returns the distance to another; `None` where it is for other samples.
    pub fn distance(&self, other: &GridColours) -> Option<ProfileDistance> {
        if self.0.len() != other.0.len() {
            return None;
        }
        let differences =
            self.0.iter().zip(other.0.iter()).map(|(one, other)| delta_e_2000(from_engine(*one), from_engine(*other)));
        let (sum, most) = differences.fold((0.0, 0.0), |(sum, most), one| (sum + one, f64::max(most, one)));
        Some(ProfileDistance { mean: sum / self.0.len().max(1) as f64, most })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Encoding;

    fn meant(encoding: Encoding) -> GridColours {
        GridColours::of(&CheckedProfile::new(&encoding.icc_bytes()).unwrap()).unwrap()
    }

    #[test]
    fn a_profile_means_the_same_under_another_name_and_something_else_than_others() {
        let srgb = meant(Encoding::Srgb);
        let mut renamed = Encoding::Srgb.icc_bytes();
        let name = renamed.windows(4).position(|four| four == [0, b's', 0, b'R']).expect("its name, in UTF-16");
        renamed[name + 1] = b'S';
        let renamed = GridColours::of(&CheckedProfile::new(&renamed).unwrap()).unwrap();
        assert_eq!(srgb.distance(&renamed), Some(ProfileDistance { mean: 0.0, most: 0.0 }));
        let wide = srgb.distance(&meant(Encoding::AdobeRgb)).unwrap();
        assert!(wide.most > 5.0 && wide.mean > 2.0 && wide.mean < wide.most, "{wide:?}");
    }
}
