//! Bounds of everything that a file's header may ask of us, each with its reason.

use crate::units::show;

use super::facts::{ColourModel, Compression, Facts, Format};
use super::{Fault, FaultKind};

/// More pixels are refused: 600 MP is a print of 2 x 3 m at 250 ppi, and keeps every count within 32 bits.
pub const MAX_PIXELS: u64 = 600_000_000;
/// A longer side is refused, in pixels: 84 m at 300 ppi, longer than any press prints in one piece.
pub const MAX_SIDE_PX: u32 = 1_000_000;
/// More memory for one picture is refused: a common machine has 8 GB for everything.
pub const MAX_PICTURE_BYTES: u64 = 2 << 30;
/// A larger file is refused: three times what the pixels above take in 16 bits and four inks, for layers and pages.
/// Each file is hashed to its end, and one that is mostly holes would keep a worker until it is written off.
pub const MAX_FILE_BYTES: u64 = 16 << 30;
/// A JPEG is read whole: none that fits into the pixels above is larger.
pub const MAX_JPEG_FILE_BYTES: u64 = 1 << 30;
/// Segments before a JPEG's first scan; a profile of 4 MB takes 65 of them.
pub const MAX_JPEG_SEGMENTS: usize = 4_096;
/// Stray bytes between two JPEG segments that are stepped over.
pub const MAX_JPEG_STRAY_BYTES: usize = 65_536;
/// Scans of a JPEG: each costs a walk over all coefficients, however few bytes it has. The script that most encoders
/// follow has ten for colour (libjpeg's, from memory); the limit is ours.
pub const MAX_JPEG_SCANS: usize = 64;
/// Pixels of a JPEG, as often as it has scans: 16 scans of the largest that can be opened, all [`MAX_JPEG_SCANS`] of
/// one of 37 MP. Source: ours.
pub const MAX_JPEG_SCANNED_PIXELS: u64 = 2_400_000_000;
/// Pages of a TIFF that are looked at; a print picture has one.
pub const MAX_TIFF_PAGES: usize = 256;
/// Largest TIFF tag that is read: a profile or an XMP packet with a long history.
pub const MAX_TIFF_TAG_BYTES: usize = 8 << 20;
/// Largest metadata packet that is looked into.
pub const MAX_PACKET_BYTES: usize = 4 << 20;
/// Most Exif blocks of one file that are kept, and most XMP packets, extended ones in parts included; a sound file has
/// one of each. Own choice.
pub const MAX_PACKETS: usize = 64;
/// Most elements and attributes of an XMP packet that are looked at.
pub const MAX_XMP_NODES: usize = 200_000;
/// Elements of an XMP packet that are open at once at most; the deepest histories that editors write have some 15.
pub const MAX_XMP_DEPTH: usize = 256;
/// Namespaces of an XMP packet in force at once at most, since each name is looked for among them; editors write some
/// 30.
pub const MAX_XMP_NAMESPACES: usize = 256;
/// Bytes of all of a PNG's texts together, and of its profile and other chunks; of a profile inflated.
pub const MAX_PNG_CHUNK_BYTES: usize = 16 << 20;
/// Chunks of a PNG before its pixels that are looked at; print pictures have some ten.
pub const MAX_PNG_CHUNKS: usize = 4_096;
/// Bytes at a PNG's end in which texts behind its pixels are looked for: an XMP packet with its padding, and more.
pub const PNG_TAIL_BYTES: u64 = 128 << 10;
/// Inflated bytes of a PNG's text: twice as long as any that is kept, of the longest characters.
pub const MAX_TEXT_BYTES: usize = 8 * MAX_TEXT;
/// Longest text kept of a metadata field, in characters: more than the IPTC allows any caption.
pub const MAX_TEXT: usize = 4_000;

/// What a worker needs beside the samples: the file's bytes, tables, transforms. Source: measured here.
const BESIDE_BYTES: u64 = 50 << 20;
/// What a picture that streams needs at most beside its strip or row of tiles. Source: measured here.
const STREAMED_BYTES: u64 = 80 << 20;
/// Rows that a JPEG of one scan holds at once: two stripes of up to 32 rows as they are stored and one as pixels.
pub(super) const JPEG_HELD_ROWS: u64 = 96;
/// What a JPEG of several scans holds, in bytes a sample: its coefficients until the last scan. Source: measured here.
pub(super) const JPEG_BUFFERED_BYTES: u64 = 4;

/// Returns the memory that reading a picture's pixels takes, estimated from its header, in bytes: the permit a worker
/// needs.
pub fn decoded_bytes(facts: &Facts) -> u64 {
    match facts.format {
        Format::Jpeg => facts.held_bytes.saturating_add(facts.bytes).saturating_add(BESIDE_BYTES),
        Format::Tiff | Format::Png => {
            let ahead = if facts.held_bytes <= MAX_AHEAD_BYTES { AHEAD_TIMES * facts.held_bytes } else { 0 };
            facts.held_bytes.saturating_add(ahead).saturating_add(STREAMED_BYTES)
        }
    }
}

/// Refuses a picture that is too large to open, before anything is allocated for it.
pub(super) fn check(facts: &Facts) -> Result<(), Fault> {
    let longest_px = facts.width_px.max(facts.height_px);
    if longest_px > MAX_SIDE_PX {
        let what = format!("one side is {longest_px} px long; plateside reads at most {MAX_SIDE_PX} px");
        return Err(Fault::new(FaultKind::TooLarge, what));
    }
    if facts.pixel_count() > MAX_PIXELS {
        return Err(Fault::new(
            FaultKind::TooLarge,
            format!(
                "{} x {} px are {} million pixels; plateside reads at most {} million",
                facts.width_px,
                facts.height_px,
                facts.pixel_count() / 1_000_000,
                MAX_PIXELS / 1_000_000
            ),
        ));
    }
    if facts.bytes > MAX_FILE_BYTES {
        let (size, most) = (show::bytes(facts.bytes), show::bytes(MAX_FILE_BYTES));
        let what = format!("a file of {size}; plateside reads at most {most}");
        return Err(Fault::new(FaultKind::TooLarge, what));
    }
    if least_bytes(facts) > facts.bytes {
        return Err(Fault::truncated("the file ends before the picture does"));
    }
    let bytes = decoded_bytes(facts);
    if bytes > MAX_PICTURE_BYTES {
        return Err(Fault::new(
            FaultKind::TooLarge,
            format!(
                "reading it takes {} MB of memory; plateside uses at most {} MB",
                bytes >> 20,
                MAX_PICTURE_BYTES >> 20
            ),
        ));
    }
    Ok(())
}

/// Returns the fewest bytes that a file can hold its pixels in, whatever they are: nothing is packed closer. Source:
/// RFC 1951 (258 bytes of a run in two bits), TIFF 6.0 section 13 (a code of 9 bits means fewer than 4,096 bytes) and
/// section 9 (128 bytes of a run in two).
fn least_bytes(facts: &Facts) -> u64 {
    let closest = match facts.compression {
        Compression::Deflate => 1_032,
        Compression::Lzw => 4_096,
        Compression::PackBits => 64,
        Compression::None | Compression::Jpeg | Compression::Other(_) => return 0,
    };
    let bits = match facts.model {
        // However many bits a colour of the table has, one may point to it.
        ColourModel::Palette => 1,
        _ => facts.channels() as u64 * u64::from(facts.bits),
    };
    facts.pixel_count() * bits / 8 / closest
}

/// At most [`MAX_TEXT`] characters of a foreign text, trimmed; `None` if nothing is left.
pub(super) fn text(text: &str) -> Option<String> {
    let text = text.trim_matches(|c: char| c.is_whitespace() || c == '\0');
    (!text.is_empty()).then(|| text.chars().take(MAX_TEXT).collect())
}

/// Coded bytes of a TIFF's strip or tile that is a JPEG; more are refused. Source: ours; no print picture has as many.
pub(super) const MAX_JPEG_CHUNK_BYTES: u64 = 256 << 20;

/// Strips and tiles whose decoding takes more are not decoded ahead. Source: ours; see [`AHEAD_TIMES`].
pub(super) const MAX_AHEAD_BYTES: u64 = 24 << 20;
/// Decoding ahead takes at most this many times what decoding alone does, beside it: a second decoder, and up to six
/// bands on their way, each half of what decoding takes.
const AHEAD_TIMES: u64 = 4;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_far_larger_than_its_picture_is_refused_before_it_is_read() {
        let of = |bytes| check(&Facts { width_px: 600, height_px: 750, ..Facts::unknown(Format::Png, bytes) });
        assert_eq!(of(MAX_FILE_BYTES), Ok(()));
        let fault = of(MAX_FILE_BYTES + 1).unwrap_err();
        assert_eq!(fault.kind, FaultKind::TooLarge, "{fault}");
    }

    #[test]
    fn impossible_packing_is_refused_before_allocating() {
        let facts = |compression, bytes| Facts {
            compression,
            bytes,
            width_px: 20_000,
            height_px: 20_000,
            ..Facts::unknown(Format::Png, bytes)
        };
        for (compression, least) in
            [(Compression::Deflate, 1_162_790), (Compression::Lzw, 292_968), (Compression::PackBits, 18_750_000)]
        {
            assert_eq!(check(&facts(compression, least)), Ok(()));
            let what = "the file ends before the picture does";
            assert_eq!(check(&facts(compression, least - 1)), Err(Fault::truncated(what)));
        }
        assert_eq!(check(&facts(Compression::Jpeg, 1)), Ok(()));
    }
}
