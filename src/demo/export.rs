//! From a painted picture to the bytes of a file, with everything that a print house reads there:
//! density, profile, orientation, credit. Bytes only; `make` writes them to disk.
mod jpeg;
mod png;
mod tiff;

use super::exif::{Shape, exif};
use crate::colour::Encoding;

use super::painting::{Gamut, Painted};
use super::shoot::{CREATOR, Chroma, Fault, FileKind, Picture, RIGHTS, Words};

/// The two profiles that the shoot embeds, as ICC bytes.
pub struct Profiles {
    /// sRGB.
    pub srgb: Vec<u8>,
    /// Adobe RGB (1998).
    pub adobe_rgb: Vec<u8>,
}

impl Profiles {
    /// The profiles built from the encodings' published numbers.
    pub fn built() -> Profiles {
        Profiles { srgb: Encoding::Srgb.icc_bytes(), adobe_rgb: Encoding::AdobeRgb.icc_bytes() }
    }

    fn of(&self, gamut: Gamut) -> &[u8] {
        match gamut {
            Gamut::Srgb => &self.srgb,
            Gamut::AdobeRgb => &self.adobe_rgb,
        }
    }
}

/// Everything that goes into a file besides pixels.
struct Labels<'a> {
    ppi: u16,
    /// Exif bytes.
    exif: Vec<u8>,
    /// An XMP packet.
    packet: Option<String>,
    profile: Option<&'a [u8]>,
    words: Words,
    taken: &'static str,
}

/// A shortened JPEG keeps this share of its bytes.
const KEPT: f64 = 0.9;

/// The file's bytes; an error says in words what the encoder disliked.
pub fn export(
    picture: &Picture,
    taken: &'static str,
    painted: &Painted,
    profiles: &Profiles,
) -> Result<Vec<u8>, String> {
    let sideways = picture.fault == Fault::Sideways;
    let turned = if sideways { Some(painted.turned_left()) } else { None };
    let stored = turned.as_ref().unwrap_or(painted);
    let tagged = picture.fault != Fault::Untagged && picture.kind != FileKind::TiffInks;
    let is_srgb = tagged && stored.gamut == Gamut::Srgb;
    let shape = Shape {
        width_px: stored.width_px as u32,
        height_px: stored.height_px as u32,
        orientation: if sideways { 6 } else { 1 },
        ppi: u32::from(picture.ppi),
        colour_space: if is_srgb { 1 } else { u16::MAX },
        taken,
    };
    let labels = Labels {
        ppi: picture.ppi,
        exif: exif(&picture.words, &shape),
        packet: picture.words.packet.then(|| packet(&picture.words)),
        profile: tagged.then(|| profiles.of(stored.gamut)),
        words: picture.words,
        taken,
    };
    let mut bytes = match picture.kind {
        FileKind::Jpeg { quality, chroma } => jpeg::write(stored, &labels, quality, chroma)?,
        FileKind::Tiff16 => tiff::write_rgb16(stored, &labels)?,
        FileKind::TiffInks => tiff::write_inks(stored, &labels)?,
        FileKind::Png => png::write(stored, &labels)?,
    };
    if picture.fault == Fault::CutOff {
        bytes.truncate((bytes.len() as f64 * KEPT) as usize);
    }
    Ok(bytes)
}

/// Credit and caption as an XMP packet.
fn packet(words: &Words) -> String {
    let in_all_languages = |name: &str, text: &str| {
        format!(
            "<dc:{name}><rdf:Alt><rdf:li xml:lang=\"x-default\">{text}</rdf:li>\
             </rdf:Alt></dc:{name}>\n"
        )
    };
    let mut said = in_all_languages("description", words.caption);
    if words.credited {
        let creator = format!("<rdf:Seq><rdf:li>{CREATOR}</rdf:li></rdf:Seq>");
        said += &format!("<dc:creator>{creator}</dc:creator>\n");
        said += &in_all_languages("rights", RIGHTS);
    }
    format!(
        "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n\
         <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
         <rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\">\n\
         {said}\
         </rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"r\"?>"
    )
}

#[cfg(test)]
mod tests;
