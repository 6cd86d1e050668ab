//! Tests of exported files, read back.

use std::io::Cursor;
use std::sync::atomic::AtomicBool;

use painter::{Frame, dishes, paint};

use super::*;
use crate::demo::picture::{CREATOR, Chroma, RIGHTS, SOUND};

const PROFILE: &[u8] = b"a profile's bytes, which no reader here opens";

fn painted() -> Image {
    paint(&dishes::plum_tart(), &Frame::new(48, 64), &AtomicBool::new(false)).expect("not cancelled")
}

fn file(picture: Picture) -> Vec<u8> {
    let profiles = Profiles { srgb: PROFILE.to_vec(), adobe_rgb: b"another".to_vec() };
    export(&picture, "2026:11:02 10:21:07", &painted(), &profiles).expect("encodes")
}

fn exif_of(bytes: &[u8]) -> ::exif::Exif {
    ::exif::Reader::new().read_from_container(&mut Cursor::new(bytes)).expect("Exif is there")
}

fn pixels(bytes: &[u8]) -> image::RgbImage {
    let read = crate::picture::jpeg(bytes, 64).expect("a JPEG");
    image::RgbImage::from_raw(read.width_px, read.height_px, read.rgb).expect("whole rows")
}

fn profile(bytes: &[u8]) -> Option<Vec<u8>> {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.jpg");
    std::fs::write(&path, bytes).expect("written");
    crate::picture::profile_bytes(&path)
}

fn said(bytes: &[u8], tag: ::exif::Tag) -> Option<String> {
    let exif = exif_of(bytes);
    let field = exif.get_field(tag, ::exif::In::PRIMARY)?;
    Some(field.display_value().to_string())
}

#[test]
fn a_sound_jpeg_carries_size_density_profile_and_credit() {
    let bytes = file(SOUND);
    assert_eq!(pixels(&bytes).dimensions(), (48, 64));
    assert_eq!(profile(&bytes).as_deref(), Some(PROFILE));
    // JFIF: unit 1 (inch), 300 by 300.
    assert_eq!(&bytes[6..11], b"JFIF\0");
    assert_eq!(bytes[13..18], [1, 1, 44, 1, 44]);
    assert_eq!(said(&bytes, ::exif::Tag::Artist), Some(format!("\"{CREATOR}\"")));
    assert_eq!(said(&bytes, ::exif::Tag::ColorSpace).as_deref(), Some("sRGB"));
    let text = packet(&SOUND.words);
    assert!(bytes.windows(text.len()).any(|part| part == text.as_bytes()));
}

#[test]
fn an_untagged_jpeg_has_no_profile_and_claims_no_space() {
    let bytes = file(Picture { fault: DeliberateFault::Untagged, ..SOUND });
    assert_eq!(profile(&bytes), None);
    assert_ne!(said(&bytes, ::exif::Tag::ColorSpace).as_deref(), Some("sRGB"));
}

#[test]
fn a_sideways_picture_is_stored_turned_and_says_so() {
    let bytes = file(Picture { fault: DeliberateFault::Sideways, ..SOUND });
    let stored = pixels(&bytes);
    assert_eq!(stored.dimensions(), (64, 48));
    assert!(said(&bytes, ::exif::Tag::Orientation).is_some_and(|o| o.contains("row 0 at right")));
    let upright = pixels(&file(SOUND));
    let turned = image::imageops::rotate90(&stored);
    let apart = |(a, b): (&u8, &u8)| f64::from(a.abs_diff(*b));
    let mean = turned.iter().zip(upright.iter()).map(apart).sum::<f64>() / turned.len() as f64;
    assert!(mean < 2.0, "mean difference {mean}");
}

#[test]
fn a_cut_file_is_shorter_and_begins_the_same() {
    let (whole, cut) = (file(SOUND), file(Picture { fault: DeliberateFault::CutOff, ..SOUND }));
    assert_eq!(cut.len(), whole.len() * 9 / 10);
    assert_eq!(cut, whole[..cut.len()]);
}

#[test]
fn a_poor_jpeg_halves_its_colour_and_is_smaller() {
    let poor = FileKind::Jpeg { quality: 60, chroma: Chroma::Halved };
    let (poor, fine) = (file(Picture { kind: poor, ..SOUND }), file(SOUND));
    assert!(poor.len() < fine.len());
    let sampling = |bytes: &[u8]| {
        let frame = bytes.windows(4).position(|w| w == [0xFF, 0xC0, 0, 17]).expect("a frame header");
        bytes[frame + 11]
    };
    assert_eq!((sampling(&poor), sampling(&fine)), (0x22, 0x11));
}

#[test]
fn a_deep_tiff_keeps_all_sixteen_bits() {
    use ::tiff::decoder::{Decoder, DecodingResult};
    use ::tiff::tags::Tag;
    let bytes = file(Picture { kind: FileKind::Tiff16, ..SOUND });
    let mut decoder = Decoder::new(Cursor::new(&bytes)).expect("a TIFF");
    assert_eq!(decoder.dimensions().expect("a size"), (48, 64));
    let profile = decoder.get_tag_u8_vec(Tag::IccProfile).expect("a profile");
    assert_eq!(profile, PROFILE);
    assert_eq!(decoder.get_tag_ascii_string(Tag::Artist).expect("an artist"), CREATOR);
    let DecodingResult::U16(rows) = decoder.read_image().expect("rows") else {
        panic!("not 16 bits");
    };
    assert_eq!(rows, painted().rgb16());
}

#[test]
fn inks_are_four_and_have_no_rgb_profile() {
    use ::tiff::decoder::Decoder;
    let bytes = file(Picture { kind: FileKind::TiffInks, ..SOUND });
    let mut decoder = Decoder::new(Cursor::new(&bytes)).expect("a TIFF");
    assert_eq!(decoder.colortype().expect("a colour type"), ::tiff::ColorType::CMYK(8));
    assert!(decoder.find_tag(::tiff::tags::Tag::IccProfile).expect("readable").is_none());
}

#[test]
fn a_png_carries_density_profile_and_words() {
    let bytes = file(Picture { kind: FileKind::Png, ..SOUND });
    let reader = ::png::Decoder::new(Cursor::new(&bytes)).read_info().expect("a PNG");
    let info = reader.info();
    assert_eq!((info.width, info.height), (48, 64));
    assert_eq!(info.pixel_dims.map(|dims| dims.xppu), Some(11_811));
    assert_eq!(info.icc_profile.as_deref(), Some(PROFILE));
    assert!(info.utf8_text.iter().any(|text| text.keyword == "XML:com.adobe.xmp"));
    assert_eq!(said(&bytes, ::exif::Tag::Copyright), Some(format!("\"{RIGHTS}\"")));
}

#[test]
fn the_packet_is_sound_xml_and_names_the_creator() {
    let text = packet(&SOUND.words);
    let tree = roxmltree::Document::parse(&text).expect("well-formed");
    let creator = tree.descendants().find(|node| node.tag_name().name() == "creator");
    let name = creator.and_then(|node| node.descendants().find_map(|inner| inner.text()));
    assert_eq!(name, Some(CREATOR));
}
