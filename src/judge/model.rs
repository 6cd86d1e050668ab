//! The inputs and results of judging: submissions, rows, findings and rules.

pub mod acceptance;
pub mod check;
pub mod evidence_handle;
pub mod export_setting;
pub mod finding;
pub mod folder;
pub mod risk;
pub mod row;
pub mod rule;
pub mod submission;
pub mod test_print;
