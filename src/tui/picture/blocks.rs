//! Half blocks: two pixels a cell, painted into the frame like any text.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::live::snapshot::ShownThumbnail;
use crate::tui::capability::ColourLevel;
use crate::tui::palette::nearest;
use crate::tui::picture::overlay::{Overlay, StrokeWidth, overlaid};

/// The upper half of a cell.
const UPPER_HALF: &str = "▀";

/// Scales a thumbnail with its overlay to two pixels a cell: colours row by row, `width x 2 height` of them. Few
/// colours are not diffused: with so few pixels the specks would hide the picture (own trial in xterm, 2026-11).
pub fn pixels(thumbnail: &ShownThumbnail, overlay: &Overlay, (width, height): (u16, u16)) -> Vec<[u8; 3]> {
    let rgb = overlaid(thumbnail, overlay, (u32::from(width), 2 * u32::from(height)), StrokeWidth::BLOCKS);
    rgb.pixels().map(|pixel| pixel.0).collect()
}

/// Paints pixels into an area; `pixels` must have the area's size.
pub fn paint(buffer: &mut Buffer, area: Rect, pixels: &[[u8; 3]], level: ColourLevel) {
    let width = usize::from(area.width);
    for (row, y) in (area.y..area.bottom()).enumerate() {
        for (column, x) in (area.x..area.right()).enumerate() {
            let at = 2 * row * width + column;
            let (Some(upper), Some(lower)) = (pixels.get(at), pixels.get(at + width)) else { continue };
            let cell = &mut buffer[(x, y)];
            cell.set_symbol(UPPER_HALF).set_fg(nearest(*upper, level)).set_bg(nearest(*lower, level));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::tests::order::thumbnail;
    use ratatui::style::Color;

    #[test]
    fn a_cell_holds_the_pixel_above_and_the_one_below() {
        let two = ShownThumbnail { width_px: 1, height_px: 2, rgb: vec![255, 0, 0, 0, 0, 255], ..thumbnail("a", 1, 1) };
        let area = Rect::new(0, 0, 1, 1);
        let mut buffer = Buffer::empty(area);
        paint(&mut buffer, area, &pixels(&two, &Overlay::default(), (1, 1)), ColourLevel::Full);
        let cell = &buffer[(0, 0)];
        assert_eq!((cell.symbol(), cell.fg, cell.bg), ("▀", Color::Rgb(255, 0, 0), Color::Rgb(0, 0, 255)));
    }
}
