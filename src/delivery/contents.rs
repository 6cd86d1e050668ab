//! Names of the files and folders in a delivery.

/// The folder of the pictures: nothing else is in it, so that uploads do not fail.
pub const PICTURES: &str = "pictures";
/// The note for the printer, as a page.
pub const NOTE: &str = "NOTE.html";
/// The note as a text.
pub const NOTE_TEXT: &str = "NOTE.txt";
/// The covering mail.
pub const MESSAGE: &str = "MESSAGE.txt";
/// The list of checksums, as `sha256sum -c` reads it.
pub const SUMS: &str = "SHA256SUMS";
/// The record of a delivery, for programs.
pub const RECORD: &str = "delivery.json";
/// What the record was called earlier.
pub const EARLIER_RECORD: &str = "handover.json";
/// Largest list or record read, in bytes: some hundred thousand files.
pub(super) const MAX_LIST_BYTES: u64 = 64_000_000;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_a_delivery_has_a_page_in_the_handbook() {
        for name in [PICTURES, NOTE, NOTE_TEXT, MESSAGE, SUMS, RECORD, "pictures.csv", "orders.csv"] {
            assert!(crate::report::explain::page(name).is_ok(), "{name}");
        }
    }
}
