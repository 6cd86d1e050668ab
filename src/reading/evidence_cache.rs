//! Evidence and colour results kept on disk from run to run, so that a folder that was checked before opens quickly.
//! Entries are keyed by the file's path and record, which every change of content alters. Losing the cache loses
//! nothing.
//!
//! The number of bytes stored is written in a record beside them, so that thousands of files are not examined each time
//! a folder is opened. The record never understates the total, and is rewritten whenever room is made.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

use parking_lot::Mutex;
use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};

use crate::files::{self, atomic, os};
use crate::judge::metrics::changes::{CHANGES_VERSION, ColourChanges, ColourQuestion};
use crate::measure::Evidence;
use crate::measure::evidence::EVIDENCE_VERSION;
use crate::reading::limits;

use super::job::Ticket;

/// Length in bytes of the digest that ends each entry.
const DIGEST_BYTES: usize = 32;
/// Extension of evidence entries.
const EVIDENCE_ENDING: &str = "evidence";
/// Extension of colour results.
const CHANGES_ENDING: &str = "changes";
/// Name of the record of how many bytes are stored.
const RECORD: &str = "bytes";
/// Longest text of that record: the digits of the largest 64-bit number.
const RECORD_BYTES: u64 = 20;

/// The cache of evidence on disk.
#[derive(Clone, Debug)]
pub struct EvidenceCache {
    folder: Option<PathBuf>,
    /// Most bytes kept.
    most: u64,
    /// Bytes that this table has added to the record and not used yet.
    granted: Arc<Mutex<u64>>,
}

impl EvidenceCache {
    /// Returns a cache that keeps nothing.
    pub fn none() -> EvidenceCache {
        EvidenceCache { folder: None, most: 0, granted: Arc::default() }
    }

    /// Opens a cache of at most `most` bytes in a folder, creating the folder; the least recently used entries are
    /// removed when it is full. Keeps nothing if the folder cannot be created.
    pub fn open(folder: Option<PathBuf>, most: u64) -> EvidenceCache {
        let folder = folder.filter(|folder| files::make_folder(folder).is_ok());
        EvidenceCache { folder, most, granted: Arc::default() }
    }

    /// Returns the evidence kept of exactly these bytes, without its thumbnail.
    pub fn evidence(&self, ticket: &Ticket) -> Option<Evidence> {
        fetch(&self.path(ticket, EVIDENCE_ENDING, &EVIDENCE_VERSION.to_string())?)
    }

    /// Keeps evidence, unless the file is so recent that its record may miss the next change.
    pub fn keep_evidence(&self, ticket: &Ticket, evidence: &Evidence) {
        self.keep(ticket, self.path(ticket, EVIDENCE_ENDING, &EVIDENCE_VERSION.to_string()), evidence);
    }

    /// Returns the kept answer to a colour question.
    pub fn changes(&self, ticket: &Ticket, question: &ColourQuestion) -> Option<ColourChanges> {
        fetch(&self.path(ticket, CHANGES_ENDING, &changes_key(question))?)
    }

    /// Keeps such an answer; the same limit holds.
    pub fn keep_changes(&self, ticket: &Ticket, question: &ColourQuestion, changes: &ColourChanges) {
        self.keep(ticket, self.path(ticket, CHANGES_ENDING, &changes_key(question)), changes);
    }

    fn keep<T: Serialize>(&self, ticket: &Ticket, path: Option<PathBuf>, kept: &T) {
        let Some(path) = path.filter(|path| !path.exists() && os::notes_changes(&ticket.path)) else { return };
        let now = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default().as_nanos();
        let identity = ticket.stamp.identity;
        let changed = u128::try_from(identity.modified_ns.max(identity.changed_ns)).unwrap_or(0);
        if now.saturating_sub(changed) < limits::CACHE_NOT_YOUNGER.as_nanos() {
            return;
        }
        if let Ok(mut bytes) = postcard::to_stdvec(kept) {
            let digest = Sha256::digest(&bytes);
            bytes.extend_from_slice(&digest);
            // Before it is written: leftovers of a killed program take room, too.
            self.folder.iter().for_each(|folder| self.reserve(folder, bytes.len() as u64));
            // A full disk or a lost folder: it is measured again next time.
            let _kept = atomic::replace(&path, &bytes);
        }
    }

    /// Reserves room for a number of bytes, removing entries where none is left or the total is unknown.
    fn reserve(&self, folder: &Path, bytes: u64) {
        let mut granted = self.granted.lock();
        if *granted < bytes {
            let grant = (self.most / limits::CACHE_GRANTS).max(bytes);
            let record = folder.join(RECORD);
            let known = files::read_text(&record, RECORD_BYTES).ok().and_then(|text| text.parse::<u64>().ok());
            let with_grant = known.and_then(|known| known.checked_add(grant));
            let total = match with_grant.filter(|total| *total <= self.most) {
                Some(total) => total,
                None => grant + make_room(folder, self.most - self.most / limits::CACHE_PARTS),
            };
            // A record that cannot be written is unknown next time.
            let _written = atomic::replace(&record, total.to_string().as_bytes());
            *granted += grant;
        }
        *granted -= bytes;
    }

    /// Returns the path of an entry for a picture; `what` distinguishes entries for the same bytes.
    fn path(&self, ticket: &Ticket, ending: &str, what: &str) -> Option<PathBuf> {
        let folder = self.folder.as_ref()?;
        let identity = ticket.stamp.identity;
        let mut hash = Sha256::new();
        hash.update(what);
        hash.update(env!("CARGO_PKG_VERSION"));
        hash.update(ticket.stamp.bytes.to_le_bytes());
        hash.update(identity.modified_ns.to_le_bytes());
        hash.update(identity.changed_ns.to_le_bytes());
        hash.update(identity.inode.to_le_bytes());
        hash.update(identity.device.to_le_bytes());
        hash.update(std::path::absolute(&ticket.path).ok()?.as_os_str().as_encoded_bytes());
        let name = format!("{:x}", hash.finalize());
        Some(folder.join(format!("{name}.{ending}")))
    }
}

/// Returns the text that distinguishes one colour answer from another.
fn changes_key(question: &ColourQuestion) -> String {
    format!("{EVIDENCE_VERSION} {CHANGES_VERSION} {}", question.key())
}

/// Reads an entry and marks it as used; removes one that is damaged.
fn fetch<T: DeserializeOwned>(path: &Path) -> Option<T> {
    let bytes = files::read(path, limits::CACHE_BYTES).ok()?;
    let Some(kept) = decode(&bytes) else {
        // Half-written in a crash, or altered by someone.
        let _gone = fs::remove_file(path);
        return None;
    };
    // Failing to set the time does no harm: it only decides the order of removal.
    let _used = File::options().write(true).open(path).and_then(|file| file.set_modified(SystemTime::now()));
    Some(kept)
}

/// Decodes the bytes of an entry; `None` if they are not what its digest says.
fn decode<T: DeserializeOwned>(bytes: &[u8]) -> Option<T> {
    let (kept, digest) = bytes.split_at_checked(bytes.len().checked_sub(DIGEST_BYTES)?)?;
    if Sha256::digest(kept).as_slice() != digest {
        return None;
    }
    postcard::from_bytes(kept).ok()
}

/// Removes the least recently used entries and leftover temporary files until the rest takes no more than `most` bytes;
/// returns how many it takes.
fn make_room(folder: &Path, most: u64) -> u64 {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let ours = entries.filter(|entry| {
        let path = entry.path();
        let is_kept = path.extension().is_some_and(|ending| ending == EVIDENCE_ENDING || ending == CHANGES_ENDING);
        is_kept || entry.file_name().to_string_lossy().starts_with(atomic::TEMPORARY_PREFIX)
    });
    let mut kept: Vec<(SystemTime, u64, PathBuf)> = ours
        .filter_map(|entry| {
            let there = entry.metadata().ok()?;
            Some((there.modified().ok()?, there.len(), entry.path()))
        })
        .collect();
    kept.sort_by_key(|(used, ..)| std::cmp::Reverse(*used));
    let (mut bytes, mut is_full) = (0, false);
    for (_, length, path) in kept {
        is_full |= bytes + length > most;
        if is_full {
            let _gone = fs::remove_file(path);
        } else {
            bytes += length;
        }
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::metrics::lost_colours::ColourRequest;
    use crate::measure::Grid;
    use crate::measure::evidence::{Colour, FieldTone};
    use crate::picture::PictureKey;
    use crate::reading::scan::Stamp;
    use crate::reading::testing;
    use std::time::Duration;

    struct CacheBench {
        room: tempfile::TempDir,
        cache: EvidenceCache,
    }

    impl CacheBench {
        fn new() -> CacheBench {
            let room = tempfile::tempdir().unwrap();
            let cache = EvidenceCache::open(Some(room.path().join("cache")), limits::CACHE_BYTES);
            CacheBench { room, cache }
        }

        /// A file written long ago; its record's own time cannot be set back, so it is left out.
        fn ticket(&self, text: &str) -> Ticket {
            let path = self.room.path().join("a.jpg");
            fs::write(&path, text).unwrap();
            let old = SystemTime::now() - Duration::from_secs(3600);
            File::options().write(true).open(&path).unwrap().set_modified(old).unwrap();
            let mut stamp = Stamp::of(&path).unwrap();
            stamp.identity.changed_ns = stamp.identity.modified_ns;
            Ticket { key: PictureKey::from_text("a.jpg"), path, stamp, version: 1 }
        }

        fn files(&self) -> Vec<PathBuf> {
            let mut all: Vec<_> =
                fs::read_dir(self.room.path().join("cache")).unwrap().map(|entry| entry.unwrap().path()).collect();
            all.retain(|path| !path.ends_with(RECORD));
            all.sort();
            all
        }
    }

    fn evidence() -> Evidence {
        let place = FieldTone { mean: 12, deviation_steps: 3, ..FieldTone::default() };
        let mut evidence = Evidence::nothing("abc");
        evidence.colours = vec![Colour { mean: [1, 2, 65_535], count: 9 }];
        evidence.field_tones = Grid::filled(3, 2, place);
        evidence.appearance.lightness = 0.1 + 0.2;
        evidence
    }

    #[test]
    fn evidence_is_kept_without_its_thumbnail() {
        let bench = CacheBench::new();
        let ticket = bench.ticket("bytes");
        assert!(bench.cache.evidence(&ticket).is_none());
        bench.cache.keep_evidence(&ticket, &evidence());
        let found = bench.cache.evidence(&ticket).unwrap();
        assert!(found.thumbnail.samples.is_empty());
        assert_eq!(Evidence { thumbnail: evidence().thumbnail, ..found }, evidence());
        assert!(EvidenceCache::none().evidence(&ticket).is_none());
    }

    #[test]
    fn answers_about_colours_are_kept_by_their_question() {
        let bench = CacheBench::new();
        let ticket = bench.ticket("bytes");
        let required = |space: &str| {
            let brief = testing::brief(&format!("[colour]\nspace = \"{space}\"\n[[print]]\nsize = \"8 x 10 in\""));
            ColourRequest::of_all(&brief)[0].questions(&testing::facts(10, 10), &evidence()).remove(0)
        };
        let changes = ColourChanges { names: "deep blues".to_owned(), ..ColourChanges::default() };
        bench.cache.keep_changes(&ticket, &required("adobe rgb"), &changes);
        assert_eq!(bench.cache.changes(&ticket, &required("adobe rgb")), Some(changes));
        assert_eq!(bench.cache.changes(&ticket, &required("display p3")), None);
        assert_eq!(bench.cache.changes(&bench.ticket("other"), &required("adobe rgb")), None);
    }

    #[test]
    fn other_content_and_a_young_file_are_not_found() {
        let bench = CacheBench::new();
        let ticket = bench.ticket("bytes");
        bench.cache.keep_evidence(&ticket, &evidence());
        assert!(bench.cache.evidence(&bench.ticket("other")).is_none());
        let young = Ticket { stamp: Stamp::of(&ticket.path).unwrap(), ..ticket };
        bench.cache.keep_evidence(&young, &evidence());
        assert!(bench.cache.evidence(&young).is_none(), "its record was changed just now");
    }

    #[test]
    fn a_damaged_entry_is_removed() {
        let bench = CacheBench::new();
        let ticket = bench.ticket("bytes");
        bench.cache.keep_evidence(&ticket, &evidence());
        let file = bench.files().remove(0);
        let mut bytes = fs::read(&file).unwrap();
        bytes[7] ^= 1;
        fs::write(&file, &bytes).unwrap();
        assert!(bench.cache.evidence(&ticket).is_none() && bench.files().is_empty());
        fs::write(&file, "short").unwrap();
        assert!(bench.cache.evidence(&ticket).is_none());
    }

    #[test]
    fn an_open_cache_stays_within_its_limit() {
        let CacheBench { room, .. } = CacheBench::new();
        let most = 20_000;
        let bench = CacheBench { cache: EvidenceCache::open(Some(room.path().join("cache")), most), room };
        for number in 0..200 {
            bench.cache.keep_evidence(&bench.ticket(&"x".repeat(number)), &evidence());
        }
        let kept: u64 = bench.files().iter().map(|path| path.metadata().unwrap().len()).sum();
        assert!(kept > most / 2 && kept <= most + most / limits::CACHE_PARTS, "{kept}");
    }

    #[test]
    fn entries_are_listed_only_once_the_record_says_that_the_cache_is_full() {
        let most = 1_000_000;
        let CacheBench { room, .. } = CacheBench::new();
        let folder = room.path().join("cache");
        let open = || EvidenceCache::open(Some(folder.clone()), most);
        let mut bench = CacheBench { cache: open(), room };
        for number in 0..4_u64 {
            fs::write(folder.join(format!("{number}.{EVIDENCE_ENDING}")), vec![0; 300_000]).unwrap();
        }
        bench.cache = open();
        assert_eq!(bench.files().len(), 4, "it was not looked through to be opened");
        bench.cache.keep_evidence(&bench.ticket("one"), &evidence());
        assert_eq!(bench.files().len(), 3 + 1, "nobody knew how much it was");
        let known: u64 = fs::read_to_string(folder.join(RECORD)).unwrap().parse().unwrap();
        assert!((900_000..=910_300).contains(&known), "{known}");
        fs::write(folder.join(format!("5.{EVIDENCE_ENDING}")), vec![0; 300_000]).unwrap();
        bench.cache = open();
        bench.cache.keep_evidence(&bench.ticket("other"), &evidence());
        assert_eq!(bench.files().len(), 6, "the record says that there is room");
        fs::write(folder.join(RECORD), most.to_string()).unwrap();
        bench.cache = open();
        let last = bench.ticket("another");
        bench.cache.keep_evidence(&last, &evidence());
        let kept: u64 = bench.files().iter().map(|path| path.metadata().unwrap().len()).sum();
        assert!(kept <= most && bench.cache.evidence(&last).is_some(), "{kept}");
    }

    #[test]
    fn the_least_recently_used_entries_are_removed() {
        let bench = CacheBench::new();
        let folder = bench.room.path().join("cache");
        for (name, age) in [("old", 300), ("new", 100), ("newest", 0)] {
            let path = folder.join(format!("{name}.{EVIDENCE_ENDING}"));
            fs::write(&path, [0; 100]).unwrap();
            let used = SystemTime::now() - Duration::from_secs(age);
            File::options().write(true).open(&path).unwrap().set_modified(used).unwrap();
        }
        fs::write(folder.join("somebody's.txt"), [0; 1000]).unwrap();
        make_room(&folder, 250);
        let left: Vec<String> =
            bench.files().iter().map(|path| path.file_stem().unwrap().to_string_lossy().into_owned()).collect();
        assert_eq!(left, ["new", "newest", "somebody's"]);
    }
}
