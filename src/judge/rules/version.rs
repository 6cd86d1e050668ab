//! The pictures of one print in the versions of the order.

pub mod age;
pub mod crop;
pub mod folder;
pub mod picture;
pub mod pixels;
