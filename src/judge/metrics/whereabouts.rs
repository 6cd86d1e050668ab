//! Where in a picture something lies, in a person's words.

use crate::judge::subject::Area;

/// Share of it on the subject from which it is the subject's.
const ON_SUBJECT: f64 = 0.5;
/// The frame's outer strip, as a share of the sides; and how much of it lies there when it lies along an edge.
const OUTER: f64 = 0.15;
/// See [`OUTER`].
const ALONG: f64 = 0.6;
/// The middle half of both sides is the centre, if so much lies there.
const CENTRAL: f64 = 0.6;
/// Share of it in one half from which it lies on that half.
const ONE_HALF: f64 = 0.75;

/// Everywhere.
const ALL_OVER: &str = "all over";

/// Where some weighed fields lie: `on the subject`, `along the left edge`, `in the centre`, `in the upper left`,
/// `all over`; empty where nothing weighs anything.
pub fn words(fields: impl Iterator<Item = ([f64; 4], f64)>, subject: Option<Area>) -> String {
    let fields: Vec<([f64; 4], f64)> = fields.filter(|(_, weight)| *weight > 0.0).collect();
    let total: f64 = fields.iter().map(|(_, weight)| weight).sum();
    if total <= 0.0 {
        return String::new();
    }
    let share = |counts: &dyn Fn([f64; 4]) -> f64| {
        fields.iter().map(|(field, weight)| weight * counts(*field)).sum::<f64>() / total
    };
    let middle = |field: [f64; 4]| ((field[0] + field[2]) / 2.0, (field[1] + field[3]) / 2.0);
    let where_middle = |is: fn(f64, f64) -> bool| {
        share(&|field| {
            let (x, y) = middle(field);
            f64::from(u8::from(is(x, y)))
        })
    };
    if let Some(area) = subject
        && share(&|field| part_inside(field, area)) >= ON_SUBJECT
    {
        return "on the subject".to_owned();
    }
    let edges = [
        ("top", where_middle(|_, y| y < OUTER)),
        ("right", where_middle(|x, _| x > 1.0 - OUTER)),
        ("bottom", where_middle(|_, y| y > 1.0 - OUTER)),
        ("left", where_middle(|x, _| x < OUTER)),
    ];
    let along: Vec<&str> = edges.iter().filter(|(_, part)| *part >= ALONG).map(|(edge, _)| *edge).collect();
    match along[..] {
        [edge] => return format!("along the {edge} edge"),
        ["top", side] | [side, "top"] => return format!("in the upper {side} corner"),
        ["bottom", side] | [side, "bottom"] => return format!("in the lower {side} corner"),
        _ => {}
    }
    if where_middle(|x, y| x.min(y) < OUTER || x.max(y) > 1.0 - OUTER) >= ALONG {
        return "along the edges".to_owned();
    }
    if where_middle(|x, y| (0.25..=0.75).contains(&x) && (0.25..=0.75).contains(&y)) >= CENTRAL {
        return "in the centre".to_owned();
    }
    let (left, upper) = (where_middle(|x, _| x < 0.5), where_middle(|_, y| y < 0.5));
    let side = |part: f64, one: &'static str, other: &'static str| match part {
        part if part >= ONE_HALF => one,
        part if part <= 1.0 - ONE_HALF => other,
        _ => "",
    };
    match (side(upper, "upper", "lower"), side(left, "left", "right")) {
        ("", "") => ALL_OVER.to_owned(),
        ("", across) => format!("in the {across} half"),
        (down, "") => format!("in the {down} half"),
        (down, across) => format!("in the {down} {across}"),
    }
}

/// The same as an apposition: `, mostly along the left edge`, `, all over`; empty where nothing weighs anything.
pub fn apposed(fields: impl Iterator<Item = ([f64; 4], f64)>, subject: Option<Area>) -> String {
    match words(fields, subject).as_str() {
        "" => String::new(),
        ALL_OVER => format!(", {ALL_OVER}"),
        place => format!(", mostly {place}"),
    }
}

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
        assert_eq!(apposed([([0.0, 0.0, 0.1, 1.0], 1.0)].into_iter(), None), ", mostly along the left edge");
        assert_eq!(apposed([([0.0, 0.0, 1.0, 1.0], 1.0)].into_iter(), None), ", mostly in the centre");
    }

    #[test]
    fn what_lies_on_the_subject_is_said_so() {
        let area = Area::new(0.0, 0.0, 0.3, 0.3).unwrap();
        assert_eq!(of(|x, y| x < 5 && y < 5, Some(area)), "on the subject");
        assert_eq!(of(|x, y| x > 16 && y > 16, Some(area)), "in the lower right corner");
    }
}
