//! The best position of a print's window on a picture of another shape: along the free axis, so that the subject keeps
//! clear.

use crate::judge::metrics::cut_lines::{CutLines, Rectangle};
use crate::judge::placement::Placement;
use crate::judge::subject::{Area, BoxOrigin, Subject};
use crate::measure::{Evidence, Grid};

/// Least gain in importance for which the window moves when no subject is drawn. Source: ours; a smaller gain is as
/// often a loss.
const MIN_GAIN: f64 = 0.03;
/// Windows that keep this nearly as much count as equal; the one with the least shift is chosen.
const EQUAL_KEPT: f64 = 0.005;
/// Positions tried along the free axis.
const POSITIONS_TRIED: usize = 256;
/// Shares closer than this are the same position.
const SAME: f64 = 1e-9;

/// A chosen position of the window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CropPlan {
    /// Left edge of the window, as a share of the picture's width.
    pub left: f64,
    /// Its top edge likewise.
    pub top: f64,
    /// True if it is not in the centre.
    pub is_moved: bool,
    /// True if the subject is within the safe area on all sides; `None` where no box is certain.
    pub keeps_subject: Option<bool>,
}

impl CropPlan {
    /// Returns the window itself; `None` while there is no picture.
    pub fn rectangle(&self, placement: &Placement) -> Option<Rectangle> {
        placement.fit.as_ref().map(|fit| CutLines::at(placement, fit, self.left, self.top).window)
    }
}

/// Returns the window for a row; `None` where nothing is cut off. A box decides only once its pixels are read and if it
/// is not doubtful; without one, the map of importance does.
pub fn plan_crop(placement: &Placement, subject: Option<Subject>, evidence: Option<&Evidence>) -> Option<CropPlan> {
    let certain = subject.filter(|subject| subject.origin != BoxOrigin::Doubtful && evidence.is_some());
    plan(placement, certain.map(|subject| subject.area), evidence.map(|evidence| &evidence.appearance.importance))
}

fn plan(placement: &Placement, subject: Option<Area>, importance: Option<&Grid<f32>>) -> Option<CropPlan> {
    let centred = CutLines::centred(placement)?;
    let [left, top, right, bottom] = centred.window;
    let free_across = left > SAME;
    if !free_across && top <= SAME {
        return None;
    }
    let slack = if free_across { 1.0 - (right - left) } else { 1.0 - (bottom - top) };
    let axis = FreeAxis { centred: &centred, is_across: free_across, slack };
    let chosen = match subject {
        Some(area) => {
            let (place, keeps_subject) = axis.position_clear_of(area);
            Some((place, Some(keeps_subject)))
        }
        None => importance
            .filter(|map| !map.fields.is_empty())
            .and_then(|map| axis.position_of_most_importance(map))
            .map(|place| (place, None)),
    };
    let (place, keeps_subject) = chosen.unwrap_or((axis.middle(), None));
    let (left, top) = if free_across { (place, top) } else { (left, place) };
    Some(CropPlan { left, top, is_moved: (place - axis.middle()).abs() > SAME, keeps_subject })
}

/// The axis along which the window may move. Positions are of its left or top edge, as shares of the picture.
struct FreeAxis<'a> {
    centred: &'a CutLines,
    /// True if the window moves across, false if it moves down.
    is_across: bool,
    /// The largest position; what is cut off, as a share of the picture.
    slack: f64,
}

impl FreeAxis<'_> {
    fn middle(&self) -> f64 {
        self.slack / 2.0
    }

    /// Returns the position nearest to the centre that keeps a box within the safe area and true; if there is none, the
    /// best and false.
    fn position_clear_of(&self, area: Area) -> (f64, bool) {
        let [left, top, right, bottom] = area.sides();
        let inside = |low: f64, high: f64, axis: usize| {
            low >= self.centred.safe[axis] - SAME && high <= self.centred.safe[axis + 2] + SAME
        };
        let (axis, low, high, fits) = if self.is_across {
            (0, left, right, inside(top, bottom, 1))
        } else {
            (1, top, bottom, inside(left, right, 0))
        };
        let near = self.centred.safe[axis] - self.centred.window[axis];
        let far = self.centred.safe[axis + 2] - self.centred.window[axis];
        let (least, most) = ((high - far).max(0.0), (low - near).min(self.slack));
        if least <= most + SAME {
            return (self.middle().clamp(least.min(most), most), fits);
        }
        // No window keeps all of it: a box in the middle of the safe area loses the same on either side.
        let even = (low + high) / 2.0 - (near + far) / 2.0;
        (even.clamp(0.0, self.slack), false)
    }

    /// Returns the position that keeps most importance, if the gain is worth moving for.
    fn position_of_most_importance(&self, map: &Grid<f32>) -> Option<f64> {
        // Importance of each column (or row) of fields, within the safe area on the other axis.
        let axis = usize::from(!self.is_across);
        let fields = if self.is_across { map.across } else { map.down };
        let mut sums = vec![0.0; fields + 1];
        for (at, (field, weight)) in map.placed().enumerate() {
            let other = 1 - axis;
            let side = field[other + 2] - field[other];
            let inside = (field[other + 2].min(self.centred.safe[other + 2])
                - field[other].max(self.centred.safe[other]))
            .max(0.0);
            let place = if self.is_across { at % map.across } else { at / map.across };
            sums[place + 1] += f64::from(*weight) * inside / side;
        }
        (0..fields).for_each(|at| sums[at + 1] += sums[at]);
        let before = |share: f64| {
            let place = share.clamp(0.0, 1.0) * fields as f64;
            let at = (place as usize).min(fields.saturating_sub(1));
            sums[at] + (sums[at + 1] - sums[at]) * (place - at as f64)
        };
        let (near, far) = (
            self.centred.safe[axis] - self.centred.window[axis],
            self.centred.safe[axis + 2] - self.centred.window[axis],
        );
        let kept = |place: f64| before(place + far) - before(place + near);
        let places: Vec<(f64, f64)> = (0..=POSITIONS_TRIED)
            .map(|step| self.slack * step as f64 / POSITIONS_TRIED as f64)
            .map(|place| (place, kept(place)))
            .collect();
        let best = places.iter().map(|(_, kept)| *kept).fold(0.0, f64::max);
        let near = places.iter().filter(|(_, kept)| *kept >= best - EQUAL_KEPT);
        let (place, found) =
            near.min_by(|one, other| (one.0 - self.middle()).abs().total_cmp(&(other.0 - self.middle()).abs()))?;
        (found - kept(self.middle()) >= MIN_GAIN).then_some(*place)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::print;

    fn square() -> Placement {
        let border =
            "[margins]\nedge = \"border\"\nborder = \"10 mm\"\nsafe = \"0 mm\"\n[[print]]\nsize = \"220 x 220 mm\"";
        Placement::of(&print(border), (3000, 2000))
    }

    #[test]
    fn the_window_moves_to_what_matters() {
        // 300 x 200 fields, all weight in columns 240 to 259: the least shift that keeps it all begins at 60 of 100.
        let mut map = Grid::filled(300, 200, 0.0f32);
        for y in 90..110 {
            map.fields[y * 300 + 240..y * 300 + 260].fill(1.0 / 400.0);
        }
        let found = plan(&square(), None, Some(&map)).unwrap();
        assert!(found.is_moved && (found.left - 0.6 / 3.0).abs() < 0.002, "{found:?}");
    }

    #[test]
    fn an_even_map_is_no_reason_to_move() {
        let found = plan(&square(), None, Some(&Grid::filled(30, 20, 1.0 / 600.0f32))).unwrap();
        assert!(!found.is_moved && (found.left - 1.0 / 6.0).abs() < 1e-9);
        assert_eq!(plan(&Placement::of(&print("[[print]]\nsize = \"10 x 10 in\""), (3000, 3000)), None, None), None);
    }

    #[test]
    fn a_box_is_kept_clear_by_the_least_shift() {
        let right = Area::new(0.7, 0.2, 0.95, 0.8).unwrap();
        let found = plan(&square(), Some(right), None).unwrap();
        // The window is two thirds wide, so it must begin at 0.95 - 2/3 or later.
        assert!(found.keeps_subject == Some(true) && (found.left - (0.95 - 2.0 / 3.0)).abs() < 1e-6, "{found:?}");
        let wide = Area::new(0.1, 0.2, 0.9, 0.8).unwrap();
        let found = plan(&square(), Some(wide), None).unwrap();
        assert!(found.keeps_subject == Some(false) && (found.left - 1.0 / 6.0).abs() < 1e-6);
        // There is room along the free axis, but across it the box reaches over the edge of the paper.
        let high =
            Placement::of(&print("[margins]\nsafe = \"1/2 in\"\n[[print]]\nsize = \"10 x 10 in\""), (4500, 3000));
        let found = plan(&high, Area::new(0.4, 0.01, 0.6, 0.5), None).unwrap();
        assert!(found.keeps_subject == Some(false) && !found.is_moved, "{found:?}");
        let centre = Area::new(0.4, 0.4, 0.6, 0.6).unwrap();
        assert_eq!(
            plan(&square(), Some(centre), None).map(|plan| (plan.is_moved, plan.keeps_subject)),
            Some((false, Some(true)))
        );
    }
}
