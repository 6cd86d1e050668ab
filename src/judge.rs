//! Facts and evidence against the brief: placement, answers, rules, findings, states.
//!
//! Pure: no clock, no disk, no threads, no screen. The same brief and pictures give the same rows in the same order.

pub mod answers;
pub mod delivered;
pub mod finding;
pub mod placement;
pub mod row;
pub mod rule;
pub mod rules;

pub use delivered::{Delivered, Header, Pixels};
pub use finding::Finding;
pub use row::{Row, RowKey, State, Totals};

use crate::brief::Brief;

/// All rows of an order, and what is found about the order as a whole.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Judgement {
    /// Prints in the brief's order, then pictures that no print wants, by name.
    pub rows: Vec<Row>,
    /// Findings about the order as a whole.
    pub order_findings: Vec<Finding>,
}

/// Judges every file of the folder against the brief. Files that the brief ignores must have been left out.
pub fn judge(_brief: &Brief, _folder: &[Delivered]) -> Judgement {
    Judgement::default()
}
