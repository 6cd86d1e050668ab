//! The ways in which a picture reaches the terminal.

/// How a picture reaches the terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Protocol {
    /// Half blocks, two pixels a cell.
    Blocks,
    /// The kitty graphics protocol.
    Kitty,
    /// DEC sixel graphics.
    Sixel,
    /// iTerm2 inline pictures.
    Iterm,
    /// No pictures at all.
    Off,
}
