//! Rules on size.

pub mod aspect;
