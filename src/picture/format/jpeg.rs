//! JPEG: facts from our own walk over the segments before the first scan, pixels by the decoder in its strict mode.
//!
//! Source of the syntax: ITU-T T.81; of JFIF, ITU-T T.871; of the Adobe marker, ITU-T T.872.

use super::descriptor::{Descriptor, HeaderSource};
use crate::colour::profile;
use crate::picture::exif;
use crate::picture::facts::{ColourModel, Compression, EmbeddedProfile, Facts, Format, JpegFacts, ResolutionTag};
use crate::picture::metadata::Metadata;
use crate::picture::{Fault, iptc, limits, xmp};

mod completeness;
mod decoding;
mod markers;
mod pixels;
mod planes;
mod profile_parts;
mod quality;
mod refinement;
mod scans;

pub use completeness::end_in_ones;
pub use decoding::{Decoding, SampleConversion};
pub use markers::walk;
use markers::{Density, FrameHeader};
pub use pixels::decode_small;

pub const DESCRIPTOR: Descriptor =
    Descriptor { format: Format::Jpeg, sniff, facts, profile: profile_of, open: pixels::open };

fn sniff(first: &[u8]) -> bool {
    first.starts_with(&[0xFF, 0xD8, 0xFF])
}

fn profile_of(source: &mut dyn HeaderSource) -> Option<Vec<u8>> {
    walk(source).ok()?.profile.assemble().ok()?
}

fn facts(source: &mut dyn HeaderSource, bytes: u64) -> Result<Facts, Fault> {
    let markers = walk(source)?;
    let Some(frame) = &markers.frame else {
        return Err(Fault::damaged(Format::Jpeg, "no picture size before the first scan"));
    };
    let mut facts = Facts::unknown(Format::Jpeg, bytes);
    facts.compression = Compression::Jpeg;
    (facts.width_px, facts.height_px) = (frame.width_px, frame.height_px);
    facts.bits = frame.bits;
    facts.model = match frame.components.len() {
        1 => ColourModel::Grey,
        3 => ColourModel::Rgb,
        4 => ColourModel::Cmyk,
        _ => ColourModel::Other,
    };
    facts.unmeasurable = unmeasurable(frame);
    let samples = facts.pixel_count() * frame.components.len() as u64;
    facts.held_bytes = if frame.is_progressive() || markers.scan_components < frame.components.len() {
        samples * limits::JPEG_BUFFERED_BYTES
    } else {
        u64::from(facts.width_px) * frame.components.len() as u64 * limits::JPEG_HELD_ROWS
    };
    let estimate = quality::of(&markers, frame);
    facts.jpeg = Some(JpegFacts {
        quality: estimate.quality,
        is_exact: estimate.is_exact,
        subsampling: subsampling(frame),
        is_progressive: frame.is_progressive(),
        adobe_transform: markers.adobe_transform,
        stray_bytes: markers.stray.iter().map(|stray| stray.end - stray.start).sum(),
    });
    facts.profile = match markers.profile.assemble() {
        Ok(None) => EmbeddedProfile::None,
        Ok(Some(icc)) => profile::read(&icc)
            .map_or_else(|fault| EmbeddedProfile::Broken(fault.to_string()), EmbeddedProfile::Embedded),
        Err(why) => EmbeddedProfile::Broken(why),
    };
    let container = markers.density.and_then(|density| match density {
        Density { unit: 1, x, y } => ResolutionTag::new(f64::from(x), f64::from(y)),
        Density { unit: 2, x, y } => {
            ResolutionTag::new(f64::from(x) * exif::CM_PER_INCH, f64::from(y) * exif::CM_PER_INCH)
        }
        Density { .. } => None,
    });
    let exif_resource = iptc::resource(&markers.resources, iptc::EXIF_RESOURCE).map(<[u8]>::to_vec);
    let xmp_resource = iptc::resource(&markers.resources, iptc::XMP_RESOURCE);
    let metadata = Metadata {
        exif: exif::read_all(markers.exif.into_iter().chain(exif_resource)),
        xmp: xmp::read_all(markers.xmp.iter().map(Vec::as_slice).chain(xmp_resource)),
        iptc: iptc::read_resources(&markers.resources),
        ..Metadata::default()
    };
    metadata.put_into(&mut facts, container);
    Ok(facts)
}

/// Returns the Exif block of a JPEG, for its thumbnail.
pub fn exif_block(source: &mut dyn HeaderSource) -> Option<Vec<u8>> {
    let mut first = [0; 3];
    source.read_exact(&mut first).ok()?;
    source.seek(std::io::SeekFrom::Start(0)).ok()?;
    sniff(&first).then(|| walk(source).ok()?.exif.into_iter().next()).flatten()
}

fn unmeasurable(frame: &FrameHeader) -> Option<String> {
    // Source: ITU-T T.81 table B.1.
    let kind = match frame.marker {
        0xC3 | 0xC7 | 0xCB | 0xCF => "a lossless JPEG",
        0xC5 | 0xC6 => "a hierarchical JPEG",
        0xC9 | 0xCA | 0xCD | 0xCE => "an arithmetic-coded JPEG",
        _ if frame.bits != 8 => return Some(format!("a {}-bit JPEG", frame.bits)),
        _ if !matches!(frame.components.len(), 1 | 3 | 4) => {
            return Some(format!("a JPEG of {} components", frame.components.len()));
        }
        _ if frame.components.iter().any(|component| is_in_thirds(component.sampling)) => {
            return Some(format!("a JPEG sampled in an uncommon way ({})", subsampling(frame)));
        }
        _ => return None,
    };
    Some(kind.to_owned())
}

/// True if a sampling factor is three, the only one that the standard allows and the decoder does not take.
fn is_in_thirds((across, down): (u8, u8)) -> bool {
    across == 3 || down == 3
}

/// Returns the customary words for the sampling factors of brightness against colour.
fn subsampling(frame: &FrameHeader) -> String {
    let factors: Vec<(u8, u8)> = frame.components.iter().map(|component| component.sampling).collect();
    let [first, rest @ ..] = factors.as_slice() else { return String::new() };
    if rest.is_empty() {
        return "grey".to_owned();
    }
    let colour = rest[0];
    let alike = rest.iter().take(2).all(|factor| *factor == colour) && rest.get(2).is_none_or(|black| black == first);
    let ratio = |of: u8, to: u8| (to > 0 && of.is_multiple_of(to)).then(|| of / to);
    let words = match (ratio(first.0, colour.0), ratio(first.1, colour.1)) {
        (Some(1), Some(1)) => "4:4:4",
        (Some(2), Some(1)) => "4:2:2",
        (Some(2), Some(2)) => "4:2:0",
        (Some(1), Some(2)) => "4:4:0",
        (Some(4), Some(1)) => "4:1:1",
        (Some(4), Some(2)) => "4:1:0",
        _ => "",
    };
    // Where black follows the colours' sampling instead of the brightness', all are alike anyway.
    let all_alike = factors.iter().all(|factor| factor == first);
    if !words.is_empty() && (alike || all_alike) {
        return words.to_owned();
    }
    factors.iter().map(|(h, v)| format!("{h}x{v}")).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests;
