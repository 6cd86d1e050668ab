//! Our colour transforms, and another engine's, on raw 8-bit samples from standard input to standard output, so that
//! `tests/outside/test_transforms.py` can hold them to Pillow's. Also feeds damaged profiles to everything that reads
//! one.
//!
//!     transform profile ENCODING                     our own profile of an encoding
//!     transform screen SOURCE                        to sRGB, as thumbnails are shown
//!     transform proof SOURCE PRESS MANNER            as a paper shows it: relative, perceptual or white
//!     transform laid PRESS ENCODING                  the inks that a press profile lays, as 32-bit floats
//!     transform held PRESS ENCODING                  the nearest colours it holds, L*a*b* as 32-bit floats
//!     transform lab PROFILE                          what a picture's codes are counted as, the same
//!     transform fullest PRESS                        the largest total of its inks
//!     transform other PROFILE PROFILE                by moxcms, relative colorimetric
//!     transform mutated COUNT SEED PROFILE...        how many damaged profiles were refused, and the slowest, in ms
//!
//! A SOURCE is the word of an encoding or the path of a profile.

use std::io::{Read, Write};
use std::sync::Arc;
use std::time::Instant;

use color_eyre::eyre::{Result, bail, eyre};
use moxcms::{ColorProfile, DataColorSpace, Layout, RenderingIntent, TransformOptions};
use plateside::colour::{
    Encoding, NumberConversion, NumberMeaning, NumberReader, PaperProfile, PaperTransform, ProfileSpace, ProofPaper,
    ProofRendering, Rgb, SampleSource, ToScreen, profile,
};

fn main() -> Result<()> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let out = match words[..] {
        ["profile", word] => encoding(word)?.icc_bytes(),
        ["screen", source] => screen(source, &samples()?)?,
        ["proof", source, press, rendering] => proof(source, press, rendering, &samples()?)?,
        ["laid", press, word] => laid(press, word, &samples()?)?,
        ["held", press, word] => held(press, word, &samples()?)?,
        ["lab", profile] => lab(profile, &samples()?)?,
        ["fullest", press] => format!("{:?}", paper(press)?.ink_most()).into_bytes(),
        ["other", from, to] => other(from, to, &samples()?)?,
        ["mutated", count, seed, ref paths @ ..] => mutated(count.parse()?, seed.parse()?, paths)?.into_bytes(),
        _ => bail!("the commands stand at the top of tests/outside/transform.rs"),
    };
    std::io::stdout().write_all(&out)?;
    Ok(())
}

fn samples() -> Result<Vec<u8>> {
    let mut samples = Vec::new();
    std::io::stdin().read_to_end(&mut samples)?;
    Ok(samples)
}

fn encoding(word: &str) -> Result<Encoding> {
    Encoding::ALL.into_iter().find(|encoding| encoding.word() == word).ok_or_else(|| eyre!("no encoding {word}"))
}

fn paper(path: &str) -> Result<PaperProfile> {
    Ok(PaperProfile::new(&std::fs::read(path)?)?)
}

/// A source of meaning, with its profile's bytes and the space of its samples.
fn with_source<T>(word: &str, then: impl FnOnce(ProfileSpace, SampleSource<'_>) -> Result<T>) -> Result<T> {
    if let Ok(encoding) = encoding(word) {
        return then(ProfileSpace::Rgb, SampleSource::Encoding(encoding));
    }
    let bytes = std::fs::read(word)?;
    then(profile::read(&bytes)?.space, SampleSource::Profile(&bytes))
}

fn screen(source: &str, samples: &[u8]) -> Result<Vec<u8>> {
    with_source(source, |space, source| Ok(ToScreen::new(space, source)?.apply(samples)))
}

fn proof(source: &str, press: &str, rendering: &str, samples: &[u8]) -> Result<Vec<u8>> {
    let rendering = match rendering {
        "relative" => ProofRendering::Relative,
        "perceptual" => ProofRendering::Perceptual,
        "white" => ProofRendering::PaperWhite,
        other => bail!("no rendering {other}"),
    };
    let paper = ProofPaper::Printer(Arc::new(paper(press)?));
    with_source(source, |space, source| Ok(PaperTransform::new(space, source, &paper, rendering)?.apply(samples)))
}

fn laid(press: &str, word: &str, samples: &[u8]) -> Result<Vec<u8>> {
    let rgb = Rgb::new(encoding(word)?);
    let lab: Vec<[f64; 3]> = samples.as_chunks::<3>().0.iter().map(|codes| rgb.lab(codes.map(f64::from))).collect();
    let inks = paper(press)?.inks(&lab).ok_or_else(|| eyre!("{press} is for no inks"))?;
    Ok(inks.into_iter().flatten().flat_map(|ink| (ink as f32).to_ne_bytes()).collect())
}

fn held(press: &str, word: &str, samples: &[u8]) -> Result<Vec<u8>> {
    let rgb = Rgb::new(encoding(word)?);
    let lab: Vec<[f64; 3]> = samples.as_chunks::<3>().0.iter().map(|codes| rgb.lab(codes.map(f64::from))).collect();
    Ok(floats(paper(press)?.clip_to_gamut(&lab)))
}

/// What a picture's codes are counted as.
fn lab(path: &str, samples: &[u8]) -> Result<Vec<u8>> {
    let codes: Vec<u16> = samples.iter().map(|code| u16::from(*code) * 256).collect();
    let numbers = with_source(path, |space, source| Ok(NumberConversion::new(space, source)?.apply(&codes)))?;
    let reader = NumberReader::new(NumberMeaning::Lab);
    Ok(floats(numbers.into_iter().map(|numbers| reader.lab(numbers)).collect()))
}

fn floats(colours: Vec<[f64; 3]>) -> Vec<u8> {
    colours.into_iter().flatten().flat_map(|number| (number as f32).to_ne_bytes()).collect()
}

fn other(from: &str, to: &str, samples: &[u8]) -> Result<Vec<u8>> {
    let read = |path: &str| -> Result<ColorProfile> {
        ColorProfile::new_from_slice(&std::fs::read(path)?).map_err(|error| eyre!("{path}: {error:?}"))
    };
    let layout = |profile: &ColorProfile| match profile.color_space {
        DataColorSpace::Cmyk => (Layout::Rgba, 4),
        DataColorSpace::Gray => (Layout::Gray, 1),
        _ => (Layout::Rgb, 3),
    };
    let (from, to) = (read(from)?, read(to)?);
    let ((from_layout, channels), (to_layout, wanted)) = (layout(&from), layout(&to));
    let options = TransformOptions { rendering_intent: RenderingIntent::RelativeColorimetric, ..Default::default() };
    let way = from.create_transform_8bit(from_layout, &to, to_layout, options).map_err(|error| eyre!("{error:?}"))?;
    let mut out = vec![0; samples.len() / channels * wanted];
    way.transform(samples, &mut out).map_err(|error| eyre!("{error:?}"))?;
    Ok(out)
}

/// Profiles with some bytes changed, cut or doubled, to everything that takes one. Whoever crashes ends the program.
/// Longer than this is timed again.
const SLOW_MS: f64 = 300.0;

fn mutated(count: u64, seed: u64, paths: &[&str]) -> Result<String> {
    let wholes = paths.iter().map(|path| Ok(std::fs::read(path)?)).collect::<Result<Vec<_>>>()?;
    let mut chance = Chance(seed);
    let (mut refused, mut slowest) = (0, 0.0);
    for round in 0..count {
        let mut bytes = wholes[chance.below(wholes.len())].clone();
        spoil(&mut bytes, &mut chance);
        let timed = || {
            let began = Instant::now();
            let read = read_by_all(&bytes);
            (read, began.elapsed().as_secs_f64() * 1e3)
        };
        let (read, mut took) = timed();
        refused += u64::from(!read);
        if took > SLOW_MS {
            // Slow by itself, or because the machine was busy: the quickest of three tells.
            took = took.min(timed().1).min(timed().1);
        }
        if took > slowest {
            eprintln!("profile {round}: {took:.0} ms");
            slowest = took;
        }
    }
    Ok(format!("{refused} {slowest:.0}"))
}

/// Whether anything could be done with such a profile.
fn read_by_all(bytes: &[u8]) -> bool {
    const SAMPLES: [u8; 12 * 16] = [77; 12 * 16];
    let Ok(facts) = profile::read(bytes) else { return false };
    let source = SampleSource::Profile(bytes);
    let shown = ToScreen::new(facts.space, source).map(|way| way.apply(&SAMPLES));
    let coded = NumberConversion::new(facts.space, source).map(|way| way.apply(&SAMPLES.map(u16::from)));
    let paper = PaperProfile::new(bytes).map(Arc::new);
    if let Ok(paper) = &paper {
        paper.clip_to_gamut(&[[50.0, 20.0, -30.0]; 16]);
        let paper = ProofPaper::Printer(Arc::clone(paper));
        for rendering in [ProofRendering::Relative, ProofRendering::Perceptual, ProofRendering::PaperWhite] {
            let srgb = SampleSource::Encoding(Encoding::Srgb);
            let _ = PaperTransform::new(ProfileSpace::Rgb, srgb, &paper, rendering).map(|way| way.apply(&SAMPLES));
        }
    }
    shown.is_ok() || coded.is_ok() || paper.is_ok()
}

/// One to eight injuries: a byte or a number somewhere, more of them where the tag table is.
fn spoil(bytes: &mut Vec<u8>, chance: &mut Chance) {
    for _ in 0..=chance.below(8) {
        let near = if chance.below(2) == 0 { bytes.len().min(600) } else { bytes.len() };
        let at = chance.below(near.max(1));
        match chance.below(6) {
            0 => bytes[at] ^= 1 << chance.below(8),
            1 => bytes[at] = chance.below(256) as u8,
            2 => bytes[at] = 0xFF,
            3 => {
                let number = (chance.below(1 << 16) as u32).to_be_bytes();
                let end = (at + 4).min(bytes.len());
                bytes[at..end].copy_from_slice(&number[..end - at]);
            }
            4 if chance.below(8) == 0 => bytes.truncate(at.max(200)),
            _ => {
                let (from, length) = (chance.below(bytes.len()), chance.below(32));
                let part = bytes[from..(from + length).min(bytes.len())].to_vec();
                let end = (at + part.len()).min(bytes.len());
                bytes[at..end].copy_from_slice(&part[..end - at]);
            }
        }
        // Past the header's size and signature, which are refused at once.
        let size = bytes.len() as u32;
        bytes[..4].copy_from_slice(&size.to_be_bytes());
        bytes[36..40].copy_from_slice(b"acsp");
    }
}

/// Numbers that come out the same for the same seed: a linear congruence, Knuth's constants.
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end.max(1)
    }
}
