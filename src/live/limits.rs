//! Bounds and waiting times of the live table, each with its reason.
//!
//! Times marked "trial" come from our own trials of folder watching on Linux (local disk, November 2026).

use std::time::Duration;

/// A file whose writer has closed it, or that was renamed into place, is ready after this long without a change: some
/// programs close it and open it again at once. Trial.
pub const QUIET_AFTER_CLOSE: Duration = Duration::from_millis(100);

/// A file without a notice about its writer is ready after this long without a change. Trial.
pub const QUIET_WITHOUT_NOTICE: Duration = Duration::from_secs(2);

/// A file that is known to be open for writing is ready after this long without a change: a writer that stalled for
/// 3 s was taken for finished at 2 s. Trial.
pub const QUIET_WHILE_OPEN: Duration = Duration::from_secs(10);

/// Least time between two scans: an exporter that writes in small pieces must not keep us scanning.
pub const SCAN_PACE: Duration = Duration::from_millis(50);

/// After a scan the thread rests this many times as long as the scan took, while notices of changes arrive.
pub const SCAN_REST_TIMES_NOTIFIED: u32 = 4;

/// Longest rest between two scans: one that took long, because the program was stopped or had to wait, must not leave
/// the table out of date for long. Same as between scans by timer.
pub const MAX_SCAN_REST: Duration = TIMER_POLLED;

/// After a scan the thread rests this many times as long as the scan took, without notices.
pub const SCAN_REST_TIMES: u32 = 10;

/// Interval between scans where the system reports changes: only for notices it missed.
pub const TIMER_NOTIFIED: Duration = Duration::from_secs(30);

/// Interval between scans where no changes are reported: the promise is 2 to 10 s.
pub const TIMER_POLLED: Duration = Duration::from_secs(2);

/// Interval between checks for a folder that is gone.
pub const TIMER_GONE: Duration = Duration::from_secs(1);

/// Most paths whose last notice is remembered; beyond it all are forgotten and fall back to
/// [`QUIET_WITHOUT_NOTICE`].
pub const MAX_NOTICES: usize = 20_000;

/// Wait after an event before judging, so that events close together are judged once.
pub const JUDGE_DELAY: Duration = Duration::from_millis(20);

/// Least time between two judgements while results stream in.
pub const JUDGE_PACE: Duration = Duration::from_millis(100);

/// After a judgement the next waits this many times as long as it took while pictures wait to be read, otherwise once
/// as long.
pub const JUDGE_REST_TIMES: u32 = 4;

/// A truncated file is read again after these waits before it is reported as truncated.
pub const RETRY_AFTER: [Duration; 4] =
    [Duration::from_secs(1), Duration::from_secs(2), Duration::from_secs(4), Duration::from_secs(8)];

/// Only a file that changed less than this long ago is read again: the sum of the waits.
pub const YOUNG_FOR: Duration = Duration::from_secs(15);

/// Least time between two checks for files that are to be read again, each at its own time. Own choice.
pub const RETRY_PACE: Duration = Duration::from_millis(50);

/// A file that the system refused to let us read is read again after this long. No source: longer than a mount's own
/// timeouts, short enough not to be waited for.
pub const UNREACHABLE_AGAIN: Duration = Duration::from_secs(30);

/// Bytes of thumbnails kept in memory: eight of the largest. Own choice.
pub const THUMBNAILS_BYTES: u64 = 25_200_000;

/// Most events handled in one turn, so that commands are handled in between.
pub const MAX_EVENTS_A_TURN: usize = 4_096;

/// Pictures that arrive within this time after others are counted in one notice: the time that a notice is shown
/// (`tui/screen_state.rs`).
pub const NEWS_ADD_UP_FOR: Duration = Duration::from_secs(8);

/// Most rows kept of files that are gone, so that a file that is deleted and written again finds its earlier verdict.
pub const MAX_DEPARTED: usize = 64;

/// How long closing waits for decisions to be written: longer than a judgement of the largest order and another
/// instance's writing together. No source.
pub const DECISIONS_WAIT: Duration = Duration::from_secs(5);

/// Number of proofs of the selected picture kept: the proof renderings of two papers, each at most 3 MB. Own choice.
pub const PROOFS: usize = 6;
