//! Tests of reading JPEG.

use std::io::{Cursor, Write};

use exif::{Tag, Value};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};

use crate::colour::Encoding;
use crate::picture::exif::tests::{ascii, block};
use crate::picture::facts::{ColourModel, EmbeddedProfile, Facts};
use crate::picture::fault::tests::said_for_a_person;
use crate::picture::pixels::{Buffers, Samples};
use crate::picture::xmp::tests::PACKET;
use crate::picture::{CaptureTime, Fault, FaultKind, open_pixels, preview, read_facts, read_facts_from};

/// A gradient with some fine structure, so that scans are not trivial.
fn picture(w: usize, h: usize, channels: usize) -> Vec<u8> {
    (0..w * h * channels)
        .map(|i| ((i / channels % w) * 3 + (i / channels / w) * 2 + (i % channels) * 40 + (i * i) % 23) as u8)
        .collect()
}

fn encode(w: u16, h: u16, kind: ColorType, set: impl FnOnce(&mut Encoder<&mut Vec<u8>>)) -> Vec<u8> {
    let channels = match kind {
        ColorType::Luma => 1,
        ColorType::Rgb => 3,
        _ => 4,
    };
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, 92);
    set(&mut encoder);
    encoder.encode(&picture(w.into(), h.into(), channels), w, h, kind).unwrap();
    bytes
}

fn read(bytes: &[u8]) -> Result<Facts, Fault> {
    read_facts_from(&mut Cursor::new(bytes), bytes.len() as u64)
}

fn on_disk(bytes: &[u8]) -> tempfile::NamedTempFile {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(bytes).unwrap();
    file
}

/// All samples and the digest, or why not.
fn decode(bytes: &[u8]) -> Result<(Vec<u8>, String), Fault> {
    let file = on_disk(bytes);
    let facts = read_facts(file.path())?;
    let mut buffers = Buffers::default();
    let mut opened = open_pixels(file.path(), &facts, &mut buffers)?;
    let mut all = Vec::new();
    while let Some(band) = opened.bands.next_band()? {
        let Samples::Eight(samples) = band.samples else { panic!("a JPEG has 8 bits") };
        all.extend_from_slice(samples);
    }
    Ok((all, opened.sha256))
}

#[test]
fn size_sampling_quality_and_density_come_from_the_header() {
    // Source: ITU-T T.81, sampling factors 2x2 against 1x1 are what the trade calls 4:2:0.
    for (factor, words) in [
        (SamplingFactor::F_1_1, "4:4:4"),
        (SamplingFactor::F_2_1, "4:2:2"),
        (SamplingFactor::F_2_2, "4:2:0"),
        (SamplingFactor::F_1_2, "4:4:0"),
        (SamplingFactor::F_4_1, "4:1:1"),
    ] {
        let facts = read(&encode(70, 40, ColorType::Rgb, |encoder| {
            encoder.set_sampling_factor(factor);
            encoder.set_density(jpeg_encoder::PixelDensity::dpi(300));
        }))
        .unwrap();
        let jpeg = facts.jpeg.as_ref().unwrap();
        assert_eq!((facts.width_px, facts.height_px, facts.model, facts.bits), (70, 40, ColourModel::Rgb, 8));
        assert_eq!((jpeg.subsampling.as_str(), jpeg.quality, jpeg.is_exact), (words, 92, true));
        assert_eq!(facts.resolution_tag.unwrap().x_ppi, 300.0);
    }
    let grey = read(&encode(9, 9, ColorType::Luma, |_| ())).unwrap();
    assert_eq!((grey.model, grey.jpeg.unwrap().subsampling.as_str()), (ColourModel::Grey, "grey"));
}

#[test]
fn a_profile_in_several_parts_exif_and_xmp_are_read() {
    let icc = Encoding::AdobeRgb.icc_bytes();
    let exif = block(&[(Tag::Orientation, Value::Short(vec![6])), (Tag::Artist, ascii("One; Two"))]);
    let bytes = encode(16, 8, ColorType::Rgb, |encoder| {
        encoder.add_icc_profile(&icc).unwrap();
        encoder.add_app_segment(1, [b"Exif\0\0", exif.as_slice()].concat()).unwrap();
        let xmp = [b"http://ns.adobe.com/xap/1.0/\0", PACKET.as_bytes()].concat();
        encoder.add_app_segment(1, xmp).unwrap();
    });
    let facts = read(&bytes).unwrap();
    assert_eq!(facts.encoding(), Some(Encoding::AdobeRgb));
    assert_eq!(facts.upright_px(), (8, 16));
    assert_eq!(facts.credits.creator.sources.len(), 2);
    assert!(!facts.credits.creator.disagrees());
    assert_eq!(facts.has_location, Some(true));
    assert_eq!(facts.taken.as_ref().map(CaptureTime::as_str), Some("2026-11-02T10:21:07"));
}

#[test]
fn coordinates_in_a_second_packet_are_found_and_one_that_cannot_be_read_is_no_all_clear() {
    let (exif, xmp, extended) =
        (b"Exif\0\0".as_slice(), b"http://ns.adobe.com/xap/1.0/\0".as_slice(), b"http://ns.adobe.com/xmp/extension/\0");
    let location = |packets: &[(u8, &[u8], &[u8])]| {
        let bytes = encode(16, 8, ColorType::Rgb, |encoder| {
            packets
                .iter()
                .for_each(|(app, mark, packet)| encoder.add_app_segment(*app, [*mark, packet].concat()).unwrap());
        });
        read(&bytes).unwrap().has_location
    };
    let resource = |number: u16, content: &[u8]| {
        let (number, length) = (number.to_be_bytes(), (content.len() as u32).to_be_bytes());
        [b"8BIM", number.as_slice(), &[0, 0], &length, content].concat()
    };
    let plain = block(&[(Tag::Artist, ascii("One"))]);
    let degrees = exif::Value::Rational(vec![exif::Rational { num: 50, denom: 1 }; 3]);
    let placed = block(&[(Tag::GPSLatitude, degrees)]);
    let packet = PACKET.as_bytes();
    assert_eq!(location(&[(1, exif, &plain)]), Some(false));
    assert_eq!(location(&[(1, exif, &plain), (1, exif, &placed)]), Some(true));
    assert_eq!(location(&[(1, xmp, b"<a/>"), (1, xmp, packet)]), Some(true));
    assert_eq!(location(&[(13, b"Photoshop 3.0\0", &resource(0x0422, &placed))]), Some(true));
    assert_eq!(location(&[(13, b"Photoshop 3.0\0", &resource(0x0424, packet))]), Some(true));
    assert_eq!(location(&[(1, exif, &plain), (1, xmp, b"<a")]), None);
    assert_eq!(location(&[(1, xmp, b"<a/>"), (1, extended, &packet[..200])]), None);
    assert_eq!(location(&[(1, exif, b"no directory")]), None);
}

#[test]
fn a_profile_behind_the_first_scan_is_none() {
    for progressive in [false, true] {
        let plain = encode(16, 8, ColorType::Rgb, |encoder| encoder.set_progressive(progressive));
        let with = encode(16, 8, ColorType::Rgb, |encoder| {
            encoder.set_progressive(progressive);
            encoder.add_icc_profile(&Encoding::Srgb.icc_bytes()).unwrap();
        });
        assert!(matches!(read(&with).unwrap().profile, EmbeddedProfile::Embedded(_)));
        let start = with.windows(2).position(|pair| pair == [0xFF, 0xE2]).unwrap();
        let segment = &with[start..start + with.len() - plain.len()];
        let end = plain.len() - 2;
        let behind = [&plain[..end], segment, &plain[end..]].concat();
        assert_eq!(read(&behind).unwrap().profile, EmbeddedProfile::None);
    }
}

#[test]
fn a_broken_profile_is_said_and_the_picture_stays_readable() {
    let icc = Encoding::Srgb.icc_bytes();
    let part = |number: u8| [b"ICC_PROFILE\0".as_slice(), &[number, 2], &icc].concat();
    let facts = read(&encode(8, 8, ColorType::Rgb, |encoder| {
        encoder.add_app_segment(2, part(1)).unwrap();
    }))
    .unwrap();
    assert!(matches!(&facts.profile, EmbeddedProfile::Broken(why) if why.contains("part 2 of 2 is missing")));
}

#[test]
fn pixels_come_back_whole_with_the_digest_of_the_file() {
    use sha2::{Digest, Sha256};
    for (kind, progressive) in [(ColorType::Rgb, false), (ColorType::Rgb, true), (ColorType::Luma, false)] {
        let channels = if kind == ColorType::Luma { 1 } else { 3 };
        let bytes = encode(67, 41, kind, |encoder| {
            encoder.set_sampling_factor(SamplingFactor::F_1_1);
            encoder.set_progressive(progressive);
        });
        let (samples, sha256) = decode(&bytes).unwrap();
        let wanted = picture(67, 41, channels);
        let off: u64 = samples.iter().zip(&wanted).map(|(a, b)| u64::from(a.abs_diff(*b))).sum();
        assert_eq!(samples.len(), wanted.len());
        assert!(off / (wanted.len() as u64) < 12, "{kind:?} {progressive}: {off}");
        assert_eq!(sha256, format!("{:x}", Sha256::digest(&bytes)));
    }
}

#[test]
fn colours_that_are_stored_coarser_lie_where_they_belong() {
    // A soft slope of colours: whatever is stored coarser, lines between its samples give it back, at odd ends too.
    let (w, h) = (131_u16, 77_u16);
    let at = |i: usize| (i % usize::from(w), i / usize::from(w));
    let slope = |(x, y): (usize, usize)| [(40 + x) as u8, (200 - x / 2 - y / 2) as u8, (60 + 2 * y) as u8];
    let wanted: Vec<u8> = (0..usize::from(w) * usize::from(h)).flat_map(|i| slope(at(i))).collect();
    for factor in [
        SamplingFactor::F_1_1,
        SamplingFactor::F_2_1,
        SamplingFactor::F_1_2,
        SamplingFactor::F_2_2,
        SamplingFactor::F_4_1,
        SamplingFactor::F_4_2,
    ] {
        for progressive in [false, true] {
            let mut bytes = Vec::new();
            let mut encoder = Encoder::new(&mut bytes, 98);
            encoder.set_sampling_factor(factor);
            encoder.set_progressive(progressive);
            encoder.encode(&wanted, w, h, ColorType::Rgb).unwrap();
            let (samples, _) = decode(&bytes).unwrap();
            assert_eq!(samples.len(), wanted.len());
            let inside = |i: usize| {
                let (x, y) = at(i / 3);
                x > 3 && y > 1 && x + 5 < usize::from(w) && y + 3 < usize::from(h)
            };
            let off = |i: &usize| samples[*i].abs_diff(wanted[*i]);
            let most = (0..wanted.len()).filter(|i| inside(*i)).map(|i| off(&i)).max().unwrap();
            let limit = if matches!(factor, SamplingFactor::F_4_1 | SamplingFactor::F_4_2) { 9 } else { 5 };
            assert!(most <= limit, "{factor:?} {progressive}: {most}");
            let mean = (0..wanted.len()).map(|i| u64::from(off(&i))).sum::<u64>() as f64 / wanted.len() as f64;
            assert!(mean < 1.2, "{factor:?} {progressive}: {mean}");
        }
    }
}

#[test]
fn inks_count_from_no_ink_whatever_the_file_s_habit() {
    // A flat ink: the encoder takes inks from 0 and stores them inverted with the Adobe marker, as print files do.
    let flat: Vec<u8> = [200, 30, 60, 90].repeat(64);
    for kind in [ColorType::Cmyk, ColorType::CmykAsYcck] {
        let mut bytes = Vec::new();
        Encoder::new(&mut bytes, 98).encode(&flat, 8, 8, kind).unwrap();
        let facts = read(&bytes).unwrap();
        assert_eq!(facts.model, ColourModel::Cmyk);
        let (samples, _) = decode(&bytes).unwrap();
        for (found, wanted) in samples[..4].iter().zip([200, 30, 60, 90_u8]) {
            assert!(found.abs_diff(wanted) <= 3, "{kind:?}: {:?}", &samples[..4]);
        }
    }
}

#[test]
fn a_jfif_header_decides_how_colours_are_stored() {
    // Sources: ITU-T T.871, three components in JFIF are Y, Cb and Cr; ITU-T T.872, three of transform 0 are RGB.
    const JFIF: std::ops::Range<usize> = 2..20;
    let plain = encode(16, 8, ColorType::Rgb, |_| ());
    assert_eq!(plain[JFIF][4..9], *b"JFIF\0");
    let (start, jfif, rest) = (&plain[..JFIF.start], &plain[JFIF], &plain[JFIF.end..]);
    let adobe = b"\xFF\xEE\0\x0EAdobe\0\x64\0\0\0\0\0".as_slice();
    let pixels = |segments: [&[u8]; 4]| decode(&segments.concat()).unwrap().0;
    let wanted = pixels([start, jfif, rest, &[]]);
    assert!(pixels([start, jfif, adobe, rest]) == wanted);
    assert!(pixels([start, adobe, jfif, rest]) == wanted);
    // Without the header, the marker counts: the stored samples themselves.
    assert!(pixels([start, adobe, rest, &[]]) != wanted);
}

#[test]
fn a_file_that_ends_too_early_is_truncated() {
    for progressive in [false, true] {
        let bytes = encode(300, 200, ColorType::Rgb, |encoder| encoder.set_progressive(progressive));
        for percent in [30, 50, 90, 99] {
            let cut = &bytes[..bytes.len() * percent / 100];
            assert_eq!(decode(cut).unwrap_err().kind, FaultKind::Truncated, "{percent} %, progressive {progressive}");
        }
        assert_eq!(decode(&bytes[..bytes.len() - 2]).unwrap_err().kind, FaultKind::Truncated);
        // Bytes after the end are nobody's business.
        let followed = [bytes.as_slice(), b"trailing bytes"].concat();
        assert_eq!(decode(&followed).unwrap().0, decode(&bytes).unwrap().0);
    }
}

/// A picture of so many pixels, plain below its upper third: its last codes are few, and stand close together.
fn plain_below(w: u16, h: u16, set: impl FnOnce(&mut Encoder<&mut Vec<u8>>)) -> Vec<u8> {
    let (wide, high) = (usize::from(w), usize::from(h));
    let mut samples = picture(wide, high, 3);
    samples[wide * high..].fill(255);
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, 92);
    set(&mut encoder);
    encoder.encode(&samples, w, h, ColorType::Rgb).unwrap();
    bytes
}

#[test]
fn a_cut_that_was_closed_with_an_end_marker_is_incomplete() {
    for progressive in [false, true] {
        for factor in [SamplingFactor::F_1_1, SamplingFactor::F_2_2] {
            for optimised in [false, true] {
                let bytes = encode(300, 200, ColorType::Rgb, |encoder| {
                    encoder.set_progressive(progressive);
                    encoder.set_sampling_factor(factor);
                    encoder.set_optimized_huffman_tables(optimised);
                });
                assert!(decode(&bytes).is_ok());
                for percent in [30, 50, 70, 90, 98] {
                    let closed = [&bytes[..bytes.len() * percent / 100], &[0xFF, 0xD9]].concat();
                    let fault = decode(&closed).unwrap_err();
                    assert_eq!(fault.kind, FaultKind::Incomplete, "{percent} %, {progressive} {factor:?}: {fault}");
                }
            }
        }
    }
    let cut = encode(300, 200, ColorType::Rgb, |_| ());
    let fault = decode(&[&cut[..cut.len() / 2], &[0xFF, 0xD9]].concat()).unwrap_err();
    let rows: usize = fault.what.split(' ').find_map(|word| word.parse().ok()).unwrap();
    assert!((80..120).contains(&rows) && rows.is_multiple_of(8), "{fault}");
}

#[test]
fn the_last_interval_of_restarts_is_looked_at_too() {
    for interval in [1, 3, 7, 19, 38, 400] {
        for factor in [SamplingFactor::F_1_1, SamplingFactor::F_2_2] {
            for below in [false, true] {
                let set = |encoder: &mut Encoder<&mut Vec<u8>>| {
                    encoder.set_restart_interval(interval);
                    encoder.set_sampling_factor(factor);
                };
                let bytes = if below { plain_below(300, 200, set) } else { encode(300, 200, ColorType::Rgb, set) };
                assert!(decode(&bytes).is_ok(), "{interval} {factor:?}: {}", decode(&bytes).unwrap_err());
                // Eight bytes less: of one or two it may be that only the last coefficients are others.
                let closed = [&bytes[..bytes.len() - 10], &[0xFF, 0xD9]].concat();
                assert!(decode(&closed).is_err(), "{interval} {factor:?}, plain below: {below}");
            }
        }
    }
}

#[test]
fn codings_that_few_devices_read_are_named_as_unmeasurable() {
    let bytes = encode(8, 8, ColorType::Rgb, |_| ());
    let frame = bytes.windows(2).position(|pair| pair == [0xFF, 0xC0]).unwrap();
    let as_marker = |marker: u8, bits: u8| {
        let mut changed = bytes.clone();
        (changed[frame + 1], changed[frame + 4]) = (marker, bits);
        read(&changed).unwrap().unmeasurable
    };
    assert_eq!(as_marker(0xC9, 8).as_deref(), Some("an arithmetic-coded JPEG"));
    assert_eq!(as_marker(0xC3, 8).as_deref(), Some("a lossless JPEG"));
    assert_eq!(as_marker(0xC1, 12).as_deref(), Some("a 12-bit JPEG"));
    let mut thirds = encode(32, 32, ColorType::Rgb, |_| ());
    let frame = thirds.windows(2).position(|two| two == [0xFF, 0xC0]).unwrap();
    thirds[frame + 11] = 0x31;
    assert_eq!(read(&thirds).unwrap().unmeasurable.unwrap(), "a JPEG sampled in an uncommon way (3x1 1x1 1x1)");
}

#[test]
fn a_picture_that_claims_too_many_pixels_is_refused_before_anything_is_allocated() {
    let mut bytes = encode(8, 8, ColorType::Rgb, |_| ());
    let frame = bytes.windows(2).position(|pair| pair == [0xFF, 0xC0]).unwrap();
    bytes[frame + 5..frame + 9].copy_from_slice(&[0xEA, 0x60, 0xEA, 0x60]);
    assert_eq!(read(&bytes).unwrap().width_px, 60_000);
    let fault = decode(&bytes).unwrap_err();
    assert_eq!(fault.kind, FaultKind::TooLarge);
    assert!(fault.what.contains("3600 million pixels"), "{fault}");
}

#[test]
fn stray_bytes_between_segments_are_stepped_over() {
    let plain = encode(64, 48, ColorType::Rgb, |_| ());
    let wanted = decode(&plain).unwrap().0;
    let frame = plain.windows(2).position(|two| two == [0xFF, 0xC0]).unwrap();
    let scan = plain.windows(2).position(|two| two == [0xFF, 0xDA]).unwrap();
    let stray = [&plain[..frame], &[0; 7], &plain[frame..scan], &[1, 2, 3], &plain[scan..]].concat();
    let facts = read(&stray).unwrap();
    assert_eq!((facts.width_px, facts.jpeg.unwrap().stray_bytes), (64, 10));
    let (found, sha256) = decode(&stray).unwrap();
    assert!(found == wanted);
    assert_eq!(sha256, format!("{:x}", <sha2::Sha256 as sha2::Digest>::digest(&stray)));
    assert!(decode(&stray[..stray.len() * 9 / 10]).is_err());
}

#[test]
fn cut_and_flipped_files_never_panic() {
    let exif = block(&[(Tag::Orientation, Value::Short(vec![6]))]);
    let bytes = encode(24, 16, ColorType::Rgb, |encoder| {
        encoder.add_icc_profile(&Encoding::Srgb.icc_bytes()).unwrap();
        encoder.add_app_segment(1, [b"Exif\0\0", exif.as_slice()].concat()).unwrap();
    });
    for end in 0..bytes.len() {
        assert!(read(&bytes[..end]).is_err() || end > 600, "cut at {end}");
    }
    let mut seed = 0x5EED_u64;
    for at in 0..bytes.len() {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        let mut flipped = bytes.clone();
        flipped[at] ^= (seed >> 56) as u8 | 1;
        match read(&flipped) {
            Ok(facts) if facts.pixel_count() < 1_000_000 => {
                decode(&flipped).map_err(|fault| said_for_a_person(&fault)).ok();
            }
            Ok(_) => {}
            Err(fault) => said_for_a_person(&fault),
        }
    }
}

#[test]
fn the_exif_thumbnail_is_turned_upright() {
    // A block with a second directory that points at a small JPEG, written out by hand: little-endian TIFF.
    let small = encode(16, 8, ColorType::Rgb, |_| ());
    let entry = |tag: u16, value: u32| {
        [tag.to_le_bytes().as_slice(), &4_u16.to_le_bytes(), &1_u32.to_le_bytes(), &value.to_le_bytes()].concat()
    };
    let first = [1_u16.to_le_bytes().as_slice(), &entry(0x0112, 6), &26_u32.to_le_bytes()].concat();
    let second_len = 2 + 24 + 4;
    let at = 26 + second_len;
    let second =
        [2_u16.to_le_bytes().as_slice(), &entry(0x0201, at), &entry(0x0202, small.len() as u32), &0_u32.to_le_bytes()]
            .concat();
    let block = [b"Exif\0\0II*\0\x08\0\0\0".as_slice(), &first, &second, &small].concat();
    let bytes = encode(32, 16, ColorType::Rgb, |encoder| encoder.add_app_segment(1, block).unwrap());
    let file = on_disk(&bytes);
    let facts = read_facts(file.path()).unwrap();
    let shown = preview(file.path(), &facts).unwrap();
    assert_eq!((shown.width_px, shown.height_px, shown.rgb.len()), (8, 16, 8 * 16 * 3));
}
