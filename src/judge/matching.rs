//! Which picture is for which print, and which pictures look alike.

pub mod name_suggestions;
pub mod near_duplicates;
pub mod pairing;
