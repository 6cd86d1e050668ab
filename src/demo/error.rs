//! Errors in making the demo, in words for the person who started it.

use std::path::PathBuf;

use crate::units::words::of_system;

/// Why the demo could not be made.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// A file or folder cannot be written.
    #[error("{path}: cannot be written ({}); make room there or choose a folder of your own", of_system(source))]
    Write {
        /// The file or folder.
        path: PathBuf,
        /// The system's error.
        source: std::io::Error,
    },
    /// The list of what the demo wrote cannot be read.
    #[error("{path}: cannot be read ({}); remove it or choose an empty folder", of_system(source))]
    Read {
        /// The list.
        path: PathBuf,
        /// The system's error.
        source: std::io::Error,
    },
    /// A picture could not be encoded.
    #[error("{name}: could not be encoded ({reason}); report it with the version of plateside")]
    Encode {
        /// The picture.
        name: &'static str,
        /// The reason.
        reason: String,
    },
    /// The system cannot start a thread.
    #[error("no thread could be started to paint ({0}); close other programs and try again")]
    Threads(String),
}
