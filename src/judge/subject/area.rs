//! A box in a picture, and the boxes that a picture has.

use std::collections::BTreeMap;

use crate::brief::PrintId;

/// Steps per side, four decimals: half a pixel of a side of 5,000.
const DECIMALS: f64 = 10_000.0;

/// A box in the upright picture, its edges as shares of the sides, 0 to 1, from the left and from the top.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left edge.
    pub left: f64,
    /// Top edge.
    pub top: f64,
    /// Right edge, right of `left`.
    pub right: f64,
    /// Bottom edge, below `top`.
    pub bottom: f64,
}

/// The origin of a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoxOrigin {
    /// Drawn by the person on these bytes, or confirmed.
    Drawn,
    /// Carried over from an earlier export whose frame was recognised in this one.
    Carried,
    /// Drawn on an earlier export that cannot be recognised in this one: it causes notes only.
    Doubtful,
}

/// A box, and how far to trust it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Subject {
    /// The box.
    pub area: Area,
    /// Its origin.
    pub origin: BoxOrigin,
}

/// The boxes of one picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Subjects {
    /// The box for every print.
    pub of_picture: Option<Subject>,
    /// Boxes for single prints instead.
    pub of_prints: BTreeMap<PrintId, Subject>,
}

impl Area {
    /// Returns a box that is within the picture and not empty; `None` otherwise.
    pub fn new(left: f64, top: f64, right: f64, bottom: f64) -> Option<Area> {
        let sound = |low: f64, high: f64| (0.0..=1.0).contains(&low) && (0.0..=1.0).contains(&high) && low < high;
        (sound(left, right) && sound(top, bottom)).then_some(Area { left, top, right, bottom })
    }

    /// Returns the box in four decimals, as stored; `None` where that leaves nothing of it.
    pub fn round(self) -> Option<Area> {
        let [left, top, right, bottom] = self.sides().map(|side| (side * DECIMALS).round() / DECIMALS);
        Area::new(left, top, right, bottom)
    }

    /// Returns left, top, right, bottom.
    pub const fn sides(&self) -> [f64; 4] {
        [self.left, self.top, self.right, self.bottom]
    }

    /// Returns the share of this box within `other`, 0 to 1.
    pub fn share_within(&self, other: [f64; 4]) -> f64 {
        let across = (self.right.min(other[2]) - self.left.max(other[0])).max(0.0);
        let down = (self.bottom.min(other[3]) - self.top.max(other[1])).max(0.0);
        across * down / ((self.right - self.left) * (self.bottom - self.top))
    }
}

impl BoxOrigin {
    /// Returns the word in JSON and in files.
    pub const fn word(self) -> &'static str {
        match self {
            BoxOrigin::Drawn => "drawn",
            BoxOrigin::Carried => "carried",
            BoxOrigin::Doubtful => "doubtful",
        }
    }
}

impl Subjects {
    /// Returns the box that counts for a print.
    pub fn for_print(&self, print: &PrintId) -> Option<Subject> {
        self.of_prints.get(print).copied().or(self.of_picture)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_lies_within_the_picture_and_holds_something() {
        assert!(Area::new(0.0, 0.0, 1.0, 1.0).is_some());
        assert!(Area::new(0.5, 0.0, 0.5, 1.0).is_none());
        assert!(Area::new(-0.1, 0.0, 0.5, 1.0).is_none());
        assert!(Area::new(0.0, f64::NAN, 0.5, 1.0).is_none());
    }

    #[test]
    fn a_share_within_is_of_the_box_itself() {
        let area = Area::new(0.0, 0.0, 0.5, 1.0).unwrap();
        assert_eq!(area.share_within([0.25, 0.0, 1.0, 1.0]), 0.5);
        assert_eq!(area.share_within([0.5, 0.0, 1.0, 1.0]), 0.0);
    }

    #[test]
    fn a_print_may_have_a_box_of_its_own() {
        let subject = |left| Subject { area: Area::new(left, 0.0, 1.0, 1.0).unwrap(), origin: BoxOrigin::Drawn };
        let wall = PrintId("wall".into());
        let subjects = Subjects { of_picture: Some(subject(0.1)), of_prints: [(wall.clone(), subject(0.2))].into() };
        assert_eq!(subjects.for_print(&wall), Some(subject(0.2)));
        assert_eq!(subjects.for_print(&PrintId("page".into())), Some(subject(0.1)));
    }
}
