//! Deliveries: exactly the checked bytes, a list of checksums, and notes for the printer.
//!
//! [`deliver()`] does everything, from a request to a receipt or a refusal, for the prompt and the screen alike: it
//! reads the order, checks its pictures and makes a plan, all without writing; then it writes everything into a
//! temporary folder beside the target, with one rename at the end.

pub mod archive;
pub mod contents;
pub mod deliver;
pub mod frame;
mod held_pictures;
mod html;
pub mod instructions;
mod left_out;
pub mod lists;
pub mod log;
mod message;
pub mod names;
pub mod note;
pub mod numbering;
pub mod observer;
mod order_change;
mod ordered;
pub mod page;
mod placing;
pub mod plan;
pub mod preview;
pub mod receipt;
pub mod record;
mod repeated;
pub mod since;
pub mod terms;
pub mod verify;
pub mod words;
mod write;

pub use deliver::{DeliveryRequest, Since, deliver};
pub use plan::{DeliveryPlan, DeliverySelection, PlannedPicture};
pub use preview::DeliverySummary;
pub use receipt::{Receipt, Refusal};
pub use write::WriteError;
