//! Encodes a painted picture as a file, with the metadata that a print house reads: density, profile, orientation,
//! credit. Bytes only; `make` writes them to disk.

mod jpeg;
mod labels;
mod png;
mod tiff;

use painter::{ColourSpace, Image};

use super::exif::{Shape, exif};
use super::picture::{DeliberateFault, FileKind, Picture};
use crate::colour::Encoding;
use labels::{Labels, packet};

/// The two profiles that the shoot embeds, as ICC bytes.
pub struct Profiles {
    /// sRGB.
    pub srgb: Vec<u8>,
    /// Adobe RGB (1998).
    pub adobe_rgb: Vec<u8>,
}

impl Profiles {
    /// Builds the profiles from the encodings' published numbers.
    pub fn built() -> Profiles {
        Profiles { srgb: Encoding::Srgb.icc_bytes(), adobe_rgb: Encoding::AdobeRgb.icc_bytes() }
    }

    fn of(&self, colour_space: ColourSpace) -> &[u8] {
        match colour_space {
            ColourSpace::Srgb => &self.srgb,
            ColourSpace::AdobeRgb => &self.adobe_rgb,
        }
    }
}

/// Share of its bytes that a truncated JPEG keeps.
const CUT_OFF_SHARE: f64 = 0.9;

/// Returns a file's bytes.
///
/// # Errors
/// The encoder's error, in words.
pub fn export(picture: &Picture, taken: &'static str, painted: &Image, profiles: &Profiles) -> Result<Vec<u8>, String> {
    let is_sideways = picture.fault == DeliberateFault::Sideways;
    let rotated = if is_sideways { Some(painted.rotate_left()) } else { None };
    let stored = rotated.as_ref().unwrap_or(painted);
    let has_profile = picture.fault != DeliberateFault::Untagged && picture.kind != FileKind::TiffInks;
    let is_srgb = has_profile && stored.colour_space == ColourSpace::Srgb;
    let shape = Shape {
        width_px: stored.width_px as u32,
        height_px: stored.height_px as u32,
        orientation: if is_sideways { 6 } else { 1 },
        ppi: u32::from(picture.ppi),
        colour_space: if is_srgb { 1 } else { u16::MAX },
        taken,
    };
    let labels = Labels {
        ppi: picture.ppi,
        exif: exif(&picture.words, &shape),
        packet: picture.words.has_packet.then(|| packet(&picture.words)),
        profile: has_profile.then(|| profiles.of(stored.colour_space)),
        words: picture.words,
        taken,
    };
    let mut bytes = match picture.kind {
        FileKind::Jpeg { quality, chroma } => jpeg::write(stored, &labels, quality, chroma)?,
        FileKind::Tiff16 => tiff::write_rgb16(stored, &labels)?,
        FileKind::TiffInks => tiff::write_inks(stored, &labels)?,
        FileKind::Png => png::write(stored, &labels)?,
    };
    if picture.fault == DeliberateFault::CutOff {
        bytes.truncate((bytes.len() as f64 * CUT_OFF_SHARE) as usize);
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests;
