//! Rules on sharpness, grain and compression.

pub mod blocks;
pub mod enlarged;
pub mod focus;
pub mod halo;
pub mod noise;
