//! The shapes of objects, each with its own intersection.
mod cuboid;
mod ellipsoid;
mod lathe;

pub use cuboid::Cuboid;
pub use ellipsoid::Ellipsoid;
pub use lathe::Lathe;

/// One of the shapes; intersected in axes whose origin is the object's centre.
pub enum Shape {
    Ellipsoid(Ellipsoid),
    Lathe(Lathe),
    Cuboid(Cuboid),
}
