//! The handover: exactly the checked bytes, a list of checksums, and notes that a printer can read.
//!
//! First a plan, of which nothing is written; then everything into a temporary folder beside the place it is for, and
//! one rename at the end.

pub mod archive;
pub mod copying;
pub mod lists;
pub mod names;
pub mod note;
pub mod plan;
pub mod since;
pub mod verify;

pub use copying::{WriteError, WrittenDelivery};
pub use plan::{DeliveredPicture, DeliveryPlan, Refusal};

/// Where the pictures lie in a handover: nothing else lies there, so that uploaders do not trip.
pub const PICTURES: &str = "pictures";
/// The list of checksums, as `sha256sum -c` reads it.
pub const SUMS: &str = "SHA256SUMS";
/// What a program reads of a handover.
pub const RECORD: &str = "handover.json";
/// Largest list or record that is read, in bytes: some hundred thousand files.
const LARGEST_LIST: u64 = 64_000_000;
