//! Exif: the few tags that matter to a print, out of the bytes of an Exif block.
//!
//! Knows no container. A damaged block gives what could be read of it.

use exif::{Exif, In, Reader, Tag, Value};

use super::capture_time::CaptureTime;
use super::facts::{Orientation, ResolutionTag};
use super::limits;

/// Centimetres in an inch.
pub const CM_PER_INCH: f64 = 2.54;

/// Tags that hold a coordinate. Source: Exif 2.3, GPS tags 2, 4, 20 and 22.
const COORDINATES: [Tag; 4] = [Tag::GPSLatitude, Tag::GPSLongitude, Tag::GPSDestLatitude, Tag::GPSDestLongitude];

/// Values of the Exif tags that are read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ExifFacts {
    /// Tag 0x0112.
    pub orientation: Option<Orientation>,
    /// Tags 0x011A, 0x011B and 0x0128, where the unit is inch or centimetre.
    pub resolution: Option<ResolutionTag>,
    /// Tag 0xA001.
    pub colour_space: Option<u16>,
    /// Interoperability index: `R98`, `R03`, `THM`.
    pub interoperability: Option<String>,
    /// Tag 0x013B.
    pub creator: Option<String>,
    /// Tag 0x8298.
    pub copyright: Option<String>,
    /// Tag 0x010E.
    pub caption: Option<String>,
    /// Tags 0x9003 and 0x9011.
    pub taken: Option<CaptureTime>,
    /// Coordinates in the GPS directory: of the place or of a destination.
    pub has_location: bool,
    /// The block cannot be read at all.
    pub is_unreadable: bool,
}

/// Reads an Exif block, without its `Exif\0\0`.
pub fn read(block: Vec<u8>) -> ExifFacts {
    parse(block).map_or_else(|| ExifFacts { is_unreadable: true, ..ExifFacts::default() }, |exif| facts(&exif))
}

/// Reads the blocks of one file. The first is the file's; of the others only what must not be overlooked counts:
/// coordinates, and that one cannot be read.
pub fn read_all(blocks: impl IntoIterator<Item = Vec<u8>>) -> ExifFacts {
    let mut all = blocks.into_iter().map(read);
    let mut found = all.next().unwrap_or_default();
    for other in all {
        found.has_location |= other.has_location;
        found.is_unreadable |= other.is_unreadable;
    }
    found
}

/// Returns the JPEG thumbnail in an Exif block.
pub fn thumbnail(block: Vec<u8>) -> Option<Vec<u8>> {
    let exif = parse(block)?;
    let number = |tag| exif.get_field(tag, In::THUMBNAIL)?.value.get_uint(0);
    let start = number(Tag::JPEGInterchangeFormat)? as usize;
    let length = number(Tag::JPEGInterchangeFormatLength)? as usize;
    exif.buf().get(start..start.checked_add(length)?).map(<[u8]>::to_vec)
}

fn parse(block: Vec<u8>) -> Option<Exif> {
    let mut reader = Reader::new();
    reader.continue_on_error(true);
    reader.read_raw(block).or_else(|error| error.distill_partial_result(|_| ())).ok()
}

fn facts(exif: &Exif) -> ExifFacts {
    let field = |tag| exif.get_field(tag, In::PRIMARY).map(|field| &field.value);
    let number = |tag| field(tag).and_then(|value| value.get_uint(0));
    let words = |tag| field(tag).and_then(text);
    let first = |tag| match field(tag)? {
        Value::Rational(values) => values.first().map(|value| value.to_f64()),
        _ => None,
    };
    let resolution = first(Tag::XResolution)
        .zip(first(Tag::YResolution))
        // Inch is the default where the unit is missing. Source: Exif 2.3, tag 0x0128.
        .and_then(|(x, y)| to_ppi(x, y, number(Tag::ResolutionUnit).unwrap_or(2)));
    ExifFacts {
        orientation: number(Tag::Orientation).and_then(Orientation::from_tag),
        resolution,
        colour_space: number(Tag::ColorSpace).and_then(|value| u16::try_from(value).ok()),
        interoperability: words(Tag::InteroperabilityIndex),
        creator: words(Tag::Artist),
        copyright: words(Tag::Copyright),
        caption: words(Tag::ImageDescription),
        taken: words(Tag::DateTimeOriginal)
            .and_then(|when| CaptureTime::from_exif(&when, words(Tag::OffsetTimeOriginal).as_deref())),
        has_location: COORDINATES.into_iter().any(|tag| field(tag).is_some()),
        is_unreadable: false,
    }
}

/// Converts a pair of resolutions to ppi from the unit of tag 0x0128 or TIFF tag 296: 2 inch, 3 centimetre, else none.
pub fn to_ppi(x: f64, y: f64, unit: u32) -> Option<ResolutionTag> {
    match unit {
        2 => ResolutionTag::new(x, y),
        3 => ResolutionTag::new(x * CM_PER_INCH, y * CM_PER_INCH),
        _ => None,
    }
}

fn text(value: &Value) -> Option<String> {
    match value {
        // Several strings: the photographer's and the editor's copyright (Exif 2.3, tag 0x8298).
        Value::Ascii(parts) => {
            let parts: Vec<String> = parts.iter().filter_map(|part| limits::text(&decode_text(part))).collect();
            limits::text(&parts.join(", "))
        }
        _ => None,
    }
}

/// Decodes a text. Exif requires ASCII; writers put UTF-8 there, older ones Latin-1.
pub fn decode_text(bytes: &[u8]) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|&byte| char::from(byte)).collect(),
    }
}

#[cfg(test)]
pub mod tests {
    use super::*;
    use exif::experimental::Writer;
    use exif::{Field, Rational};
    use std::io::Cursor;

    /// Returns an Exif block of the given tags.
    pub fn block(fields: &[(Tag, Value)]) -> Vec<u8> {
        let fields: Vec<Field> =
            fields.iter().map(|(tag, value)| Field { tag: *tag, ifd_num: In::PRIMARY, value: value.clone() }).collect();
        let mut writer = Writer::new();
        fields.iter().for_each(|field| writer.push_field(field));
        let mut bytes = Cursor::new(Vec::new());
        writer.write(&mut bytes, true).unwrap();
        bytes.into_inner()
    }

    /// Returns an Exif text.
    pub fn ascii(text: &str) -> Value {
        Value::Ascii(vec![text.as_bytes().to_vec()])
    }

    #[test]
    fn the_tags_that_matter_are_read() {
        let ratio = |num| Value::Rational(vec![Rational { num, denom: 1 }]);
        let facts = read(block(&[
            (Tag::Orientation, Value::Short(vec![6])),
            (Tag::XResolution, ratio(300)),
            (Tag::YResolution, ratio(300)),
            (Tag::ResolutionUnit, Value::Short(vec![2])),
            (Tag::ColorSpace, Value::Short(vec![0xFFFF])),
            (Tag::InteroperabilityIndex, ascii("R03")),
            (Tag::Artist, Value::Ascii(vec!["Anné".as_bytes().to_vec()])),
            (Tag::DateTimeOriginal, ascii("2026:11:02 10:21:07")),
            (Tag::OffsetTimeOriginal, ascii("+01:00")),
            (Tag::GPSLatitude, Value::Rational(vec![Rational { num: 1, denom: 1 }; 3])),
        ]));
        assert_eq!(facts.orientation, Orientation::from_tag(6));
        assert_eq!(facts.resolution, ResolutionTag::new(300.0, 300.0));
        assert_eq!((facts.colour_space, facts.interoperability.as_deref()), (Some(0xFFFF), Some("R03")));
        assert_eq!(facts.creator.as_deref(), Some("Anné"));
        assert_eq!(facts.taken.as_ref().map(CaptureTime::as_str), Some("2026-11-02T10:21:07+01:00"));
        assert!(facts.has_location);
    }

    #[test]
    fn coordinates_of_the_place_or_of_a_destination_are_a_location() {
        let of =
            |tag, value| read(block(&[(Tag::GPSVersionID, Value::Byte(vec![2, 3, 0, 0])), (tag, value)])).has_location;
        let degrees = || Value::Rational(vec![Rational { num: 50, denom: 1 }; 3]);
        for tag in COORDINATES {
            assert!(of(tag, degrees()), "{tag}");
        }
        assert!(!of(Tag::GPSMapDatum, ascii("WGS-84")));
    }

    #[test]
    fn centimetres_become_inches_and_no_unit_is_no_resolution() {
        assert_eq!(to_ppi(118.11, 118.11, 3), ResolutionTag::new(300.0, 300.0));
        assert_eq!(to_ppi(300.0, 300.0, 1), None);
    }

    #[test]
    fn cut_and_flipped_blocks_never_panic() {
        let whole = block(&[(Tag::Orientation, Value::Short(vec![6])), (Tag::Artist, ascii("somebody with a name"))]);
        for at in 0..whole.len() {
            let _ = read(whole[..at].to_vec());
            let _ = thumbnail(whole[..at].to_vec());
            for bit in 0..8 {
                let mut flipped = whole.clone();
                flipped[at] ^= 1 << bit;
                let _ = read(flipped);
            }
        }
    }
}
