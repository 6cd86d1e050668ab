//! The walk over a JPEG's segments up to its first scan. Source: ITU-T T.81 Annex B.
//!
//! Keeps what facts need and steps over the rest; never reads a scan.

use std::io::SeekFrom;
use std::ops::Range;

use super::profile_parts::ProfileParts;
use crate::picture::facts::Format;
use crate::picture::format::descriptor::HeaderSource;
use crate::picture::{Fault, FaultKind, limits};

/// A component of the frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Component {
    /// What scans call it.
    pub id: u8,
    /// Sampling factors, across and down.
    pub sampling: (u8, u8),
    /// Its quantisation table, 0 to 3.
    pub table: usize,
}

/// The frame header.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FrameHeader {
    /// The marker's second byte: the coding process.
    pub marker: u8,
    /// Bits a sample.
    pub bits: u16,
    /// Width in pixels, at least 1.
    pub width_px: u32,
    /// Height in pixels, at least 1.
    pub height_px: u32,
    /// Components in order.
    pub components: Vec<Component>,
}

impl FrameHeader {
    /// True if its scans are progressive, in either coding.
    pub fn is_progressive(&self) -> bool {
        matches!(self.marker, 0xC2 | 0xC6 | 0xCA | 0xCE)
    }
}

/// JFIF's density: unit 0 ratio only, 1 per inch, 2 per centimetre.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Density {
    /// The unit's number.
    pub unit: u8,
    /// Across.
    pub x: u16,
    /// Down.
    pub y: u16,
}

/// The segments before the first scan.
#[derive(Debug, Default)]
pub struct Markers {
    /// The frame header.
    pub frame: Option<FrameHeader>,
    /// Offset of its height and width, in bytes from the start.
    pub size_at: u64,
    /// Quantisation tables, in the order stored (zigzag).
    pub tables: [Option<[u16; 64]>; 4],
    /// JFIF's density, which every JFIF header has.
    pub density: Option<Density>,
    /// The Adobe marker's transform.
    pub adobe_transform: Option<u8>,
    /// The Exif blocks; a sound file has one at most.
    pub exif: Vec<Vec<u8>>,
    /// The XMP packets; a sound file has one at most. An extended packet is kept like any other, without being put
    /// together, so that it counts as one that cannot be read.
    pub xmp: Vec<Vec<u8>>,
    /// The parts of the ICC profile; one behind the first scan counts as none, since readers stop looking there.
    pub profile: ProfileParts,
    /// Image resource blocks, put together.
    pub resources: Vec<u8>,
    /// Units between two restart markers; 0 for none.
    pub restart_interval: u16,
    /// Offset of the first scan's marker, in bytes from the start.
    pub scan_at: u64,
    /// Bytes between segments that belong to none.
    pub stray: Vec<Range<u64>>,
    /// Components of the first scan; 0 where the file ends before it says so.
    pub scan_components: usize,
}

impl Markers {
    /// True if there is a JFIF header.
    pub fn is_jfif(&self) -> bool {
        self.density.is_some()
    }
}

/// Bytes of a JFIF header without a thumbnail, behind its length. Source: ITU-T T.871.
const JFIF_BYTES: usize = 14;

const START: u8 = 0xD8;
pub const END: u8 = 0xD9;
pub const SCAN: u8 = 0xDA;
pub const TABLES: u8 = 0xDB;
pub const RESTART_INTERVAL: u8 = 0xDD;
const APP0: u8 = 0xE0;
const APP1: u8 = 0xE1;
const APP2: u8 = 0xE2;
const APP13: u8 = 0xED;
const APP14: u8 = 0xEE;

/// Walks from the start of the file to the first scan.
pub fn walk(source: &mut dyn HeaderSource) -> Result<Markers, Fault> {
    let mut found = Markers::default();
    let start = source.seek(SeekFrom::Start(0))?;
    debug_assert_eq!(start, 0);
    for index in 0..limits::MAX_JPEG_SEGMENTS {
        let marker = next_marker(source, &mut found.stray)?;
        match marker {
            START if index == 0 => continue,
            0x01 | 0xD0..=0xD7 => continue,
            START | END => return Err(Fault::damaged(Format::Jpeg, "it ends before its first scan")),
            _ => {}
        }
        if index == 0 {
            return Err(Fault::damaged(Format::Jpeg, "it does not begin as a JPEG"));
        }
        if marker == SCAN {
            found.scan_at = source.stream_position()? - 2;
            // Its length, and how many components it holds.
            let mut head = [0; 3];
            found.scan_components = source.read_exact(&mut head).map_or(0, |()| usize::from(head[2]));
            return Ok(found);
        }
        let mut length = [0; 2];
        source.read_exact(&mut length)?;
        let Some(length) = usize::from(u16::from_be_bytes(length)).checked_sub(2) else {
            return Err(Fault::damaged(Format::Jpeg, "a segment without a length"));
        };
        segment(&mut found, source, marker, length)?;
    }
    Err(Fault::new(FaultKind::Damaged, "damaged JPEG: more segments than any picture has"))
}

fn next_marker(source: &mut dyn HeaderSource, stray_bytes: &mut Vec<Range<u64>>) -> Result<u8, Fault> {
    let begin = source.stream_position()?;
    let mut byte = [0];
    source.read_exact(&mut byte)?;
    let mut stray = 0;
    while byte[0] != 0xFF {
        stray += 1;
        if stray > limits::MAX_JPEG_STRAY_BYTES {
            return Err(Fault::damaged(Format::Jpeg, "no segment where one must be"));
        }
        source.read_exact(&mut byte)?;
    }
    if stray > 0 {
        stray_bytes.push(begin..begin + stray as u64);
    }
    let mut fill = 0;
    while byte[0] == 0xFF {
        fill += 1;
        if fill > limits::MAX_JPEG_STRAY_BYTES {
            return Err(Fault::damaged(Format::Jpeg, "no segment where one must be"));
        }
        source.read_exact(&mut byte)?;
    }
    Ok(byte[0])
}

fn segment(found: &mut Markers, source: &mut dyn HeaderSource, marker: u8, length: usize) -> Result<(), Fault> {
    match marker {
        TABLES => tables(found, &read_payload(source, length)?),
        RESTART_INTERVAL => {
            if let [high, low] = read_payload(source, length)?[..] {
                found.restart_interval = u16::from_be_bytes([high, low]);
            }
            Ok(())
        }
        // C4, C8 and CC are Huffman tables, a reserved marker and arithmetic conditioning.
        0xC0..=0xCF if !matches!(marker, 0xC4 | 0xC8 | 0xCC) => {
            // Behind the bits a sample.
            found.size_at = source.stream_position()? + 1;
            let payload = read_payload(source, length)?;
            if found.frame.is_some() {
                return Err(Fault::damaged(Format::Jpeg, "two frame headers"));
            }
            found.frame = Some(frame(marker, &payload)?);
            Ok(())
        }
        APP0 | APP1 | APP2 | APP13 | APP14 => {
            application(found, marker, read_payload(source, length)?);
            Ok(())
        }
        _ => source.seek_relative(length as i64).map_err(Fault::from),
    }
}

fn application(found: &mut Markers, marker: u8, mut payload: Vec<u8>) {
    const EXIF: &[u8] = b"Exif\0\0";
    const XMP: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";
    const EXTENDED_XMP: &[u8] = b"http://ns.adobe.com/xmp/extension/\0";
    const RESOURCES: &[u8] = b"Photoshop 3.0\0";
    match marker {
        APP0 if payload.starts_with(b"JFIF\0") && payload.len() >= JFIF_BYTES && found.density.is_none() => {
            let pair = |at: usize| u16::from_be_bytes([payload[at], payload[at + 1]]);
            found.density = Some(Density { unit: payload[7], x: pair(8), y: pair(10) });
        }
        APP1 if payload.starts_with(EXIF) && found.exif.len() < limits::MAX_PACKETS => {
            found.exif.push(payload.split_off(EXIF.len()));
        }
        APP1 if payload.starts_with(XMP) && found.xmp.len() < limits::MAX_PACKETS => {
            found.xmp.push(payload.split_off(XMP.len()));
        }
        APP1 if payload.starts_with(EXTENDED_XMP) && found.xmp.len() < limits::MAX_PACKETS => {
            found.xmp.push(payload.split_off(EXTENDED_XMP.len()));
        }
        APP2 => found.profile.add(&payload),
        APP13
            if payload.starts_with(RESOURCES) && found.resources.len() + payload.len() <= limits::MAX_PACKET_BYTES =>
        {
            found.resources.extend_from_slice(&payload[RESOURCES.len()..]);
        }
        APP14 if payload.starts_with(b"Adobe") && payload.len() >= 12 => found.adobe_transform = Some(payload[11]),
        _ => {}
    }
}

fn tables(found: &mut Markers, mut payload: &[u8]) -> Result<(), Fault> {
    while let [first, rest @ ..] = payload {
        let (wide, index) = (first >> 4, usize::from(first & 0x0F));
        let bytes = if wide == 0 { 64 } else { 128 };
        let (Some(slot), true, Some(entries)) = (found.tables.get_mut(index), wide <= 1, rest.get(..bytes)) else {
            return Err(Fault::damaged(Format::Jpeg, "a quantisation table is broken"));
        };
        let mut table = [0; 64];
        for (entry, at) in table.iter_mut().zip(0..) {
            *entry = match wide {
                0 => u16::from(entries[at]),
                _ => u16::from_be_bytes([entries[2 * at], entries[2 * at + 1]]),
            };
        }
        *slot = Some(table);
        payload = &rest[bytes..];
    }
    Ok(())
}

fn frame(marker: u8, payload: &[u8]) -> Result<FrameHeader, Fault> {
    let &[bits, h1, h0, w1, w0, count, ref rest @ ..] = payload else {
        return Err(Fault::damaged(Format::Jpeg, "a frame header that is too short"));
    };
    let (width, height) = (u16::from_be_bytes([w1, w0]), u16::from_be_bytes([h1, h0]));
    if width == 0 || height == 0 || count == 0 || rest.len() < usize::from(count) * 3 {
        return Err(Fault::damaged(Format::Jpeg, format!("a frame of {width} x {height} px and {count} components")));
    }
    let components = rest.as_chunks::<3>().0.iter().take(usize::from(count));
    Ok(FrameHeader {
        marker,
        bits: u16::from(bits),
        width_px: u32::from(width),
        height_px: u32::from(height),
        components: components
            .map(|&[id, factors, table]| Component {
                id,
                sampling: (factors >> 4, factors & 0x0F),
                table: usize::from(table & 3),
            })
            .collect(),
    })
}

fn read_payload(source: &mut dyn HeaderSource, length: usize) -> Result<Vec<u8>, Fault> {
    let mut payload = vec![0; length];
    source.read_exact(&mut payload)?;
    Ok(payload)
}
