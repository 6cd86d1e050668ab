//! The text of `NAME.decisions.toml`: read with a position for every mistake, and changed in one place, all else kept.

pub(super) use changing::apply_changes;
pub(super) use reader::read;

mod changing;
mod findings;
mod lists;
mod pieces;
mod places;
mod reader;
mod seen;
mod sent;
mod subject;
mod values;
