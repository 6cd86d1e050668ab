//! Words for where in a picture something is.

use crate::judge::subject::Area;

/// Share on the subject from which it belongs to the subject.
const ON_SUBJECT: f64 = 0.5;
/// The frame's outer strip, as a share of the sides.
const OUTER: f64 = 0.15;
/// Share in the outer strip from which it is along the edge.
const ALONG: f64 = 0.6;
/// Share in the middle half of both sides from which it is in the centre.
const CENTRAL: f64 = 0.6;
/// Share in one half from which it is in that half.
const ONE_HALF: f64 = 0.75;

/// Distance of the centre's border from the middle of each side, as a share of the side.
const FROM_MIDDLE: f64 = 0.25;

/// A place in a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Whereabouts {
    Subject,
    Edge(&'static str),
    /// Upper or lower, and the side.
    Corner(&'static str, &'static str),
    /// Along several edges that share no corner.
    Edges,
    Centre,
    Half(&'static str),
    /// Upper or lower, and the side.
    Quarter(&'static str, &'static str),
    AllOver,
}

/// Shares of a weight, 0 to 1, by place; a field counts where its middle is.
#[derive(Default)]
struct Shares {
    on_subject: f64,
    /// Share in each outer strip: top, right, bottom, left; a corner counts twice.
    along: [f64; 4],
    /// Share in any outer strip.
    outer: f64,
    central: f64,
    upper: f64,
    left: f64,
}

/// The sides, in the order of [`Shares::along`].
const SIDES: [&str; 4] = ["top", "right", "bottom", "left"];

/// Describes where weighted fields are: `on the subject`, `along the left edge`, `in the centre`, `in the upper left`,
/// `all over`; empty without weight.
pub fn words(fields: impl Iterator<Item = ([f64; 4], f64)>, subject: Option<Area>) -> String {
    Shares::of(fields, subject).map(|shares| shares.whereabouts().words()).unwrap_or_default()
}

/// Describes it as an apposition: `, mostly along the left edge`, `, all over`; empty without weight.
pub fn parenthesis(fields: impl Iterator<Item = ([f64; 4], f64)>, subject: Option<Area>) -> String {
    match Shares::of(fields, subject).map(|shares| shares.whereabouts()) {
        None => String::new(),
        Some(Whereabouts::AllOver) => format!(", {}", Whereabouts::AllOver.words()),
        Some(place) => format!(", mostly {}", place.words()),
    }
}

impl Shares {
    /// Sums the fields in one pass; `None` without weight.
    fn of(fields: impl Iterator<Item = ([f64; 4], f64)>, subject: Option<Area>) -> Option<Shares> {
        let (mut shares, mut total) = (Shares::default(), 0.0);
        for (field, weight) in fields.filter(|(_, weight)| *weight > 0.0) {
            let (x, y) = ((field[0] + field[2]) / 2.0, (field[1] + field[3]) / 2.0);
            let strips = [y < OUTER, x > 1.0 - OUTER, y > 1.0 - OUTER, x < OUTER];
            let counted = |is: bool| if is { weight } else { 0.0 };
            total += weight;
            shares.on_subject += subject.map_or(0.0, |area| weight * part_inside(field, area));
            shares.along.iter_mut().zip(strips).for_each(|(share, is)| *share += counted(is));
            shares.outer += counted(strips.contains(&true));
            let in_middle = |at: f64| (0.5 - FROM_MIDDLE..=0.5 + FROM_MIDDLE).contains(&at);
            shares.central += counted(in_middle(x) && in_middle(y));
            shares.upper += counted(y < 0.5);
            shares.left += counted(x < 0.5);
        }
        if total <= 0.0 {
            return None;
        }
        let Shares { on_subject, along, outer, central, upper, left } = &mut shares;
        for share in along.iter_mut().chain([on_subject, outer, central, upper, left]) {
            *share /= total;
        }
        Some(shares)
    }

    fn whereabouts(&self) -> Whereabouts {
        if self.on_subject >= ON_SUBJECT {
            return Whereabouts::Subject;
        }
        let along: Vec<&str> =
            SIDES.into_iter().zip(self.along).filter(|(_, share)| *share >= ALONG).map(|(side, _)| side).collect();
        match along[..] {
            [edge] => return Whereabouts::Edge(edge),
            ["top", side] => return Whereabouts::Corner("upper", side),
            [side, "bottom"] | ["bottom", side] => return Whereabouts::Corner("lower", side),
            _ => {}
        }
        if self.outer >= ALONG {
            return Whereabouts::Edges;
        }
        if self.central >= CENTRAL {
            return Whereabouts::Centre;
        }
        match (one_half(self.upper, "upper", "lower"), one_half(self.left, "left", "right")) {
            (None, None) => Whereabouts::AllOver,
            (Some(half), None) | (None, Some(half)) => Whereabouts::Half(half),
            (Some(down), Some(across)) => Whereabouts::Quarter(down, across),
        }
    }
}

/// Returns the half that holds most, by the share in the first; `None` where it is in both.
fn one_half(first_share: f64, first: &'static str, second: &'static str) -> Option<&'static str> {
    if first_share >= ONE_HALF { Some(first) } else { (first_share <= 1.0 - ONE_HALF).then_some(second) }
}

impl Whereabouts {
    fn words(self) -> String {
        match self {
            Whereabouts::Subject => "on the subject".to_owned(),
            Whereabouts::Edge(edge) => format!("along the {edge} edge"),
            Whereabouts::Corner(down, side) => format!("in the {down} {side} corner"),
            Whereabouts::Edges => "along the edges".to_owned(),
            Whereabouts::Centre => "in the centre".to_owned(),
            Whereabouts::Half(half) => format!("in the {half} half"),
            Whereabouts::Quarter(down, across) => format!("in the {down} {across}"),
            Whereabouts::AllOver => "all over".to_owned(),
        }
    }
}

/// Returns the share of a field inside a box, 0 to 1.
fn part_inside(field: [f64; 4], area: Area) -> f64 {
    let across = (field[2].min(area.right) - field[0].max(area.left)).max(0.0);
    let down = (field[3].min(area.bottom) - field[1].max(area.top)).max(0.0);
    across * down / ((field[2] - field[0]) * (field[3] - field[1]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Grid;

    fn of(is: impl Fn(usize, usize) -> bool, subject: Option<Area>) -> String {
        let fields = (0..400).map(|at| if is(at % 20, at / 20) { 1.0 } else { 0.0 }).collect();
        let grid = Grid { across: 20, down: 20, fields };
        words(grid.placed().map(|(field, weight): ([f64; 4], &f64)| (field, *weight)), subject)
    }

    #[test]
    fn places_are_called_as_a_person_would() {
        assert_eq!(of(|x, _| x < 2, None), "along the left edge");
        assert_eq!(of(|_, y| y == 19, None), "along the bottom edge");
        assert_eq!(of(|x, y| x == 0 && y < 2, None), "in the upper left corner");
        assert_eq!(of(|x, y| x == 0 || y == 0 || x == 19 || y == 19, None), "along the edges");
        assert_eq!(of(|x, y| (8..12).contains(&x) && (8..12).contains(&y), None), "in the centre");
        assert_eq!(of(|x, y| (3..7).contains(&x) && (3..7).contains(&y), None), "in the upper left");
        assert_eq!(of(|x, y| (13..16).contains(&x) && (4..16).contains(&y), None), "in the right half");
        assert_eq!(of(|_, _| true, None), "all over");
        assert_eq!(of(|_, _| false, None), "");
        assert_eq!(parenthesis([([0.0, 0.0, 0.1, 1.0], 1.0)].into_iter(), None), ", mostly along the left edge");
        assert_eq!(parenthesis([([0.0, 0.0, 1.0, 1.0], 1.0)].into_iter(), None), ", mostly in the centre");
    }

    #[test]
    fn places_on_the_subject_are_named_as_such() {
        let area = Area::new(0.0, 0.0, 0.3, 0.3).unwrap();
        assert_eq!(of(|x, y| x < 5 && y < 5, Some(area)), "on the subject");
        assert_eq!(of(|x, y| x > 16 && y > 16, Some(area)), "in the lower right corner");
    }
}
