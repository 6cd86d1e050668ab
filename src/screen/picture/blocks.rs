//! Half blocks: two pixels a cell, painted into the frame like any text.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::desk::snapshot::ShownThumbnail;
use crate::screen::capability::ColourLevel;
use crate::screen::palette::{nearest, shown};
use crate::screen::picture::encode::scaled;

/// The upper half of a cell.
const UPPER_HALF: &str = "▀";

/// A thumbnail scaled to two pixels a cell: colours row by row, `width x 2 height` of them. Where colours are few, what
/// one pixel lacks is handed on to its neighbours, so that a brown table stays brown.
pub fn pixels(thumbnail: &ShownThumbnail, width: u16, height: u16, level: ColourLevel) -> Vec<[u8; 3]> {
    let rgb = scaled(thumbnail, u32::from(width), 2 * u32::from(height));
    let mut pixels: Vec<[u8; 3]> = rgb.pixels().map(|pixel| pixel.0).collect();
    if level < ColourLevel::Full {
        spread(&mut pixels, usize::from(width), level);
    }
    pixels
}

/// Error diffusion after Floyd and Steinberg (1976).
fn spread(pixels: &mut [[u8; 3]], width: usize, level: ColourLevel) {
    /// Sixteenths that go to the right, lower left, below and lower right.
    const PARTS: [(isize, usize, i32); 4] = [(1, 0, 7), (-1, 1, 3), (0, 1, 5), (1, 1, 1)];
    for at in 0..pixels.len() {
        let out = shown(pixels[at], level);
        let lack: [i32; 3] = std::array::from_fn(|i| i32::from(pixels[at][i]) - i32::from(out[i]));
        pixels[at] = out;
        for (right, down, part) in PARTS {
            let Some(column) = (at % width).checked_add_signed(right).filter(|column| *column < width) else {
                continue;
            };
            let Some(next) = pixels.get_mut((at / width + down) * width + column) else { continue };
            for i in 0..3 {
                next[i] = (i32::from(next[i]) + lack[i] * part / 16).clamp(0, 255) as u8;
            }
        }
    }
}

/// Paints them; `pixels` are those of this area's size.
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
    use crate::screen::tests::desk::thumbnail;
    use ratatui::style::Color;

    #[test]
    fn a_cell_holds_the_pixel_above_and_the_one_below() {
        let two = ShownThumbnail { width_px: 1, height_px: 2, rgb: vec![255, 0, 0, 0, 0, 255], ..thumbnail("a", 1, 1) };
        let area = Rect::new(0, 0, 1, 1);
        let mut buffer = Buffer::empty(area);
        paint(&mut buffer, area, &pixels(&two, 1, 1, ColourLevel::Full), ColourLevel::Full);
        let cell = &buffer[(0, 0)];
        assert_eq!((cell.symbol(), cell.fg, cell.bg), ("▀", Color::Rgb(255, 0, 0), Color::Rgb(0, 0, 255)));
    }

    #[test]
    fn few_colours_keep_the_mean() {
        let brown = ShownThumbnail { rgb: [92, 74, 58].repeat(400), ..thumbnail("a", 20, 20) };
        let painted = pixels(&brown, 20, 10, ColourLevel::Indexed);
        for (i, wanted) in [92_i32, 74, 58].into_iter().enumerate() {
            let mean = painted.iter().map(|pixel| i32::from(pixel[i])).sum::<i32>() / 400;
            assert!((mean - wanted).abs() <= 6, "channel {i}: {mean}");
        }
    }
}
