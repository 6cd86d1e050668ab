//! Places where a picture's print is at risk: the strips of a test print show them, and a person looks at them.

use crate::brief::Print;
use crate::judge::metrics::cut_lines::Rectangle;
use crate::judge::metrics::{ToneLoss, whereabouts};
pub use crate::judge::model::risk::Risk;
use crate::judge::model::row::Row;
use crate::judge::model::rule::Rule;
use crate::measure::{Evidence, Grid};

/// Largest share of a new place that may overlap an earlier one. Own choice.
const MAX_OVERLAP: f64 = 0.25;
/// Luma code from which places are nearly white and may still hold detail. Own choice.
const BRIGHT: u8 = 225;
/// Lowest luma code of calm mid-tones and shadows, in which noise is visible. Own choice.
const CALM_FROM: u8 = 40;
/// Highest luma code of them. Own choice.
const CALM_TO: u8 = 150;
/// Most contrast inside a calm cell, in quarter codes. Own choice.
const MAX_CALM_SPREAD: u8 = 16;

/// Share of the picture outside the paper's gamut at which that risk is 1. Own choice.
const GAMUT_LIMIT: f64 = 0.1;
/// Risks of a picture without findings: they order the strips where nothing else does. Own choice.
const BASE_RISK_SUBJECT: f64 = 0.5;
/// See [`BASE_RISK_SUBJECT`].
const BASE_RISK_EDGES: f64 = 0.3;
/// See [`BASE_RISK_SUBJECT`].
const BASE_RISK_HIGHLIGHTS: f64 = 0.2;
/// See [`BASE_RISK_SUBJECT`].
const BASE_RISK_NOISE: f64 = 0.1;

/// A place shown by a strip.
#[derive(Clone, Debug, PartialEq)]
pub struct RiskLocation {
    /// The risk at this place.
    pub risk: Risk,
    /// Left, top, right and bottom edges as shares of the upright picture.
    pub area: Rectangle,
    /// The position in words.
    pub whereabouts: String,
}

/// Returns the places most at risk, riskiest first: at most `most`, each `strip` wide and high as shares of the
/// picture, within `window`.
pub fn find_risk_locations(
    row: &Row,
    print: &Print,
    evidence: &Evidence,
    window: Rectangle,
    strip: (f64, f64),
    most: usize,
) -> Vec<RiskLocation> {
    let mut risks = rate_risks(row, print, evidence);
    risks.sort_by(|one, other| other.1.total_cmp(&one.1));
    let mut found: Vec<RiskLocation> = Vec::new();
    for (risk, _, weights) in risks {
        if found.len() == most {
            break;
        }
        if let Some(area) = find_heaviest(&weights, window, strip, &found) {
            let here = std::iter::once((area, 1.0));
            let place = whereabouts::words(here, row.subject.map(|subject| subject.area));
            found.push(RiskLocation { risk, area, whereabouts: place });
        }
    }
    found
}

/// Returns each risk with its degree, 1 at its limit, and its distribution over the picture.
fn rate_risks(row: &Row, print: &Print, evidence: &Evidence) -> Vec<(Risk, f64, Grid<f64>)> {
    let (metrics, required) = (&row.metrics, &print.requirements);
    let found = |risk: Risk| count_rules(row, risk) as f64;
    let of_limit = |value: Option<f64>, limit: f64| value.map_or(0.0, |value| value / limit.max(f64::EPSILON)).min(2.0);
    let field_tones = &evidence.field_tones;
    let by_field = |weight: &dyn Fn(&crate::measure::evidence::FieldTone) -> f64| Grid {
        across: field_tones.across,
        down: field_tones.down,
        fields: field_tones.fields.iter().map(weight).collect(),
    };
    let mut risks = Vec::new();
    if let Some(tones) = &row.tones {
        let fields = tones.lost.fields.iter().map(|lost| f64::from(u8::from(*lost == ToneLoss::Shadows))).collect();
        let lost = Grid { across: tones.lost.across, down: tones.lost.down, fields };
        let risk = of_limit(metrics.shadows_lost, required.tone.lost_shadows.as_f64()) + found(Risk::Shadows);
        risks.push((Risk::Shadows, risk, lost));
    }
    if let Some(changes) = row.lost_colours.as_ref().and_then(|lost| lost.paper.as_ref()) {
        let fields = changes.placed().map(|(_, change)| change).collect();
        let changed = Grid { across: changes.fields.across, down: changes.fields.down, fields };
        let outside = metrics.outside_paper.map(|outside| outside.share);
        risks.push((Risk::Colours, of_limit(outside, GAMUT_LIMIT) + found(Risk::Colours), changed));
    }
    if let Some(focus) = &evidence.detail.focus {
        let crisp = |width: &Option<f32>| width.map_or(0.0, |width| 1.0 / f64::from(width).max(0.5));
        let fields = focus.fields.fields.iter().map(crisp).collect();
        let edges = Grid { across: focus.fields.across, down: focus.fields.down, fields };
        let halo = of_limit(metrics.halo, required.detail.halo.as_f64());
        let risk = BASE_RISK_EDGES + halo + found(Risk::Edges);
        risks.push((Risk::Edges, risk, edges));
    }
    let light = by_field(&|field| if field.mean >= BRIGHT { 1.0 + f64::from(field.blown) / 255.0 } else { 0.0 });
    let lost = of_limit(metrics.highlights_lost, required.tone.lost_highlights.as_f64());
    risks.push((Risk::Highlights, BASE_RISK_HIGHLIGHTS + lost + found(Risk::Highlights), light));
    let calm = by_field(&|field| {
        let calm = (CALM_FROM..=CALM_TO).contains(&field.mean) && field.deviation_steps <= MAX_CALM_SPREAD;
        f64::from(u8::from(calm))
    });
    risks.push((Risk::Noise, BASE_RISK_NOISE + found(Risk::Noise), calm));
    risks.push((Risk::Subject, BASE_RISK_SUBJECT, weigh_subject(row, evidence)));
    risks
}

/// Counts the rules about a risk that have a finding on a row, accepted or not.
fn count_rules(row: &Row, risk: Risk) -> usize {
    let all = row.findings.iter().chain(row.accepted.iter().map(|one| &one.finding));
    let mut rules: Vec<&Rule> = all.map(|finding| finding.rule).filter(|rule| rule.uses.risk == Some(risk)).collect();
    rules.sort_unstable_by_key(|rule| rule.id);
    rules.dedup();
    rules.len()
}

/// Returns the subject's weights: the drawn box, otherwise what draws the eye.
fn weigh_subject(row: &Row, evidence: &Evidence) -> Grid<f64> {
    let map = &evidence.appearance.importance;
    let even = 1.0 / map.fields.len().max(1) as f64;
    let inside = |field: Rectangle, weight: f32| match row.subject {
        Some(subject) => {
            let [left, top, right, bottom] = subject.area.sides();
            let (x, y) = ((field[0] + field[2]) / 2.0, (field[1] + field[3]) / 2.0);
            let off = |at: f64, low: f64, high: f64| ((at - (low + high) / 2.0) / (high - low)).abs();
            // The middle of the box weighs most, and within it what draws the eye.
            (1.0 - off(x, left, right) - off(y, top, bottom)).max(0.0) * (even + f64::from(weight))
        }
        None => f64::from(weight),
    };
    Grid { across: map.across, down: map.down, fields: map.placed().map(|(at, weight)| inside(at, *weight)).collect() }
}

/// Returns where a strip covers the most weight, within the window and clear of the places found; `None` if nothing
/// there has any weight.
fn find_heaviest(
    weights: &Grid<f64>,
    window: Rectangle,
    strip: (f64, f64),
    found: &[RiskLocation],
) -> Option<Rectangle> {
    let fields: Vec<(Rectangle, f64)> =
        weights.placed().filter(|(_, weight)| **weight > 0.0).map(|(at, weight)| (at, *weight)).collect();
    let within = |middle: f64, extent: f64, low: f64, high: f64| {
        let from = (middle - extent / 2.0).min(high - extent).max(low);
        (from, from + extent)
    };
    let mut best: Option<(f64, Rectangle)> = None;
    for (field, _) in &fields {
        let (left, right) = within((field[0] + field[2]) / 2.0, strip.0, window[0], window[2]);
        let (top, bottom) = within((field[1] + field[3]) / 2.0, strip.1, window[1], window[3]);
        let area = [left, top, right, bottom];
        if found.iter().any(|place| shared_part(area, place.area) > MAX_OVERLAP * strip.0 * strip.1) {
            continue;
        }
        let caught = weight_inside(weights, area);
        if caught > best.map_or(0.0, |(most, _)| most) {
            best = Some((caught, area));
        }
    }
    best.map(|(_, area)| area)
}

/// Sums the weight inside a rectangle, visiting only the fields that it reaches.
fn weight_inside(weights: &Grid<f64>, area: Rectangle) -> f64 {
    let (across, down) = (weights.across as f64, weights.down as f64);
    let reach =
        |from: f64, to: f64, fields: f64| (from * fields).floor() as usize..((to * fields).ceil().min(fields) as usize);
    let mut sum = 0.0;
    for y in reach(area[1], area[3], down) {
        for x in reach(area[0], area[2], across) {
            let (left, top) = (x as f64 / across, y as f64 / down);
            let field = [left, top, left + 1.0 / across, top + 1.0 / down];
            sum += weights.fields[y * weights.across + x] * shared_part(area, field);
        }
    }
    sum
}

/// Returns the area common to two rectangles.
fn shared_part(one: Rectangle, other: Rectangle) -> f64 {
    let side = |axis: usize| (one[axis + 2].min(other[axis + 2]) - one[axis].max(other[axis])).max(0.0);
    side(0) * side(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::judge;
    use crate::judge::testing::{brief, sound_submission, tone, with_evidence};
    use crate::measure::evidence;

    const WHOLE: Rectangle = [0.0, 0.0, 1.0, 1.0];

    fn found(window: Rectangle, most: usize) -> Vec<RiskLocation> {
        // Dark detail is in the lower right quarter, light in the upper left; what draws the eye is in the centre.
        let brief = brief("[paper]\nstock = \"uncoated\"\n[[print]]\nsize = \"8 x 10 in\"");
        let file = with_evidence(sound_submission("a.jpg", 2400, 3000), |evidence| {
            evidence.tone = Some(tone(&[(16, 2.0, 30), (240, 1.0, 30), (120, 6.0, 40)]));
            evidence.field_tones = Grid::filled(
                8,
                8,
                evidence::FieldTone { mean: 120, deviation_steps: 24, ..evidence::FieldTone::default() },
            );
            for at in 0..4 {
                evidence.field_tones.fields[at % 2 + at / 2 * 8] =
                    evidence::FieldTone { mean: 240, deviation_steps: 4, ..evidence::FieldTone::default() };
                evidence.field_tones.fields[54 + at % 2 + at / 2 * 8 - at / 2 * 16] =
                    evidence::FieldTone { mean: 16, deviation_steps: 8, ..evidence::FieldTone::default() };
            }
            evidence.appearance.importance = Grid::filled(9, 9, 0.0);
            evidence.appearance.importance.fields[40] = 1.0;
        });
        let row = judge(&brief, std::slice::from_ref(&file)).rows.remove(0);
        let evidence = file.evidence().unwrap();
        find_risk_locations(&row, &brief.prints[0], &evidence, window, (0.25, 0.25), most)
    }

    #[test]
    fn the_riskiest_place_comes_first_and_each_lies_where_its_risk_is() {
        let found = found(WHOLE, 3);
        assert_eq!(
            found.iter().map(|place| place.risk).collect::<Vec<_>>(),
            [Risk::Shadows, Risk::Subject, Risk::Highlights]
        );
        assert!(found[0].area[0] >= 0.6 && found[0].area[1] >= 0.5, "{found:?}");
        assert_eq!(found[1].area, [0.375, 0.375, 0.625, 0.625]);
        assert_eq!(found[2].area, [0.0, 0.0, 0.25, 0.25]);
    }

    #[test]
    fn strips_keep_to_what_is_printed_and_beside_one_another() {
        let window = [0.1, 0.1, 0.8, 0.8];
        let all = found(window, 6);
        for (at, place) in all.iter().enumerate() {
            let inside = [0, 1].iter().all(|axis| {
                place.area[*axis] >= window[*axis] - 1e-9 && place.area[axis + 2] <= window[axis + 2] + 1e-9
            });
            assert!(inside, "{place:?}");
            assert!(all[..at].iter().all(|other| shared_part(other.area, place.area) <= MAX_OVERLAP / 16.0 + 1e-9));
        }
    }
}
