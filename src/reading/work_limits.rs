//! The share of the machine that reading may use.

/// The share of the machine that reading may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WorkLimits {
    /// Pictures read at the same time.
    pub jobs: usize,
    /// Memory for pictures that are decoded at the same time, in bytes.
    pub memory_bytes: u64,
    /// True if a person uses the screen meanwhile: then reading yields to the threads that answer keys.
    pub has_lower_priority: bool,
}
