//! The demo shoot: pictures of dishes that do not exist, painted by code and exported to real
//! files, each with one known thing right or wrong. The painter proper (`painting` and what it uses)
//! knows no files, the shoot knows no pixels; nothing here knows rules, briefs, clocks or chance.
//! Read `shoot` for what is made, `painting` for how.
mod camera;
mod darkroom;
mod dishes;
mod exif;
mod export;
mod finish;
mod ledger;
mod light;
mod lightmap;
mod make;
mod materials;
mod noise;
mod painting;
mod shading;
mod shapes;
mod shoot;
mod tree;
mod truth;
mod vector;

pub use export::Profiles;
pub use make::{DemoError, Made, Outcome, Summary, make};
pub use shoot::{known, truths};
pub use truth::{DishBox, Known, Truth};
