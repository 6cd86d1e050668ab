//! Everything of ours that reads foreign bytes, each by a name: for `feed.rs`, and for the fuzzer in `guided.rs`.

use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::Cursor;
use std::path::Path;

use plateside::brief;
use plateside::colour::{NumberConversion, PaperProfile, SampleSource, ToScreen, profile};
use plateside::decisions;
use plateside::judge::configurable_ids;
use plateside::picture::{Buffers, open_pixels, read_facts, read_facts_from};

/// Reads bytes, which lie in a file, too; gives what tells one outcome from another.
pub type Target = fn(&[u8], &Path) -> u64;

/// The readers.
pub const TARGETS: [(&str, Target); 10] = [
    ("brief", |bytes, _| brief_text(bytes)),
    ("list", |bytes, _| list(bytes)),
    ("accepted", accepted_file),
    ("jpeg", |bytes, _| header(bytes)),
    ("tiff", |bytes, _| header(bytes)),
    ("png", |bytes, _| header(bytes)),
    ("pixels", pixels),
    ("icc", |bytes, _| icc(bytes)),
    ("xmp", |bytes, _| header(&in_jpeg(0xE1, b"http://ns.adobe.com/xap/1.0/\0", bytes))),
    ("iptc", |bytes, _| header(&in_jpeg(0xED, b"Photoshop 3.0\x008BIM\x04\x04\0\0", &sized(bytes)))),
];

/// A number for words without their figures, so that the same complaint about another number is no new outcome.
fn told(words: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    words.chars().filter(|c| !c.is_ascii_digit()).collect::<String>().hash(&mut hasher);
    hasher.finish()
}

fn brief_text(bytes: &[u8]) -> u64 {
    let text = String::from_utf8_lossy(bytes);
    match brief::parse(&text, Path::new("fed.toml"), None, &configurable_ids()) {
        Ok(brief) => brief.prints.len() as u64,
        Err(problems) => told(&problems.first().map(|one| format!("{} {}", one.what, one.fix)).unwrap_or_default()),
    }
}

fn list(bytes: &[u8]) -> u64 {
    let brief = "prints = \"list.csv\"\n";
    match brief::parse(brief, Path::new("fed.toml"), Some((Path::new("list.csv"), bytes)), &configurable_ids()) {
        Ok(brief) => brief.prints.len() as u64,
        Err(problems) => told(&problems.first().map(|one| one.what.clone()).unwrap_or_default()),
    }
}

/// Lies beside a brief of the same name.
fn accepted_file(bytes: &[u8], kept: &Path) -> u64 {
    let brief = kept.with_file_name("fed.toml");
    if fs::write(decisions::path_beside(&brief), bytes).is_err() {
        return 0;
    }
    match decisions::read(&brief) {
        Ok(accepted) => accepted.all().count() as u64,
        Err(problems) => told(&problems.first().map(|one| one.what.clone()).unwrap_or_default()),
    }
}

fn header(bytes: &[u8]) -> u64 {
    match read_facts_from(&mut Cursor::new(bytes), bytes.len() as u64) {
        Ok(facts) => {
            let plain = format!("{:?} {:?} {:?} {:?}", facts.model, facts.profile, facts.unmeasurable, facts.credits);
            told(&plain)
        }
        Err(fault) => told(&fault.to_string()),
    }
}

/// Every pixel, from the file that was kept.
fn pixels(_: &[u8], kept: &Path) -> u64 {
    let Ok(facts) = read_facts(kept) else { return 0 };
    let mut buffers = Buffers::default();
    let read = || -> Result<u32, plateside::picture::Fault> {
        let mut opened = open_pixels(kept, &facts, &mut buffers)?;
        let mut rows = 0;
        while let Some(band) = opened.bands.next_band()? {
            rows += band.rows;
        }
        Ok(rows)
    };
    let mut read = read;
    match read() {
        Ok(rows) => u64::from(rows),
        Err(fault) => told(&fault.to_string()),
    }
}

fn icc(bytes: &[u8]) -> u64 {
    let Ok(facts) = profile::read(bytes) else { return 0 };
    let source = SampleSource::Profile(bytes);
    let shown = ToScreen::new(facts.space, source).map(|way| way.apply(&[77; 48])).is_ok();
    let converts = NumberConversion::new(facts.space, source).map(|way| way.apply(&[77; 48])).is_ok();
    let paper = PaperProfile::new(bytes).is_ok();
    told(&format!("{:?} {:?} {shown} {converts} {paper}", facts.class, facts.known_as))
}

/// A JPEG of one pixel that carries bytes in a segment.
fn in_jpeg(marker: u8, head: &[u8], bytes: &[u8]) -> Vec<u8> {
    let bytes = &bytes[..bytes.len().min(60_000)];
    let length = u16::try_from(2 + head.len() + bytes.len()).unwrap_or(u16::MAX).to_be_bytes();
    // Source: ITU-T T.81, B.2.2: a frame of one component, 1 x 1 px.
    let frame = [0xFF, 0xC0, 0, 11, 8, 0, 1, 0, 1, 1, 1, 0x11, 0, 0xFF, 0xDA, 0, 8, 1, 1, 0, 0, 63, 0, 0xFF, 0xD9];
    [&[0xFF, 0xD8, 0xFF, marker], &length[..], head, bytes, &frame].concat()
}

/// Bytes behind their length, as a resource has them.
fn sized(bytes: &[u8]) -> Vec<u8> {
    let bytes = &bytes[..bytes.len().min(50_000)];
    [&(bytes.len() as u32).to_be_bytes(), bytes].concat()
}
