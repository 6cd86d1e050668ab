//! The demo shoot: pictures of dishes that do not exist, painted by code and exported to real
//! files, each with one known thing right or wrong. The painter proper (`painting` and what it uses)
//! knows no files, the shoot knows no pixels; nothing here knows rules, briefs, clocks or chance.
//! Read `shoot` for what is made, `painting` for how.
pub mod camera;
pub mod dishes;
mod exif;
pub mod export;
mod finish;
mod ledger;
mod light;
mod lightmap;
pub mod make;
mod materials;
mod noise;
pub mod painting;
mod shading;
mod shapes;
pub mod shoot;
pub mod tree;
pub mod vector;
