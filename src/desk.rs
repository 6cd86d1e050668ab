//! The live whole: the brief, the folder, the rows. Watches, queues, works and judges on its own threads; publishes
//! plain snapshots and takes plain commands.
//!
//! Draws nothing and touches no terminal. To read on: `engine` runs the threads, `state` decides everything, `watch`
//! and `worker` are its eyes and hands.

pub mod snapshot;

pub mod event;
pub mod job;
pub mod limits;
pub mod order;
pub mod scan;

mod entry;
mod gallery;
pub mod inspect;
mod notice;
mod os;
mod queue;
mod rows;
mod state;
#[cfg(test)]
mod testing;

pub use snapshot::Snapshot;
