//! Where the pictures of a contact sheet go: in page order, facing pages side by side; then what is on no page, in the
//! brief's order.

use crate::brief::Pages;

/// The columns and rows of one page of the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Grid {
    /// Columns; at least two, so that facing pages fit side by side.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
}

impl Grid {
    /// Six pictures a page. Left-hand pages are in the left column, right-hand pages in the right one.
    pub const SIX: Grid = Grid { columns: 2, rows: 3 };
    /// Nine pictures a page, or fewer where facing pages are kept together.
    pub const NINE: Grid = Grid { columns: 3, rows: 3 };
}

/// A place in the grid of a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// The column, from 0.
    pub column: usize,
    /// The row, from 0.
    pub row: usize,
    /// Columns that it covers.
    pub span: usize,
    /// The side on which it is, where another page faces it in this row.
    pub side: Side,
    /// What is there.
    pub content: Content,
}

/// The side of a page that faces another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The left-hand page.
    Left,
    /// The right-hand page.
    Right,
    /// Nothing is beside it that faces it.
    Alone,
}

/// What is in a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Content {
    /// The picture with this index.
    Picture(usize),
    /// No picture: the order has none for this page, which faces a page that has one.
    EmptyPage(u32),
}

/// What stays together in one row of the grid.
enum Group {
    /// A picture that is on no page.
    Loose(usize),
    /// A picture across two facing pages.
    Spread(usize),
    /// Facing pages: the left-hand one and the right-hand one.
    Facing(Option<Content>, Option<Content>),
}

/// Places pictures on pages; each is known by its index and has the page that it is for.
pub fn arrange(pages: &[Option<Pages>], grid: Grid) -> Vec<Vec<Place>> {
    let mut sheets: Vec<Vec<Place>> = Vec::new();
    let (mut column, mut row) = (0, grid.rows);
    for group in group(pages) {
        let cells = group.cells(grid);
        let width: usize = cells.iter().map(|(span, _)| span).sum();
        if column + width > grid.columns {
            (column, row) = (0, row + 1);
        }
        if row >= grid.rows {
            sheets.push(Vec::new());
            (column, row) = (0, 0);
        }
        let is_pair = matches!(cells[..], [(_, Some(_)), (_, Some(_))]);
        for (at, (span, content)) in cells.into_iter().enumerate() {
            let side = match (is_pair, at) {
                (false, _) => Side::Alone,
                (true, 0) => Side::Left,
                (true, _) => Side::Right,
            };
            let place = content.map(|content| Place { column, row, span, side, content });
            sheets.last_mut().into_iter().for_each(|sheet| sheet.extend(place));
            column += span;
        }
    }
    sheets
}

/// Collects what stays together, in page order.
fn group(pages: &[Option<Pages>]) -> Vec<Group> {
    let mut paged: Vec<(Pages, usize)> =
        pages.iter().enumerate().filter_map(|(at, pages)| Some(((*pages)?, at))).collect();
    paged.sort_by_key(|(pages, at)| (pages.first, *at));
    let mut groups = Vec::new();
    for opening in paged.chunk_by(|(one, _), (other, _)| opening(*one) == opening(*other)) {
        groups.extend(opening.iter().filter(|(pages, _)| pages.is_spread()).map(|(_, at)| Group::Spread(*at)));
        groups.extend(facing(opening));
    }
    let loose = pages.iter().enumerate().filter(|(_, pages)| pages.is_none());
    groups.extend(loose.map(|(at, _)| Group::Loose(at)));
    groups
}

/// The number of the two facing pages that these belong to: page 1 stands alone on the right, 2 faces 3.
const fn opening(pages: Pages) -> u32 {
    pages.first / 2
}

/// Pairs the pictures of a left-hand page with those of the page that faces it.
fn facing(opening: &[(Pages, usize)]) -> Vec<Group> {
    let side = |is_left: bool| -> Vec<usize> {
        let single = opening.iter().filter(|(pages, _)| !pages.is_spread());
        single.filter(|(pages, _)| (pages.first % 2 == 0) == is_left).map(|(_, at)| *at).collect()
    };
    let (left, right) = (side(true), side(false));
    let first = opening.first().map_or(0, |(pages, _)| pages.first);
    let of_side = |pictures: &[usize], at: usize, page: u32| match pictures.get(at) {
        Some(picture) => Some(Content::Picture(*picture)),
        // Nothing faces the first page.
        None if pictures.is_empty() && page > 0 => Some(Content::EmptyPage(page)),
        None => None,
    };
    let pair = |at| Group::Facing(of_side(&left, at, first - first % 2), of_side(&right, at, first | 1));
    (0..left.len().max(right.len())).map(pair).collect()
}

impl Group {
    /// Its cells from left to right: the columns that each covers, and what is in it. In a grid of two columns each
    /// page keeps its side; in a wider one an empty page takes no room.
    fn cells(&self, grid: Grid) -> Vec<(usize, Option<Content>)> {
        let keeps_sides = grid.columns == 2;
        match self {
            Group::Loose(at) => vec![(1, Some(Content::Picture(*at)))],
            Group::Spread(at) => vec![(2, Some(Content::Picture(*at)))],
            Group::Facing(left, right) => {
                let is_kept = |side: &&Option<Content>| keeps_sides || matches!(side, Some(Content::Picture(_)));
                [left, right].into_iter().filter(is_kept).map(|side| (1, *side)).collect()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sheets as text: a line a row, `.` for nothing, `-` for an empty page, `=` for the rest of a spread.
    fn drawn(pages: &[&str], grid: Grid) -> Vec<Vec<String>> {
        let parsed: Vec<Option<Pages>> = pages
            .iter()
            .map(|text| {
                let (first, last) = text.split_once('-').unwrap_or((text, text));
                Some(Pages { first: first.parse().ok()?, last: last.parse().ok()? })
            })
            .collect();
        let sheet = |places: &Vec<Place>| {
            let mut rows = vec![vec![".".to_owned(); grid.columns]; grid.rows];
            for place in places {
                let cell = &mut rows[place.row][place.column];
                *cell = match place.content {
                    Content::Picture(at) => pages[at].to_owned(),
                    Content::EmptyPage(page) => format!("-{page}"),
                };
                if place.span == 2 {
                    rows[place.row][place.column + 1] = "=".to_owned();
                }
            }
            rows.into_iter().map(|row| row.join(" ")).collect()
        };
        arrange(&parsed, grid).iter().map(sheet).collect()
    }

    #[test]
    fn facing_pages_are_side_by_side_and_the_first_page_is_alone_on_the_right() {
        let pages = ["13", "1", "12", "2", "7"];
        assert_eq!(drawn(&pages, Grid::SIX), [vec![". 1", "2 -3", "-6 7"], vec!["12 13", ". .", ". ."]]);
    }

    #[test]
    fn a_spread_takes_two_columns_and_is_never_broken() {
        assert_eq!(drawn(&["4-5", "2", "3"], Grid::SIX), [["2 3", "4-5 =", ". ."]]);
        assert_eq!(drawn(&["2", "4-5", "6", "8", "9"], Grid::NINE), [["2 4-5 =", "6 8 9", ". . ."]]);
    }

    #[test]
    fn only_what_faces_each_other_has_a_side() {
        let sides = |pages: [u32; 3], grid| -> Vec<Side> {
            let sheets = arrange(&pages.map(|page| Some(Pages::one(page))), grid);
            sheets.iter().flatten().map(|place| place.side).collect()
        };
        let (left, right, alone) = (Side::Left, Side::Right, Side::Alone);
        assert_eq!(sides([12, 13, 14], Grid::NINE), [left, right, alone]);
        assert_eq!(sides([1, 4, 6], Grid::NINE), [alone; 3]);
        // Beside the page that has no picture.
        assert_eq!(sides([1, 4, 5], Grid::SIX), [alone, left, right]);
        assert_eq!(sides([1, 4, 7], Grid::SIX), [alone, left, right, left, right]);
    }

    #[test]
    fn pictures_of_one_page_are_below_each_other_beside_what_faces_them() {
        assert_eq!(drawn(&["12", "12", "13", "13", "13"], Grid::SIX), [["12 13", "12 13", ". 13"]]);
        assert_eq!(drawn(&["12", "12"], Grid::SIX), [["12 -13", "12 -13", ". ."]]);
    }

    #[test]
    fn what_is_on_no_page_follows_in_the_briefs_order() {
        let expected = [vec!["2 3", "a b", "c d"], vec!["e .", ". .", ". ."]];
        assert_eq!(drawn(&["a", "3", "b", "c", "2", "d", "e"], Grid::SIX), expected);
        assert_eq!(drawn(&["a", "b", "c", "d"], Grid::NINE), [["a b c", "d . .", ". . ."]]);
        assert!(arrange(&[], Grid::SIX).is_empty());
    }

    #[test]
    fn a_page_holds_no_more_than_its_grid() {
        let pages: Vec<Option<Pages>> = (0..300).map(|page| Some(Pages::one(page + 2))).collect();
        let sheets = arrange(&pages, Grid::SIX);
        assert_eq!((sheets.len(), sheets.iter().map(Vec::len).max()), (50, Some(6)));
        let loose = arrange(&vec![None; 300], Grid::NINE);
        assert_eq!((loose.len(), loose.iter().map(Vec::len).sum::<usize>()), (34, 300));
    }
}
