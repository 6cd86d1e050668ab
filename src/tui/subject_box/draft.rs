//! The subject's box while it is drawn: the chosen edge, the size of a step, the text typed. Independent of the
//! terminal: positions are shares of the picture, and the drawing code supplies the size of a step.

use crate::judge::subject::Area;
use crate::tui::action::Step;
use crate::tui::subject_box::typed;
use crate::tui::subject_box::typed::PictureScale;
use crate::tui::typing;

/// The box to start from where there is none: the middle half each way. Own choice.
const FIRST: Area = Area { left: 0.25, top: 0.25, right: 0.75, bottom: 0.75 };
/// Least width and height of a box, as a share of the picture: a few pixels of a thumbnail. Own choice.
const MIN_SIDE: f64 = 0.005;
/// A fine step, as a share of a cell. Own choice.
const FINE: f64 = 0.1;
/// Most characters of a typed value.
const MAX_LETTERS: usize = 16;

/// The part of the box that moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoxEdge {
    /// The left edge.
    Left,
    /// The top edge.
    Top,
    /// The right edge.
    Right,
    /// The bottom edge.
    Bottom,
    /// The whole box.
    Whole,
}

/// The direction of a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Toward {
    /// To the left.
    Left,
    /// Upwards.
    Up,
    /// To the right.
    Right,
    /// Downwards.
    Down,
}

/// A box that is being drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    area: Area,
    /// The part that moves.
    pub chosen: BoxEdge,
    /// True if steps are a tenth of a cell.
    pub has_fine_steps: bool,
    /// True if it is for the selected row's print alone.
    pub is_for_print_alone: bool,
    /// A value as typed so far.
    pub typed: Option<String>,
    /// Why the last value was refused.
    pub refused: Option<String>,
    /// Where in the box the pointer holds it while the whole box is dragged.
    held: Option<(f64, f64)>,
}

impl BoxEdge {
    /// Every edge, in the order in which the key steps through them.
    pub const ALL: [BoxEdge; 5] = [BoxEdge::Left, BoxEdge::Top, BoxEdge::Right, BoxEdge::Bottom, BoxEdge::Whole];

    /// Returns the edge's name.
    pub const fn word(self) -> &'static str {
        match self {
            BoxEdge::Left => "left",
            BoxEdge::Top => "top",
            BoxEdge::Right => "right",
            BoxEdge::Bottom => "bottom",
            BoxEdge::Whole => "whole box",
        }
    }

    /// True if the edge is moved across the picture; the others are moved up and down.
    pub const fn is_vertical(self) -> bool {
        matches!(self, BoxEdge::Left | BoxEdge::Right)
    }

    /// Returns the edge's position in a box; the left edge for the whole box.
    pub const fn place(self, area: Area) -> f64 {
        match self {
            BoxEdge::Left | BoxEdge::Whole => area.left,
            BoxEdge::Top => area.top,
            BoxEdge::Right => area.right,
            BoxEdge::Bottom => area.bottom,
        }
    }
}

impl Draft {
    /// Starts from the existing box, or from one in the middle.
    pub fn of(area: Option<Area>) -> Draft {
        Draft {
            area: area.unwrap_or(FIRST),
            chosen: BoxEdge::Left,
            has_fine_steps: false,
            is_for_print_alone: false,
            typed: None,
            refused: None,
            held: None,
        }
    }

    /// Returns the box as it is now.
    pub fn area(&self) -> Area {
        self.area
    }

    /// Chooses the next edge, or the previous one.
    pub fn choose(&mut self, step: Step) {
        let count = BoxEdge::ALL.len();
        let at = BoxEdge::ALL.iter().position(|edge| *edge == self.chosen).unwrap_or(0);
        let by = match step {
            Step::Next => 1,
            Step::Previous => count - 1,
        };
        self.chosen = BoxEdge::ALL[(at + by) % count];
        self.refused = None;
    }

    /// Returns how far a key moves, across and down; `cell` is one cell of the screen as shares of the picture.
    pub fn step(&self, cell: (f64, f64)) -> (f64, f64) {
        let part = if self.has_fine_steps { FINE } else { 1.0 };
        (cell.0 * part, cell.1 * part)
    }

    /// Moves the chosen part by a step; an edge moves along its own axis only.
    pub fn nudge(&mut self, toward: Toward, cell: (f64, f64)) {
        let (across, down) = self.step(cell);
        let (by_x, by_y) = match toward {
            Toward::Left => (-across, 0.0),
            Toward::Right => (across, 0.0),
            Toward::Up => (0.0, -down),
            Toward::Down => (0.0, down),
        };
        self.refused = None;
        match self.chosen {
            BoxEdge::Whole => self.shift(by_x, by_y),
            edge => {
                let by = if edge.is_vertical() { by_x } else { by_y };
                self.put(edge, edge.place(self.area) + by);
            }
        }
    }

    /// Moves an edge to a position, as near as picture and box allow.
    pub fn put(&mut self, edge: BoxEdge, at: f64) {
        let area = &mut self.area;
        match edge {
            BoxEdge::Left => area.left = at.clamp(0.0, (area.right - MIN_SIDE).max(0.0)),
            BoxEdge::Top => area.top = at.clamp(0.0, (area.bottom - MIN_SIDE).max(0.0)),
            BoxEdge::Right => area.right = at.clamp((area.left + MIN_SIDE).min(1.0), 1.0),
            BoxEdge::Bottom => area.bottom = at.clamp((area.top + MIN_SIDE).min(1.0), 1.0),
            BoxEdge::Whole => self.shift(at - self.area.left, 0.0),
        }
    }

    /// Moves the box within the picture; its size is kept.
    fn shift(&mut self, by_x: f64, by_y: f64) {
        let area = &mut self.area;
        let moved = |from: f64, to: f64, by: f64| {
            let size = to - from;
            let from = (from + by).clamp(0.0, 1.0 - size);
            (from, (from + size).min(1.0))
        };
        (area.left, area.right) = moved(area.left, area.right, by_x);
        (area.top, area.bottom) = moved(area.top, area.bottom, by_y);
    }

    /// Grabs the nearest edge within a cell and a half of the pointer, else the box if the pointer is in it. Returns
    /// true if there was anything to grab.
    pub fn grab(&mut self, at: (f64, f64), cell: (f64, f64)) -> bool {
        /// How far from an edge the pointer may be, in cells.
        const REACH: f64 = 1.5;
        let area = self.area;
        let within = |low: f64, at: f64, high: f64, reach: f64| (low - reach..=high + reach).contains(&at);
        let (reach_x, reach_y) = (REACH * cell.0, REACH * cell.1);
        let beside = within(area.top, at.1, area.bottom, reach_y);
        let above = within(area.left, at.0, area.right, reach_x);
        let distances = [
            (BoxEdge::Left, (at.0 - area.left).abs() / reach_x, beside),
            (BoxEdge::Right, (at.0 - area.right).abs() / reach_x, beside),
            (BoxEdge::Top, (at.1 - area.top).abs() / reach_y, above),
            (BoxEdge::Bottom, (at.1 - area.bottom).abs() / reach_y, above),
        ];
        let near = distances.iter().filter(|(_, distance, meets)| *meets && *distance <= 1.0);
        let nearest = near.min_by(|one, other| one.1.total_cmp(&other.1)).map(|(edge, ..)| *edge);
        let inside = within(area.left, at.0, area.right, 0.0) && within(area.top, at.1, area.bottom, 0.0);
        let Some(edge) = nearest.or(inside.then_some(BoxEdge::Whole)) else { return false };
        self.chosen = edge;
        self.refused = None;
        self.held = (edge == BoxEdge::Whole).then_some((at.0 - area.left, at.1 - area.top));
        true
    }

    /// Drags what the pointer holds.
    pub fn drag(&mut self, at: (f64, f64)) {
        match (self.chosen, self.held) {
            (BoxEdge::Whole, Some((x, y))) => self.shift(at.0 - x - self.area.left, at.1 - y - self.area.top),
            (BoxEdge::Whole, None) => {}
            (edge, _) => self.put(edge, if edge.is_vertical() { at.0 } else { at.1 }),
        }
    }

    /// Adds to the typed value, or begins one.
    pub fn type_text(&mut self, text: &str) {
        typing::add(self.typed.get_or_insert_default(), text, MAX_LETTERS);
        self.refused = None;
    }

    /// Deletes the last letter; deleting the first removes the value.
    pub fn delete_letter(&mut self) {
        let Some(typed) = &mut self.typed else { return };
        typed.pop();
        if typed.is_empty() {
            self.typed = None;
        }
    }

    /// Moves the chosen edge to the typed value; a value that is not a position is kept, to be corrected.
    pub fn apply_typed(&mut self, scale: &PictureScale) {
        let Some(typed) = &self.typed else { return };
        match typed::place(typed, self.chosen.is_vertical() || self.chosen == BoxEdge::Whole, scale) {
            Ok(at) => {
                self.put(self.chosen, at);
                (self.typed, self.refused) = (None, None);
            }
            Err(why) => self.refused = Some(why.to_string()),
        }
    }

    /// Discards what was typed.
    pub fn forget_typed(&mut self) {
        (self.typed, self.refused) = (None, None);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const CELL: (f64, f64) = (0.02, 0.05);

    fn near(found: Area, wanted: [f64; 4]) {
        let found = [found.left, found.top, found.right, found.bottom];
        assert!(found.iter().zip(wanted).all(|(one, other)| (one - other).abs() < 1e-9), "{found:?} {wanted:?}");
    }

    #[test]
    fn each_edge_moves_along_its_own_axis() {
        let mut draft = Draft::of(None);
        draft.nudge(Toward::Right, CELL);
        draft.nudge(Toward::Down, CELL);
        near(draft.area(), [0.27, 0.25, 0.75, 0.75]);
        draft.choose(Step::Next);
        draft.has_fine_steps = true;
        draft.nudge(Toward::Up, CELL);
        near(draft.area(), [0.27, 0.245, 0.75, 0.75]);
        draft.choose(Step::Previous);
        draft.choose(Step::Previous);
        assert_eq!(draft.chosen, BoxEdge::Whole);
        draft.nudge(Toward::Left, CELL);
        near(draft.area(), [0.268, 0.245, 0.748, 0.75]);
    }

    #[test]
    fn the_pointer_takes_the_nearest_edge_or_the_box() {
        let mut draft = Draft::of(None);
        assert!(draft.grab((0.76, 0.5), CELL));
        draft.drag((0.9, 0.1));
        near(draft.area(), [0.25, 0.25, 0.9, 0.75]);
        assert!(draft.grab((0.5, 0.5), CELL));
        draft.drag((0.4, 0.9));
        near(draft.area(), [0.15, 0.5, 0.8, 1.0]);
        let before = draft.clone();
        assert!(!draft.grab((0.95, 0.1), CELL));
        assert_eq!(draft, before);
    }

    #[test]
    fn a_typed_value_moves_the_chosen_edge_and_a_wrong_one_stays() {
        let scale = PictureScale { picture_px: (2000, 1000), paper_mm: Some((200.0, 100.0)) };
        let mut draft = Draft::of(None);
        draft.type_text("31 mm");
        draft.apply_typed(&scale);
        near(draft.area(), [0.155, 0.25, 0.75, 0.75]);
        assert_eq!(draft.typed, None);
        draft.type_text("31");
        draft.apply_typed(&scale);
        assert!(draft.refused.as_ref().unwrap().contains("no unit"), "{draft:?}");
        assert_eq!(draft.typed.as_deref(), Some("31"));
        draft.delete_letter();
        draft.delete_letter();
        assert_eq!(draft.typed, None);
    }

    proptest! {
        #[test]
        fn a_box_stays_within_the_picture_and_holds_something(
            moves in proptest::collection::vec((0_usize..7, -1.0_f64..2.0, -1.0_f64..2.0), 1..40)
        ) {
            let mut draft = Draft::of(None);
            for (what, x, y) in moves {
                match what {
                    0 => draft.choose(Step::Next),
                    1 => draft.nudge(Toward::Left, (x.abs(), y.abs())),
                    2 => draft.nudge(Toward::Down, (x.abs(), y.abs())),
                    3 => draft.put(draft.chosen, x),
                    4 => drop(draft.grab((x, y), CELL)),
                    5 => draft.drag((x, y)),
                    _ => draft.nudge(Toward::Right, (x.abs(), y.abs())),
                }
                let area = draft.area();
                prop_assert!(Area::new(area.left, area.top, area.right, area.bottom).is_some(), "{area:?}");
            }
        }
    }
}
