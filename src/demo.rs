//! The demo shoot: pictures of dishes that do not exist, painted by code and exported to real
//! files, each with one known thing right or wrong. The painter proper (`painting` and what it uses)
//! knows no files, the shoot knows no pixels; nothing here knows rules, briefs, clocks or chance.
//! Read `shoot` for what is made, `painting` for how.
mod darkroom;
mod exif;
mod export;
mod ledger;
mod make;
mod shoot;
mod truth;

// The painter, on its way to a crate of its own.
#[path = "../demo/painter/src"]
mod painter {
    pub mod camera;
    pub mod dishes;
    mod finish;
    mod light;
    mod lightmap;
    pub mod materials;
    pub mod noise;
    pub mod painting;
    mod shading;
    pub mod shapes;
    pub mod tree;
    pub mod vector;
}
use painter::{camera, dishes, materials, noise, painting, shapes, tree, vector};

pub use export::Profiles;
pub use make::{DemoError, Made, Outcome, Summary, make};
pub use shoot::{known, truths};
pub use truth::{DishBox, Known, Truth};
