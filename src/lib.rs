//! plateside checks finished pictures against what the printer asked for.
//!
//! Modules stand in reading order; each may use those above it only (`tests/layers.rs` holds the table).
#![forbid(unsafe_code)]
#![warn(missing_docs)]
#![cfg_attr(not(test), warn(clippy::unwrap_used))]

pub mod units;

pub mod files;

pub mod colour;

pub mod brief;

pub mod picture;

pub mod measure;

pub mod judge;

pub mod decisions;

pub mod reading;

pub mod live;

pub mod tui;

pub mod report;

pub mod testprint;

pub mod delivery;

pub mod demo;

mod user;

pub mod cli;
