//! The chunks of a PNG that speak of the picture: Exif, texts under keywords, XMP, and packets that are written out as
//! hexadecimal text. Source: W3C PNG Third Edition, sections 11.3.3 and 11.3.4; XMP by ISO 16684-1; the hexadecimal
//! form is common practice, no source.
//!
//! Some writers put them behind the pixels: these are looked for among the file's last bytes, so that no pixel is read.

use std::io::{Read, SeekFrom};

use flate2::Crc;
use flate2::bufread::ZlibDecoder;

use crate::picture::format::descriptor::HeaderSource;
use crate::picture::metadata::TextFacts;
use crate::picture::{exif, limits};

/// Behind the signature.
const FIRST_CHUNK_AT: u64 = 8;
/// A chunk's length and kind, and its checksum.
const HEAD_BYTES: usize = 8;
const CHECKSUM_BYTES: usize = 4;
/// Kinds of chunks that are looked at.
const KINDS: [&[u8; 4]; 4] = [b"eXIf", b"tEXt", b"zTXt", b"iTXt"];
const PIXELS: &[u8; 4] = b"IDAT";
const END: &[u8; 4] = b"IEND";
/// Keywords of packets.
const XMP: &[u8] = b"XML:com.adobe.xmp";
const HEXADECIMAL: &[u8] = b"Raw profile type ";
/// What a JPEG puts before a packet, and so do those who copy one.
const EXIF_MARK: &[u8] = b"Exif\0\0";
const XMP_MARK: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";

/// What these chunks hold; of several of one kind the first.
#[derive(Debug, Default)]
pub struct Texts {
    pub exif: Option<Vec<u8>>,
    pub xmp: Option<Vec<u8>>,
    /// Image resource blocks, or the datasets themselves.
    pub iptc: Option<Vec<u8>>,
    pub named: TextFacts,
    title: Option<String>,
}

/// Reads the chunks before the pixels and in the file's last bytes. A damaged one counts as missing.
pub fn read(source: &mut dyn HeaderSource) -> Texts {
    let mut found = Texts::default();
    let behind = before_pixels(source, &mut found).unwrap_or_default();
    for (kind, content) in chunks_at_end(&behind) {
        found.take(kind, content);
    }
    found.named.caption = found.named.caption.take().or(found.title.take());
    found
}

/// Reads the chunks before the pixels; returns the file's last bytes, from behind the pixels' beginning.
fn before_pixels(source: &mut dyn HeaderSource, found: &mut Texts) -> std::io::Result<Vec<u8>> {
    source.seek(SeekFrom::Start(FIRST_CHUNK_AT))?;
    let mut left = limits::MAX_PNG_CHUNK_BYTES;
    for _ in 0..limits::MAX_PNG_CHUNKS {
        let mut head = [0; HEAD_BYTES];
        source.read_exact(&mut head)?;
        let (length, kind) = halves(head);
        if kind == *PIXELS || kind == *END {
            break;
        }
        let wanted = KINDS.contains(&&kind) && length <= left;
        if wanted {
            left -= length;
            let mut content = Vec::new();
            (&mut *source).take(length as u64).read_to_end(&mut content)?;
            found.take(kind, &content);
        }
        let over = if wanted { CHECKSUM_BYTES } else { length + CHECKSUM_BYTES };
        source.seek_relative(over as i64)?;
    }
    let here = source.stream_position()?;
    let end = source.seek(SeekFrom::End(0))?;
    source.seek(SeekFrom::Start(end.saturating_sub(limits::PNG_TAIL_BYTES).max(here)))?;
    let mut behind = Vec::new();
    source.take(limits::PNG_TAIL_BYTES).read_to_end(&mut behind)?;
    Ok(behind)
}

fn halves(head: [u8; HEAD_BYTES]) -> (usize, [u8; 4]) {
    let [a, b, c, d, kind @ ..] = head;
    (u32::from_be_bytes([a, b, c, d]) as usize, kind)
}

/// Returns the chunks that are looked at among a file's last bytes. Where one begins is not known there: it is one if
/// its checksum is right.
fn chunks_at_end(bytes: &[u8]) -> Vec<([u8; 4], &[u8])> {
    let mut chunks = Vec::new();
    let mut at = 0;
    while let Some(head) = bytes.get(at..).and_then(|rest| rest.first_chunk::<HEAD_BYTES>()) {
        let (length, kind) = halves(*head);
        let content =
            bytes.get(at + HEAD_BYTES..).and_then(|rest| rest.get(..length)).filter(|_| KINDS.contains(&&kind));
        let after = at + HEAD_BYTES + length;
        let checksum = bytes.get(after..).and_then(|rest| rest.first_chunk::<CHECKSUM_BYTES>());
        match (content, checksum) {
            (Some(content), Some(checksum)) if *checksum == checksum_of(&bytes[at + 4..after]) => {
                chunks.push((kind, content));
                at = after + CHECKSUM_BYTES;
            }
            _ => at += 1,
        }
    }
    chunks
}

fn checksum_of(bytes: &[u8]) -> [u8; CHECKSUM_BYTES] {
    let mut crc = Crc::new();
    crc.update(bytes);
    crc.sum().to_be_bytes()
}

impl Texts {
    fn take(&mut self, kind: [u8; 4], content: &[u8]) {
        if kind == *KINDS[0] {
            self.exif.get_or_insert_with(|| content.strip_prefix(EXIF_MARK).unwrap_or(content).to_vec());
            return;
        }
        let Some((keyword, text)) = until_zero(content) else { return };
        if keyword == XMP {
            let packet = || unpack(kind, text, limits::MAX_PACKET_BYTES);
            self.xmp = self.xmp.take().or_else(packet);
        } else if let Some(name) = keyword.strip_prefix(HEXADECIMAL) {
            // Two digits a byte, and line breaks.
            let packet = || from_hexadecimal(&unpack(kind, text, 3 * limits::MAX_PACKET_BYTES)?);
            self.take_packet(name, packet);
        } else {
            let field = match keyword {
                b"Author" => &mut self.named.creator,
                b"Copyright" => &mut self.named.copyright,
                b"Description" => &mut self.named.caption,
                b"Title" => &mut self.title,
                _ => return,
            };
            let words = || limits::text(&exif::decode_text(&unpack(kind, text, limits::MAX_TEXT_BYTES)?));
            *field = field.take().or_else(words);
        }
    }

    fn take_packet(&mut self, name: &[u8], packet: impl Fn() -> Option<Vec<u8>>) {
        match name {
            b"exif" | b"APP1" if self.exif.is_none() => {
                let Some(mut packet) = packet() else { return };
                if packet.starts_with(XMP_MARK) {
                    self.xmp.get_or_insert_with(|| packet.split_off(XMP_MARK.len()));
                } else {
                    self.exif = Some(packet.strip_prefix(EXIF_MARK).map_or_else(|| packet.clone(), <[u8]>::to_vec));
                }
            }
            b"xmp" => self.xmp = self.xmp.take().or_else(packet),
            b"iptc" | b"8bim" => self.iptc = self.iptc.take().or_else(packet),
            _ => {}
        }
    }
}

/// Returns the bytes before the first zero byte, and those behind it.
fn until_zero(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let at = bytes.iter().position(|byte| *byte == 0)?;
    Some((&bytes[..at], &bytes[at + 1..]))
}

/// Returns the text behind a keyword; `None` where it is damaged or longer than `most` bytes.
fn unpack(kind: [u8; 4], text: &[u8], most: usize) -> Option<Vec<u8>> {
    match (&kind, text) {
        (b"tEXt", _) => (text.len() <= most).then(|| text.to_vec()),
        (b"zTXt", [0, packed @ ..]) => inflate(packed, most),
        (b"iTXt", [is_packed, 0, rest @ ..]) => {
            // The language and the keyword in it.
            let (_, text) = until_zero(until_zero(rest)?.1)?;
            if *is_packed == 1 { inflate(text, most) } else { (text.len() <= most).then(|| text.to_vec()) }
        }
        _ => None,
    }
}

fn inflate(packed: &[u8], most: usize) -> Option<Vec<u8>> {
    let mut text = Vec::new();
    ZlibDecoder::new(packed).take(most as u64 + 1).read_to_end(&mut text).ok()?;
    (text.len() <= most).then_some(text)
}

/// Decodes a packet written as text: a line with its name, one with its length in bytes, and its hexadecimal digits.
fn from_hexadecimal(text: &[u8]) -> Option<Vec<u8>> {
    let text = std::str::from_utf8(text).ok()?.trim_start();
    let (length, digits) = text.split_once('\n')?.1.trim_start().split_once('\n')?;
    let length: usize = length.trim().parse().ok()?;
    let digits: Vec<u8> = digits.chars().filter_map(|digit| digit.to_digit(16)).map(|digit| digit as u8).collect();
    let packet: Vec<u8> = digits.as_chunks::<2>().0.iter().map(|[high, low]| high << 4 | low).collect();
    (packet.len() >= length).then(|| packet[..length].to_vec())
}
