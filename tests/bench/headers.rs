//! Facts of a thousand JPEG headers, warm, on one core: at most 50 us a file. Prints one line for the table of
//! `tests/bench/run`.

use std::fs;
use std::hint::black_box;
use std::time::Instant;

use jpeg_encoder::{ColorType, Encoder};
use plateside::picture::read_facts;

const FILES: usize = 1_000;
/// Rounds after a first one that warms the disk cache; the median counts.
const ROUNDS: usize = 9;
/// What the house promises, in microseconds a file.
const BUDGET_US: f64 = 50.0;

fn main() {
    let folder = tempfile::tempdir().expect("a folder for a thousand small files");
    let paths: Vec<_> = (0..FILES)
        .map(|number| {
            let path = folder.path().join(format!("p{number:04}.jpg"));
            fs::write(&path, picture(number)).expect("room for a small file");
            path
        })
        .collect();
    let mut rounds: Vec<f64> = (0..=ROUNDS)
        .map(|_| {
            let began = Instant::now();
            for path in &paths {
                black_box(read_facts(path)).expect("a sound header");
            }
            began.elapsed().as_secs_f64() * 1e6 / FILES as f64
        })
        .skip(1)
        .collect();
    rounds.sort_by(f64::total_cmp);
    let measured = rounds[ROUNDS / 2];
    let verdict = if measured <= BUDGET_US { "ok" } else { "OVER" };
    println!("facts of 1,000 JPEG headers, warm\t{measured:.1} us a file\t{BUDGET_US} us\t{verdict}");
}

/// A JPEG as an editor exports it: an Exif block with a preview's worth of bytes, an sRGB profile, an XMP packet.
fn picture(number: usize) -> Vec<u8> {
    let (width, height) = (256, 192);
    let pixels: Vec<u8> = (0..width * height * 3).map(|at| ((at * 7 + number * 13) % 251) as u8).collect();
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, 93);
    encoder.add_app_segment(1, exif()).expect("an Exif block of less than 64 KB");
    let profile = lcms2::Profile::new_srgb().icc().expect("the engine writes its own profile");
    encoder.add_icc_profile(&profile).expect("a small profile");
    encoder.add_app_segment(1, xmp().into()).expect("an XMP packet of less than 64 KB");
    encoder.encode(&pixels, width as u16, height as u16, ColorType::Rgb).expect("a small picture");
    bytes
}

/// Exif with orientation, artist and copyright (TIFF 6.0 tags 274, 315, 33432), then 12 KB where a preview would be.
fn exif() -> Vec<u8> {
    let texts: [(u16, &[u8]); 2] = [(315, b"Imre Fenn\0"), (33432, b"2026 Fennimore Quay\0")];
    let mut directory = vec![3, 0];
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        [&tag.to_le_bytes()[..], &kind.to_le_bytes(), &count.to_le_bytes(), &value.to_le_bytes()].concat()
    };
    directory.extend(entry(274, 3, 1, 1));
    let mut at = 8 + 2 + 3 * 12 + 4;
    let mut values = Vec::new();
    for (tag, text) in texts {
        directory.extend(entry(tag, 2, text.len() as u32, at));
        values.extend_from_slice(text);
        at += text.len() as u32;
    }
    directory.extend([0; 4]);
    [&b"Exif\0\0II*\0\x08\0\0\0"[..], &directory, &values, &[0x55; 12_000]].concat()
}

fn xmp() -> String {
    let packet = "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\
        <rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\"><dc:creator><rdf:Seq>\
        <rdf:li>Imre Fenn</rdf:li></rdf:Seq></dc:creator></rdf:Description></rdf:RDF></x:xmpmeta>";
    format!("http://ns.adobe.com/xap/1.0/\0{packet}{}", " ".repeat(2_000))
}
