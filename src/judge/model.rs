//! What judging works on and gives: submissions, rows, findings and rules.

pub mod counted;
pub mod finding;
pub mod folder;
pub mod row;
pub mod rule;
pub mod submission;
pub mod test_print;
