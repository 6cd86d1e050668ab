//! The live whole: the brief, the folder, the rows. Watches, queues, works and judges on its own threads; publishes
//! plain snapshots and takes plain commands.
//!
//! Draws nothing and touches no terminal.

pub mod check;
pub mod fence;
pub mod inspect;
pub mod limits;
mod os;
pub mod permits;
pub mod scan;
pub mod snapshot;

pub use snapshot::Snapshot;
