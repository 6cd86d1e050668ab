//! Exif, XMP and IPTC of one file, put together.
//!
//! Knows no container; each format brings the packets it found.

use super::claim::{Claim, ClaimSource};
use super::exif::ExifFacts;
use super::facts::{EmbeddedProfile, Facts, MetadataSource, MetadataText, ResolutionTag};
use super::iptc::{CutText, IptcFacts};
use super::xmp::XmpFacts;
use crate::colour::Encoding;

/// Exif ColorSpace: sRGB, and uncalibrated. Source: Exif 2.3, tag 0xA001.
const SRGB: u16 = 1;
const UNCALIBRATED: u16 = 0xFFFF;
/// Reserved by the standard, yet written for Adobe RGB by some devices (from memory).
const ADOBE_RGB: u16 = 2;
/// The resolution in ppi that Exif and TIFF assume where none is set. Source: Exif 2.3, tags 0x011A and 0x011B.
const UNSET_PPI: f64 = 72.0;

/// What the packets of one file say.
#[derive(Clone, Debug, Default)]
pub struct Metadata {
    /// Exif or TIFF tags.
    pub exif: ExifFacts,
    /// The XMP packet.
    pub xmp: XmpFacts,
    /// IPTC-IIM.
    pub iptc: IptcFacts,
    /// Texts under keywords of the container's own.
    pub texts: TextFacts,
}

/// What a PNG's texts under keywords say. Source: W3C PNG Third Edition, section 11.3.3.1.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TextFacts {
    /// Author.
    pub creator: Option<String>,
    /// Copyright.
    pub copyright: Option<String>,
    /// Description, else Title.
    pub caption: Option<String>,
}

impl Metadata {
    /// Fills in everything that metadata says; `container` is the resolution that the container itself states.
    pub fn put_into(self, facts: &mut Facts, container: Option<ResolutionTag>) {
        let Metadata { exif, xmp, iptc, texts } = self;
        facts.resolution_tag = resolution(container, exif.resolution);
        facts.orientation = exif.orientation.unwrap_or(facts.orientation);
        facts.exif_colour_space = exif.colour_space;
        if facts.claim.is_none() && facts.profile == EmbeddedProfile::None && facts.format != super::facts::Format::Png
        {
            facts.claim = claim(exif.colour_space, exif.interoperability.as_deref());
        }
        facts.has_location = match (exif.has_location || xmp.has_location, exif.is_unreadable || xmp.is_unreadable) {
            (false, true) => None,
            (found, _) => Some(found),
        };
        facts.taken = exif.taken.or(xmp.taken);
        facts.credits.creator = field(xmp.creator, iptc.creator, exif.creator, texts.creator);
        facts.credits.copyright = field(xmp.copyright, iptc.copyright, exif.copyright, texts.copyright);
        facts.credits.caption = field(xmp.caption, iptc.caption, exif.caption, texts.caption);
        facts.credits.credit_line = field(xmp.credit_line, iptc.credit_line, None, None);
    }
}

fn field(xmp: Option<String>, iptc: Option<CutText>, exif: Option<String>, text: Option<String>) -> MetadataText {
    let mut homes = Vec::new();
    // An IPTC text that fills its field and begins like the XMP text is that text, cut: no disagreement.
    let iptc = iptc.map(|(text, full)| match &xmp {
        Some(long) if full && long.starts_with(&text) => long.clone(),
        _ => text,
    });
    homes.extend(xmp.map(|text| (MetadataSource::Xmp, text)));
    homes.extend(iptc.map(|text| (MetadataSource::Iptc, text)));
    homes.extend(exif.map(|text| (MetadataSource::Exif, text)));
    homes.extend(text.map(|text| (MetadataSource::PngText, text)));
    MetadataText { sources: homes }
}

/// Returns the container's own resolution (JFIF, pHYs) before Exif's, since exporters write it last; but where it is
/// the 72 the one that programs put where none is set and Exif says another number, Exif's.
fn resolution(container: Option<ResolutionTag>, exif: Option<ResolutionTag>) -> Option<ResolutionTag> {
    match (container, exif) {
        (Some(container), Some(exif)) if container.x_ppi == UNSET_PPI => Some(exif),
        (container, exif) => container.or(exif),
    }
}

fn claim(colour_space: Option<u16>, interoperability: Option<&str>) -> Option<Claim> {
    match (colour_space?, interoperability) {
        (SRGB, _) => Some(Claim { encoding: Encoding::Srgb, source: ClaimSource::ExifColourSpace }),
        (ADOBE_RGB, _) => Some(Claim { encoding: Encoding::AdobeRgb, source: ClaimSource::ExifColourSpace }),
        // Source: DCF 2.0 (CIPA DC-009), optional colour space file.
        (UNCALIBRATED, Some("R03")) => {
            Some(Claim { encoding: Encoding::AdobeRgb, source: ClaimSource::ExifInteroperability })
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exif_gives_a_claim_only_in_three_cases() {
        let encoding = |space, index| claim(space, index).map(|claim| claim.encoding);
        assert_eq!(encoding(Some(1), None), Some(Encoding::Srgb));
        assert_eq!(encoding(Some(2), None), Some(Encoding::AdobeRgb));
        assert_eq!(encoding(Some(65535), Some("R03")), Some(Encoding::AdobeRgb));
        assert_eq!(encoding(Some(65535), Some("R98")), None);
        assert_eq!(encoding(Some(65535), None), None);
        assert_eq!(encoding(None, Some("R03")), None);
    }

    #[test]
    fn the_container_s_resolution_comes_first_unless_it_is_nobody_s_choice() {
        let tag = |ppi| ResolutionTag::new(ppi, ppi);
        assert_eq!(resolution(tag(300.0), tag(72.0)), tag(300.0));
        assert_eq!(resolution(tag(72.0), tag(300.0)), tag(300.0));
        assert_eq!(resolution(tag(240.0), tag(300.0)), tag(240.0));
        assert_eq!(resolution(None, tag(300.0)), tag(300.0));
    }

    #[test]
    fn eleven_thousand_eight_hundred_and_eleven_pixels_a_metre_are_300_ppi() {
        // Source: 25.4 mm an inch; 11811 x 0.0254 = 299.9994.
        assert_eq!(ResolutionTag::new(11811.0 * 0.0254, 11811.0 * 0.0254).unwrap().x_ppi, 300.0);
        assert_eq!(ResolutionTag::new(0.0, 300.0), None);
        assert_eq!(ResolutionTag::new(f64::INFINITY, 300.0), None);
    }

    #[test]
    fn an_iptc_text_cut_by_its_field_disagrees_with_nobody() {
        let long = "Fennimore Quay Cookery School, kitchen two".to_owned();
        let cut = long[..32].to_owned();
        assert!(!field(Some(long.clone()), Some((cut.clone(), true)), None, None).disagrees());
        assert!(field(Some(long), Some((cut, false)), None, None).disagrees());
    }
}
