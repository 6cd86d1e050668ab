//! Bounds and waiting times of reading pictures, each with its reason.

use std::time::Duration;

/// Most files that are listed of one folder; a folder with more is no order. No source.
pub const MOST_FILES: usize = 50_000;

/// How many folders deep sub-folders are looked into; deeper ones are archives. No source.
pub const DEEPEST_FOLDER: usize = 8;

/// A job that runs longer is written off: the largest picture we open takes a tenth of it. No source.
pub const WRITTEN_OFF_AFTER: Duration = Duration::from_secs(60);

/// Most workers that hang before no new one takes their place: each may hold memory and a core for ever. One that comes
/// back counts no more.
pub const MOST_WRITTEN_OFF: usize = 8;

/// Most that hang before not even the last is replaced: one a minute by then, so that the others of a folder are read
/// for an hour and what never ends still ends. No source.
pub const MOST_HANGING: usize = 64;

/// How far reading gives way, of 19 steps: with these any other program that wants to run gets three quarters (a step
/// is a quarter more), and a picture that is read in a tenth of [`WRITTEN_OFF_AFTER`] still has its time. Source:
/// sched(7).
pub const WAY_STEPS: i32 = 5;

/// Pictures decoded at the same time take at most so much memory; a larger one is read alone. 1 GiB: half of what the
/// smallest machine that edits such pictures has. No source.
pub const MEMORY_BYTES: u64 = 1 << 30;

/// Buffers that a worker keeps from picture to picture; larger ones are given back. The file of most JPEGs.
pub const KEPT_BUFFER_BYTES: usize = 32 << 20;

/// What is kept of pictures on disk takes at most so much; what was used longest ago goes. Some 1,500 pictures. Own
/// choice.
pub const CACHE_BYTES: u64 = 400 << 20;

/// Where it takes more, room is made for one part in so many: looking through it takes as long as keeping some hundred.
/// Own choice.
pub const CACHE_PARTS: u64 = 10;

/// Of that, a table sets aside one part in so many at a time, so that it seldom writes how much is kept. Own choice.
pub const CACHE_GRANTS: u64 = 100;

/// A file that changed so recently is not kept: its record may stay the same at the next change. Source: the coarsest
/// clock of a file system still in use, FAT's 2 s.
pub const CACHE_NOT_YOUNGER: Duration = Duration::from_secs(2);

/// What was counted of pictures, kept in memory: some 80 pictures'. The rest is fetched from a file (`evidence_spill.rs`) when
/// it is judged again. Own choice.
pub const EVIDENCE_BYTES: u64 = 16_000_000;

/// How often a check without a screen reads a file that changes under it, before it gives up. No source.
pub const MOST_READINGS: usize = 3;

/// Most worker threads, whatever is asked for.
pub const MOST_JOBS: usize = 64;

/// How often jobs are looked through for some that run too long.
pub const ROUND: Duration = Duration::from_secs(1);

/// Events waiting for the engine; senders wait when it is full. Few, since some carry a thumbnail of 3 MB or a whole
/// listing of the folder.
pub const MOST_EVENTS: usize = 16;

/// How long the end waits for threads; one that decodes is left to end by itself.
pub const ENDING: Duration = Duration::from_millis(300);

/// Ways onto paper that a worker keeps ready: the proof renderings of two papers. Own choice; each takes about a megabyte.
pub const KEPT_PROOF_WAYS: usize = 6;
