//! Rules on size.

pub mod shape;
