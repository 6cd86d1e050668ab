//! The kinds of thumbnails.

/// The kind of thumbnail that a person wants to see.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThumbnailMode {
    /// Graphics if the terminal answers that it can show them; half blocks otherwise and over a network.
    Auto,
    /// Graphics over a network as well, if the terminal can show them.
    Graphics,
    /// Half blocks.
    Blocks,
    /// No thumbnails.
    Off,
}
