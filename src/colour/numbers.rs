//! The colours of a picture for counting: its own RGB codes where their encoding is known, else L*, a*, b* through its
//! profile. The picture itself is never converted.

use lcms2::{DisallowCache, Flags, Intent, PixelFormat, Profile, ThreadContext, Transform};
use serde::{Deserialize, Serialize};

use super::engine_lab::{from_engine, white};
use super::rgb::Rgb;
use super::to_screen::{SampleSource, profile_of};
use super::{Encoding, ProfileFault, ProfileSpace};

/// Counted numbers hold codes (0 to 255) in steps of 1/256.
const STEPS: f64 = 256.0;
/// White as a code in steps of 1/256.
const WHITE_CODE: u32 = 255 * 256;
/// White in the engine's 16 bits.
const WHITE_16: u32 = 65_535;

/// How counted numbers are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum NumberMeaning {
    /// RGB codes of an encoding, in steps of 1/256 (white is 65,280).
    Codes(Encoding),
    /// L*, a*, b* in the engine's numbers (ICC.1:2022, 16-bit PCSLAB).
    Lab,
}

/// Reads counted numbers.
pub enum NumberReader {
    /// RGB codes.
    Codes(Rgb),
    /// L*, a*, b* in the engine's numbers.
    Lab,
}

impl NumberReader {
    /// Creates a reader of numbers with this meaning.
    pub fn new(numbers: NumberMeaning) -> NumberReader {
        match numbers {
            NumberMeaning::Codes(encoding) => NumberReader::Codes(Rgb::new(encoding)),
            NumberMeaning::Lab => NumberReader::Lab,
        }
    }

    /// Returns the L*, a*, b* of counted numbers, white D50.
    pub fn lab(&self, numbers: [u16; 3]) -> [f64; 3] {
        match self {
            NumberReader::Codes(rgb) => rgb.lab(numbers.map(|number| f64::from(number) / STEPS)),
            NumberReader::Lab => from_engine(numbers),
        }
    }
}

/// How a picture's codes are converted so that their colours can be computed.
pub enum NumberConversion {
    /// Unchanged: RGB whose encoding is known, or that has no profile.
    Unchanged,
    /// Grey without a profile: sRGB, the same code three times.
    GreyToRgb,
    /// None: the colours of inks without a profile are unknown.
    Unknown,
    /// Through the picture's profile into L*, a*, b*, relative colorimetric.
    ViaProfile(ProfileNumbers),
}

/// The transform through a profile.
pub struct ProfileNumbers {
    transform: NumberTransform,
    _context: ThreadContext,
}

enum NumberTransform {
    Grey(ToLab<1>),
    Rgb(ToLab<3>),
    Cmyk(ToLab<4>),
}

type ToLab<const N: usize> = Transform<[u16; N], [u16; 3], ThreadContext, DisallowCache>;

impl NumberConversion {
    /// Creates the conversion of samples of a space.
    ///
    /// # Errors
    /// The profile is unsound, of another space than the samples, or not for pictures.
    pub fn new(space: ProfileSpace, source: SampleSource<'_>) -> Result<NumberConversion, ProfileFault> {
        let bytes = match (space, source) {
            (ProfileSpace::Rgb, SampleSource::Encoding(_) | SampleSource::Nothing) => {
                return Ok(NumberConversion::Unchanged);
            }
            (ProfileSpace::Grey, SampleSource::Encoding(_) | SampleSource::Nothing) => {
                return Ok(NumberConversion::GreyToRgb);
            }
            _ => profile_of(space, source)?,
        };
        let Some(bytes) = bytes else { return Ok(NumberConversion::Unknown) };
        let context = ThreadContext::new();
        let transform = match space {
            ProfileSpace::Grey => NumberTransform::Grey(to_lab(&context, &bytes, PixelFormat::GRAY_16)?),
            ProfileSpace::Rgb => NumberTransform::Rgb(to_lab(&context, &bytes, PixelFormat::RGB_16)?),
            ProfileSpace::Cmyk => NumberTransform::Cmyk(to_lab(&context, &bytes, PixelFormat::CMYK_16)?),
            ProfileSpace::Lab | ProfileSpace::Other => return Ok(NumberConversion::Unknown),
        };
        Ok(NumberConversion::ViaProfile(ProfileNumbers { transform, _context: context }))
    }

    /// Returns the meaning of the converted numbers; `None` where they are the picture's own codes, or where there are
    /// none.
    pub const fn meaning(&self) -> Option<NumberMeaning> {
        match self {
            NumberConversion::Unchanged | NumberConversion::Unknown => None,
            NumberConversion::GreyToRgb => Some(NumberMeaning::Codes(Encoding::Srgb)),
            NumberConversion::ViaProfile(_) => Some(NumberMeaning::Lab),
        }
    }

    /// Converts interleaved codes in steps of 1/256 (white is 65,280), inks from no ink (0) upwards, to three numbers
    /// each.
    pub fn apply(&self, codes: &[u16]) -> Vec<[u16; 3]> {
        match self {
            NumberConversion::Unchanged => codes.as_chunks::<3>().0.to_vec(),
            NumberConversion::GreyToRgb => codes.iter().map(|grey| [*grey; 3]).collect(),
            NumberConversion::Unknown => Vec::new(),
            NumberConversion::ViaProfile(ProfileNumbers { transform: way, .. }) => match way {
                NumberTransform::Grey(to) => transform_to_lab(to, codes),
                NumberTransform::Rgb(to) => transform_to_lab(to, codes),
                NumberTransform::Cmyk(to) => transform_to_lab(to, codes),
            },
        }
    }
}

fn to_lab<const N: usize>(
    context: &ThreadContext,
    bytes: &[u8],
    format: PixelFormat,
) -> Result<ToLab<N>, ProfileFault> {
    let from = Profile::new_icc_context(context, bytes)?;
    let lab = Profile::new_lab4_context(context, &white())?;
    // The engine's own short cuts are up to 1.5 Delta E off.
    let flags = Flags::NO_CACHE | Flags::NO_OPTIMIZE;
    let intent = Intent::RelativeColorimetric;
    Transform::new_flags_context(context, &from, format, &lab, PixelFormat::Lab_16, intent, flags)
        .map_err(ProfileFault::from)
}

fn transform_to_lab<const N: usize>(to: &ToLab<N>, codes: &[u16]) -> Vec<[u16; 3]> {
    let pixels: Vec<[u16; N]> = codes.as_chunks::<N>().0.iter().map(|pixel| pixel.map(to_16_bit)).collect();
    let mut lab = vec![[0u16; 3]; pixels.len()];
    to.transform_pixels(&pixels, &mut lab);
    lab
}

/// Converts a code in steps of 1/256 to the engine's 16 bits, rounded to the nearest.
fn to_16_bit(code: u16) -> u16 {
    u16::try_from((u32::from(code).min(WHITE_CODE) * WHITE_16 + WHITE_CODE / 2) / WHITE_CODE).unwrap_or(u16::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::delta_e_2000;

    #[test]
    fn a_profile_leads_to_the_same_colours() {
        let bytes = Encoding::AdobeRgb.icc_bytes();
        let through = NumberConversion::new(ProfileSpace::Rgb, SampleSource::Profile(&bytes)).unwrap();
        assert_eq!(through.meaning(), Some(NumberMeaning::Lab));
        let colours = [[0u16, 255, 0], [180, 60, 50], [12, 14, 90], [255; 3], [0; 3]];
        let found = through.apply(colours.map(|codes| codes.map(|code| code * 256)).as_flattened());
        for (codes, numbers) in colours.iter().zip(found) {
            let wanted = Rgb::new(Encoding::AdobeRgb).lab(codes.map(f64::from));
            let is = NumberReader::new(NumberMeaning::Lab).lab(numbers);
            // a* ends at -128 in 16 bits; the strongest green has -129.
            assert!(delta_e_2000(wanted, is) < 0.25, "{codes:?}: {is:?} against {wanted:?}");
        }
    }

    #[test]
    fn known_codes_stay_and_unknown_inks_have_no_colours() {
        let own = NumberConversion::new(ProfileSpace::Rgb, SampleSource::Nothing).unwrap();
        assert_eq!((own.apply(&[1, 2, 3]), own.meaning()), (vec![[1, 2, 3]], None));
        let grey = NumberConversion::new(ProfileSpace::Grey, SampleSource::Nothing).unwrap();
        assert_eq!((grey.apply(&[7]), grey.meaning()), (vec![[7; 3]], Some(NumberMeaning::Codes(Encoding::Srgb))));
        let inks = NumberConversion::new(ProfileSpace::Cmyk, SampleSource::Nothing).unwrap();
        assert_eq!((inks.apply(&[1, 2, 3, 4]), inks.meaning()), (vec![], None));
    }
}
