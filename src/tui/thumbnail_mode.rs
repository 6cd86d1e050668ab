//! How thumbnails are shown.

/// Which kind of thumbnail a person wants to see.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThumbnailMode {
    /// Graphics where the terminal answers that it can show them, half blocks elsewhere and over a network.
    Auto,
    /// Graphics over a network as well, if the terminal can show them.
    Graphics,
    /// Half blocks.
    Blocks,
    /// No thumbnails.
    Off,
}
