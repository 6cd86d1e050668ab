//! Rules on test prints.

pub mod testprint;
