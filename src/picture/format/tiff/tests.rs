//! Tests of reading TIFF.

use std::io::{Cursor, Write};

use tiff::encoder::colortype::{CMYK8, ColorType, Gray8, Gray16, RGB8, RGB16, RGBA8};
use tiff::encoder::{Compression, Rational, TiffEncoder, TiffKind};
use tiff::tags::{Predictor, ResolutionUnit, Tag};

use crate::colour::Encoding;
use crate::picture::facts::{self, ColourModel, Facts};
use crate::picture::fault::tests::said_for_a_person;
use crate::picture::pixels::{Buffers, Samples};
use crate::picture::{Fault, FaultKind, open_pixels, read_facts, read_facts_from};

const W: u32 = 37;
const H: u32 = 29;

fn ramp(channels: usize) -> Vec<u8> {
    (0..W as usize * H as usize * channels).map(|i| (i * 5 + i / 11 + (i * i) % 7) as u8).collect()
}

fn encode<C: ColorType>(samples: &[C::Inner], compression: Compression) -> Vec<u8>
where
    [C::Inner]: tiff::encoder::TiffValue,
{
    let mut bytes = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut bytes).unwrap().with_compression(compression);
    if !matches!(compression, Compression::Uncompressed | Compression::Packbits) {
        encoder = encoder.with_predictor(Predictor::Horizontal);
    }
    image::<C, _>(&mut encoder, samples);
    bytes.into_inner()
}

fn image<C: ColorType, K: TiffKind>(encoder: &mut TiffEncoder<&mut Cursor<Vec<u8>>, K>, samples: &[C::Inner])
where
    [C::Inner]: tiff::encoder::TiffValue,
{
    let mut image = encoder.new_image::<C>(W, H).unwrap();
    image.rows_per_strip(8).unwrap();
    image.resolution(ResolutionUnit::Centimeter, Rational { n: 11811, d: 100 });
    image.encoder().write_tag(Tag::Unknown(34675), &Encoding::AdobeRgb.icc_bytes()[..]).unwrap();
    image.encoder().write_tag(Tag::Orientation, 8_u16).unwrap();
    image.encoder().write_tag(Tag::Artist, "One").unwrap();
    image.write_data(samples).unwrap();
}

fn read(bytes: &[u8]) -> Result<Facts, Fault> {
    read_facts_from(&mut Cursor::new(bytes), bytes.len() as u64)
}

fn decode(bytes: &[u8]) -> Result<(Vec<u16>, Facts), Fault> {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(bytes).unwrap();
    let facts = read_facts(file.path())?;
    let mut buffers = Buffers::default();
    let mut opened = open_pixels(file.path(), &facts, &mut buffers)?;
    let (mut all, mut rows) = (Vec::new(), 0);
    while let Some(band) = opened.bands.next_band()? {
        assert_eq!(band.first_row, rows);
        rows += band.rows;
        match band.samples {
            Samples::Eight(samples) => all.extend(samples.iter().map(|v| u16::from(*v))),
            Samples::Sixteen(samples) => all.extend_from_slice(samples),
        }
    }
    assert_eq!(rows, facts.height_px);
    Ok((all, facts))
}

/// Decodes a file again and again, each time with another byte changed: whatever comes of it, nothing may panic.
fn flip_each_byte(bytes: &[u8]) {
    let mut seed = 0x5EED_u64;
    for at in 0..bytes.len() {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        let mut flipped = bytes.to_vec();
        flipped[at] ^= (seed >> 56) as u8 | 1;
        decode(&flipped).map_err(|fault| said_for_a_person(&fault)).ok();
    }
}

fn wide(samples: &[u8]) -> Vec<u16> {
    samples.iter().map(|v| u16::from(*v)).collect()
}

/// A TIFF written out by hand: little-endian, one strip or tile list, for what the encoder cannot write.
fn by_hand(entries: &[(u16, u16, Vec<u32>)], chunks: &[Vec<u8>], tiled: bool) -> Vec<u8> {
    let mut bytes = b"II*\0\0\0\0\0".to_vec();
    let mut offsets = Vec::new();
    for chunk in chunks {
        offsets.push(bytes.len() as u32);
        bytes.extend(chunk);
    }
    let sizes: Vec<u32> = chunks.iter().map(|chunk| chunk.len() as u32).collect();
    let (at, size) = if tiled { (324, 325) } else { (273, 279) };
    let mut entries = entries.to_vec();
    entries.extend([(at, 4, offsets), (size, 4, sizes)]);
    entries.sort_by_key(|entry| entry.0);
    let mut directory = (entries.len() as u16).to_le_bytes().to_vec();
    for (tag, kind, values) in &entries {
        let stored: Vec<u8> = match kind {
            3 => values.iter().flat_map(|v| (*v as u16).to_le_bytes()).collect(),
            7 => values.iter().map(|v| *v as u8).collect(),
            _ => values.iter().flat_map(|v| v.to_le_bytes()).collect(),
        };
        directory.extend(tag.to_le_bytes());
        directory.extend(kind.to_le_bytes());
        directory.extend((values.len() as u32).to_le_bytes());
        if stored.len() <= 4 {
            directory.extend(stored.iter().copied().chain([0; 4]).take(4));
        } else {
            directory.extend((bytes.len() as u32).to_le_bytes());
            bytes.extend(stored);
        }
    }
    directory.extend([0; 4]);
    let at = bytes.len() as u32;
    bytes[4..8].copy_from_slice(&at.to_le_bytes());
    bytes.extend(directory);
    bytes
}

fn page(photometric: u32, samples: u32, bits: u32) -> Vec<(u16, u16, Vec<u32>)> {
    vec![
        (256, 4, vec![W]),
        (257, 4, vec![H]),
        (258, 3, vec![bits; samples as usize]),
        (262, 3, vec![photometric]),
        (277, 3, vec![samples]),
    ]
}

#[test]
fn every_compression_gives_the_same_samples() {
    let (eight, sixteen) = (ramp(3), (0..W * H * 3).map(|i| (i * 331) as u16).collect::<Vec<u16>>());
    for (compression, named) in [
        (Compression::Uncompressed, facts::Compression::None),
        (Compression::Lzw, facts::Compression::Lzw),
        (Compression::Deflate(Default::default()), facts::Compression::Deflate),
        (Compression::Packbits, facts::Compression::PackBits),
    ] {
        let (samples, facts) = decode(&encode::<RGB8>(&eight, compression)).unwrap();
        assert_eq!((samples == wide(&eight), facts.compression), (true, named));
        assert_eq!((facts.model, facts.bits, facts.pages), (ColourModel::Rgb, 8, 1));
        let (samples, facts) = decode(&encode::<RGB16>(&sixteen, compression)).unwrap();
        assert_eq!((samples == sixteen, facts.bits), (true, 16));
    }
    assert_eq!(decode(&encode::<CMYK8>(&ramp(4), Compression::Lzw)).unwrap().0, wide(&ramp(4)));
    assert_eq!(decode(&encode::<Gray8>(&ramp(1), Compression::Lzw)).unwrap().0, wide(&ramp(1)));
    let (samples, facts) = decode(&encode::<RGBA8>(&ramp(4), Compression::Uncompressed)).unwrap();
    assert_eq!((samples, facts.has_alpha), (wide(&ramp(4)), true));
}

#[test]
fn tags_become_facts() {
    let facts = read(&encode::<Gray16>(&vec![7; (W * H) as usize], Compression::Uncompressed)).unwrap();
    assert_eq!((facts.resolution_tag.unwrap().x_ppi, facts.upright_px()), (300.0, (H, W)));
    assert_eq!((facts.encoding(), facts.credits.creator.text()), (Some(Encoding::AdobeRgb), Some("One")));
    assert_eq!((facts.model, facts.has_layers, facts.unmeasurable), (ColourModel::Grey, false, None));
}

#[test]
fn coordinates_of_the_place_or_of_a_destination_are_a_location() {
    // Source: Exif 2.3, the GPS tags 2, 4, 20 and 22 are three ratios each; 18 names a datum.
    let location = |tag: u16| {
        let pointing = |at: u32| by_hand(&[page(2, 3, 8), vec![(34853, 4, vec![at])]].concat(), &[ramp(3)], false);
        let at = pointing(0).len() as u32;
        let (count, kind, end) = (1_u16.to_le_bytes(), 5_u16.to_le_bytes(), 0_u32.to_le_bytes());
        let entry = [tag.to_le_bytes(), kind].concat();
        let (values, values_at) = ([50_u32, 1].map(u32::to_le_bytes).concat().repeat(3), (at + 18).to_le_bytes());
        let directory = [&count[..], &entry, &3_u32.to_le_bytes(), &values_at, &end, &values].concat();
        read(&[pointing(at), directory].concat()).unwrap().has_location
    };
    assert_eq!([2, 4, 18, 20, 22].map(location), [true, true, false, true, true].map(Some));
}

#[test]
fn the_largest_full_page_is_the_picture() {
    let mut bytes = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new_big(&mut bytes).unwrap();
    encoder.write_image::<Gray8>(8, 4, &[1; 32]).unwrap();
    image::<RGB8, _>(&mut encoder, &ramp(3));
    // A mask or smaller version is no page of its own, however large.
    let mut reduced = encoder.new_image::<Gray8>(60, 60).unwrap();
    reduced.encoder().write_tag(Tag::NewSubfileType, 1_u32).unwrap();
    reduced.write_data(&[3; 3600]).unwrap();
    let (samples, facts) = decode(&bytes.into_inner()).unwrap();
    assert_eq!((facts.width_px, facts.height_px, facts.pages), (W, H, 2));
    assert_eq!(samples, wide(&ramp(3)));
}

#[test]
fn planes_tiles_spot_channels_and_white_is_zero_come_in_order() {
    let rgb = ramp(3);
    let plane = |channel: usize| rgb.iter().skip(channel).step_by(3).copied().collect::<Vec<u8>>();
    let mut planar = page(2, 3, 8);
    planar.push((284, 3, vec![2]));
    assert_eq!(decode(&by_hand(&planar, &[plane(0), plane(1), plane(2)], false)).unwrap().0, wide(&rgb));

    // Tiles of 16 x 16, padded at the right and the bottom.
    let mut tiled = page(2, 3, 8);
    tiled.extend([(322, 3, vec![16]), (323, 3, vec![16])]);
    let tiles: Vec<Vec<u8>> = (0..H.div_ceil(16))
        .flat_map(|down| (0..W.div_ceil(16)).map(move |across| (across, down)))
        .map(|(across, down)| {
            (0..16 * 16)
                .flat_map(|i| {
                    let (x, y) = (across * 16 + i % 16, down * 16 + i / 16);
                    let at = ((y * W + x) * 3) as usize;
                    if x < W && y < H { [rgb[at], rgb[at + 1], rgb[at + 2]] } else { [0; 3] }
                })
                .collect()
        })
        .collect();
    assert_eq!(decode(&by_hand(&tiled, &tiles, true)).unwrap().0, wide(&rgb));

    // CMYK with two spot channels: the inks alone are measured, the rest is reported.
    let six = ramp(6);
    let mut spots = page(5, 6, 8);
    spots.push((338, 3, vec![0, 0]));
    let (samples, facts) = decode(&by_hand(&spots, std::slice::from_ref(&six), false)).unwrap();
    let inks: Vec<u8> = six.chunks(6).flat_map(|pixel| &pixel[..4]).copied().collect();
    assert_eq!((samples, facts.extra_channels, facts.has_alpha), (wide(&inks), 2, false));

    let grey = ramp(1);
    let turned: Vec<u16> = grey.iter().map(|v| u16::from(255 - *v)).collect();
    assert_eq!(decode(&by_hand(&page(0, 1, 8), &[grey], false)).unwrap().0, turned);
}

/// Rows of 8-bit samples packed one strip after the other, eight rows each, as a compression of that number has it.
fn packed(rows: &[u8], row_len: usize, each: usize, compression: u32) -> Vec<Vec<u8>> {
    let strips = rows.chunks(8 * row_len);
    let differences = |strip: &[u8]| -> Vec<u8> {
        let row = |row: &[u8]| -> Vec<u8> {
            (0..row.len()).map(|at| row[at].wrapping_sub(if at < each { 0 } else { row[at - each] })).collect()
        };
        strip.chunks(row_len).flat_map(row).collect()
    };
    strips
        .map(|strip| match compression {
            5 => weezl::encode::Encoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8)
                .encode(&differences(strip))
                .unwrap(),
            8 => {
                let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
                encoder.write_all(&differences(strip)).unwrap();
                encoder.finish().unwrap()
            }
            _ => strip.chunks(128).flat_map(|some| [&[some.len() as u8 - 1], some].concat()).collect(),
        })
        .collect()
}

#[test]
fn spare_channels_beside_the_colours_are_left_out_however_the_samples_are_packed() {
    // RGB with a spare channel, RGBA with a spot, CMYK with a spot, grey with two, CMYK with alpha and a spot.
    let kinds: [(u32, &[u32], usize); 5] =
        [(2, &[0], 3), (2, &[2, 0], 4), (5, &[0], 4), (1, &[0, 0], 1), (5, &[1, 0], 5)];
    for (photometric, extra, kept) in kinds {
        let colours = match photometric {
            5 => 4,
            2 => 3,
            _ => 1,
        };
        let each = colours + extra.len();
        let samples = ramp(each);
        let wanted: Vec<u8> = samples.chunks(each).flat_map(|pixel| &pixel[..kept]).copied().collect();
        for compression in [5, 8, 32773] {
            let mut entries = page(photometric, each as u32, 8);
            entries.extend([(259, 3, vec![compression]), (278, 3, vec![8]), (338, 3, extra.to_vec())]);
            if compression != 32773 {
                entries.push((317, 3, vec![2]));
            }
            let strips = packed(&samples, W as usize * each, each, compression);
            let bytes = by_hand(&entries, &strips, false);
            let (found, facts) = decode(&bytes).unwrap();
            assert_eq!(found, wide(&wanted), "{photometric} {extra:?} {compression}");
            assert_eq!(usize::from(facts.extra_channels), each - kept);
        }
    }
}

#[test]
fn tags_that_say_too_much_or_too_little_make_no_sound_file_unreadable() {
    let rgb = ramp(3);
    let row_len = W as usize * 3;
    let strips = packed(&rgb, row_len, 3, 5);
    let usual = [page(2, 3, 8), vec![(259, 3, vec![5]), (317, 3, vec![2]), (278, 3, vec![8])]].concat();
    let without = |entries: &[(u16, u16, Vec<u32>)], tag: u16| -> Vec<(u16, u16, Vec<u32>)> {
        entries.iter().filter(|entry| entry.0 != tag).cloned().collect()
    };
    let with = |tag: u16, values: Vec<u32>| [without(&usual, tag), vec![(tag, 3, values)]].concat();
    // One depth for all, depths of more samples than there are, names of more spare channels than there are.
    for entries in [with(258, vec![8]), with(258, vec![8; 4]), with(338, vec![0; 4]), with(255, vec![1])] {
        assert_eq!(decode(&by_hand(&entries, &strips, false)).unwrap().0, wide(&rgb), "{entries:?}");
    }
    // More strips than the picture needs.
    let more = [strips.clone(), vec![vec![0; 9]]].concat();
    assert_eq!(decode(&by_hand(&usual, &more, false)).unwrap().0, wide(&rgb));
    // Rows a strip without an end, in one strip.
    let whole: Vec<u8> = rgb.clone();
    for rows in [u32::MAX, 0, H + 100] {
        let entries = [page(2, 3, 8), vec![(278, 4, vec![rows])]].concat();
        assert_eq!(decode(&by_hand(&entries, std::slice::from_ref(&whole), false)).unwrap().0, wide(&rgb));
    }
    // No sizes of the strips: their tag becomes one that nobody knows.
    let mut bytes = by_hand(&usual, &strips, false);
    let at = bytes.windows(4).rposition(|four| four == [279_u16.to_le_bytes(), 4_u16.to_le_bytes()].concat()).unwrap();
    bytes[at..at + 2].copy_from_slice(&65_000_u16.to_le_bytes());
    assert_eq!(decode(&bytes).unwrap().0, wide(&rgb));
    let half = bytes.len() / 2;
    assert!(decode(&bytes[..half]).is_err());
    // Fewer strips than the picture needs are a fault, and said in numbers.
    let fault = decode(&by_hand(&usual, &strips[1..], false)).unwrap_err();
    assert_eq!(fault.what, "damaged TIFF: 3 of the 4 strips or tiles that its picture needs");
}

#[test]
fn a_tile_larger_than_the_picture_and_tiles_listed_as_strips_are_read() {
    let rgb = ramp(3);
    let mut tile = vec![7; 64 * 48 * 3];
    for (to, from) in tile.chunks_mut(64 * 3).zip(rgb.chunks(W as usize * 3)) {
        to[..from.len()].copy_from_slice(from);
    }
    let entries = [page(2, 3, 8), vec![(322, 3, vec![64]), (323, 3, vec![48])]].concat();
    for tiled in [true, false] {
        assert_eq!(decode(&by_hand(&entries, std::slice::from_ref(&tile), tiled)).unwrap().0, wide(&rgb));
    }
}

#[test]
fn a_ycbcr_jpeg_inside_comes_out_as_rgb() {
    let flat: Vec<u8> = [180, 60, 40].repeat((W * H) as usize);
    let mut jpeg = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut jpeg, 98);
    encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::F_1_1);
    encoder.encode(&flat, W as u16, H as u16, jpeg_encoder::ColorType::Rgb).unwrap();
    let mut entries = page(6, 3, 8);
    entries.extend([(259, 3, vec![7]), (530, 3, vec![1, 1])]);
    let (samples, facts) = decode(&by_hand(&entries, &[jpeg], false)).unwrap();
    assert_eq!((facts.model, facts.compression), (ColourModel::Rgb, facts::Compression::Jpeg));
    assert!(samples[..3].iter().zip([180, 60, 40]).all(|(a, b)| a.abs_diff(b) <= 3), "{:?}", &samples[..3]);
}

/// A grey ramp in JPEG tiles of 16 x 16 px that are cut at the right and the bottom; with the tables of all in a tag.
fn tiled_jpegs(photometric: u32, shared: bool) -> Vec<u8> {
    let (across, down) = (W.div_ceil(16), H.div_ceil(16));
    let mut tables = Vec::new();
    let tiles: Vec<Vec<u8>> = (0..across * down)
        .map(|tile| {
            let (left, top) = (tile % across * 16, tile / across * 16);
            let codes: Vec<u8> = (0..256).map(|at| grey_at(left + at % 16, top + at / 16)).collect();
            let mut jpeg = Vec::new();
            jpeg_encoder::Encoder::new(&mut jpeg, 98).encode(&codes, 16, 16, jpeg_encoder::ColorType::Luma).unwrap();
            if !shared {
                return jpeg;
            }
            // What stands before the frame goes into the common tables.
            let frame = jpeg.windows(2).position(|two| two == [0xFF, 0xC0]).unwrap();
            tables = [&jpeg[..frame], &[0xFF, 0xD9]].concat();
            [&[0xFF, 0xD8], &jpeg[frame..]].concat()
        })
        .collect();
    let mut entries = page(photometric, 1, 8);
    entries.extend([(259, 3, vec![7]), (322, 3, vec![16]), (323, 3, vec![16])]);
    if shared {
        entries.push((347, 7, tables.iter().map(|byte| u32::from(*byte)).collect()));
    }
    by_hand(&entries, &tiles, true)
}

fn grey_at(x: u32, y: u32) -> u8 {
    (20 + x * 3 + y * 2).min(230) as u8
}

#[test]
fn a_jpeg_inside_that_was_cut_and_closed_is_incomplete() {
    let mut jpeg = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut jpeg, 90);
    encoder.encode(&ramp(3), W as u16, H as u16, jpeg_encoder::ColorType::Rgb).unwrap();
    let mut entries = page(6, 3, 8);
    entries.push((259, 3, vec![7]));
    assert!(decode(&by_hand(&entries, &[jpeg.clone()], false)).is_ok());
    jpeg.truncate(jpeg.len() * 9 / 10);
    jpeg.extend([0xFF, 0xD9]);
    let fault = decode(&by_hand(&entries, &[jpeg], false)).unwrap_err();
    assert_eq!(fault.kind, FaultKind::Incomplete, "{fault}");
    assert!(fault.what.starts_with("a strip or tile as JPEG: "), "{fault}");
}

#[test]
fn jpeg_tiles_lie_where_they_belong_whoever_decodes_them() {
    for (photometric, shared) in [(1, false), (1, true), (0, false)] {
        let bytes = tiled_jpegs(photometric, shared);
        let (samples, _) = decode(&bytes).unwrap();
        let wanted = |at: u32| {
            let code = grey_at(at % W, at / W);
            u16::from(if photometric == 0 { 255 - code } else { code })
        };
        let off = (0..W * H).map(|at| samples[at as usize].abs_diff(wanted(at))).max().unwrap();
        assert!(samples.len() == (W * H) as usize && off <= 4, "{photometric} {shared}: {off}");
        let mut file = tempfile::NamedTempFile::new().unwrap();
        file.write_all(&bytes).unwrap();
        let facts = read_facts(file.path()).unwrap();
        let mut buffers = Buffers::default();
        let opened = open_pixels(file.path(), &facts, &mut buffers).unwrap();
        let ahead = crate::picture::decode_ahead::decode_ahead(opened.bands, |bands| {
            let mut all = Vec::new();
            while let Some(band) = bands.next_band().unwrap() {
                let Samples::Eight(some) = band.samples else { panic!("8 bits") };
                all.extend(some.iter().map(|code| u16::from(*code)));
            }
            all
        });
        assert_eq!(ahead, samples);
    }
    flip_each_byte(&tiled_jpegs(1, true));
}

#[test]
fn unmeasurable_files_still_have_facts() {
    let named = |entries: &[(u16, u16, Vec<u32>)]| {
        let facts = read(&by_hand(entries, &[vec![0; 8000]], false)).unwrap();
        (facts.width_px, facts.unmeasurable.unwrap())
    };
    assert_eq!(named(&page(8, 3, 8)), (W, "a Lab TIFF".to_owned()));
    assert_eq!(named(&page(3, 1, 8)), (W, "a TIFF with a colour table".to_owned()));
    let with = |tag: u16, value: u32, bits: u32| [page(2, 3, bits), vec![(tag, 3, vec![value])]].concat();
    assert_eq!(named(&with(339, 3, 32)).1, "a 32-bit floating-point TIFF");
    assert_eq!(named(&with(284, 1, 32)).1, "a 32-bit TIFF");
    assert_eq!(named(&with(259, 50000, 8)).1, "a TIFF compressed by ZSTD");
}

#[test]
fn sensor_data_is_a_camera_raw_file() {
    let fault = read(&by_hand(&[page(2, 3, 8), vec![(50706, 1, vec![4])]].concat(), &[ramp(3)], false)).unwrap_err();
    assert_eq!(fault.kind, FaultKind::Other { is: "a camera raw file" });
    assert!(matches!(read(b"II*\0\x10\0\0\0CR\x02\0\0\0\0\0").unwrap_err().kind, FaultKind::Other { .. }));
}

#[test]
fn a_ring_of_pages_and_a_huge_claim_are_refused() {
    let mut bytes = by_hand(&page(2, 3, 8), &[ramp(3)], false);
    let at = bytes.len() - 4;
    let first = bytes[4..8].to_vec();
    bytes[at..].copy_from_slice(&first);
    assert!(read(&bytes).unwrap_err().what.contains("ring"));
    let mut huge = page(2, 3, 8);
    (huge[0].2, huge[1].2) = (vec![60_000], vec![60_000]);
    let fault = decode(&by_hand(&huge, &[ramp(3)], false)).unwrap_err();
    assert_eq!(fault.kind, FaultKind::TooLarge);
    // Few pixels, and rows so long that a few of them fill the memory: a file with a hole in it may really have them.
    let mut long = page(2, 60_000, 8);
    (long[0].2, long[1].2) = (vec![60_000], vec![16]);
    let facts = read(&by_hand(&long, &[ramp(3)], false)).unwrap();
    assert!(crate::picture::decoded_bytes(&facts) > 16 * 60_000 * 60_000, "{facts:?}");
}

#[test]
fn cut_files_are_truncated_and_flipped_ones_never_panic() {
    for compression in [Compression::Uncompressed, Compression::Lzw] {
        let bytes = encode::<RGB8>(&ramp(3), compression);
        for end in (0..bytes.len()).step_by(13) {
            assert!(decode(&bytes[..end]).is_err(), "cut at {end}");
        }
        flip_each_byte(&bytes);
    }
    // Pixels that end early although the directory stands before them.
    let mut entries = page(2, 3, 8);
    entries.push((278, 4, vec![H]));
    let whole = by_hand(&entries, &[ramp(3)], false);
    let mut short = whole.clone();
    short.drain(100..400);
    let moved = (u32::from_le_bytes(whole[4..8].try_into().unwrap()) - 300).to_le_bytes();
    short[4..8].copy_from_slice(&moved);
    assert!(decode(&short).is_err());
}
