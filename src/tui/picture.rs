//! Pictures on the screen: half blocks in the frame at once, graphics over it if the terminal supports them.
//!
//! The user's chosen package for pictures, viuer, serves `plateside look`. It cannot be used here: its probes wait
//! without a limit on a terminal that does not answer, it always writes to the real stdout, leaves old pictures on
//! screen and assumes cells of 6 x 12 pixels (own trials, 2026-11). The encoders below replace it.

pub mod blocks;
pub mod encode;
pub mod fit;
pub mod iterm;
pub mod kitty;
pub mod overlay;
pub mod painter;
pub mod protocol;
pub mod scale;
pub mod sixel;
pub mod views;
