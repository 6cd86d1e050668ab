//! Fits a picture into cells, keeping its own shape whatever the shape of a cell.

use ratatui::layout::Rect;

/// Size of a cell in pixels (width, height) if the terminal does not report it. Common practice.
pub const USUAL_CELL_PX: (u16, u16) = (8, 16);

/// Returns the largest rectangle of cells inside `area` that a picture fills without being stretched, centred across
/// and at the top. Empty for an empty area or picture.
pub fn fit(picture_px: (u32, u32), area: Rect, cell_px: (u16, u16)) -> Rect {
    if picture_px.0 == 0 || picture_px.1 == 0 || area.is_empty() {
        return Rect { width: 0, height: 0, ..area };
    }
    let cell = (f64::from(cell_px.0.max(1)), f64::from(cell_px.1.max(1)));
    let room = (f64::from(area.width) * cell.0, f64::from(area.height) * cell.1);
    let scale = (room.0 / f64::from(picture_px.0)).min(room.1 / f64::from(picture_px.1));
    let cells = |px: u32, cell: f64, most: u16| {
        let cells = (f64::from(px) * scale / cell).round();
        (cells as u16).clamp(1, most)
    };
    let width = cells(picture_px.0, cell.0, area.width);
    let height = cells(picture_px.1, cell.1, area.height);
    Rect { x: area.x + (area.width - width) / 2, y: area.y, width, height }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pictures_keep_their_shape_in_any_cell() {
        let area = Rect::new(10, 2, 60, 20);
        // 400 x 500 px into 480 x 320 px: the height decides, 256 px are 32 cells.
        assert_eq!(fit((400, 500), area, (8, 16)), Rect::new(24, 2, 32, 20));
        assert_eq!(fit((3000, 1000), area, (8, 16)), Rect::new(10, 2, 60, 10));
        assert_eq!(fit((3000, 1000), area, (10, 20)).height, 10);
    }

    #[test]
    fn slivers_take_a_cell_and_nothing_takes_none() {
        let area = Rect::new(0, 0, 20, 10);
        assert_eq!(fit((10_000, 1), area, (8, 16)).height, 1);
        assert!(fit((0, 10), area, (8, 16)).is_empty());
    }
}
