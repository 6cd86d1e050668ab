//! The whole live table: the brief, the folder, the rows. Watches, queues, works and judges on its own threads;
//! publishes plain snapshots and takes plain commands.
//!
//! Draws nothing and does not touch the terminal. Where to read on: `engine` runs the threads, `state` decides
//! everything, `watch` scans the folder, `judge_thread` judges; `reading/worker.rs` reads.

mod brief_file;
mod carried_boxes;
pub mod changes;
mod debounced_files;
pub mod decision_writer;
mod decisions_file;
pub mod effect;
pub mod engine;
mod entries;
mod entry;
pub mod event;
mod fs_events;
pub mod judge_thread;
pub mod limits;
mod notice;
mod proofs;
mod rows;
pub mod snapshot;
mod state;
mod thumbnails;
mod watch;

pub use engine::{LiveTable, LiveTableOptions, OpenError};
pub use snapshot::Snapshot;
