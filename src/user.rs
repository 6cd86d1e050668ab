//! The user: the name that decisions are signed with, the settings and folders, when the screens were calibrated,
//! and the time.

pub mod calibration;
pub mod clock;
pub mod directories;
pub mod identity;
pub mod settings;
