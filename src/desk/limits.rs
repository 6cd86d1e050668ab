//! Every bound and waiting time of the desk, each with its reason.
//!
//! Times marked "trial" come from our own trials of folder watching on Linux (local disk, November 2026).

use std::time::Duration;

/// Most files that are listed of one folder; a folder with more is no order. No source.
pub const MOST_FILES: usize = 50_000;
/// How many folders deep sub-folders are looked into; deeper ones are archives. No source.
pub const DEEPEST_FOLDER: usize = 8;

/// A file whose writer has closed it, or that was renamed into place, is ready after this long without a change:
/// some programs close and open again at once. Trial.
pub const QUIET_AFTER_CLOSE: Duration = Duration::from_millis(100);
/// Without word of its writer a file is ready after this long without a change. Trial.
pub const QUIET_UNTOLD: Duration = Duration::from_secs(2);
/// A file that is known to be open for writing is ready after this long without a change: a writer that stalled for
/// 3 s was taken for finished at 2 s. Trial.
pub const QUIET_WHILE_OPEN: Duration = Duration::from_secs(10);

/// Least time between two scans: an exporter that writes in small pieces must not keep us scanning.
pub const SCAN_PACE: Duration = Duration::from_millis(50);
/// Scanning may take at most one part in this many of the time while changes are told.
pub const SCAN_SHARE_TOLD: u32 = 4;
/// Longest rest between two scans: one look that took long, because the program was stopped or had to wait, must not
/// leave the table as it was for long. As long as by the clock.
pub const SCAN_REST_MOST: Duration = TIMER_POLLED;
/// Scanning by the clock may take at most one part in this many of the time.
pub const SCAN_SHARE: u32 = 10;
/// A scan by the clock where the system tells of changes: only for what it forgot to tell.
pub const TIMER_NOTIFIED: Duration = Duration::from_secs(30);
/// A scan by the clock where nobody tells: the promise is 2 to 10 s.
pub const TIMER_POLLED: Duration = Duration::from_secs(2);
/// How often a folder that is gone is looked for.
pub const TIMER_GONE: Duration = Duration::from_secs(1);
/// A brief that is gone for longer than this is gone and not just being replaced.
pub const BRIEF_GONE_AFTER: Duration = Duration::from_secs(1);
/// How often a brief is looked for that is just being replaced.
pub const BRIEF_LOOKS: Duration = Duration::from_millis(20);
/// Paths whose last word from the system is remembered; beyond it all are forgotten and fall back to
/// [`QUIET_UNTOLD`].
pub const MOST_LAST_WORDS: usize = 20_000;

/// Events are folded for this long before the rows are judged.
pub const JUDGE_FOLD: Duration = Duration::from_millis(20);
/// Least time between two judgements while results stream in.
pub const JUDGE_PACE: Duration = Duration::from_millis(100);
/// Judging may take at most one part in this many of the time while pictures wait to be read, and half of it else.
pub const JUDGE_SHARE: u32 = 4;

/// A job that runs longer is written off: the largest picture we open takes a tenth of it. No source.
pub const WRITTEN_OFF_AFTER: Duration = Duration::from_secs(60);
/// Most workers that hang before no new one takes their place: each may hold memory and a core for ever. One that comes
/// back counts no more.
pub const MOST_WRITTEN_OFF: usize = 8;
/// Most that hang before not even the last is replaced: one a minute by then, so that the others of a folder are read
/// for an hour and what never ends still ends. No source.
pub const MOST_HANGING: usize = 64;
/// A truncated file is read again after these waits before it is called truncated.
pub const RETRY_AFTER: [Duration; 4] =
    [Duration::from_secs(1), Duration::from_secs(2), Duration::from_secs(4), Duration::from_secs(8)];
/// Only a file that changed less than this long ago is read again: the sum of the waits.
pub const YOUNG_FOR: Duration = Duration::from_secs(15);
/// Least time between two looks for files that are to be read again, each at its own time. Own choice.
pub const RETRY_PACE: Duration = Duration::from_millis(50);
/// A file that the system would not let us read is read again after this long. No source: longer than a mount's own
/// timeouts, short enough not to be waited for.
pub const UNREACHABLE_AGAIN: Duration = Duration::from_secs(30);
/// How far reading gives way, of 19 steps: with these whoever wants to run gets three quarters (a step is a quarter
/// more), and a picture that is read in a tenth of [`WRITTEN_OFF_AFTER`] still has its time. Source: sched(7).
pub const WAY_STEPS: i32 = 5;

/// Pictures decoded at the same time take at most so much memory; a larger one is read alone. 1 GiB: half of what the
/// smallest machine that edits such pictures has. No source.
pub const MEMORY_BYTES: u64 = 1 << 30;
/// Buffers that a worker keeps from picture to picture; larger ones are given back. The file of most JPEGs.
pub const KEPT_BUFFER_BYTES: usize = 32 << 20;
/// What is kept of pictures on disk takes at most so much; what was used longest ago goes. Some 1,500 pictures. Own
/// choice.
pub const SHELF_BYTES: u64 = 400 << 20;
/// Where it takes more, room is made for one part in so many: looking through it takes as long as keeping some hundred.
/// Own choice.
pub const SHELF_PARTS: u64 = 10;
/// Of that, a desk sets aside one part in so many at a time, so that it seldom writes how much is kept. Own choice.
pub const SHELF_GRANTS: u64 = 100;
/// A file that changed so recently is not kept: its record may stay the same at the next change. Source: the coarsest
/// clock of a file system still in use, FAT's 2 s.
pub const SHELF_NOT_YOUNGER: Duration = Duration::from_secs(2);
/// What was counted of pictures, kept in memory: some 80 pictures'. The rest is fetched from a file (`drawer.rs`) when
/// it is judged again. Own choice.
pub const EVIDENCE_BYTES: u64 = 16_000_000;
/// Thumbnails kept in memory: eight of the largest. Own choice.
pub const THUMBNAILS_BYTES: u64 = 25_200_000;
/// How often a check without a screen reads a file that changes under it, before it gives up. No source.
pub const MOST_READINGS: usize = 3;
/// Most worker threads, whatever is asked for.
pub const MOST_JOBS: usize = 64;

/// Bytes that `NAME.accepted.toml` may have: 10,000 boxes with their small pictures take half of it.
pub const LARGEST_ACCEPTED_BYTES: u64 = 64_000_000;
/// How long others' writing beside the brief is waited for at the prompt: a hundred times what the largest file takes.
/// A desk goes on waiting. No source.
pub const ALONE_WITHIN: Duration = Duration::from_secs(20);
/// How long a desk waits at a time, so that it hears meanwhile that it is to end.
pub const ALONE_A_TURN: Duration = Duration::from_millis(200);

/// How often jobs are looked through for some that run too long.
pub const ROUND: Duration = Duration::from_secs(1);
/// Events waiting for the engine; senders wait when it is full. Few, since some carry a thumbnail of 3 MB or a whole
/// listing of the folder.
pub const MOST_EVENTS: usize = 16;
/// Events folded in one turn, so that commands are heard between.
pub const MOST_EVENTS_A_TURN: usize = 4_096;
/// News of the same kind that come so soon after each other are told as one: as long as they stand on the screen.
pub const NEWS_ADD_UP_FOR: Duration = Duration::from_secs(8);
/// Rows that left, kept so that a file that is deleted and written again finds its earlier verdict.
pub const MOST_DEPARTED: usize = 64;
/// How long the end waits for a decision that was just made to be kept: a judgement of the largest order, and another
/// desk's writing, take less together. No source.
pub const KEPT_WITHIN: Duration = Duration::from_secs(5);
/// How long the end waits for threads; one that decodes is left to end by itself.
pub const ENDING: Duration = Duration::from_millis(300);

/// Proofs of the selected picture that are kept: the manners of two papers, each at most 3 MB. Own choice.
pub const PROOFS: usize = 6;
/// Ways onto paper that a worker keeps ready: the manners of two papers. Own choice; each takes about a megabyte.
pub const KEPT_PROOF_WAYS: usize = 6;
