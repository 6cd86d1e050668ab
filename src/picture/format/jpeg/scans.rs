//! Checks the scans of a JPEG for what no sound file has: restart markers missing or out of order, markers that cannot
//! occur among coded data, refinements that are too short or never came. Nothing is decoded. Source: ITU-T T.81, Annex
//! B, sections E.1.4 and G.1.

use memchr::memchr;

use super::markers::{END, FrameHeader, Markers, RESTART_INTERVAL, SCAN, TABLES};
use super::refinement::Refinement;
use crate::picture::facts::Format;
use crate::picture::{Fault, FaultKind, limits};

/// Pixels a side of a block. Source: ITU-T T.81.
const BLOCK_PX: u32 = 8;
/// Scans that any frame may have: one for each component. Source: ITU-T T.81 allows no more components to a scan.
const MAX_COMPONENTS: u64 = 4;

/// The end of a file's coded data.
pub struct Ends {
    /// Behind the last scan's.
    pub coded_end: usize,
    /// The last stretch between two restart markers, where one scan holds all of a picture that has them.
    pub last_interval: Option<LastInterval>,
}

/// The coded data behind the last restart marker of a picture that is coded in one scan.
pub struct LastInterval {
    /// Where the scan's coded data begin.
    pub scan_from: usize,
    /// Where this stretch of them begins.
    pub from: usize,
    /// Units that it holds.
    pub units: u64,
    /// Width and height of a unit in pixels.
    pub unit_px: (u32, u32),
}

/// Walks from the first scan to the end marker.
///
/// # Errors
/// When the file ends before, or its scans hold what none can.
pub fn check(bytes: &[u8], markers: &Markers) -> Result<Ends, Fault> {
    let mut ends = Ends { coded_end: bytes.len(), last_interval: None };
    let Some(frame) = &markers.frame else { return Ok(ends) };
    let mut interval = u64::from(markers.restart_interval);
    let mut refinement = Refinement::default();
    let mut scans = 0;
    let mut at = usize::try_from(markers.scan_at).unwrap_or(usize::MAX);
    while let Some(&[0xFF, marker]) = bytes.get(at..).and_then(|rest| rest.first_chunk::<2>()) {
        match marker {
            END if frame.is_progressive() && !refinement.is_complete() => return Err(incomplete()),
            END => return Ok(ends),
            0xFF => at += 1,
            // What may be between scans: tables, conditioning, number of lines, intervals, applications, comments.
            0xC4 | 0xCC | SCAN | TABLES | 0xDC | RESTART_INTERVAL | 0xE0..=0xEF | 0xFE => {
                let Some((payload, after)) = segment(bytes, at + 2) else { return Err(ends_early()) };
                at = after;
                match (marker, payload) {
                    (RESTART_INTERVAL, [high, low]) => interval = u64::from(u16::from_be_bytes([*high, *low])),
                    (SCAN, _) => {
                        scans += 1;
                        if scans > scans_most(frame) {
                            return Err(too_many(scans_most(frame)));
                        }
                        let units = Units::of(frame, payload);
                        let coded = skip_coded_data(bytes, after, units.restarts(interval))?;
                        at = coded.end;
                        ends.coded_end = coded.end;
                        let alone = !frame.is_progressive() && markers.scan_components == frame.components.len();
                        ends.last_interval = (alone && interval > 0).then(|| LastInterval {
                            scan_from: after,
                            from: coded.last_from,
                            units: units.count - units.restarts(interval) * interval,
                            unit_px: units.size_px,
                        });
                        let holds_means = refinement.add(frame, payload);
                        // A mean, and what refines it, is one bit a block at least.
                        if holds_means && 8 * coded.bytes < units.blocks() {
                            return Err(incomplete());
                        }
                    }
                    _ => {}
                }
            }
            _ => return Err(stray_marker(marker)),
        }
    }
    if at.saturating_add(1) >= bytes.len() { Err(ends_early()) } else { Err(damaged("coded data outside its scans")) }
}

/// Returns the most scans that a frame may have.
fn scans_most(frame: &FrameHeader) -> u64 {
    let pixels = u64::from(frame.width_px) * u64::from(frame.height_px);
    (limits::MAX_JPEG_SCANS as u64).min(limits::MAX_JPEG_SCANNED_PIXELS / pixels.max(1)).max(MAX_COMPONENTS)
}

fn too_many(most: u64) -> Fault {
    let what = format!("a JPEG of more than {most} scans, which no exporter writes; of its size so many are read");
    Fault::new(FaultKind::Unsupported, what)
}

/// Returns the fault that the coded blocks of a file end before its frame does, in spite of an end marker.
pub fn incomplete() -> Fault {
    Fault::new(FaultKind::Incomplete, "its coded blocks end before the picture does, with an end marker behind them")
}

/// Returns the same fault, with the number of rows that are whole.
pub fn incomplete_after(rows: usize, of: usize) -> Fault {
    let what = format!("its coded blocks end after row {rows} of {of}, with an end marker behind them");
    Fault::new(FaultKind::Incomplete, what)
}

/// Returns what a segment holds, and where it ends.
fn segment(bytes: &[u8], at: usize) -> Option<(&[u8], usize)> {
    let length = usize::from(u16::from_be_bytes(*bytes.get(at..)?.first_chunk::<2>()?));
    Some((bytes.get(at + 2..at + length)?, at + length))
}

/// What a scan codes in one piece: units, each of some blocks. Source: ITU-T T.81, A.2.
struct Units {
    count: u64,
    blocks_each: u64,
    size_px: (u32, u32),
}

impl Units {
    fn of(frame: &FrameHeader, scan: &[u8]) -> Units {
        let most = |of: fn((u8, u8)) -> u8| {
            frame.components.iter().map(|component| u32::from(of(component.sampling))).max().unwrap_or(1).max(1)
        };
        let (across_most, down_most) = (most(|factors| factors.0), most(|factors| factors.1));
        let [count, rest @ ..] = scan else { return Units { count: 0, blocks_each: 0, size_px: (0, 0) } };
        let sampling = |id: &u8| {
            let own = frame.components.iter().find(|component| component.id == *id);
            own.map_or((1, 1), |component| component.sampling)
        };
        match (count, rest) {
            // A component by itself is coded block by block.
            (1, [id, ..]) => {
                let (across, down) = sampling(id);
                let blocks = |px: u32, factor: u8, most: u32| {
                    u64::from((px * u32::from(factor)).div_ceil(most).div_ceil(BLOCK_PX))
                };
                let count = blocks(frame.width_px, across, across_most) * blocks(frame.height_px, down, down_most);
                Units { count, blocks_each: 1, size_px: (BLOCK_PX, BLOCK_PX) }
            }
            _ => {
                let ids = rest.iter().step_by(2).take(usize::from(*count));
                let blocks_each = ids.map(sampling).map(|(across, down)| u64::from(across) * u64::from(down)).sum();
                let size_px = (BLOCK_PX * across_most, BLOCK_PX * down_most);
                let units = |px: u32, unit_px: u32| u64::from(px.div_ceil(unit_px));
                let count = units(frame.width_px, size_px.0) * units(frame.height_px, size_px.1);
                Units { count, blocks_each, size_px }
            }
        }
    }

    /// Returns the number of restart markers that the scan must hold: one between two intervals. Source: ITU-T T.81,
    /// E.1.4.
    fn restarts(&self, interval: u64) -> u64 {
        if interval == 0 { 0 } else { self.count.div_ceil(interval).saturating_sub(1) }
    }

    fn blocks(&self) -> u64 {
        self.count * self.blocks_each
    }
}

/// A scan's coded data.
struct ScanData {
    /// The byte offset of the next marker.
    end: usize,
    /// Where the stretch behind its last restart marker begins.
    last_from: usize,
    /// Bytes of it, without markers and stuffing.
    bytes: u64,
}

/// Skips a scan's coded data.
fn skip_coded_data(bytes: &[u8], from: usize, expected: u64) -> Result<ScanData, Fault> {
    let (mut at, mut found, mut beside, mut last_from) = (from, 0u64, 0, from);
    while let Some(ahead) = bytes.get(at..).and_then(|rest| memchr(0xFF, rest)) {
        at += ahead;
        match bytes.get(at + 1) {
            None => break,
            Some(0x00) => {
                at += 2;
                beside += 1;
            }
            Some(0xFF) => {
                at += 1;
                beside += 1;
            }
            Some(restart @ 0xD0..=0xD7) => {
                if u64::from(restart - 0xD0) != found % 8 {
                    return Err(damaged("a stretch of its pixels is lost: its restart markers are out of order"));
                }
                found += 1;
                at += 2;
                beside += 2;
                if found <= expected {
                    last_from = at;
                }
            }
            // One more than wanted, after the last interval, harms nothing.
            Some(_) if found == expected || found == expected + 1 => {
                return Ok(ScanData { end: at, last_from, bytes: (at - from - beside) as u64 });
            }
            Some(marker) if *marker == END || found > 0 => {
                return Err(damaged(&format!(
                    "a stretch of its pixels is lost: {found} of {expected} restart markers"
                )));
            }
            Some(marker) => return Err(stray_marker(*marker)),
        }
    }
    Err(ends_early())
}

fn ends_early() -> Fault {
    Fault::truncated("the file ends before the picture does: its end marker is missing")
}

fn stray_marker(marker: u8) -> Fault {
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
    fn a_lost_stretch_is_reported() {
        assert!(fault(&[1, 0xFF, 0xD1, 2, 0xFF, END]).unwrap().contains("out of order"));
        assert!(fault(&[1, 0xFF, 0xD0, 2, 0xFF, END]).unwrap().ends_with("1 of 2 restart markers"));
        assert!(fault(&[1, 0xFF, END]).unwrap().ends_with("0 of 2 restart markers"));
    }

    #[test]
    fn stray_markers_and_a_missing_end_are_reported() {
        assert!(fault(&[1, 0xFF, 0x42, 2, 0xFF, END]).unwrap().ends_with("kind 42 among its coded data"));
        assert!(fault(&[1, 0xFF, 0xD0, 2, 0xFF, 0xD1, 3]).unwrap().contains("end marker is missing"));
        assert!(fault(&[1, 0xFF, 0xD0, 2, 0xFF, 0xD1, 3, 0xFF]).unwrap().contains("end marker is missing"));
    }

    /// A progressive grey frame of 24 x 16 px, six blocks, with these scans: their bands and bits, and coded data.
    fn progressive(scans: &[([u8; 3], &[u8])]) -> Option<FaultKind> {
        let mut bytes = vec![0xFF, 0xD8];
        bytes.extend([0xFF, 0xC2, 0, 11, 8, 0, 16, 0, 24, 1, 7, 0x11, 0]);
        for (band, coded) in scans {
            bytes.extend([0xFF, SCAN, 0, 8, 1, 7, 0]);
            bytes.extend(band);
            bytes.extend(*coded);
        }
        bytes.extend([0xFF, END]);
        let markers = walk(&mut Cursor::new(&bytes)).unwrap();
        check(&bytes, &markers).err().map(|fault| fault.kind)
    }

    #[test]
    fn a_large_frame_of_few_bytes_is_refused_before_decoding() {
        // 64 blocks of means are 64 bits at least.
        let frame = |marker: u8, coded: usize| {
            let last = if marker == 0xC0 { 63 } else { 0 };
            let head = [0xFF, 0xD8, 0xFF, marker, 0, 11, 8, 0, 64, 0, 64, 1, 7, 0x11, 0];
            let scan = [0xFF, SCAN, 0, 8, 1, 7, 0, 0, last, 0];
            let bytes = [&head[..], &scan, &vec![1; coded], &[0xFF, END]].concat();
            check(&bytes, &walk(&mut Cursor::new(&bytes)).unwrap()).err()
        };
        for marker in [0xC0, 0xC2] {
            assert_eq!((frame(marker, 8), frame(marker, 7)), (None, Some(incomplete())));
        }
    }

    #[test]
    fn more_scans_than_any_exporter_writes_are_refused_before_they_are_decoded() {
        let again = [([1, 63, 0x00], &[1_u8][..])];
        let means = [([0, 0, 0x00], &[1_u8][..])];
        let scans = |count: usize| [&means[..], &again.repeat(count - 1)].concat();
        assert_eq!(progressive(&scans(limits::MAX_JPEG_SCANS)), None);
        assert_eq!(progressive(&scans(limits::MAX_JPEG_SCANS + 1)), Some(FaultKind::Unsupported));
        // The larger the frame the fewer, yet always more than exporters write.
        let of = |width_px, height_px| {
            let head = [0xFF, 0xD8, 0xFF, 0xC2, 0, 11, 8].into_iter();
            let bytes: Vec<u8> = head.chain(u16::to_be_bytes(height_px)).chain(u16::to_be_bytes(width_px)).collect();
            let bytes = [&bytes[..], &[1, 7, 0x11, 0, 0xFF, SCAN, 0, 8, 1, 7, 0]].concat();
            scans_most(walk(&mut Cursor::new(&bytes)).unwrap().frame.as_ref().unwrap())
        };
        assert_eq!([of(6000, 4000), of(12_000, 12_000), of(65_500, 65_500)], [64, 16, 4]);
    }

    #[test]
    fn missing_and_short_refinements_are_reported() {
        let (means, means_again, rest) = ([0, 0, 0x01], [0, 0, 0x10], [1, 63, 0x00]);
        assert_eq!(progressive(&[(means, &[1]), (rest, &[1]), (means_again, &[1])]), None);
        // What was never begun is taken for zero.
        assert_eq!(progressive(&[([0, 0, 0x00], &[1])]), None);
        assert_eq!(progressive(&[(means, &[1]), (rest, &[1])]), Some(FaultKind::Incomplete));
        let coarse = [1, 63, 0x02];
        assert_eq!(progressive(&[([0, 0, 0x00], &[1]), (coarse, &[1])]), Some(FaultKind::Incomplete));
        // Six blocks are six bits: none is too few, and stuffing is none of them.
        assert_eq!(progressive(&[(means, &[1]), (rest, &[1]), (means_again, &[])]), Some(FaultKind::Incomplete));
        assert_eq!(progressive(&[(means, &[1]), (rest, &[1]), (means_again, &[0xFF, 0])]), None);
    }
}
