//! set.outlier: a cast or a lightness far from the rest of its set-up.

use std::collections::BTreeMap;

use crate::brief::asked::Level;
use crate::judge::row::Row;
use crate::judge::rule::{Ask, Breach, Order, OrderBreach, Rule, Samples};
use crate::picture::PictureKey;
use crate::units::show;

/// Modified z-score beyond which a value is an outlier, and what makes the median deviation a standard one. Source:
/// Iglewicz and Hoaglin, How to detect and handle outliers, 1993.
const BEYOND: f32 = 3.5;
/// See [`BEYOND`].
const NORMAL: f32 = 1.4826;
/// A cast is none below so many units of a* or b*; lightness below so many L*. Source: ours, from series of one set-up.
const CAST_FLOOR: f32 = 3.0;
/// See [`CAST_FLOOR`].
const LIGHTNESS_FLOOR: f32 = 8.0;
/// Pictures that a comparison needs.
const CAST_PICTURES: usize = 5;
/// See [`CAST_PICTURES`].
const LIGHTNESS_PICTURES: usize = 6;
/// Where lightness spreads wider than this, L*, it is not compared; nor is a cast where no times tell a set-up.
const ONE_SET_UP: f32 = 10.0;
/// A pause of so many minutes between two frames begins another set-up. Source: ours.
const PAUSE_MINUTES: i64 = 30;

pub static RULE: Rule = Rule {
    id: "set.outlier",
    question: "Do the pictures of one set-up match?",
    level: Level::Should,
    why: "side by side on a spread, one picture that is a little bluer or darker than its neighbours looks like a \
          mistake",
    page: "Pictures taken without a pause of half an hour are one set-up; without times, the whole order. Of each \
           the nearly neutral mid-tones and the median lightness are compared with the set-up's median, robustly: an \
           outlier lies 3.5 median deviations away, and at least 3 units of a* or b*, or 8 L*. A cast needs five \
           pictures and is a should; lightness needs six and is a note. Where lightness spreads by more than 10 L* \
           it was meant to, and is not compared; without times nothing is then, and a cast is only a note.",
    keys: &[],
    source: "Iglewicz and Hoaglin 1993 for outliers; floors ours, from series of one set-up",
    samples: Samples { holds: "six frames within 1 unit of one another", fails: "one of six frames 5 units bluer" },
    silences: &[],
    ask: Ask::Order(ask),
};

/// One picture of a set-up, for however many prints.
struct Frame<'a> {
    rows: Vec<&'a Row>,
    lightness: f32,
    neutral: Option<(f32, f32)>,
    taken: Option<i64>,
}

fn ask(order: &Order) -> Vec<OrderBreach> {
    let mut by_picture: BTreeMap<Option<&PictureKey>, Frame> = BTreeMap::new();
    for row in order.rows.iter().filter(|row| row.key.print.is_some()) {
        let Some(look) = row.impression else { continue };
        let taken = row.facts.as_ref().and_then(|facts| facts.taken.as_deref()).and_then(minutes);
        let new = || Frame { rows: Vec::new(), lightness: look.lightness, neutral: look.neutral, taken };
        by_picture.entry(row.key.picture.as_ref()).or_insert_with(new).rows.push(row);
    }
    let mut frames: Vec<Frame> = by_picture.into_values().collect();
    frames.sort_by_key(|frame| frame.taken);
    let set_ups = frames.chunk_by(|one, other| match (one.taken, other.taken) {
        (Some(one), Some(other)) => other - one < PAUSE_MINUTES,
        (one, other) => one.is_none() == other.is_none(),
    });
    set_ups.flat_map(compare).collect()
}

/// Minutes of a time as Exif and XMP have it, `2026-11-02T10:21:07`, since some day; `None` where it is no such time.
fn minutes(taken: &str) -> Option<i64> {
    let number = |range: std::ops::Range<usize>| taken.get(range)?.parse::<i64>().ok();
    let (year, month, day) = (number(0..4)?, number(5..7)?, number(8..10)?);
    // Days of a calendar of even months: only differences within a day matter, and over midnight they hold by and
    // large.
    Some((((year * 12 + month) * 31 + day) * 24 + number(11..13)?) * 60 + number(14..16)?)
}

fn compare(frames: &[Frame]) -> Vec<OrderBreach> {
    let lightness: Vec<f32> = frames.iter().map(|frame| frame.lightness).collect();
    let Some((middle, deviation)) = spread(&lightness) else { return Vec::new() };
    let mixed = deviation > ONE_SET_UP;
    // Without times nothing else says that these pictures were taken together.
    if mixed && frames.iter().any(|frame| frame.taken.is_none()) {
        return Vec::new();
    }
    let casts = cast_breaches(frames, frames.iter().all(|frame| frame.taken.is_some()));
    let cast = |frame: &Frame| casts.iter().any(|breach| breach.rows[0].picture == frame.rows[0].key.picture);
    let mut dark_or_light = Vec::new();
    if frames.len() >= LIGHTNESS_PICTURES && !mixed {
        for frame in frames.iter().filter(|frame| !cast(frame)) {
            let off = frame.lightness - middle;
            let floor = LIGHTNESS_FLOOR.max(BEYOND * deviation);
            if off.abs() > floor {
                dark_or_light.push(breach(frame, lightness_words(off, floor, frames.len())));
            }
        }
    }
    casts.into_iter().chain(dark_or_light).collect()
}

fn cast_breaches(frames: &[Frame], timed: bool) -> Vec<OrderBreach> {
    let neutral: Vec<(&Frame, (f32, f32))> =
        frames.iter().filter_map(|frame| frame.neutral.map(|neutral| (frame, neutral))).collect();
    if neutral.len() < CAST_PICTURES {
        return Vec::new();
    }
    let axis = |of: fn((f32, f32)) -> f32| {
        let (middle, deviation) = spread(&neutral.iter().map(|(_, n)| of(*n)).collect::<Vec<_>>()).unwrap_or_default();
        (middle, CAST_FLOOR.max(BEYOND * deviation))
    };
    let (a, b) = (axis(|n| n.0), axis(|n| n.1));
    let off = neutral.iter().filter_map(|(frame, n)| {
        let (off_a, off_b) = (n.0 - a.0, n.1 - b.0);
        let (over_a, over_b) = (off_a.abs() / a.1, off_b.abs() / b.1);
        (over_a.max(over_b) > 1.0).then(|| {
            let words =
                if over_b >= over_a { (off_b, b.1, "yellower", "bluer") } else { (off_a, a.1, "redder", "greener") };
            let at_most = (!timed).then_some(Level::Note);
            breach(frame, Breach { at_most, ..cast_words(words, neutral.len()) })
        })
    });
    off.collect()
}

/// Median and robust standard deviation; `None` of nothing.
fn spread(values: &[f32]) -> Option<(f32, f32)> {
    let median = |mut values: Vec<f32>| {
        values.sort_unstable_by(f32::total_cmp);
        let at = values.len().checked_sub(1)? / 2;
        Some(if values.len().is_multiple_of(2) { (values[at] + values[at + 1]) / 2.0 } else { values[at] })
    };
    let middle = median(values.to_vec())?;
    let deviation = median(values.iter().map(|value| (value - middle).abs()).collect())?;
    Some((middle, NORMAL * deviation))
}

fn breach(frame: &Frame, breach: Breach) -> OrderBreach {
    let pictures = frame.rows[0].key.picture.iter().cloned().collect();
    OrderBreach { rows: frame.rows.iter().map(|row| row.key.clone()).collect(), pictures, breach }
}

fn cast_words((off, floor, more, less): (f32, f32, &str, &str), of: usize) -> Breach {
    let word = if off > 0.0 { more } else { less };
    let (shown, limit) = show::numbers_apart(f64::from(off.abs()), f64::from(floor));
    Breach {
        about: "cast".to_owned(),
        numbers: Some((f64::from(off.abs()), f64::from(floor), "lab")),
        short: format!("{word} {shown}"),
        what: format!(
            "its greys are {shown} units {word} than the middle of the {of} pictures of its set-up; {limit} may be"
        ),
        mend: "set its white balance to that of its neighbours, and look at them side by side".to_owned(),
        ..Breach::default()
    }
}

fn lightness_words(off: f32, floor: f32, of: usize) -> Breach {
    let word = if off > 0.0 { "lighter" } else { "darker" };
    Breach {
        about: "lightness".to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((f64::from(off.abs()), f64::from(floor), "L*")),
        short: format!("{word} {:.0}", off.abs()),
        what: format!(
            "it is {:.0} L* {word} than the middle of the {of} pictures of its set-up; from {floor:.0} it is worth a \
             look",
            off.abs()
        ),
        mend: "if they stand side by side in the book, bring its exposure to that of its neighbours".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, delivered, with_evidence, with_facts};
    use crate::judge::{Finding, judge};
    use crate::measure::Grid;

    fn found(frames: &[(f32, f32, Option<&str>)]) -> Vec<(String, std::sync::Arc<Finding>)> {
        found_for("[[print]]\nsize = \"8 x 10 in\"", frames)
    }

    fn found_for(prints: &str, frames: &[(f32, f32, Option<&str>)]) -> Vec<(String, std::sync::Arc<Finding>)> {
        let brief = brief(prints);
        let files: Vec<_> = frames
            .iter()
            .enumerate()
            .map(|(at, (lightness, b, taken))| {
                let file = with_facts(delivered(&format!("p{at:02}.jpg"), 2400, 3000), |f| {
                    f.taken = taken.map(ToOwned::to_owned);
                });
                with_evidence(file, |e| {
                    (e.look.lightness, e.look.neutral) = (*lightness, Some((1.0, *b)));
                    (e.look.steps, e.look.waves) = (u64::MAX << at, u64::MAX << (3 * at));
                    e.look.small = Grid::filled(1, 1, 0);
                })
            })
            .collect();
        let rows = judge(&brief, &files).rows;
        let of_rule = |row: &Row| row.findings.iter().filter(|f| f.rule == "set.outlier").cloned().collect::<Vec<_>>();
        rows.iter()
            .flat_map(|row| of_rule(row).into_iter().map(|f| (row.key.picture.as_ref().unwrap().to_string(), f)))
            .collect()
    }

    const TAKEN: Option<&str> = Some("2026-11-02T10:20:00");

    fn set_up(last: (f32, f32)) -> Vec<(f32, f32, Option<&'static str>)> {
        let mut frames: Vec<_> = [50.0, 51.0, 49.0, 50.0, 52.0, 48.0].map(|l| (l, 4.0, TAKEN)).to_vec();
        frames.push((last.0, last.1, TAKEN));
        frames
    }

    #[test]
    fn one_frame_that_is_bluer_is_a_should() {
        assert!(found(&set_up((50.0, 1.1))).is_empty());
        let found = found(&set_up((50.0, 0.9)));
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].0.as_str(), found[0].1.level), ("p06.jpg", Level::Should));
        assert_eq!(
            found[0].1.what,
            "its greys are 3.1 units bluer than the middle of the 7 pictures of its set-up; 3 may be"
        );
    }

    #[test]
    fn without_times_a_cast_is_only_a_note() {
        let untimed: Vec<_> = set_up((50.0, 0.9)).into_iter().map(|(l, b, _)| (l, b, None)).collect();
        assert_eq!(found(&untimed)[0].1.level, Level::Note);
    }

    #[test]
    fn a_picture_for_two_prints_is_one_frame_and_says_it_on_both_rows() {
        let two = "[[print]]\nsize = \"8 x 10 in\"\n[[print]]\nsize = \"16 x 20 in\"";
        let pictures: Vec<_> = found_for(two, &set_up((50.0, 0.9))).into_iter().map(|(name, _)| name).collect();
        assert_eq!(pictures, ["p06.jpg", "p06.jpg"]);
        // Four pictures are no series, however often they are printed.
        assert!(found_for(two, &set_up((50.0, 0.0))[3..]).is_empty());
    }

    #[test]
    fn one_frame_that_is_lighter_is_a_note() {
        // Source: worked by the formula: median 50, median deviation 1, so 8 L* is the floor that counts.
        let found = found(&set_up((70.0, 4.0)));
        assert_eq!((found.len(), found[0].1.level, found[0].1.short.as_str()), (1, Level::Note, "lighter 20"));
    }

    #[test]
    fn a_cast_shows_in_changing_light_where_the_times_tell_one_set_up() {
        let lit = |taken: Option<&'static str>| -> Vec<_> {
            (0..7).map(|at| (20.0 + 11.0 * at as f32, if at == 6 { 7.4 } else { 2.0 }, taken)).collect()
        };
        assert_eq!(found(&lit(Some("2026-11-04T15:10:21"))).len(), 1);
        assert!(found(&lit(None)).is_empty());
    }

    #[test]
    fn set_ups_are_told_by_their_pauses_and_mixed_light_is_left_alone() {
        let mut two: Vec<_> = (0..6).map(|at| (50.0, 4.0 + 0.1 * at as f32, Some("2026-11-02T10:20:00"))).collect();
        two.extend((0..6).map(|at| (50.0, -4.0 - 0.1 * at as f32, Some("2026-11-02T14:20:00"))));
        assert!(found(&two).is_empty());
        let mixed: Vec<_> = (0..8).map(|at| (20.0 + 9.0 * at as f32, if at == 3 { -9.0 } else { 2.0 }, None)).collect();
        assert!(found(&mixed).is_empty());
        assert!(found(&set_up((50.0, 0.0))[3..]).is_empty(), "four pictures are no series");
    }
}
