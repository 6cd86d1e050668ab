//! plateside checks finished pictures against what the printer asked for.
#![forbid(unsafe_code)]
pub mod demo;
