//! The scans of a JPEG, looked through for what no sound file has: restart markers missing or out of order, and markers
//! that cannot stand among coded data. Nothing is decoded. Source: ITU-T T.81, Annex B and section E.1.4.

use memchr::memchr;

use super::markers::{END, Frame, Markers, RESTART_INTERVAL, SCAN, TABLES};
use crate::picture::Fault;
use crate::picture::facts::Format;

/// Pixels a side of a block. Source: ITU-T T.81.
const BLOCK_PX: u32 = 8;

/// Walks from the first scan to the end marker.
///
/// # Errors
/// When the file ends before, or its scans hold what none can.
pub fn check(bytes: &[u8], markers: &Markers) -> Result<(), Fault> {
    let Some(frame) = &markers.frame else { return Ok(()) };
    let mut interval = u64::from(markers.restart_interval);
    let mut at = usize::try_from(markers.scan_at).unwrap_or(usize::MAX);
    while let Some(&[0xFF, marker]) = bytes.get(at..).and_then(|rest| rest.first_chunk::<2>()) {
        match marker {
            END => return Ok(()),
            0xFF => at += 1,
            // What may stand between scans: tables, conditioning, number of lines, intervals, applications, comments.
            0xC4 | 0xCC | SCAN | TABLES | 0xDC | RESTART_INTERVAL | 0xE0..=0xEF | 0xFE => {
                let Some((payload, after)) = segment(bytes, at + 2) else { return Err(ends_early()) };
                at = after;
                match (marker, payload) {
                    (RESTART_INTERVAL, [high, low]) => interval = u64::from(u16::from_be_bytes([*high, *low])),
                    (SCAN, _) => at = coded(bytes, after, restarts(frame, payload, interval))?,
                    _ => {}
                }
            }
            _ => return Err(stray(marker)),
        }
    }
    if at.saturating_add(1) >= bytes.len() { Err(ends_early()) } else { Err(damaged("coded data outside its scans")) }
}

/// What a segment holds, and where it ends.
fn segment(bytes: &[u8], at: usize) -> Option<(&[u8], usize)> {
    let length = usize::from(u16::from_be_bytes(*bytes.get(at..)?.first_chunk::<2>()?));
    Some((bytes.get(at + 2..at + length)?, at + length))
}

/// Restart markers that a scan must hold: one between two intervals. Source: ITU-T T.81, E.1.4 and A.2.
fn restarts(frame: &Frame, scan: &[u8], interval: u64) -> u64 {
    if interval == 0 {
        return 0;
    }
    let most = |of: fn((u8, u8)) -> u8| {
        frame.components.iter().map(|component| u32::from(of(component.sampling))).max().unwrap_or(1).max(1)
    };
    let (across_most, down_most) = (most(|factors| factors.0), most(|factors| factors.1));
    let units = |across_px: u32, down_px: u32| {
        u64::from(frame.width_px.div_ceil(across_px)) * u64::from(frame.height_px.div_ceil(down_px))
    };
    let units = match scan {
        // A component by itself is coded block by block.
        [1, id, ..] => {
            let own = frame.components.iter().find(|component| component.id == *id);
            let (across, down) = own.map_or((1, 1), |component| component.sampling);
            let blocks =
                |px: u32, factor: u8, most: u32| u64::from((px * u32::from(factor)).div_ceil(most).div_ceil(BLOCK_PX));
            blocks(frame.width_px, across, across_most) * blocks(frame.height_px, down, down_most)
        }
        _ => units(BLOCK_PX * across_most, BLOCK_PX * down_most),
    };
    units.div_ceil(interval).saturating_sub(1)
}

/// Steps over a scan's coded data; where its next marker stands.
fn coded(bytes: &[u8], from: usize, wanted: u64) -> Result<usize, Fault> {
    let (mut at, mut found) = (from, 0u64);
    while let Some(ahead) = bytes.get(at..).and_then(|rest| memchr(0xFF, rest)) {
        at += ahead;
        match bytes.get(at + 1) {
            None => break,
            Some(0x00) => at += 2,
            Some(0xFF) => at += 1,
            Some(restart @ 0xD0..=0xD7) => {
                if u64::from(restart - 0xD0) != found % 8 {
                    return Err(damaged("a stretch of its pixels is lost: its restart markers are out of order"));
                }
                found += 1;
                at += 2;
            }
            // One more than wanted, after the last interval, harms nothing.
            Some(_) if found == wanted || found == wanted + 1 => return Ok(at),
            Some(marker) if *marker == END || found > 0 => {
                return Err(damaged(&format!("a stretch of its pixels is lost: {found} of {wanted} restart markers")));
            }
            Some(marker) => return Err(stray(*marker)),
        }
    }
    Err(ends_early())
}

fn ends_early() -> Fault {
    Fault::truncated("the file ends before the picture does: its end marker is missing")
}

fn stray(marker: u8) -> Fault {
    damaged(&format!("a marker of kind {marker:02X} among its coded data"))
}

fn damaged(what: &str) -> Fault {
    Fault::damaged(Format::Jpeg, what)
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;
    use crate::picture::format::jpeg::walk;

    /// A grey frame of 24 x 16 px, six blocks, with a restart interval of two blocks.
    fn file(coded: &[u8]) -> Vec<u8> {
        let mut bytes = vec![0xFF, 0xD8];
        bytes.extend([0xFF, 0xC0, 0, 11, 8, 0, 16, 0, 24, 1, 7, 0x11, 0]);
        bytes.extend([0xFF, RESTART_INTERVAL, 0, 4, 0, 2]);
        bytes.extend([0xFF, SCAN, 0, 8, 1, 7, 0, 0, 63, 0]);
        bytes.extend(coded);
        bytes
    }

    fn fault(coded: &[u8]) -> Option<String> {
        let bytes = file(coded);
        let markers = walk(&mut Cursor::new(&bytes)).unwrap();
        check(&bytes, &markers).err().map(|fault| fault.what)
    }

    #[test]
    fn two_restarts_in_order_and_an_end_are_sound() {
        assert_eq!(fault(&[1, 0xFF, 0, 0xFF, 0xD0, 2, 0xFF, 0xD1, 3, 0xFF, END]), None);
        assert_eq!(fault(&[1, 0xFF, 0xD0, 2, 0xFF, 0xD1, 3, 0xFF, 0xD2, 0xFF, 0xFF, END]), None);
        // A phone's second picture behind the end is none of ours.
        assert_eq!(fault(&[1, 0xFF, 0xD0, 2, 0xFF, 0xD1, 3, 0xFF, END, 0xFF, 0xC0]), None);
    }

    #[test]
    fn a_lost_stretch_is_told() {
        assert!(fault(&[1, 0xFF, 0xD1, 2, 0xFF, END]).unwrap().contains("out of order"));
        assert!(fault(&[1, 0xFF, 0xD0, 2, 0xFF, END]).unwrap().ends_with("1 of 2 restart markers"));
        assert!(fault(&[1, 0xFF, END]).unwrap().ends_with("0 of 2 restart markers"));
    }

    #[test]
    fn stray_markers_and_a_missing_end_are_told() {
        assert!(fault(&[1, 0xFF, 0x42, 2, 0xFF, END]).unwrap().ends_with("kind 42 among its coded data"));
        assert!(fault(&[1, 0xFF, 0xD0, 2, 0xFF, 0xD1, 3]).unwrap().contains("end marker is missing"));
        assert!(fault(&[1, 0xFF, 0xD0, 2, 0xFF, 0xD1, 3, 0xFF]).unwrap().contains("end marker is missing"));
    }
}
