//! Tests of reading PNG.

use std::borrow::Cow;
use std::io::{Cursor, Read, Write};

use png::{BitDepth, ColorType, Encoder, Info, PixelDimensions, Unit};

use exif::Tag;

use crate::colour::Encoding;
use crate::picture::exif::tests::{ascii, block};
use crate::picture::facts::{ColourModel, Facts, MetadataSource, Orientation};
use crate::picture::fault::tests::said_for_a_person;
use crate::picture::pixels::{Buffers, Samples};
use crate::picture::xmp::tests::PACKET;
use crate::picture::{Fault, FaultKind, open_pixels, read_facts, read_facts_from};

/// A PNG of the given samples; `set` fills in what is special.
fn encode(color: ColorType, depth: BitDepth, rows: &[u8], set: impl FnOnce(&mut Info<'_>)) -> Vec<u8> {
    let mut info = Info::with_size(24, 10);
    (info.color_type, info.bit_depth) = (color, depth);
    set(&mut info);
    let mut bytes = Vec::new();
    let mut encoder = Encoder::with_info(&mut bytes, info).unwrap();
    encoder.add_itxt_chunk("XML:com.adobe.xmp".to_owned(), PACKET.to_owned()).unwrap();
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(rows).unwrap();
    writer.finish().unwrap();
    bytes
}

fn ramp(len: usize) -> Vec<u8> {
    (0..len).map(|i| (i * 11 + i / 7) as u8).collect()
}

fn read(bytes: &[u8]) -> Result<Facts, Fault> {
    read_facts_from(&mut Cursor::new(bytes), bytes.len() as u64)
}

/// All samples as 16 bits, the number of channels, and the facts.
fn decode(bytes: &[u8]) -> Result<(Vec<u16>, usize, Facts), Fault> {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(bytes).unwrap();
    let facts = read_facts(file.path())?;
    let mut buffers = Buffers::default();
    let mut opened = open_pixels(file.path(), &facts, &mut buffers)?;
    let channels = opened.bands.layout().channels();
    let mut all = Vec::new();
    while let Some(band) = opened.bands.next_band()? {
        match band.samples {
            Samples::Eight(samples) => all.extend(samples.iter().map(|v| u16::from(*v))),
            Samples::Sixteen(samples) => all.extend_from_slice(samples),
        }
    }
    Ok((all, channels, facts))
}

/// A chunk put behind the header, as the encoder cannot write all of them.
fn with_chunk(bytes: &[u8], kind: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let body = [kind.as_slice(), content].concat();
    // Source: W3C PNG Third Edition, CRC algorithm.
    let crc = !body.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| if crc & 1 == 1 { 0xEDB8_8320 ^ (crc >> 1) } else { crc >> 1 })
    });
    let length = (content.len() as u32).to_be_bytes();
    [&bytes[..33], &length, &body, &crc.to_be_bytes(), &bytes[33..]].concat()
}

#[test]
fn samples_of_every_kind_come_back() {
    for (color, channels) in
        [(ColorType::Grayscale, 1), (ColorType::GrayscaleAlpha, 2), (ColorType::Rgb, 3), (ColorType::Rgba, 4)]
    {
        let eight = ramp(240 * channels);
        let (samples, found, facts) = decode(&encode(color, BitDepth::Eight, &eight, |_| ())).unwrap();
        assert_eq!((found, facts.has_alpha, facts.bits), (channels, channels % 2 == 0, 8));
        assert!(samples.iter().zip(&eight).all(|(a, b)| *a == u16::from(*b)));
        let sixteen = ramp(480 * channels);
        let (samples, _, facts) = decode(&encode(color, BitDepth::Sixteen, &sixteen, |_| ())).unwrap();
        assert_eq!(facts.bits, 16);
        let wanted: Vec<u16> = sixteen.as_chunks::<2>().0.iter().map(|pair| u16::from_be_bytes(*pair)).collect();
        assert_eq!(samples, wanted);
    }
}

#[test]
fn a_colour_table_is_measured_as_rgb_and_called_by_its_name() {
    let rows: Vec<u8> = (0..240).map(|i| (i % 2) as u8).collect();
    let bytes = encode(ColorType::Indexed, BitDepth::Eight, &rows, |info| {
        info.palette = Some(Cow::Owned(vec![1, 2, 3, 250, 251, 252]));
        info.trns = Some(Cow::Owned(vec![255, 0]));
    });
    let (samples, channels, facts) = decode(&bytes).unwrap();
    assert_eq!((channels, facts.model, facts.has_alpha), (4, ColourModel::Palette, true));
    assert_eq!(samples[..8], [1, 2, 3, 255, 250, 251, 252, 0]);
}

#[test]
fn eleven_thousand_eight_hundred_and_eleven_pixels_a_metre_read_as_300_ppi() {
    let bytes = encode(ColorType::Grayscale, BitDepth::Eight, &ramp(240), |info| {
        info.pixel_dims = Some(PixelDimensions { xppu: 11811, yppu: 11811, unit: Unit::Meter });
    });
    let facts = read(&bytes).unwrap();
    assert_eq!((facts.resolution_tag.unwrap().x_ppi, facts.credits.creator.text()), (300.0, Some("One; Two")));
}

#[test]
fn colour_chunks_obey_the_order_of_the_standard() {
    // Source: W3C PNG Third Edition, Colour spaces: cICP before iCCP before sRGB before gAMA and cHRM.
    let plain = encode(ColorType::Rgb, BitDepth::Eight, &ramp(720), |_| ());
    let gamma = with_chunk(&plain, b"gAMA", &45455_u32.to_be_bytes());
    let primaries: Vec<u8> = [31270_u32, 32900, 64000, 33000, 30000, 60000, 15000, 6000]
        .iter()
        .flat_map(|value| value.to_be_bytes())
        .collect();
    let both = with_chunk(&gamma, b"cHRM", &primaries);
    assert_eq!(read(&plain).unwrap().encoding(), None);
    assert_eq!(read(&gamma).unwrap().encoding(), None);
    assert_eq!(read(&both).unwrap().encoding(), Some(Encoding::Srgb));
    let said = with_chunk(&plain, b"sRGB", &[1]);
    assert_eq!(read(&said).unwrap().claim.unwrap().source.name(), "PNG sRGB chunk");
    let icc = encode(ColorType::Rgb, BitDepth::Eight, &ramp(720), |info| {
        info.icc_profile = Some(Cow::Owned(Encoding::AdobeRgb.icc_bytes()));
    });
    assert_eq!(read(&icc).unwrap().encoding(), Some(Encoding::AdobeRgb));
    let p3 = with_chunk(&icc, b"cICP", &[12, 13, 0, 1]);
    let facts = read(&p3).unwrap();
    assert_eq!(facts.encoding(), Some(Encoding::DisplayP3));
    assert!(matches!(facts.profile, crate::picture::facts::EmbeddedProfile::Embedded(_)));
    let video = with_chunk(&plain, b"cICP", &[9, 16, 0, 1]);
    assert!(read(&video).unwrap().unmeasurable.unwrap().contains("cICP 9, 16"));
}

#[test]
fn every_picture_of_an_animation_is_a_page() {
    // Source: W3C PNG Third Edition, acTL counts the frames; the still picture is one of them only behind an fcTL.
    let pages = |frames: u32, still_apart: bool| {
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, 24, 10);
        encoder.set_animated(frames, 0).unwrap();
        encoder.set_sep_def_img(still_apart).unwrap();
        let mut writer = encoder.write_header().unwrap();
        (0..frames + u32::from(still_apart)).for_each(|_| writer.write_image_data(&ramp(240)).unwrap());
        writer.finish().unwrap();
        decode(&bytes).unwrap().2.pages
    };
    assert_eq!([pages(1, false), pages(3, false), pages(1, true), pages(3, true)], [1, 3, 2, 4]);
    assert_eq!(read(&silent()).unwrap().pages, 1);
}

/// A picture of which no text says anything.
fn silent() -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut writer = Encoder::with_info(&mut bytes, Info::with_size(24, 10)).unwrap().write_header().unwrap();
    writer.write_image_data(&ramp(240)).unwrap();
    writer.finish().unwrap();
    bytes
}

/// The same chunk behind the pixels instead of before them.
fn behind_pixels(bytes: &[u8], kind: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let before = with_chunk(bytes, kind, content);
    let chunk = &before[33..33 + 12 + content.len()];
    let end = bytes.len() - 12;
    [&bytes[..end], chunk, &bytes[end..]].concat()
}

fn deflated(text: &[u8]) -> Vec<u8> {
    let mut packed = Vec::new();
    flate2::read::ZlibEncoder::new(text, flate2::Compression::fast()).read_to_end(&mut packed).unwrap();
    packed
}

#[test]
fn texts_under_keywords_are_read_however_they_are_stored_and_wherever_they_stand() {
    let packed = |head: &[u8], text: &str| [head, &deflated(text.as_bytes())].concat();
    let texts: [(&[u8; 4], Vec<u8>); 4] = [
        (b"tEXt", b"Author\0Imogen Tarr\xE9".to_vec()),
        (b"zTXt", packed(b"Copyright\0\0", "(c) Corrow Lane Press")),
        (b"iTXt", "Title\0\0\0en\0Titel\0Tart".as_bytes().to_vec()),
        (b"iTXt", packed(b"Description\0\x01\0\0\0", "Plum tart, crème")),
    ];
    for put in [with_chunk, behind_pixels] {
        let bytes = texts.iter().fold(silent(), |bytes, (kind, content)| put(&bytes, kind, content));
        let credits = read(&bytes).unwrap().credits;
        assert_eq!(credits.creator.sources, [(MetadataSource::PngText, "Imogen Tarré".to_owned())]);
        assert_eq!(credits.copyright.text(), Some("(c) Corrow Lane Press"));
        assert_eq!(credits.caption.text(), Some("Plum tart, crème"));
        assert!(decode(&bytes).is_ok());
    }
    // A title alone says what the picture shows.
    let titled = with_chunk(&silent(), texts[2].0, &texts[2].1);
    assert_eq!(read(&titled).unwrap().credits.caption.text(), Some("Tart"));
}

#[test]
fn exif_and_xmp_are_read_from_chunks_of_their_own_and_from_texts() {
    let exif = block(&[(Tag::Orientation, exif::Value::Short(vec![6])), (Tag::Artist, ascii("One"))]);
    let marked = [b"Exif\0\0", &exif[..]].concat();
    let hexadecimal = |name: &str, packet: &[u8]| {
        let digits: String = packet.iter().map(|byte| format!("{byte:02x}")).collect();
        let lines: Vec<&str> = digits.as_bytes().chunks(72).map(|line| std::str::from_utf8(line).unwrap()).collect();
        format!("\n{name}\n{:>8}\n{}\n", packet.len(), lines.join("\n"))
    };
    let as_text = |name: &str, packet: &[u8]| {
        let head = format!("Raw profile type {name}\0\0");
        [head.as_bytes(), &deflated(hexadecimal(name, packet).as_bytes())].concat()
    };
    let turned = "<r:RDF xmlns:r='http://www.w3.org/1999/02/22-rdf-syntax-ns#'><r:Description \
                  xmlns:t='http://ns.adobe.com/tiff/1.0/' t:Orientation='6' \
                  xmlns:p='http://ns.adobe.com/photoshop/1.0/' p:Credit='Corrow'/></r:RDF>";
    let xmp = [b"XML:com.adobe.xmp\0\0\0\0\0", turned.as_bytes()].concat();
    let in_app1 = [b"http://ns.adobe.com/xap/1.0/\0", turned.as_bytes()].concat();
    for (kind, content) in [
        (b"eXIf", exif.clone()),
        (b"eXIf", marked.clone()),
        (b"zTXt", as_text("exif", &marked)),
        (b"zTXt", as_text("APP1", &marked)),
        (b"iTXt", xmp),
        (b"zTXt", as_text("APP1", &in_app1)),
        (b"zTXt", as_text("xmp", turned.as_bytes())),
    ] {
        for put in [with_chunk, behind_pixels] {
            let facts = read(&put(&silent(), kind, &content)).unwrap();
            assert_eq!(facts.orientation, Orientation::from_tag(6).unwrap(), "{}", content.escape_ascii());
            let credit = facts.credits.creator.text().or(facts.credits.credit_line.text());
            assert!(matches!(credit, Some("One" | "Corrow")), "{credit:?}");
        }
    }
    // Exif's word comes before that of XMP.
    let upright = block(&[(Tag::Orientation, exif::Value::Short(vec![1]))]);
    let both = with_chunk(&with_chunk(&silent(), b"eXIf", &upright), b"zTXt", &as_text("xmp", turned.as_bytes()));
    assert_eq!(read(&both).unwrap().orientation, Orientation::UPRIGHT);
}

#[test]
fn texts_that_unfold_without_end_or_are_damaged_count_as_missing() {
    let bomb = deflated(&vec![b'a'; 64 << 20]);
    let began = std::time::Instant::now();
    for (kind, head) in [
        (b"zTXt", &b"Author\0\0"[..]),
        (b"iTXt", b"XML:com.adobe.xmp\0\x01\0\0\0"),
        (b"zTXt", b"Raw profile type exif\0\0"),
    ] {
        let facts = read(&with_chunk(&silent(), kind, &[head, &bomb].concat())).unwrap();
        assert_eq!((facts.credits.creator.text(), facts.orientation), (None, Orientation::UPRIGHT));
    }
    assert!(began.elapsed() < std::time::Duration::from_secs(5), "{:?}", began.elapsed());
    let odd: [&[u8]; 5] = [b"", b"Author", b"Author\0", b"Author\0\0", b"Raw profile type exif\0\0\nexif\n99\n00"];
    for kind in [b"tEXt", b"zTXt", b"iTXt", b"eXIf"] {
        for content in odd {
            let facts = read(&behind_pixels(&with_chunk(&silent(), kind, content), kind, content)).unwrap();
            assert_eq!(facts.credits.creator.text(), None, "{}", content.escape_ascii());
        }
    }
}

#[test]
fn damage_is_described_in_our_words_with_its_position() {
    let noise: Vec<u8> = (0..720_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    let whole = encode(ColorType::Rgb, BitDepth::Eight, &noise, |_| ());
    let mut header = whole.clone();
    header[29] ^= 1;
    assert_eq!(
        read(&header).unwrap_err().what,
        "damaged PNG: its header, or a chunk before its pixels, contradicts the format"
    );
    let pixels = whole.windows(4).position(|four| four == b"IDAT").unwrap();
    let mut torn = whole;
    torn[pixels + 40..pixels + 80].fill(0xFF);
    let what = decode(&torn).unwrap_err().what;
    assert!(what.starts_with("damaged PNG: its pixels cannot be unpacked after row "), "{what}");
}

#[test]
fn a_cut_file_is_truncated() {
    let noise: Vec<u8> = (0..720_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    let bytes = encode(ColorType::Rgb, BitDepth::Eight, &noise, |_| ());
    let start = bytes.windows(4).position(|four| four == b"IDAT").unwrap();
    for end in [start + 20, (start + bytes.len()) / 2, bytes.len() - 20, bytes.len() - 1] {
        assert_eq!(decode(&bytes[..end]).unwrap_err().kind, FaultKind::Truncated, "cut at {end}");
    }
}

#[test]
fn cut_and_flipped_files_never_panic() {
    let bytes = encode(ColorType::Rgb, BitDepth::Eight, &ramp(720), |info| {
        info.icc_profile = Some(Cow::Owned(Encoding::Srgb.icc_bytes()));
    });
    let mut seed = 0x5EED_u64;
    for at in 0..bytes.len() {
        let _ = decode(&bytes[..at]);
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        let mut flipped = bytes.clone();
        flipped[at] ^= (seed >> 56) as u8 | 1;
        decode(&flipped).map_err(|fault| said_for_a_person(&fault)).ok();
    }
}
