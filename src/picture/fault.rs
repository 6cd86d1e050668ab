//! Why a file cannot be read, sorted by what the person must do about it.

use crate::units::words::of_system;

use super::facts::Format;

/// Why a file cannot be read: its kind, and words for a person.
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
    /// Creates a fault of a kind, described in words.
    pub fn new(kind: FaultKind, what: impl Into<String>) -> Fault {
        Fault { kind, what: what.into() }
    }

    /// Creates the fault of a file that ends too early.
    pub fn truncated(what: impl Into<String>) -> Fault {
        Fault::new(FaultKind::Truncated, what)
    }

    /// Creates the fault of bytes that contradict `format`.
    pub fn damaged(format: Format, what: impl std::fmt::Display) -> Fault {
        Fault::new(FaultKind::Damaged, format!("damaged {}: {what}", format.name()))
    }
}

impl From<std::io::Error> for Fault {
    fn from(error: std::io::Error) -> Fault {
        match error.kind() {
            std::io::ErrorKind::UnexpectedEof => Fault::truncated("the file ends too early"),
            std::io::ErrorKind::NotFound => Fault::new(FaultKind::Unreachable, "there is no such file"),
            std::io::ErrorKind::PermissionDenied => Fault::new(FaultKind::Unreachable, "reading it is not permitted"),
            // Only the system's own errors are of the system; what libraries make of theirs is no word for a person.
            _ if error.raw_os_error().is_none() => Fault::new(FaultKind::Unreachable, "it cannot be read"),
            _ => Fault::new(FaultKind::Unreachable, format!("it cannot be read: {}", of_system(error))),
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use std::io::{Error, ErrorKind};

    /// Fails where a fault is said in the words of a library's own types.
    pub fn said_for_a_person(fault: &Fault) {
        let alien = ["{", "}", "::", "struct ", "Os ", "Error", "Invalid", "Type", "0x"];
        let found = alien.iter().find(|word| fault.what.contains(**word));
        assert!(found.is_none() && !fault.what.ends_with('.'), "{}", fault.what);
    }

    #[test]
    fn only_the_system_s_own_words_are_said() {
        assert_eq!(Fault::from(Error::from_raw_os_error(5)).what, "it cannot be read: Input/output error");
        let made = Error::new(ErrorKind::InvalidData, "struct Chunk { kind: \"tEXt\" }");
        assert_eq!(Fault::from(made).what, "it cannot be read");
    }
}
