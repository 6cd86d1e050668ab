//! The picture formats we read: one descriptor each, recognised by content, never by the file's name.
//!
//! A new format is one file beside this one and one line in [`FORMATS`].

use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::path::Path;

use crate::files;

use super::facts::Facts;
use super::limits;
use super::pixels::Buffers;
use super::{Fault, FaultKind};

mod descriptor;
mod file_digest;
mod jpeg;
mod other;
mod png;
mod tiff;
mod ycc;

pub use descriptor::{HeaderSource, Opened};
pub(super) use jpeg::{decode_small as decode_small_jpeg, exif_block};

use descriptor::{Descriptor, STILL_CHANGING};

/// Bytes by which a file is recognised.
const SNIFFED: usize = 512;
/// What a header read takes from the disk at a time: most headers with a profile fit.
const HEADER_READ_BYTES: usize = 32 << 10;

const FORMATS: [Descriptor; 3] = [jpeg::DESCRIPTOR, tiff::DESCRIPTOR, png::DESCRIPTOR];

/// Reads a file's facts from its header.
///
/// # Errors
/// Says why the file is no readable picture, sorted by what to do.
pub fn read_facts(path: &Path) -> Result<Facts, Fault> {
    let (file, bytes) = open(path)?;
    read_facts_from(&mut BufReader::with_capacity(HEADER_READ_BYTES, file), bytes)
}

/// Reads facts from an open file or from bytes; `bytes` is their number.
///
/// # Errors
/// As [`read_facts`].
pub fn read_facts_from(source: &mut dyn HeaderSource, bytes: u64) -> Result<Facts, Fault> {
    if bytes == 0 {
        return Err(Fault::new(FaultKind::Empty, "the file is empty"));
    }
    let descriptor = recognise(source)?;
    (descriptor.facts)(source, bytes)
}

/// Returns the bytes of the embedded profile, for showing a picture whose profile is not one of the known encodings.
pub fn profile_bytes(path: &Path) -> Option<Vec<u8>> {
    let (file, _) = open(path).ok()?;
    let mut source = BufReader::with_capacity(HEADER_READ_BYTES, file);
    (recognise(&mut source).ok()?.profile)(&mut source)
}

/// Opens a picture's pixels, and hashes the file. Nothing is allocated for a picture beyond the limits.
///
/// A decoder that panics on hostile bytes is not caught here: the caller works inside `catch_unwind`.
///
/// # Errors
/// The pixels cannot be measured, are too many, or the file changed since its facts were read.
pub fn open_pixels<'a>(path: &Path, facts: &Facts, buffers: &'a mut Buffers) -> Result<Opened<'a>, Fault> {
    if let Some(why) = &facts.unmeasurable {
        return Err(Fault::new(FaultKind::Unsupported, format!("{why}: its pixels cannot be measured")));
    }
    limits::check(facts)?;
    let (file, bytes) = open(path)?;
    let mut source = BufReader::with_capacity(SNIFFED, &file);
    let descriptor = recognise(&mut source)?;
    if bytes != facts.bytes || descriptor.format != facts.format {
        return Err(Fault::truncated(STILL_CHANGING));
    }
    (&file).seek(SeekFrom::Start(0))?;
    (descriptor.open)(file, facts, buffers)
}

fn open(path: &Path) -> Result<(File, u64), Fault> {
    files::open(path).map_err(|error| {
        if files::is_not_a_file(&error) {
            Fault::new(FaultKind::Other { is: "no file" }, error.to_string())
        } else {
            error.into()
        }
    })
}

fn recognise(source: &mut dyn HeaderSource) -> Result<&'static Descriptor, Fault> {
    let mut first = Vec::with_capacity(SNIFFED);
    (&mut *source).take(SNIFFED as u64).read_to_end(&mut first)?;
    source.seek(SeekFrom::Start(0))?;
    static KNOWN: [Descriptor; FORMATS.len()] = FORMATS;
    KNOWN.iter().find(|descriptor| (descriptor.sniff)(&first)).ok_or_else(|| {
        let is = other::recognise(&first);
        Fault::new(FaultKind::Other { is }, format!("{is}, not a print picture"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::facts::Format;
    use std::io::Cursor;

    fn fault(bytes: &[u8]) -> Fault {
        read_facts_from(&mut Cursor::new(bytes), bytes.len() as u64).unwrap_err()
    }

    #[test]
    fn every_format_has_one_descriptor() {
        let formats: Vec<Format> = FORMATS.iter().map(|descriptor| descriptor.format).collect();
        assert!(Format::ALL.iter().all(|format| formats.contains(format)), "{formats:?}");
    }

    #[test]
    fn an_empty_file_and_another_kind_of_file_say_what_they_are() {
        assert_eq!(fault(b"").kind, FaultKind::Empty);
        let webp = fault(b"RIFF\x10\0\0\0WEBPVP8 ");
        assert_eq!(
            (webp.kind, webp.what.as_str()),
            (FaultKind::Other { is: "a WebP file" }, "a WebP file, not a print picture")
        );
    }

    #[test]
    fn a_folder_and_a_missing_file_are_no_pictures() {
        let folder = tempfile::tempdir().unwrap();
        assert!(matches!(read_facts(folder.path()).unwrap_err().kind, FaultKind::Other { .. }));
        assert_eq!(read_facts(&folder.path().join("none.jpg")).unwrap_err().kind, FaultKind::Unreachable);
    }
}
