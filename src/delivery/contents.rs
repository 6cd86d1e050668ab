//! What lies where in a delivery.

/// The folder of the pictures: nothing else lies in it, so that uploaders do not trip.
pub const PICTURES: &str = "pictures";
/// The list of checksums, as `sha256sum -c` reads it.
pub const SUMS: &str = "SHA256SUMS";
/// What a program reads of a delivery.
pub const RECORD: &str = "handover.json";
/// Largest list or record that is read, in bytes: some hundred thousand files.
pub(super) const LARGEST_LIST_BYTES: u64 = 64_000_000;
