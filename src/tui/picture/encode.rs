//! Encodes thumbnails for the terminal: scaled to the cells they take, within a limit of bytes.

use crate::live::snapshot::ShownThumbnail;
use crate::tui::picture::overlay::{Overlay, StrokeWidth, overlaid};
use crate::tui::picture::protocol::Protocol;
use crate::tui::picture::{iterm, kitty, sixel};

/// Most pixels a side: xterm draws no sixel picture at all beyond that (own trial, xterm 379), and thumbnails have no
/// more to give.
pub const MAX_SIDE_PX: u32 = 1000;

/// The wanted encoding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct EncodeTarget {
    /// The protocol to use.
    pub protocol: Protocol,
    /// Columns and rows of the picture.
    pub cells: (u16, u16),
    /// Size of a cell in pixels.
    pub cell_px: (u16, u16),
    /// Most bytes of the result.
    pub most_bytes: usize,
}

/// Returns the bytes that draw a thumbnail with its overlay at the cursor; `None` if they would exceed `most_bytes`.
pub fn encode(thumbnail: &ShownThumbnail, overlay: &Overlay, target: &EncodeTarget) -> Option<Vec<u8>> {
    let wanted = |cells: u16, px: u16| (u32::from(cells) * u32::from(px.max(1))).clamp(1, MAX_SIDE_PX);
    let mut width = wanted(target.cells.0, target.cell_px.0);
    let mut height = wanted(target.cells.1, target.cell_px.1);
    let pen = StrokeWidth::graphics(target.cell_px);
    let shown = |width, height| overlaid(thumbnail, overlay, (width, height), pen);
    loop {
        let bytes = match target.protocol {
            Protocol::Kitty => kitty::draw(&shown(width, height), target.cells),
            Protocol::Iterm => iterm::draw(&shown(width, height), target.cells),
            Protocol::Sixel => sixel::draw(&shown(width, sixel::rounded(height))),
            Protocol::Blocks | Protocol::Off => None,
        }?;
        if bytes.len() <= target.most_bytes {
            return Some(bytes);
        }
        // Sixel pixels are screen pixels: a smaller picture would leave its cells half empty. Half blocks stay instead.
        if target.protocol == Protocol::Sixel || width.min(height) < 2 {
            return None;
        }
        (width, height) = (width / 2, height / 2);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::tests::order::thumbnail;

    fn target(protocol: Protocol, most_bytes: usize) -> EncodeTarget {
        EncodeTarget { protocol, cells: (40, 20), cell_px: (8, 17), most_bytes }
    }

    #[test]
    fn pictures_are_halved_until_they_fit() {
        let noisy = thumbnail("a", 640, 480);
        for protocol in [Protocol::Kitty, Protocol::Iterm] {
            let whole = encode(&noisy, &Overlay::default(), &target(protocol, usize::MAX)).unwrap();
            let halved = encode(&noisy, &Overlay::default(), &target(protocol, whole.len() / 2)).unwrap();
            assert!(halved.len() <= whole.len() / 2 && !halved.is_empty());
        }
        assert_eq!(encode(&noisy, &Overlay::default(), &target(Protocol::Sixel, 100)), None);
        assert_eq!(encode(&noisy, &Overlay::default(), &target(Protocol::Kitty, 10)), None);
    }
}
