//! Paints photographs of dishes that do not exist: turns a scene into pixels.
//!
//! A ray tracer for laid tables by a window, with soft shadows, one bounce of indirect light, depth of field and grain.
//! The same scene and frame give the same pixels, whatever the number of threads.
//!
//! ```
//! use std::sync::atomic::AtomicBool;
//!
//! use painter::{Camera, Frame, dishes, paint};
//!
//! let mut scene = dishes::plum_tart();
//! scene.camera = Camera { yaw: -0.34, pitch: 0.96, ..scene.camera };
//! let image = paint(&scene, &Frame::new(30, 40), &AtomicBool::new(false)).expect("nobody cancelled");
//! assert_eq!(image.rgb16().len(), 3 * 30 * 40);
//! ```
//!
//! The dishes belong to this crate because a dish and its materials are made for each other: the look of a mackerel's
//! skin is of use on that plate alone. A caller need not know shapes, materials or light: it chooses a dish, moves its
//! camera and paints it.
//!
//! The steps of painting a picture, in the order of `paint`:
//!
//! 1. `camera` sends rays through the pixels; `scene` and `bvh` find what they hit (`object`, `shapes`).
//! 2. `lightmap` gathers the light on what is seen, at half size: by rays to the window and into the room (`light`).
//! 3. `shading` works out the linear colour of each pixel from its surface (`materials`) and that light.
//! 4. `develop` turns that into a picture: lens blur, exposure, grain, tone mapping, encoding.
#![forbid(unsafe_code)]
#![warn(missing_docs)]
#![cfg_attr(not(test), warn(clippy::unwrap_used))]

mod bvh;
mod camera;
mod colour_space;
mod develop;
pub mod dishes;
mod frame;
mod image;
mod light;
mod lightmap;
mod materials;
pub mod noise;
mod object;
mod paint;
mod ray;
mod scene;
mod shading;
mod shapes;
mod vector;

pub use camera::Camera;
pub use colour_space::ColourSpace;
pub use frame::Frame;
pub use image::{Image, Rect};
pub use paint::paint;
pub use scene::Scene;
pub use vector::{Vec3, vec3};
