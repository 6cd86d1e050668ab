//! Rules on the order as a whole.

pub mod decisions;
pub mod duplicate;
pub mod extra;
pub mod missing;
pub mod mixed;
pub mod outlier;
pub mod rows;
pub mod seam;
pub mod unlisted;
pub mod versions;
