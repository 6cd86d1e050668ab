//! What each picture format provides: how its files are recognised, and how facts, profile and pixels are read.

use std::fs::File;
use std::io::{BufRead, Seek};

use crate::picture::Fault;
use crate::picture::facts::{Facts, Format};
use crate::picture::pixels::{Bands, Buffers};

/// Why a file is refused whose size or content differs between two reads.
pub const STILL_CHANGING: &str = "the file is still changing";

/// What a header is read from.
pub trait HeaderSource: BufRead + Seek {}

impl<T: BufRead + Seek> HeaderSource for T {}

/// A picture that is open for reading its pixels.
pub struct Opened<'a> {
    /// Its rows, from top to bottom.
    pub bands: Box<dyn Bands + Send + 'a>,
    /// SHA-256 of the bytes that the rows come from, lower-case hexadecimal.
    pub sha256: String,
}

/// Everything that differs between formats.
pub struct Descriptor {
    /// The container.
    pub format: Format,
    /// True if the first bytes of a file are this format's.
    pub sniff: fn(&[u8]) -> bool,
    /// Facts out of the header; the file's size on disk is given.
    pub facts: fn(&mut dyn HeaderSource, u64) -> Result<Facts, Fault>,
    /// The embedded profile's bytes.
    pub profile: fn(&mut dyn HeaderSource) -> Option<Vec<u8>>,
    /// Rows of pixels; the facts are those of the same file and passed the limits.
    pub open: for<'a> fn(File, &Facts, &'a mut Buffers) -> Result<Opened<'a>, Fault>,
}
