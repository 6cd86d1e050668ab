//! Bounds and waiting times of the decisions file, each with its reason.

use std::time::Duration;

/// A brief missing for longer than this is gone, and not just being replaced.
pub const BRIEF_GONE_AFTER: Duration = Duration::from_secs(1);

/// Interval between checks for a brief that is just being replaced.
pub const BRIEF_POLL: Duration = Duration::from_millis(20);

/// Maximum size of `NAME.decisions.toml` in bytes: 10,000 boxes with their small pictures take half of it.
pub const MAX_DECISIONS_BYTES: u64 = 64_000_000;

/// How long a command waits for others writing beside the brief: a hundred times what the largest file takes. A live
/// table goes on waiting. No source.
pub const LOCK_TIMEOUT: Duration = Duration::from_secs(20);

/// How long a live table waits at a time, so that it notices meanwhile that it is to end.
pub const LIVE_LOCK_TIMEOUT: Duration = Duration::from_millis(200);

/// How often changes are repeated because an editor saved the file meanwhile; a person saves less often. No source.
pub const MAX_REWRITES: usize = 10;
