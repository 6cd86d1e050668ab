//! What reading may use of the machine.

/// What may be used of the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WorkLimits {
    /// Pictures read at the same time.
    pub jobs: usize,
    /// Memory for pictures that are decoded at the same time, in bytes.
    pub memory_bytes: u64,
    /// Whether somebody sits at a screen meanwhile: then reading gives way to what answers keys.
    pub gives_way: bool,
}
