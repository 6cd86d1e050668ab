//! The user: the name that decisions are signed with, the settings and folders, and when the screens were calibrated.

pub mod calibration;
pub mod directories;
pub mod identity;
pub mod settings;
