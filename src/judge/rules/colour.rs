//! Rules on colour spaces and profiles.

pub mod gamut;
pub mod ink;
pub mod misread;
pub mod model;
pub mod profile;
