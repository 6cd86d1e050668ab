//! A JPEG's pixels: the file is read once from the disk, hashed, and decoded a row of its units at a time.
//!
//! Damage that the decoder's strict mode lets pass is found by `scans.rs`, a missing end marker too; blocks that end
//! before the frame by `completeness.rs`.

use std::fs::File;
use std::io::{Cursor, Read};
use std::ops::Range;

use sha2::{Digest, Sha256};
use zune_jpeg::zune_core::colorspace::ColorSpace;

use super::decoding::{Decoding, SampleConversion};
use super::markers::Markers;
use super::{completeness, walk};
use crate::picture::facts::{ColourModel, Facts, Format};
use crate::picture::format::descriptor::{Opened, STILL_CHANGING};
use crate::picture::pixels::{Band, Bands, Buffers, SampleLayout, Samples};
use crate::picture::{Fault, FaultKind, limits};

pub fn open<'a>(file: File, facts: &Facts, buffers: &'a mut Buffers) -> Result<Opened<'a>, Fault> {
    let Buffers { file: bytes, samples, .. } = buffers;
    bytes.clear();
    if facts.bytes > limits::MAX_JPEG_FILE_BYTES {
        return Err(Fault::new(FaultKind::TooLarge, format!("a JPEG of {} MB", facts.bytes >> 20)));
    }
    bytes.reserve(usize::try_from(facts.bytes).unwrap_or(0) + completeness::ADDED_BYTES);
    // One more than there are: a file that grows is not followed to its end.
    file.take(facts.bytes + 1).read_to_end(bytes)?;
    if bytes.len() as u64 != facts.bytes {
        return Err(Fault::truncated(STILL_CHANGING));
    }
    let mut markers = walk(&mut Cursor::new(&bytes[..]))?;
    let sha256 = format!("{:x}", Sha256::digest(&*bytes));
    if !markers.stray.is_empty() {
        // The decoder's strict mode stumbles over what lies between segments; no other reader does.
        remove_ranges(bytes, &markers.stray);
        markers = walk(&mut Cursor::new(&bytes[..]))?;
    }
    let coded_end = completeness::end_in_ones(bytes, &markers)?;
    let adobe = markers.adobe_transform.is_some();
    let size_px = (facts.width_px as usize, facts.height_px as usize);
    let decoding = Decoding::begin(bytes, coded_end, size_px, |_, space| match (facts.model, space) {
        (ColourModel::Rgb, _) if is_ycc(&markers, space) => SampleConversion::Ycc,
        (ColourModel::Cmyk, ColorSpace::YCCK) => SampleConversion::Ycck(adobe),
        (ColourModel::Cmyk, _) if adobe => SampleConversion::Inverted,
        _ => SampleConversion::Plain,
    })?;
    let layout =
        SampleLayout { width_px: facts.width_px, height_px: facts.height_px, model: facts.model, has_alpha: false };
    if decoding.size_px() != size_px || decoding.channels() != layout.channels() {
        return Err(Fault::damaged(Format::Jpeg, "its size differs between its header and its scans"));
    }
    Ok(Opened { bands: Box::new(JpegBands { decoding, layout, samples, next_row: 0 }), sha256 })
}

/// True if three components are Y, Cb and Cr: always in JFIF (ITU-T T.871), otherwise as the decoder concludes from the
/// Adobe marker and the components' names. The precedence of JFIF is that of libjpeg, and so of most software.
fn is_ycc(markers: &Markers, space: ColorSpace) -> bool {
    markers.is_jfif() || space == ColorSpace::YCbCr
}

/// Takes ranges out of the bytes; they are in order.
fn remove_ranges(bytes: &mut Vec<u8>, ranges: &[Range<u64>]) {
    let (mut to, mut from) = (0, 0);
    for range in ranges {
        let (start, end) = (range.start as usize, range.end as usize);
        bytes.copy_within(from..start, to);
        to += start - from;
        from = end;
    }
    bytes.copy_within(from.., to);
    bytes.truncate(to + bytes.len() - from);
}

/// Decodes a small grey or colour JPEG in memory to RGB, with its width and height; `None` where a side is longer than
/// this many pixels or cannot be decoded to its end.
pub fn decode_small(bytes: &[u8], side_most_px: usize) -> Option<(usize, usize, Vec<u8>)> {
    let markers = walk(&mut Cursor::new(bytes)).ok()?;
    let mut decoding = Decoding::begin(bytes, None, (side_most_px, side_most_px), |components, space| {
        if components == 3 && is_ycc(&markers, space) { SampleConversion::Ycc } else { SampleConversion::Plain }
    })
    .ok()?;
    let (mut rgb, mut rows) = (Vec::new(), Vec::new());
    while decoding.next_rows(&mut rows).ok()? > 0 {
        match decoding.channels() {
            1 => rgb.extend(rows.iter().flat_map(|code| [*code; 3])),
            3 => rgb.extend_from_slice(&rows),
            _ => return None,
        }
    }
    let (width_px, height_px) = decoding.size_px();
    Some((width_px, height_px, rgb))
}

struct JpegBands<'a> {
    decoding: Decoding<'a>,
    layout: SampleLayout,
    samples: &'a mut Vec<u8>,
    next_row: u32,
}

impl Bands for JpegBands<'_> {
    fn layout(&self) -> SampleLayout {
        self.layout
    }

    fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
        let (first_row, rows) = (self.next_row, self.decoding.next_rows(self.samples)? as u32);
        self.next_row += rows;
        Ok((rows > 0).then_some(Band { first_row, rows, samples: Samples::Eight(self.samples) }))
    }
}
