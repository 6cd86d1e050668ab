//! Pairing pictures with prints, and finding pictures that look alike.

pub mod name_suggestions;
pub mod near_duplicates;
pub mod pairing;
pub mod shared_file;
pub mod siblings;
