//! The live whole: the brief, the folder, the rows. Watches, queues, works and judges on its own threads; publishes
//! plain snapshots and takes plain commands.
//!
//! Draws nothing and touches no terminal. To read on: `engine` runs the threads, `state` decides everything, `watch`
//! and `worker` are its eyes and hands; `check` is the run without a screen.

pub mod accepted;
pub mod atomic;
pub mod atomic_folder;
mod brief_file;
pub mod check;
pub mod drawer;
pub mod engine;
mod entries;
mod entry;
pub mod event;
pub mod fence;
mod gallery;
pub mod inspect;
pub mod job;
pub mod keeper;
pub mod limits;
pub mod lines;
pub mod means;
pub mod naming;
mod notice;
pub mod order;
mod os;
pub mod permits;
pub mod proof;
mod queue;
mod recent;
mod rows;
pub mod scan;
mod shelf;
pub mod snapshot;
mod state;
mod still;
pub mod subject;
#[cfg(test)]
mod testing;
mod told;
pub mod unfinished;
mod watch;
mod worker;

pub use engine::{Desk, NotOpened, Options};
pub use snapshot::Snapshot;
