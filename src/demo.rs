//! The demo shoot: pictures of dishes that do not exist, painted by the crate `painter` and exported to real files,
//! each with one known thing right or wrong. Uses no rules, briefs, clocks or chance. See `shoot` for the pictures and
//! `make` for how they are made.

mod darkroom;
mod error;
mod exif;
mod export;
mod ledger;
mod make;
mod picture;
mod shoot;
mod truth;

pub use error::DemoError;
pub use export::Profiles;
pub use make::{FileDone, Outcome, Summary, make};
pub use shoot::{known, truths};
pub use truth::{DishBox, Known, Truth};
