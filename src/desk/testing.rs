//! Invented pictures for the desk's tests.

pub use crate::judge::testing::facts;
