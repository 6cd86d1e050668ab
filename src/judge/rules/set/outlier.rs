//! set.outlier: a cast or an exposure far from the rest of its set-up.

use std::collections::BTreeMap;

use crate::brief::requirements::Level;
use crate::judge::metrics::exposure::{Exposure, compare_with_others};
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::row::Row;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::measure::evidence::Shade;
use crate::measure::median;
use crate::picture::PictureKey;
use crate::units::show;

/// Modified z-score beyond which a value is an outlier. Source: Iglewicz and Hoaglin, How to detect and handle
/// outliers, 1993.
const MAX_Z_SCORE: f32 = 3.5;
/// Factor from a median deviation to a standard deviation. Source: the same.
const DEVIATION_FACTOR: f32 = 1.4826;
/// Least difference in a* or b* that is a cast. Source: ours, from series of one set-up.
const CAST_FLOOR: f32 = 3.0;
/// Fewest pictures for a comparison.
const MIN_PICTURES: usize = 5;
/// Most pictures of a set-up whose exposures are compared: each is compared with all others whenever one changes.
const MAX_PICTURES: usize = 200;
/// Spread of lightness, L*, above which casts are not compared where no times identify a set-up.
const MAX_LIGHTNESS_SPREAD: f32 = 10.0;
/// Least stops by which an exposure is off: half a stop as measured. Source: ours.
const STOPS_FLOOR: f64 = 0.4;
/// Least ratio of an outlying exposure's difference to any other frame's. Source: ours.
const BEYOND_THE_REST: f64 = 2.0;
/// At most one frame in this many is reported as off.
const ONE_OF: usize = 5;
/// Least share of agreeing tones in frames of one set-up, once one of them is made lighter or darker. Source: ours; of
/// frames from different photographs a fifth agrees.
const MIN_AGREEMENT: f64 = 0.5;
/// Least gain of that share by making one of them lighter or darker. Source: ours.
const MIN_AGREEMENT_GAIN: f64 = 0.06;
/// Minutes between two frames from which another set-up begins. Source: ours.
const PAUSE_MINUTES: i64 = 30;

pub static RULE: Rule = Rule {
    id: "set.outlier",
    group: RuleGroup::Set,
    title: "Unlike its set-up",
    question: "Do the pictures of one set-up match?",
    level: Level::Should,
    why: "side by side on a spread, one odd picture looks like a mistake",
    page: "Pictures taken without a pause of half an hour are one set-up; without capture times, the whole order \
           is. Five pictures or more are compared. Colour: the nearly neutral mid-tones of each picture are \
           compared with the median of the set-up. A difference is a cast if it is more than 3.5 times the usual \
           spread and more than 3 units of a* or b*. Without capture times it is a note, and it is not checked \
           where lightness spreads by more than 10 L*. Exposure: each picture is compared with the others by the \
           tones that they share. A difference of 0.4 stops or more counts if it is at least twice that of every \
           matching picture; at most one picture in five is reported. Pictures that share less than half of their \
           tones are not compared, nor are more than 200, nor parts of a group. In 400 sets of \
           different photographs it reported none. Versions of an order are compared each by itself.",
    fix: "Match the white balance or the exposure of the picture to its neighbours, and look at them side by side.",
    misses: "A set-up that is off as a whole passes: its pictures are compared only with one another. Fewer than five \
             pictures are not compared, and a picture without neutral mid-tones is not checked for a cast.",
    keys: &[],
    source: "Iglewicz and Hoaglin 1993 for casts; shared tones by Swain and Ballard 1991; limits ours",
    samples: RuleExamples {
        passes: "six frames whose greys are within 1 unit of one another",
        fails: "one of six frames half a stop darker",
    },
    unit: "stops",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

/// One axis of the mean a* and b* of a picture's neutral mid-tones.
struct CastAxis {
    name: &'static str,
    of: fn((f32, f32)) -> f32,
    /// What a picture with a larger value is, beside the others.
    more: &'static str,
    less: &'static str,
}

const CAST_AXES: [CastAxis; 2] = [
    CastAxis { name: "a*", of: |mean| mean.0, more: "redder", less: "greener" },
    CastAxis { name: "b*", of: |mean| mean.1, more: "yellower", less: "bluer" },
];

/// How far a picture is off on one axis, and how far it may be.
struct Cast<'a> {
    axis: &'a CastAxis,
    off: f32,
    limit: f32,
}

impl Cast<'_> {
    /// Returns how many times the limit it is off.
    fn excess(&self) -> f32 {
        self.off.abs() / self.limit
    }
}

/// One picture of a set-up, with all the rows of prints that use it.
struct SetUpFrame<'a> {
    /// The version of the order that it belongs to.
    version: Option<&'a str>,
    rows: Vec<&'a Row>,
    shades: &'a [Option<Shade>],
    lightness: f32,
    neutral: Option<(f32, f32)>,
    /// Capture time in minutes by the camera's clock.
    taken: Option<i64>,
}

fn check(order: &JudgedOrder, report: BreachSink) {
    let mut by_picture: BTreeMap<Option<&PictureKey>, SetUpFrame> = BTreeMap::new();
    for row in order.rows.iter().filter(|row| row.key.print.is_some() && row.group.is_none()) {
        let Some(impression) = &row.impression else { continue };
        let taken = row.facts.as_ref().and_then(|facts| facts.taken.as_ref()?.minutes());
        let new = || SetUpFrame {
            version: row.version.as_deref(),
            rows: Vec::new(),
            shades: &impression.shades,
            lightness: impression.lightness,
            neutral: impression.neutral,
            taken,
        };
        by_picture.entry(row.key.picture.as_ref()).or_insert_with(new).rows.push(row);
    }
    let mut frames: Vec<SetUpFrame> = by_picture.into_values().collect();
    frames.sort_by_key(|frame| (frame.version, frame.taken));
    let set_ups = frames.chunk_by(|one, other| {
        let is_near = match (one.taken, other.taken) {
            (Some(one), Some(other)) => other - one < PAUSE_MINUTES,
            (one, other) => one.is_none() == other.is_none(),
        };
        is_near && one.version == other.version
    });
    set_ups.flat_map(compare).for_each(report);
}

fn compare(frames: &[SetUpFrame]) -> Vec<OrderBreach> {
    let lightness: Vec<f32> = frames.iter().map(|frame| frame.lightness).collect();
    let has_times = frames.iter().all(|frame| frame.taken.is_some());
    // Without times there is no other sign that these pictures were taken together.
    let is_mixed = !has_times && spread(&lightness).is_none_or(|(_, deviation)| deviation > MAX_LIGHTNESS_SPREAD);
    let casts = if is_mixed { Vec::new() } else { cast_breaches(frames, has_times) };
    let cast = |frame: &SetUpFrame| casts.iter().any(|breach| breach.rows[0].picture == frame.rows[0].key.picture);
    let off = exposures_off(frames).into_iter().filter(|(at, _)| !cast(&frames[*at]));
    let exposures: Vec<_> =
        off.map(|(at, stops)| breach(&frames[at], exposure_breach(stops, frames.len() - 1))).collect();
    casts.into_iter().chain(exposures).collect()
}

/// Returns the frames whose exposure is off, each with its stops.
fn exposures_off(frames: &[SetUpFrame]) -> Vec<(usize, f64)> {
    if !(MIN_PICTURES..=MAX_PICTURES).contains(&frames.len()) {
        return Vec::new();
    }
    let found = compare_with_others(&frames.iter().map(|frame| frame.shades).collect::<Vec<_>>());
    let agreement = median(&mut found.iter().map(|one| one.agrees as f32).collect::<Vec<f32>>());
    if agreement.is_none_or(|agreement| agreement < MIN_AGREEMENT) {
        return Vec::new();
    }
    let mut off: Vec<(usize, f64)> = found.iter().map(|one| one.stops).enumerate().collect();
    off.sort_by(|(_, one), (_, other)| other.abs().total_cmp(&one.abs()));
    let stands_out = |many: &usize| off[many - 1].1.abs() >= STOPS_FLOOR.max(BEYOND_THE_REST * off[*many].1.abs());
    let many = (1..=frames.len() / ONE_OF).rev().find(stands_out).unwrap_or(0);
    let is_certain =
        |one: &Exposure| one.agrees >= MIN_AGREEMENT && one.agrees - one.agrees_as_it_is >= MIN_AGREEMENT_GAIN;
    off.into_iter().take(many).filter(|(at, _)| is_certain(&found[*at])).collect()
}

fn cast_breaches(frames: &[SetUpFrame], has_times: bool) -> Vec<OrderBreach> {
    let neutral: Vec<(&SetUpFrame, (f32, f32))> =
        frames.iter().filter_map(|frame| frame.neutral.map(|neutral| (frame, neutral))).collect();
    if neutral.len() < MIN_PICTURES {
        return Vec::new();
    }
    let axes = CAST_AXES.map(|axis| {
        let values: Vec<f32> = neutral.iter().map(|(_, mean)| (axis.of)(*mean)).collect();
        let (middle, deviation) = spread(&values).unwrap_or_default();
        (axis, middle, CAST_FLOOR.max(MAX_Z_SCORE * deviation))
    });
    let off = neutral.iter().filter_map(|(frame, mean)| {
        let casts =
            axes.iter().map(|(axis, middle, limit)| Cast { axis, off: (axis.of)(*mean) - middle, limit: *limit });
        let worst = casts.max_by(|one, other| one.excess().total_cmp(&other.excess()))?;
        let at_most = (!has_times).then_some(Level::Note);
        (worst.excess() > 1.0).then(|| breach(frame, Breach { at_most, ..cast_breach(&worst, neutral.len()) }))
    });
    off.collect()
}

/// Returns median and robust standard deviation; `None` without values.
fn spread(values: &[f32]) -> Option<(f32, f32)> {
    let middle = median(&mut values.to_vec())? as f32;
    let deviation = median(&mut values.iter().map(|value| (value - middle).abs()).collect::<Vec<f32>>())? as f32;
    Some((middle, DEVIATION_FACTOR * deviation))
}

fn breach(frame: &SetUpFrame, breach: Breach) -> OrderBreach {
    let pictures = frame.rows[0].key.picture.iter().cloned().collect();
    OrderBreach { rows: frame.rows.iter().map(|row| row.key.clone()).collect(), pictures, breach }
}

fn cast_breach(cast: &Cast<'_>, pictures: usize) -> Breach {
    let CastAxis { name, more, less, .. } = cast.axis;
    let (word, opposite) = if cast.off > 0.0 { (more, less) } else { (less, more) };
    let numbers = (f64::from(cast.off.abs()), f64::from(cast.limit));
    let (shown, limit) = show::numbers_apart(numbers.0, numbers.1);
    Breach {
        about: "cast".to_owned(),
        numbers: Some(numbers),
        unit: Some("lab"),
        short: format!("{word} by {shown}"),
        found: format!(
            "its greys are {shown} units ({name}) {word} than the typical picture of its set-up ({pictures} pictures); \
             usual: at most {limit}"
        ),
        fix: format!("make its white balance {opposite}, until its greys match those of its neighbours side by side"),
        ..Breach::default()
    }
}

fn exposure_breach(off: f64, others: usize) -> Breach {
    let (word, fix) = if off > 0.0 { ("lighter", "lower") } else { ("darker", "raise") };
    let (shown, limit) = show::numbers_apart(off.abs(), STOPS_FLOOR);
    let stops = if shown == "1" { "stop" } else { "stops" };
    Breach {
        about: "lightness".to_owned(),
        numbers: Some((off.abs(), STOPS_FLOOR)),
        short: format!("{shown} {stops} {word}"),
        found: format!(
            "it is {shown} {stops} {word} than the other {others} pictures of its set-up, in the tones that they \
             share; usual: less than {limit}"
        ),
        fix: format!("{fix} its exposure by about {shown} EV"),
        ..Breach::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, sound_submission, with_evidence, with_facts};
    use crate::judge::{Finding, judge};
    use crate::measure::Grid;
    use crate::measure::evidence::{STEPS_A_STOP, Shade};
    use crate::picture::CaptureTime;

    fn found(frames: &[(f32, f32, Option<&str>)]) -> Vec<(String, std::sync::Arc<Finding>)> {
        found_for("[[print]]\nsize = \"8 x 10 in\"", frames)
    }

    fn found_for(prints: &str, frames: &[(f32, f32, Option<&str>)]) -> Vec<(String, std::sync::Arc<Finding>)> {
        found_in(prints, frames, |_, _| ())
    }

    fn found_in(
        prints: &str,
        frames: &[(f32, f32, Option<&str>)],
        change: impl Fn(&mut crate::measure::Evidence, usize),
    ) -> Vec<(String, std::sync::Arc<Finding>)> {
        let brief = brief(prints);
        let files: Vec<_> = frames
            .iter()
            .enumerate()
            .map(|(at, (lightness, b, taken))| {
                let file = with_facts(sound_submission(&format!("p{at:02}.jpg"), 2400, 3000), |f| {
                    f.taken = taken.and_then(CaptureTime::from_iso);
                });
                with_evidence(file, |e| {
                    (e.appearance.lightness, e.appearance.neutral) = (*lightness, Some((1.0, *b)));
                    e.appearance.shades = shades(0.0);
                    (e.appearance.difference_hash, e.appearance.frequency_hash) =
                        (u64::MAX << at, u64::MAX << (3 * at));
                    e.appearance.small = Grid::filled(1, 1, 0);
                    change(e, at);
                })
            })
            .collect();
        let rows = judge(&brief, &files).rows;
        let of_rule = |row: &Row| row.findings.iter().filter(|f| *f.rule == RULE).cloned().collect::<Vec<_>>();
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
            found[0].1.found,
            "its greys are 3.1 units (b*) bluer than the typical picture of its set-up (7 pictures); usual: at most 3"
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
        // Four pictures are not a series, however often they are printed.
        assert!(found_for(two, &set_up((50.0, 0.0))[3..]).is_empty());
    }

    /// A grey background and a red subject, lighter by these stops.
    fn shades(stops: f64) -> Vec<Option<Shade>> {
        let up = (stops * STEPS_A_STOP as f64) as i32;
        let shade = |step: i32, colour: u8| Some(Shade { step: (step + up) as u8, colour });
        (0..96).map(|at| if at % 4 < 3 { shade(26 + at % 5, 85) } else { shade(16 + at % 3, 180) }).collect()
    }

    /// Returns the findings about frames with these exposures, by picture.
    fn exposed(stops: &[f64], taken: Option<&str>) -> Vec<(String, std::sync::Arc<Finding>)> {
        let frames: Vec<_> = stops.iter().map(|_| (50.0, 4.0, taken)).collect();
        found_in("[[print]]\nsize = \"8 x 10 in\"", &frames, |e, at| e.appearance.shades = shades(stops[at]))
    }

    #[test]
    fn the_one_frame_that_is_half_a_stop_off_is_named_with_and_without_times() {
        for (off, words) in [(0.5, "0.5 stops lighter"), (-0.5, "0.5 stops darker"), (-1.0, "1 stop darker")] {
            for taken in [TAKEN, None] {
                let found = exposed(&[0.0, 0.0, off, 0.0, 0.0], taken);
                assert_eq!((found.len(), found[0].0.as_str(), found[0].1.level), (1, "p02.jpg", Level::Should));
                assert!(found[0].1.found.contains(words), "{}", found[0].1.found);
            }
        }
        assert!(exposed(&[0.0, 0.0, 0.25, 0.0, 0.0], TAKEN).is_empty());
        assert!(exposed(&[0.0, 0.0, 0.5, 0.0], TAKEN).is_empty(), "four pictures are no series");
    }

    #[test]
    fn frames_of_many_exposures_are_meant_so_and_two_of_ten_can_be_off() {
        assert!(exposed(&[0.0, 0.25, 0.5, 0.75, 1.0, 1.25], TAKEN).is_empty());
        let mut ten = [0.0; 10];
        (ten[1], ten[7]) = (0.75, -1.0);
        let named: Vec<_> = exposed(&ten, TAKEN).into_iter().map(|(name, _)| name).collect();
        assert_eq!(named, ["p01.jpg", "p07.jpg"]);
    }

    #[test]
    fn pictures_that_share_no_tones_are_not_compared() {
        let frames: Vec<_> = (0..6).map(|_| (50.0, 4.0, TAKEN)).collect();
        let other = |at: usize| vec![Some(Shade { step: 8 * at as u8, colour: 30 * at as u8 }); 90];
        let found = found_in("[[print]]\nsize = \"8 x 10 in\"", &frames, |e, at| e.appearance.shades = other(at));
        assert!(found.is_empty());
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
    fn set_ups_are_known_by_their_pauses_and_mixed_light_is_left_alone() {
        let mut two: Vec<_> = (0..6).map(|at| (50.0, 4.0 + 0.1 * at as f32, Some("2026-11-02T10:20:00"))).collect();
        two.extend((0..6).map(|at| (50.0, -4.0 - 0.1 * at as f32, Some("2026-11-02T14:20:00"))));
        assert!(found(&two).is_empty());
        let mixed: Vec<_> = (0..8).map(|at| (20.0 + 9.0 * at as f32, if at == 3 { -9.0 } else { 2.0 }, None)).collect();
        assert!(found(&mixed).is_empty());
        assert!(found(&set_up((50.0, 0.0))[3..]).is_empty(), "four pictures are no series");
    }
}
