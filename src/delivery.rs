//! The delivery: exactly the checked bytes, a list of checksums, and notes that a printer can read.
//!
//! [`deliver`] is the whole of it, with a request in and a receipt or a refusal out, for the prompt and the screen
//! alike: the order is read and its pictures are checked, then comes a plan, of which nothing is written; then
//! everything is written into a temporary folder beside the place that it is for, with one rename at the end.

pub mod archive;
pub mod contents;
pub mod deliver;
pub mod lists;
pub mod names;
pub mod note;
mod ordered;
pub mod page;
pub mod plan;
pub mod preview;
pub mod receipt;
pub mod since;
mod thumbnail;
pub mod verify;
pub mod words;
mod write;

pub use deliver::{DeliveryRequest, deliver};
pub use plan::{DeliveredPicture, DeliveryPlan, DeliverySelection};
pub use preview::{DeliverySummary, preview};
pub use receipt::{Receipt, Refusal};
pub use write::WriteError;
