//! Why a file cannot be read, sorted by what the person must do about it.

use crate::units::words::of_system;

use super::facts::Format;

/// What is wrong with a file, and in words.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{what}")]
pub struct Fault {
    /// Sorted by what to do.
    pub kind: FaultKind,
    /// What was found, in words for a person; no full stop.
    pub what: String,
}

/// Sorted by what the person must do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// The file has no bytes: export again.
    Empty,
    /// The file ends too early: copy or export again. Right after arrival it may only be unfinished.
    Truncated,
    /// The file ends properly, yet before the picture does: fetch or export it again, waiting does not help.
    Incomplete,
    /// Bytes contradict the format: export again.
    Damaged,
    /// Another kind of file, sound or not; `export` says what to send instead.
    Other {
        /// What it is: "a WebP file".
        is: &'static str,
    },
    /// A picture that no device may be counted on to read, or that we cannot measure: export otherwise.
    Unsupported,
    /// More pixels than we open: say the number.
    TooLarge,
    /// The system would not let us read: permission, or gone meanwhile.
    Unreachable,
    /// Our own failure on this file, caught.
    Internal,
}

impl Fault {
    /// A fault of a kind, in words.
    pub fn new(kind: FaultKind, what: impl Into<String>) -> Fault {
        Fault { kind, what: what.into() }
    }

    /// The file ends too early.
    pub fn truncated(what: impl Into<String>) -> Fault {
        Fault::new(FaultKind::Truncated, what)
    }

    /// The bytes contradict `format`.
    pub fn damaged(format: Format, what: impl std::fmt::Display) -> Fault {
        Fault::new(FaultKind::Damaged, format!("damaged {}: {what}", format.name()))
    }
}

impl From<std::io::Error> for Fault {
    fn from(error: std::io::Error) -> Fault {
        match error.kind() {
            std::io::ErrorKind::UnexpectedEof => Fault::truncated("the file ends too early"),
            std::io::ErrorKind::NotFound => Fault::new(FaultKind::Unreachable, "the file is gone"),
            std::io::ErrorKind::PermissionDenied => Fault::new(FaultKind::Unreachable, "reading it is not permitted"),
            _ => Fault::new(FaultKind::Unreachable, format!("it cannot be read: {}", of_system(error))),
        }
    }
}
