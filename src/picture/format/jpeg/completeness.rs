//! Checks that a JPEG's coded blocks last as long as its frame, also where an end marker follows a cut.
//!
//! Behind the last block an encoder fills up with ones, and no code consists of ones alone (ITU-T T.81, section C.2).
//! So ones are put behind the coded data: a decoder that still wants blocks there, and would otherwise go on with
//! zeros, refuses them; one that has all blocks steps over them to the end marker.

use super::decoding::{Decoding, SampleConversion};
use super::markers::{END, Markers};
use super::scans::{self, LastInterval};
use crate::picture::Fault;

/// A byte of ones among coded data, as it is stored.
const ONES: [u8; 2] = [0xFF, 0x00];
/// Bytes of ones. A code, its value and a code again take 47 bits; in a refinement the bits that correct earlier scans
/// come between, and encoders let some 1000 of them gather. Source: ITU-T T.81 (codes and values of up to 16 bits); the
/// rest is ours.
const ONES_BYTES: usize = 256;
const END_MARKER: [u8; 2] = [0xFF, END];
/// What a file grows by at most, in bytes.
pub const ADDED_BYTES: usize = ONES.len() * ONES_BYTES + END_MARKER.len();
/// Most pixels a side of a frame. Source: ITU-T T.81.
const MAX_SIDE_PX: u64 = 65_535;

/// Looks through a file's scans and lets it end in ones, in place of what follows its last scan; where its own
/// coded data end. A picture of one scan with restart markers stays as it is, and its last interval is decoded by
/// itself: where such an interval ends within a few bytes of a row's end the decoder drops what it still holds of it,
/// and lacks these blocks in the last row (zune-jpeg 0.5).
///
/// # Errors
/// When the file ends before its end marker, its scans hold what none can, or its last interval lacks blocks.
pub fn end_in_ones(bytes: &mut Vec<u8>, markers: &Markers) -> Result<Option<usize>, Fault> {
    let ends = scans::check(bytes, markers)?;
    if let Some(last) = ends.last_interval {
        check_last(bytes, ends.coded_end, markers, &last)?;
        return Ok(None);
    }
    bytes.truncate(ends.coded_end);
    bytes.extend(ONES.repeat(ONES_BYTES));
    bytes.extend(END_MARKER);
    Ok(Some(ends.coded_end))
}

/// Decodes the last interval as a picture of its own: no block of it rests on one before.
fn check_last(bytes: &[u8], coded_end: usize, markers: &Markers, last: &LastInterval) -> Result<(), Fault> {
    let (unit_w, unit_h) = (u64::from(last.unit_px.0), u64::from(last.unit_px.1));
    // As few rows of units as the frame's width allows; the few units of a row that is not full stay out.
    let down = (last.units * unit_w).div_ceil(MAX_SIDE_PX);
    let Some(across) = last.units.checked_div(down) else { return Ok(()) };
    let (Ok(width_px), Ok(height_px)) = (u16::try_from(across * unit_w), u16::try_from(down * unit_h)) else {
        return Ok(());
    };
    let (Some(head), Some(coded)) = (bytes.get(..last.scan_from), bytes.get(last.from..coded_end)) else {
        return Ok(());
    };
    let mut alone = head.to_vec();
    let Some(size) = usize::try_from(markers.size_at).ok().and_then(|at| alone.get_mut(at..at + 4)) else {
        return Ok(());
    };
    size[..2].copy_from_slice(&height_px.to_be_bytes());
    size[2..].copy_from_slice(&width_px.to_be_bytes());
    alone.extend_from_slice(coded);
    let alone_end = alone.len();
    alone.extend(ONES.repeat(ONES_BYTES));
    alone.extend(END_MARKER);
    let most_px = (usize::from(width_px), usize::from(height_px));
    let mut decoding = Decoding::begin(&alone, Some(alone_end), most_px, |_, _| SampleConversion::Plain)?;
    let mut rows = Vec::new();
    loop {
        match decoding.next_rows(&mut rows) {
            Ok(0) => return Ok(()),
            Ok(_) => {}
            // Rows of this stretch are none of the picture's.
            Err(_) if decoding.is_past_the_coded_data() => return Err(scans::incomplete()),
            Err(fault) => return Err(fault),
        }
    }
}
