//! The printer's own profile: its gamut, its black and its inks.
//!
//! Colours go in and come out as L*, a*, b* with white D50; the engine converts through the profile both ways.

use std::fmt;

use lcms2::{DisallowCache, Flags, Intent, PixelFormat, Profile, ThreadContext, Transform};
use parking_lot::Mutex;

use rayon::prelude::*;

use super::engine_lab::{WHOLE, from_engine, to_engine, white};
use super::lab;
use super::profile::{self, CheckedProfile};
use super::rgb::{of_xyz, to_xyz, white_xyz};
use super::{Encoding, ProfileClass, ProfileFacts, ProfileFault, ProfileSpace, Rgb};

/// Lightness above which no paper's black lies: a profile that says so is broken. Source: ISO 18619, section 4.
const MAX_BLACK_L: f64 = 50.0;

/// No paper is blacker: D 4. Own choice.
const MIN_LIGHT: f64 = 1e-4;

/// Colours that one thread takes at a time.
const PART_COLOURS: usize = 1 << 11;

/// Steps a channel of the colours whose inks are added up. Own choice: the usual grid of a press profile's tables.
const INK_STEPS: usize = 17;

/// A printer's profile, checked and ready to be asked. May be asked from several threads.
pub struct PaperProfile {
    facts: ProfileFacts,
    bytes: Vec<u8>,
    transforms: DeviceTransforms,
    /// The engine's context that the transforms use, dropped last; never locked.
    _context: Mutex<ThreadContext>,
    /// Its black, relative to its white, XYZ.
    black_xyz: [f64; 3],
    /// The largest total of its inks, as a share of one full ink; `None` unless it is for inks.
    ink_most: Option<f64>,
}

/// Transforms from L*, a*, b* to the printer's codes and back, by the printer's samples.
enum DeviceTransforms {
    Grey(ToDevice<1>, FromDevice<1>),
    Rgb(ToDevice<3>, FromDevice<3>),
    Cmyk(ToDevice<4>, FromDevice<4>),
}

// In 16 bits: steps of 0.004 in a* and b*.
type ToDevice<const N: usize> = Transform<[u16; 3], [u16; N], ThreadContext, DisallowCache>;
type FromDevice<const N: usize> = Transform<[u16; N], [u16; 3], ThreadContext, DisallowCache>;

impl PaperProfile {
    /// Checks a profile's bytes and makes it ready.
    ///
    /// # Errors
    /// It is unsound, no output profile, or lacks one of the two transforms.
    pub fn new(bytes: &[u8]) -> Result<PaperProfile, ProfileFault> {
        let facts = profile::read(bytes)?;
        if facts.class != ProfileClass::Output {
            return Err(ProfileFault::new(format!(
                "it is a profile of class {}, not of class output, as a printer's is",
                facts.class.word()
            )));
        }
        let checked = CheckedProfile::new(bytes)?;
        let fault = |_: lcms2::Error| {
            ProfileFault::new("it does not convert in both directions, or the colour engine does not accept it")
        };
        let context = ThreadContext::new();
        let paper = Profile::new_icc_context(&context, checked.bytes()).map_err(fault)?;
        let transforms = match facts.space {
            ProfileSpace::Grey => {
                let (to, from) = make_transforms(&context, &paper, PixelFormat::GRAY_16).map_err(fault)?;
                DeviceTransforms::Grey(to, from)
            }
            ProfileSpace::Rgb => {
                let (to, from) = make_transforms(&context, &paper, PixelFormat::RGB_16).map_err(fault)?;
                DeviceTransforms::Rgb(to, from)
            }
            ProfileSpace::Cmyk => {
                let (to, from) = make_transforms(&context, &paper, PixelFormat::CMYK_16).map_err(fault)?;
                DeviceTransforms::Cmyk(to, from)
            }
            other => return Err(ProfileFault::new(format!("it is for {} samples", other.word()))),
        };
        let mut ready = PaperProfile {
            facts,
            bytes: checked.bytes().to_vec(),
            transforms,
            _context: Mutex::new(context),
            black_xyz: [0.0; 3],
            ink_most: None,
        };
        let black = ready.clip_to_gamut(&[[0.0; 3]])[0];
        ready.black_xyz = to_xyz([black[0].clamp(0.0, MAX_BLACK_L), 0.0, 0.0]);
        ready.ink_most = ready.largest_total();
        Ok(ready)
    }

    /// Returns the density of its black, D absolute, on a paper of this lightness (L*).
    pub fn dmax(&self, white_l: f64) -> f64 {
        -(self.black_xyz[1] * lab::light(white_l)).max(MIN_LIGHT).log10()
    }

    /// Returns the largest total of inks for any colour of a picture in Adobe RGB (1998), relative colorimetric, as a
    /// share of one full ink; `None` unless it is for inks.
    pub fn ink_most(&self) -> Option<f64> {
        self.ink_most
    }

    fn largest_total(&self) -> Option<f64> {
        let wide = Rgb::new(Encoding::AdobeRgb);
        let code = |step: usize| step as f64 * 255.0 / (INK_STEPS - 1) as f64;
        let steps = || (0..INK_STEPS).map(code);
        let codes = steps().flat_map(|r| steps().flat_map(move |g| steps().map(move |b| [r, g, b])));
        let inks = self.inks(&codes.map(|codes| wide.lab(codes)).collect::<Vec<_>>())?;
        inks.iter().map(|inks| inks.iter().sum()).max_by(f64::total_cmp)
    }

    /// Returns the inks for colours, relative colorimetric, each as a share of a full ink; `None` unless it is for
    /// inks.
    pub fn inks(&self, colours: &[[f64; 3]]) -> Option<Vec<[f64; 4]>> {
        let DeviceTransforms::Cmyk(to, _) = &self.transforms else { return None };
        let lab: Vec<[u16; 3]> = colours.iter().map(|colour| to_engine(*colour)).collect();
        let mut inks = vec![[0u16; 4]; lab.len()];
        to.transform_pixels(&lab, &mut inks);
        Some(inks.into_iter().map(|inks| inks.map(|ink| f64::from(ink) / WHOLE)).collect())
    }

    /// Returns its codes for a colour, relative colorimetric: full light, or full ink, is 65,535.
    pub fn codes(&self, colour: [f64; 3]) -> Vec<u16> {
        match &self.transforms {
            DeviceTransforms::Grey(to, _) => codes(to, colour),
            DeviceTransforms::Rgb(to, _) => codes(to, colour),
            DeviceTransforms::Cmyk(to, _) => codes(to, colour),
        }
    }

    /// Returns the facts of the profile.
    pub fn facts(&self) -> &ProfileFacts {
        &self.facts
    }

    /// Returns its bytes, which were checked.
    pub(super) fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Returns the nearest colours within the paper's gamut, relative colorimetric.
    pub fn clip_to_gamut(&self, colours: &[[f64; 3]]) -> Vec<[f64; 3]> {
        match &self.transforms {
            DeviceTransforms::Grey(to, from) => round_trip(to, from, colours),
            DeviceTransforms::Rgb(to, from) => round_trip(to, from, colours),
            DeviceTransforms::Cmyk(to, from) => round_trip(to, from, colours),
        }
    }

    /// Returns a colour with its light scaled so that black becomes the paper's black: black point compensation.
    /// Source: ISO 18619, from a black without light.
    pub fn compensate_black_point(&self, colour: [f64; 3]) -> [f64; 3] {
        let (light, white) = (to_xyz(colour), white_xyz());
        of_xyz(std::array::from_fn(|axis| {
            let black = self.black_xyz[axis];
            light[axis] * (white[axis] - black) / white[axis] + black
        }))
    }
}

impl fmt::Debug for PaperProfile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("PaperProfile").field(&self.facts).finish()
    }
}

impl PartialEq for PaperProfile {
    fn eq(&self, other: &PaperProfile) -> bool {
        self.facts == other.facts
    }
}

fn make_transforms<const N: usize>(
    context: &ThreadContext,
    paper: &Profile<ThreadContext>,
    format: PixelFormat,
) -> Result<(ToDevice<N>, FromDevice<N>), lcms2::Error> {
    let lab = Profile::new_lab4_context(context, &white())?;
    let intent = Intent::RelativeColorimetric;
    // The engine's own short cuts are up to 7 Delta E off on a press profile, and take longer to make.
    let flags = Flags::NO_CACHE | Flags::NO_OPTIMIZE;
    let to = Transform::new_flags_context(context, &lab, PixelFormat::Lab_16, paper, format, intent, flags)?;
    let from = Transform::new_flags_context(context, paper, format, &lab, PixelFormat::Lab_16, intent, flags)?;
    Ok((to, from))
}

fn codes<const N: usize>(to: &ToDevice<N>, colour: [f64; 3]) -> Vec<u16> {
    let mut device = [[0u16; N]];
    to.transform_pixels(&[to_engine(colour)], &mut device);
    device[0].to_vec()
}

fn round_trip<const N: usize>(to: &ToDevice<N>, from: &FromDevice<N>, colours: &[[f64; 3]]) -> Vec<[f64; 3]> {
    let part = |colours: &[[f64; 3]]| -> Vec<[f64; 3]> {
        let mut lab: Vec<[u16; 3]> = colours.iter().map(|colour| to_engine(*colour)).collect();
        let mut device = vec![[0u16; N]; lab.len()];
        to.transform_pixels(&lab, &mut device);
        from.transform_pixels(&device, &mut lab);
        lab.into_iter().map(from_engine).collect()
    };
    colours.par_chunks(PART_COLOURS).flat_map_iter(part).collect()
}

/// Returns a profile of class output with an encoding's numbers: a printer with just this gamut.
#[cfg(test)]
pub(crate) fn printer_of(encoding: Encoding) -> Vec<u8> {
    let mut bytes = encoding.icc_bytes();
    // The class. Source: ICC.1:2022, section 7.2.
    bytes[12..16].copy_from_slice(b"prtr");
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::delta_e_2000;

    fn is_shared<T: Send + Sync>() {}

    #[test]
    fn a_paper_of_srgb_has_the_gamut_of_srgb() {
        is_shared::<PaperProfile>();
        let paper = PaperProfile::new(&printer_of(Encoding::Srgb)).unwrap();
        let (wide, small) = (Rgb::new(Encoding::AdobeRgb), Rgb::new(Encoding::Srgb));
        let colours = [wide.lab([0.0, 255.0, 0.0]), wide.lab([128.0; 3]), wide.lab([180.0, 60.0, 50.0])];
        for (colour, held) in colours.iter().zip(paper.clip_to_gamut(&colours)) {
            let wanted = small.nearest_if_outside(*colour).unwrap_or(*colour);
            assert!(delta_e_2000(wanted, held) < 0.2, "{colour:?}: {held:?}, wanted {wanted:?}");
        }
        assert_eq!(paper.ink_most(), None);
        // Its black is black: nothing to compensate.
        assert!(delta_e_2000(paper.compensate_black_point(colours[2]), colours[2]) < 0.1);
    }

    #[test]
    fn only_a_sound_output_profile_is_a_papers() {
        let display = PaperProfile::new(&Encoding::Srgb.icc_bytes()).unwrap_err().to_string();
        assert!(display.contains("class display"), "{display}");
        assert!(PaperProfile::new(b"no profile").is_err());
        let bytes = printer_of(Encoding::Srgb);
        assert!(PaperProfile::new(&bytes[..300]).is_err());
    }
}
