//! Colours as codes whose meaning is known by numbers: a picture's own, or those that its profile leads to. For
//! counting colours; the picture itself is never converted.

use lcms2::{DisallowCache, Flags, Intent, PixelFormat, Profile, ThreadContext, Transform};

use super::shown::{Source, profile_of};
use super::{Encoding, ProfileFault, ProfileSpace};

/// Steps of a mean at white: code 255 in steps of 1/256.
const WHITE_MEAN: u32 = 255 * 256;
/// The engine's white of 16 bits.
const WHITE_16: u32 = 65_535;
/// Bytes of a pixel that comes out.
const WIDE_BYTES: usize = 6;

/// What becomes of a picture's codes, so that questions can be asked of them.
pub enum ToCodes {
    /// They stay: RGB whose encoding is known, or asked for.
    Own,
    /// Grey without a profile: sRGB, three times the same.
    Thrice,
    /// Nothing: inks without a profile look like anything.
    Unknown,
    /// Through the picture's profile into [`ToCodes::WIDE`], relative colorimetric.
    Through(Through),
}

/// The way through a profile: 16-bit numbers, handed over as bytes.
pub struct Through {
    channels: usize,
    transform: Transform<u8, u8, ThreadContext, DisallowCache>,
    _context: ThreadContext,
}

impl ToCodes {
    /// The encoding that colours are taken into: wide enough for any paper, and known by its numbers.
    pub const WIDE: Encoding = Encoding::ProPhoto;

    /// For samples of a space.
    ///
    /// # Errors
    /// The profile is unsound, of another space than the samples, or not for pictures.
    pub fn new(space: ProfileSpace, source: Source<'_>) -> Result<ToCodes, ProfileFault> {
        match (space, source) {
            (ProfileSpace::Rgb, Source::Encoding(_) | Source::Nothing) => return Ok(ToCodes::Own),
            (ProfileSpace::Grey, Source::Encoding(_) | Source::Nothing) => return Ok(ToCodes::Thrice),
            _ => {}
        }
        let (format, channels) = match space {
            ProfileSpace::Rgb => (PixelFormat::RGB_16, 3),
            ProfileSpace::Grey => (PixelFormat::GRAY_16, 1),
            ProfileSpace::Cmyk => (PixelFormat::CMYK_16, 4),
            ProfileSpace::Lab | ProfileSpace::Other => return Ok(ToCodes::Unknown),
        };
        let Some(bytes) = profile_of(space, source)? else { return Ok(ToCodes::Unknown) };
        let fault = |error: lcms2::Error| ProfileFault::new(format!("the profile cannot be used: {error}"));
        let context = ThreadContext::new();
        let from = Profile::new_icc_context(&context, &bytes).map_err(fault)?;
        let wide = Profile::new_icc_context(&context, &ToCodes::WIDE.icc_bytes()).map_err(fault)?;
        let (intent, flags) = (Intent::RelativeColorimetric, Flags::NO_CACHE);
        let transform =
            Transform::new_flags_context(&context, &from, format, &wide, PixelFormat::RGB_16, intent, flags)
                .map_err(fault)?;
        Ok(ToCodes::Through(Through { channels, transform, _context: context }))
    }

    /// The encoding of what comes out; `None` where it is the picture's own, or nothing comes out.
    pub const fn encoding(&self) -> Option<Encoding> {
        match self {
            ToCodes::Own | ToCodes::Unknown => None,
            ToCodes::Thrice => Some(Encoding::Srgb),
            ToCodes::Through(_) => Some(ToCodes::WIDE),
        }
    }

    /// Interleaved codes in steps of 1/256 (white is 65,280), inks from no ink (0) upwards, to RGB in the same steps.
    pub fn apply(&self, codes: &[u16]) -> Vec<[u16; 3]> {
        match self {
            ToCodes::Own => codes.as_chunks::<3>().0.to_vec(),
            ToCodes::Thrice => codes.iter().map(|grey| [*grey; 3]).collect(),
            ToCodes::Unknown => Vec::new(),
            ToCodes::Through(Through { channels, transform, .. }) => {
                let full = codes.iter().flat_map(|code| scaled(*code, WHITE_MEAN, WHITE_16).to_ne_bytes());
                let full: Vec<u8> = full.collect();
                let mut wide = vec![0; codes.len() / channels * WIDE_BYTES];
                transform.transform_pixels(&full, &mut wide);
                let wide = wide.as_chunks::<WIDE_BYTES>().0.iter();
                wide.map(|&[r, s, g, h, b, c]| {
                    [[r, s], [g, h], [b, c]].map(|code| scaled(u16::from_ne_bytes(code), WHITE_16, WHITE_MEAN))
                })
                .collect()
            }
        }
    }
}

/// A number of one scale on another, rounded to the nearest.
fn scaled(code: u16, from: u32, to: u32) -> u16 {
    u16::try_from((u32::from(code).min(from) * to + from / 2) / from).unwrap_or(u16::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{Rgb, delta_e_2000};

    #[test]
    fn a_profile_leads_to_the_same_colours_in_wide_codes() {
        let bytes = Encoding::AdobeRgb.icc_bytes();
        let through = ToCodes::new(ProfileSpace::Rgb, Source::Profile(&bytes)).unwrap();
        assert_eq!(through.encoding(), Some(ToCodes::WIDE));
        let colours = [[0u16, 255, 0], [180, 60, 50], [12, 14, 90], [255; 3], [0; 3]];
        let found = through.apply(colours.map(|codes| codes.map(|code| code * 256)).as_flattened());
        for (codes, wide) in colours.iter().zip(found) {
            let wanted = Rgb::new(Encoding::AdobeRgb).lab(codes.map(f64::from));
            let is = Rgb::new(ToCodes::WIDE).lab(wide.map(|code| f64::from(code) / 256.0));
            assert!(delta_e_2000(wanted, is) < 0.1, "{codes:?}: {is:?} against {wanted:?}");
        }
    }

    #[test]
    fn what_is_known_stays_and_what_nobody_knows_is_nothing() {
        let own = ToCodes::new(ProfileSpace::Rgb, Source::Nothing).unwrap();
        assert_eq!((own.apply(&[1, 2, 3]), own.encoding()), (vec![[1, 2, 3]], None));
        let grey = ToCodes::new(ProfileSpace::Grey, Source::Nothing).unwrap();
        assert_eq!((grey.apply(&[7]), grey.encoding()), (vec![[7; 3]], Some(Encoding::Srgb)));
        let inks = ToCodes::new(ProfileSpace::Cmyk, Source::Nothing).unwrap();
        assert_eq!((inks.apply(&[1, 2, 3, 4]), inks.encoding()), (vec![], None));
    }
}
