//! The evidence of the pictures of a live table or a check: the most recently used in memory, all of it in an unnamed
//! file that disappears when the program ends, however it ends.

use std::fs::File;
use std::io;
use std::path::Path;
use std::sync::Arc;

use parking_lot::{Mutex, MutexGuard};

use crate::files::{os, scratch};
use crate::judge::{EvidenceHandle, EvidenceSource};
use crate::measure::{Evidence, Thumbnail};
use crate::picture::facts::ColourModel;
use crate::reading::limits;

use super::recent::RecentlyUsed;

/// Number of folders tried, from the named one upwards: a user's cache is two levels deep in their home folder.
const NEAR_FOLDERS: usize = 3;

/// The data a spill holds of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpillContents {
    /// The numbers alone.
    Numbers,
    /// The thumbnail, too: some megabytes.
    Thumbnails,
}

/// Evidence of pictures.
#[derive(Debug)]
pub struct EvidenceSpill {
    holds: SpillContents,
    /// `None` where no file can be created: then all stays in memory. Entries' places are never shared, so it is used
    /// without the lock: the thread that answers keys never waits for a disk because of a worker.
    file: Option<File>,
    inside: Mutex<Inside>,
}

#[derive(Debug)]
struct Inside {
    /// Offset of the next entry. Offsets are never reused, so they identify entries.
    end: u64,
    /// Keyed by offset in the file.
    recent: RecentlyUsed<Arc<Evidence>>,
}

/// An entry's place in the file; its room is released when it is no longer used.
#[derive(Debug)]
struct SpillSlot {
    spill: Arc<EvidenceSpill>,
    from: u64,
    bytes: u64,
}

impl EvidenceSpill {
    /// Creates an empty spill, its file on a folder's disk, otherwise in the system's temporary folder.
    pub fn new(holds: SpillContents, folder: Option<&Path>) -> Arc<EvidenceSpill> {
        // The folder need not exist yet, and is not created for this.
        let file = scratch::create(folder.into_iter().flat_map(|folder| folder.ancestors().take(NEAR_FOLDERS)));
        let inside = Inside { end: 0, recent: RecentlyUsed::up_to(limits::EVIDENCE_BYTES) };
        Arc::new(EvidenceSpill { holds, file, inside: Mutex::new(inside) })
    }

    /// Stores a picture's evidence. Evidence that cannot be written stays in memory.
    pub fn put(self: &Arc<EvidenceSpill>, mut evidence: Evidence) -> EvidenceHandle {
        if self.holds == SpillContents::Numbers {
            evidence.thumbnail = Arc::default();
        }
        let Some(written) = encode(&evidence) else { return EvidenceHandle::in_memory(evidence) };
        let bytes = written.len() as u64;
        let from = self.inside().reserve(bytes);
        if self.write(from, &written).is_err() {
            return EvidenceHandle::in_memory(evidence);
        }
        let evidence = Arc::new(evidence);
        self.inside().recent.keep(from, evidence.clone(), bytes);
        EvidenceHandle::stored(&evidence, Arc::new(SpillSlot { spill: self.clone(), from, bytes }))
    }

    fn write(&self, from: u64, written: &[u8]) -> io::Result<()> {
        let file = self.file.as_ref().ok_or(io::ErrorKind::NotFound)?;
        // A full disk keeps the entries written before it was full.
        os::write_at(file, from, written).inspect_err(|_| os::punch_hole(file, from, written.len() as u64))
    }

    fn read(&self, from: u64, bytes: u64) -> io::Result<Vec<u8>> {
        let mut written = vec![0; usize::try_from(bytes).map_err(io::Error::other)?];
        os::read_at(self.file.as_ref().ok_or(io::ErrorKind::NotFound)?, from, &mut written)?;
        Ok(written)
    }

    fn inside(&self) -> MutexGuard<'_, Inside> {
        self.inside.lock()
    }
}

impl Inside {
    /// Reserves a place for a number of bytes.
    fn reserve(&mut self, bytes: u64) -> u64 {
        let from = self.end;
        self.end += bytes;
        from
    }
}

impl EvidenceSource for SpillSlot {
    fn evidence(&self) -> Option<Arc<Evidence>> {
        if let Some(evidence) = self.spill.inside().recent.get(self.from) {
            return Some(evidence);
        }
        let written = self.spill.read(self.from, self.bytes).ok()?;
        let evidence = Arc::new(decode(&written)?);
        self.spill.inside().recent.keep(self.from, evidence.clone(), self.bytes);
        Some(evidence)
    }
}

impl Drop for SpillSlot {
    fn drop(&mut self) {
        self.spill.inside().recent.forget(self.from);
        if let Some(file) = &self.spill.file {
            os::punch_hole(file, self.from, self.bytes);
        }
    }
}

/// Encodes the numbers, then the thumbnail's samples unencoded: they are many.
fn encode(evidence: &Evidence) -> Option<Vec<u8>> {
    let Thumbnail { width_px, height_px, model, ref samples } = *evidence.thumbnail;
    let mut written = postcard::to_stdvec(&(evidence, width_px, height_px, model)).ok()?;
    written.extend_from_slice(samples);
    Some(written)
}

/// Decodes what [`encode`] wrote.
fn decode(written: &[u8]) -> Option<Evidence> {
    type Numbers = (Evidence, u32, u32, ColourModel);
    let ((evidence, width_px, height_px, model), samples): (Numbers, _) = postcard::take_from_bytes(written).ok()?;
    let thumbnail = Thumbnail { width_px, height_px, model, samples: samples.to_vec() };
    Some(Evidence { thumbnail: Arc::new(thumbnail), ..evidence })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::evidence::Colour;

    /// Evidence of some 100 KB.
    fn evidence(sha256: &str) -> Evidence {
        let mut evidence = Evidence::nothing(sha256);
        evidence.colours = vec![Colour { mean: [60_000; 3], count: 9 }; 10_000];
        evidence
    }

    #[test]
    fn evidence_no_longer_in_memory_is_read_from_the_file() {
        let spill = EvidenceSpill::new(SpillContents::Thumbnails, None);
        let names: Vec<String> = (0..1_000).map(|n| n.to_string()).collect();
        let handles: Vec<EvidenceHandle> = names.iter().map(|name| spill.put(evidence(name))).collect();
        let (kept, bytes) = spill.inside().recent.held();
        assert!((100..800).contains(&kept), "{kept} of 1,000 in memory");
        assert!(bytes <= limits::EVIDENCE_BYTES);
        for (name, handle) in names.iter().zip(&handles) {
            assert_eq!(*handle.evidence().unwrap(), evidence(name));
        }
    }

    #[test]
    fn room_of_dropped_evidence_is_released() {
        let spill = EvidenceSpill::new(SpillContents::Thumbnails, None);
        let (one, other) = (Arc::new(spill.put(evidence("one"))), spill.put(evidence("other")));
        let again = one.clone();
        drop(one);
        assert_eq!(spill.inside().recent.held().0, 2);
        drop(again);
        let inside = spill.inside();
        let (held, bytes) = inside.recent.held();
        assert_eq!(held, 1);
        assert!(bytes < inside.end * 2 / 3);
        #[cfg(target_os = "linux")]
        {
            use std::os::unix::fs::MetadataExt;
            let on_disk = spill.file.as_ref().unwrap().metadata().unwrap().blocks() * 512;
            assert!(on_disk < inside.end * 3 / 4, "{on_disk} of {} bytes", inside.end);
        }
        drop(inside);
        assert_eq!(other.evidence().unwrap().sha256, "other");
    }

    #[test]
    fn without_a_file_all_stays_in_memory() {
        let whole = Arc::into_inner(EvidenceSpill::new(SpillContents::Thumbnails, None)).unwrap();
        let spill = Arc::new(EvidenceSpill { file: None, ..whole });
        let handles: Vec<EvidenceHandle> = (0..3).map(|n| spill.put(evidence(&n.to_string()))).collect();
        assert_eq!(spill.inside().recent.held(), (0, 0));
        assert!(handles.iter().all(|handle| handle.evidence().is_some()));
    }

    #[test]
    fn evidence_lost_on_disk_is_none() {
        let spill = EvidenceSpill::new(SpillContents::Thumbnails, None);
        let handle = spill.put(evidence("one"));
        spill.inside().recent = RecentlyUsed::up_to(limits::EVIDENCE_BYTES);
        spill.file.as_ref().unwrap().set_len(100).unwrap();
        assert_eq!(handle.evidence(), None);
    }
}
