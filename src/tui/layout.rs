//! The regions of the window, from its size alone.

use ratatui::layout::Rect;

/// The smallest window: columns, rows. Common practice: the terminal of old.
pub const MIN_SIZE: (u16, u16) = (80, 24);
/// The width from which the panes are beside the table, in columns.
const BESIDE_FROM: u16 = 100;
/// The panes' share of the width, and the fewest and most columns they take. Own choice, tried at 100, 140 and 160.
const PANES_SHARE: (u16, u16) = (21, 50);
const PANES_COLUMNS: (u16, u16) = (40, 72);
/// The thumbnail's share of the height beside the table, and its most rows.
const THUMBNAIL_SHARE: (u16, u16) = (21, 50);
const THUMBNAIL_ROWS: u16 = 22;
/// Rows for the words shown in its place.
const WORDS_ROWS: u16 = 3;
/// The table's share of the height where the panes are under it.
const TABLE_SHARE: (u16, u16) = (12, 25);
/// Fewest rows of the table where the panes are under it. Own choice: the first exports do not move the panes.
const MIN_ROWS: usize = 4;
/// Columns of the thumbnail beside the details under the table.
const THUMBNAIL_COLUMNS: u16 = 28;

/// The content of the picture's area.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pictures {
    /// The picture.
    Shown,
    /// Words that explain why there is no picture.
    Words,
    /// Nothing: no area is reserved.
    None,
}

/// The regions of the window.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Areas {
    /// The header line.
    pub header: Rect,
    /// The problems of the brief; empty if there are none.
    pub problems: Rect,
    /// The heads of the table's columns.
    pub table_head: Rect,
    /// The rows.
    pub table: Rect,
    /// A column or row of line-drawing signs between the table and the panes.
    pub rule: Rect,
    /// The thumbnail; empty if there is none.
    pub thumbnail: Rect,
    /// The line between thumbnail and details.
    pub pane_rule: Rect,
    /// The details.
    pub detail: Rect,
    /// Counts and progress.
    pub footer: Rect,
    /// The line of keys.
    pub keys: Rect,
    /// Everything between header and footer.
    pub body: Rect,
}

/// Returns the regions of a window, or `None` if it is too small. `problem_rows` is the number of rows wanted for the
/// problems of the order, `table_rows` the number of rows of the table.
pub fn areas(window: Rect, problem_rows: u16, table_rows: usize, pictures: Pictures) -> Option<Areas> {
    if window.width < MIN_SIZE.0 || window.height < MIN_SIZE.1 {
        return None;
    }
    let line = |y| Rect { y, height: 1, ..window };
    let body = Rect { y: window.y + 1, height: window.height - 3, ..window };
    let problems = Rect { height: problem_rows.min(body.height / 3), ..body };
    let rest = Rect { y: problems.bottom(), height: body.height - problems.height, ..body };
    let base = Areas {
        header: line(window.y),
        problems,
        footer: line(window.bottom() - 2),
        keys: line(window.bottom() - 1),
        body,
        ..Areas::default()
    };
    Some(if window.width >= BESIDE_FROM {
        beside(base, rest, pictures)
    } else {
        under(base, rest, table_rows, pictures)
    })
}

fn share(of: u16, share: (u16, u16)) -> u16 {
    u16::try_from(u32::from(of) * u32::from(share.0) / u32::from(share.1)).unwrap_or(of)
}

/// Puts the table on the left, thumbnail over details on the right.
fn beside(base: Areas, rest: Rect, pictures: Pictures) -> Areas {
    let panes = share(rest.width, PANES_SHARE).clamp(PANES_COLUMNS.0, PANES_COLUMNS.1);
    let left = rest.width - panes - 1;
    let pane = Rect { x: rest.x + left + 1, width: panes, ..rest };
    let thumbnail = match pictures {
        Pictures::Shown => share(rest.height, THUMBNAIL_SHARE).min(THUMBNAIL_ROWS),
        Pictures::Words => WORDS_ROWS,
        Pictures::None => 0,
    };
    let pane_rule = u16::from(pictures != Pictures::None);
    Areas {
        table_head: Rect { width: left, height: 1, ..rest },
        table: Rect { y: rest.y + 1, width: left, height: rest.height - 1, ..rest },
        rule: Rect { x: rest.x + left, width: 1, ..rest },
        thumbnail: Rect { height: thumbnail, ..pane },
        pane_rule: Rect { y: pane.y + thumbnail, height: pane_rule, ..pane },
        detail: padded(Rect { y: pane.y + thumbnail + pane_rule, height: pane.height - thumbnail - pane_rule, ..pane }),
        ..base
    }
}

/// Puts the table on top, thumbnail beside details under it; lines that the table does not need are theirs.
fn under(base: Areas, rest: Rect, table_rows: usize, pictures: Pictures) -> Areas {
    let with_head = u16::try_from(table_rows.max(MIN_ROWS) + 1).unwrap_or(u16::MAX);
    let table = share(rest.height, TABLE_SHARE).min(with_head);
    let y = rest.y + table + 1;
    let height = rest.bottom() - y;
    let thumbnail = if pictures == Pictures::None { 0 } else { THUMBNAIL_COLUMNS };
    let pane_rule = u16::from(pictures != Pictures::None);
    Areas {
        table_head: Rect { height: 1, ..rest },
        table: Rect { y: rest.y + 1, height: table - 1, ..rest },
        rule: Rect { y: rest.y + table, height: 1, ..rest },
        thumbnail: Rect { y, width: thumbnail, height, ..rest },
        pane_rule: Rect { x: rest.x + thumbnail, y, width: pane_rule, height },
        detail: padded(Rect {
            x: rest.x + thumbnail + pane_rule,
            y,
            width: rest.width - thumbnail - pane_rule,
            height,
        }),
        ..base
    }
}

/// Leaves one blank column on each side.
fn padded(area: Rect) -> Rect {
    Rect { x: area.x + 1, width: area.width - 2, ..area }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn regions_cover_the_window_without_meeting() {
        for (width, height) in [(80, 24), (99, 30), (100, 24), (140, 40), (240, 90)] {
            for (problems, rows, pictures) in [
                (0, 90, Pictures::Shown),
                (0, 90, Pictures::None),
                (40, 90, Pictures::Shown),
                (0, 90, Pictures::Words),
                (40, 0, Pictures::Shown),
                (0, 5, Pictures::None),
            ] {
                let window = Rect::new(0, 0, width, height);
                let all = areas(window, problems, rows, pictures).unwrap();
                let parts = [
                    all.header,
                    all.problems,
                    all.table_head,
                    all.table,
                    all.rule,
                    all.thumbnail,
                    all.pane_rule,
                    all.detail,
                    all.footer,
                    all.keys,
                ];
                for (i, part) in parts.iter().enumerate() {
                    assert_eq!(window.intersection(*part), *part, "{width}x{height} part {i}");
                    for other in &parts[i + 1..] {
                        assert!(part.intersection(*other).is_empty(), "{width}x{height} {part:?} {other:?}");
                    }
                }
                assert!(all.table.height >= 4 && all.detail.height >= 4, "{all:?}");
            }
        }
    }

    #[test]
    fn nothing_is_drawn_in_a_window_that_is_too_small() {
        assert_eq!(areas(Rect::new(0, 0, 79, 24), 0, 90, Pictures::Shown), None);
        assert_eq!(areas(Rect::new(0, 0, 80, 23), 0, 90, Pictures::Shown), None);
    }

    #[test]
    fn the_thumbnail_stays_off_the_last_row() {
        let all = areas(Rect::new(0, 0, 80, 24), 0, 90, Pictures::Shown).unwrap();
        assert!(all.thumbnail.bottom() < 23);
    }

    #[test]
    fn lines_that_a_short_table_leaves_are_the_details() {
        let of = |rows| areas(Rect::new(0, 0, 80, 24), 0, rows, Pictures::Shown).unwrap();
        let (long, short) = (of(90), of(5));
        assert_eq!(short.table.height, 5);
        assert_eq!(short.detail.height - long.detail.height, long.table.height - 5);
        assert_eq!(of(long.table.height.into()), long);
        assert_eq!(of(0).table.height, 4);
    }
}
