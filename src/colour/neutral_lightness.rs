//! L* of neutral pixels, code by code, through a picture's own encoding or profile.

use lcms2::{Flags, Intent, PixelFormat, Profile, ThreadContext, Transform};

use super::lab::lightness;
use super::profile::CheckedProfile;
use super::{Encoding, ProfileSpace, SampleSource};

/// Returns the L* of the neutral pixel of each 8-bit code. Inks are measured as the sRGB that they become, and samples
/// without a meaning are taken for sRGB, as are those whose profile the engine refuses.
pub fn lightness_of_codes(space: ProfileSpace, source: SampleSource<'_>) -> Box<[f32; 256]> {
    let by_encoding = |encoding: Encoding| {
        let light = |code: usize| encoding.curve().linear(code as f64 / 255.0);
        Box::new(std::array::from_fn(|code| lightness(light(code)) as f32))
    };
    match source {
        SampleSource::Encoding(encoding) => by_encoding(encoding),
        SampleSource::Profile(bytes) if matches!(space, ProfileSpace::Rgb | ProfileSpace::Grey) => {
            by_profile(space, bytes).unwrap_or_else(|| by_encoding(Encoding::Srgb))
        }
        SampleSource::Profile(_) | SampleSource::Nothing => by_encoding(Encoding::Srgb),
    }
}

fn by_profile(space: ProfileSpace, bytes: &[u8]) -> Option<Box<[f32; 256]>> {
    let checked = CheckedProfile::new(bytes).ok().filter(|checked| checked.space() == space)?;
    let context = ThreadContext::new();
    let from = Profile::new_icc_context(&context, checked.bytes()).ok()?;
    let to = Profile::new_lab4_context(&context, &lcms2::CIExyY { x: 0.3457, y: 0.3585, Y: 1.0 }).ok()?;
    let (format, samples) = match space {
        ProfileSpace::Grey => (PixelFormat::GRAY_8, 1),
        _ => (PixelFormat::RGB_8, 3),
    };
    let transform: Transform<u8, [f64; 3], _, _> = Transform::new_flags_context(
        &context,
        &from,
        format,
        &to,
        PixelFormat::Lab_DBL,
        Intent::RelativeColorimetric,
        Flags::NO_CACHE,
    )
    .ok()?;
    let codes: Vec<u8> = (0..=u8::MAX).flat_map(|code| std::iter::repeat_n(code, samples)).collect();
    let mut lab = vec![[0.0; 3]; 256];
    transform.transform_pixels(&codes, &mut lab);
    Some(Box::new(std::array::from_fn(|code| lab[code][0] as f32)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_encoding_and_its_profile_say_the_same() {
        for encoding in Encoding::ALL {
            let told = lightness_of_codes(ProfileSpace::Rgb, SampleSource::Encoding(encoding));
            let bytes = encoding.icc_bytes();
            let read = lightness_of_codes(ProfileSpace::Rgb, SampleSource::Profile(&bytes));
            let most = told.iter().zip(read.iter()).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
            assert!(most < 0.15, "{encoding:?}: {most}");
            assert_eq!((told[0], told[255]), (0.0, 100.0));
        }
    }

    #[test]
    fn samples_without_a_meaning_are_read_as_srgb() {
        let nothing = lightness_of_codes(ProfileSpace::Rgb, SampleSource::Nothing);
        // Source: IEC 61966-2-1 and CIE 15, worked out: code 128 is L* 53.585.
        assert!((nothing[128] - 53.585).abs() < 0.001);
        assert_eq!(nothing, lightness_of_codes(ProfileSpace::Rgb, SampleSource::Profile(&[1, 2, 3])));
    }
}
