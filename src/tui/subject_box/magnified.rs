//! A part of the thumbnail around the moving edge, magnified, in half blocks.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::judge::metrics::cut_lines::Rectangle;
use crate::live::snapshot::ShownThumbnail;
use crate::tui::picture::blocks;
use crate::tui::picture::overlay::Overlay;
use crate::tui::strokes;
use crate::tui::subject_box::draft::{BoxEdge, Draft};
use crate::tui::theme::Theme;

/// The magnification relative to the picture beside it. Own choice: about a thumbnail's pixel in half a cell.
const TIMES: f64 = 8.0;
/// Fewest rows in which anything can be recognised.
const MIN_ROWS: u16 = 3;

/// Draws the part around the chosen edge with its overlay; `place` is the area of the whole picture in cells.
pub fn draw(
    buffer: &mut Buffer,
    area: Rect,
    thumbnail: &ShownThumbnail,
    overlay: &Overlay,
    draft: &Draft,
    place: Rect,
    theme: &Theme,
) {
    if area.height <= MIN_ROWS || place.is_empty() {
        return;
    }
    let words = format!("{}, {TIMES} times larger", draft.chosen.word());
    strokes::text(buffer, (area.x, area.y), area.width, &words, theme.dim, theme);
    let strip = Rect { y: area.y + 1, height: area.height - 1, ..area };
    let size = (f64::from(strip.width) / f64::from(place.width), f64::from(strip.height) / f64::from(place.height));
    let (part, region) = cropped(thumbnail, around(draft, (size.0 / TIMES, size.1 / TIMES)));
    let pixels = blocks::pixels(&part, &overlay.seen_in(region), (strip.width, strip.height));
    blocks::paint(buffer, strip, &pixels, theme.colours);
}

/// Returns a part of this size around the middle of the chosen edge, kept within the picture.
fn around(draft: &Draft, (width, height): (f64, f64)) -> Rectangle {
    let area = draft.area();
    let middle = ((area.left + area.right) / 2.0, (area.top + area.bottom) / 2.0);
    let (x, y) = match draft.chosen {
        BoxEdge::Whole => middle,
        edge if edge.is_vertical() => (edge.place(area), middle.1),
        edge => (middle.0, edge.place(area)),
    };
    let from = |at: f64, size: f64| (at - size / 2.0).min(1.0 - size).max(0.0);
    let (width, height) = (width.min(1.0), height.min(1.0));
    let (left, top) = (from(x, width), from(y, height));
    [left, top, left + width, top + height]
}

/// Returns the whole pixels containing a part, and the part they cover.
fn cropped(thumbnail: &ShownThumbnail, [left, top, right, bottom]: Rectangle) -> (ShownThumbnail, Rectangle) {
    let (width, height) = (thumbnail.width_px, thumbnail.height_px);
    let range = |from: f64, to: f64, of: u32| {
        let first = ((from * f64::from(of)).floor() as u32).min(of.saturating_sub(1));
        first..((to * f64::from(of)).ceil() as u32).clamp(first + 1, of.max(first + 1))
    };
    let (across, down) = (range(left, right, width), range(top, bottom, height));
    let byte = |x: u32, y: u32| (y as usize * width as usize + x as usize) * 3;
    let rows = down.clone().filter_map(|y| thumbnail.rgb.get(byte(across.start, y)..byte(across.end, y)));
    let rgb = rows.flatten().copied().collect();
    let (width_px, height_px) = (across.len() as u32, down.len() as u32);
    let part = ShownThumbnail { picture: thumbnail.picture.clone(), width_px, height_px, rgb, ..*thumbnail };
    let share = |px: u32, of: u32| f64::from(px) / f64::from(of.max(1));
    let region =
        [share(across.start, width), share(down.start, height), share(across.end, width), share(down.end, height)];
    (part, region)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::tests::order::thumbnail;

    #[test]
    fn a_part_holds_its_own_pixels() {
        let plum = thumbnail("plum.jpg", 40, 20);
        let (part, region) = cropped(&plum, [0.5, 0.25, 0.76, 0.5]);
        assert_eq!((part.width_px, part.height_px, region), (11, 5, [0.5, 0.25, 0.775, 0.5]));
        assert_eq!(part.rgb.len(), 11 * 5 * 3);
        assert_eq!(part.rgb[..3], plum.rgb[(5 * 40 + 20) * 3..][..3]);
    }

    #[test]
    fn the_part_follows_the_edge_and_stays_within_the_picture() {
        let mut draft = Draft::of(None);
        let found = around(&draft, (0.1, 0.2));
        assert!(found.iter().zip([0.2, 0.4, 0.3, 0.6]).all(|(one, other)| (one - other).abs() < 1e-9), "{found:?}");
        draft.put(BoxEdge::Left, 0.0);
        assert_eq!(around(&draft, (0.1, 0.5))[0], 0.0);
        assert_eq!(around(&draft, (3.0, 3.0)), [0.0, 0.0, 1.0, 1.0]);
    }
}
