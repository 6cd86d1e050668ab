//! Bounds and waiting times of the decisions file, each with its reason.

use std::time::Duration;

/// A brief that is gone for longer than this is gone and not just being replaced.
pub const BRIEF_GONE_AFTER: Duration = Duration::from_secs(1);

/// How often a brief is looked for that is just being replaced.
pub const BRIEF_LOOKS: Duration = Duration::from_millis(20);

/// Bytes that `NAME.accepted.toml` may have: 10,000 boxes with their small pictures take half of it.
pub const LARGEST_ACCEPTED_BYTES: u64 = 64_000_000;

/// How long others' writing beside the brief is waited for at the prompt: a hundred times what the largest file takes.
/// A desk goes on waiting. No source.
pub const ALONE_WITHIN: Duration = Duration::from_secs(20);

/// How long a desk waits at a time, so that it hears meanwhile that it is to end.
pub const ALONE_A_TURN: Duration = Duration::from_millis(200);

/// How often changes are made again because an editor saved the file meanwhile; a person saves less often. No source.
pub const MOST_EDITED: usize = 10;
