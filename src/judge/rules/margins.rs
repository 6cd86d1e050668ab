//! Rules on bleed, trim, safe margins and folds.

pub mod bleed;
pub mod fold;
pub mod frame;
pub mod safe;
pub mod subject_intrusion;
pub mod trim;
