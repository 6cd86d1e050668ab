//! Bounds and waiting times of reading pictures, each with its reason.

use std::time::Duration;

/// Maximum depth of sub-folders scanned; deeper ones are archives. No source.
pub const DEEPEST_FOLDER: usize = 8;

/// Time after which a job is written off: the largest picture we open takes a tenth of it. No source.
pub const WRITTEN_OFF_AFTER: Duration = Duration::from_secs(60);

/// Maximum number of hanging workers that are replaced: each may hold memory and a core for ever. One that comes back
/// no longer counts.
pub const MAX_WRITTEN_OFF: usize = 8;

/// Most hanging workers. Beyond [`MAX_WRITTEN_OFF`] a worker is replaced only if it is the last, one a minute; beyond
/// this number not even then, so that a check of files that never end still ends after about an hour. No source.
pub const MAX_HANGING: usize = 64;

/// Steps, of 19, by which reading lowers its priority. At 5 steps another busy program gets three quarters of the
/// processor, and a picture that takes a tenth of [`WRITTEN_OFF_AFTER`] still has enough time. Source: sched(7).
pub const PRIORITY_STEPS: i32 = 5;

/// Most memory for pictures decoded at the same time, in bytes; a larger one is read alone. 1 GiB: half of what the
/// smallest machine that edits such pictures has. No source.
pub const MEMORY_BYTES: u64 = 1 << 30;

/// Buffer bytes that a worker keeps from picture to picture; larger ones are released. The file size of most JPEGs.
pub const KEPT_BUFFER_BYTES: usize = 32 << 20;

/// Most bytes kept on disk for pictures; the least recently used go first. Some 1,500 pictures. Own choice.
pub const CACHE_BYTES: u64 = 400 << 20;

/// A full cache is emptied by one part in this many at once, since listing it takes as long as keeping some hundred
/// pictures. Own choice.
pub const CACHE_PARTS: u64 = 10;

/// A table reserves one part in this many of [`CACHE_BYTES`] at a time, so that it rarely updates the total. Own
/// choice.
pub const CACHE_GRANTS: u64 = 100;

/// A file that changed this recently is not kept: its record may stay the same at the next change. Source: the coarsest
/// clock of a file system still in use, FAT's 2 s.
pub const CACHE_NOT_YOUNGER: Duration = Duration::from_secs(2);

/// Bytes of evidence kept in memory: some 80 pictures'. The rest is fetched from a file (`evidence_spill.rs`) when it
/// is judged again. Own choice.
pub const EVIDENCE_BYTES: u64 = 16_000_000;

/// Most attempts of a check without a screen to read a file that keeps changing. No source.
pub const MAX_READINGS: usize = 3;

/// Maximum number of worker threads, however many are requested.
pub const MAX_JOBS: usize = 64;

/// Interval between checks for jobs that run too long.
pub const OVERDUE_POLL: Duration = Duration::from_secs(1);

/// Maximum number of events waiting for the engine; senders wait when it is full. Few, since some carry a thumbnail of
/// 3 MB or a whole listing of the folder.
pub const MAX_EVENTS: usize = 16;

/// How long the end waits for threads; one that is decoding is left to end by itself.
pub const SHUTDOWN_WAIT: Duration = Duration::from_millis(300);

/// Transforms to paper that a worker keeps: the proof renderings of two papers, about 1 MB each. Own choice.
pub const KEPT_PROOF_TRANSFORMS: usize = 6;
