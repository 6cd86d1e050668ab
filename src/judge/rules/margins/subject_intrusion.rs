//! Reach of a subject into the strips along a print's edges: the comparison and the words shared by margins.trim and
//! margins.safe.

use crate::brief::requirements::{Edge, Level};
use crate::judge::metrics::cut_lines::{CutLines, Rectangle};
use crate::judge::metrics::strips::{area, within};
use crate::judge::model::check::{Breach, Case, RuleOutcome};
use crate::judge::rules::phrases::{self, FIX_LINES, OTHER_SIDES, can_be_extended};
use crate::judge::subject::{Area, BoxOrigin, Subject};
use crate::units::{Length, Share, show};

/// Accuracy of a box drawn by hand, as a share of a side. Source: ours, one cell of a wide terminal.
pub const AT_HAND: f64 = 0.004;
/// Ratio of a strip's importance to its area above which the map gives a note. Source: ours: at a ratio of 1, two of
/// three photographs would carry a note.
const DENSER: f64 = 1.5;
/// Names of the sides, in their order.
pub const SIDES: [&str; 4] = ["top", "right", "bottom", "left"];
/// Ways from the sides into the picture, in their order.
const INWARD: [&str; 4] = ["down", "left", "up", "right"];
/// Shares closer than this are the same.
pub const SAME: f64 = 1e-9;
/// Advice where a box is doubtful, before any other.
pub const CONFIRM: &str = "confirm the subject's box, or draw it again";

/// A strip along the edges.
pub struct EdgeStrip {
    /// Its name in a finding.
    pub name: &'static str,
    /// Its inner edge.
    pub inner: fn(&CutLines) -> Rectangle,
    /// Its name in a table cell.
    pub short: &'static str,
    /// The brief's keys that give its depth; none where it is common practice.
    pub keys: &'static [&'static str],
    /// True if its depth is given from the finished edge too: that is where a person measures it.
    pub is_from_trim: bool,
}

/// Distance by which a box reaches beyond a rectangle: top, right, bottom, left, as shares of the picture's sides;
/// negative where it keeps clear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach(pub [f64; 4]);

impl Reach {
    /// Measures a box against a rectangle.
    pub fn of(area: Area, inner: Rectangle) -> Reach {
        Reach([inner[1] - area.top, area.right - inner[2], area.bottom - inner[3], inner[0] - area.left])
    }
}

/// Checks a drawn box against a strip.
pub fn ask_box(case: &Case, subject: Subject, strip: &EdgeStrip) -> RuleOutcome {
    // Until the pixels are read it is unknown whether the box still belongs to this picture.
    if case.evidence.is_none() {
        return case.without_evidence();
    }
    let Some(lines) = CutLines::centred(case.placement) else {
        return RuleOutcome::NotChecked("the picture has no pixels".to_owned());
    };
    let inner = (strip.inner)(&lines);
    let Reach(reach) = Reach::of(subject.area, inner);
    let sides = (0..4).filter(|side| reach[*side] > SAME);
    RuleOutcome::of(sides.map(|side| by_box(case, subject, strip, &lines, side, &reach)).collect())
}

fn by_box(case: &Case, subject: Subject, strip: &EdgeStrip, lines: &CutLines, side: usize, reach: &[f64; 4]) -> Breach {
    let across = side % 2 == 1;
    let inner = (strip.inner)(lines);
    let depth = strips_depth(lines.window, inner)[side];
    let (into, deep) =
        (case.placement.length_on_paper(reach[side], across), case.placement.length_on_paper(depth, across));
    let is_wider = strips_depth(lines.window, lines.safe)[side] > depth + SAME;
    let unit = case.print.requirements.margins.unit;
    let edge = match case.print.requirements.margins.edge {
        Edge::Bleed if case.placement.bleed().each()[side] > Length::ZERO => "the edge of the bleed",
        Edge::Wrap if case.print.requirements.margins.goes_round() => "the edge of the wrap",
        _ => "the edge",
    };
    let bleed = case.placement.bleed().each()[side];
    let depth_words = if strip.is_from_trim && bleed > Length::ZERO {
        let (inside, deep) = (show::length(deep - bleed, unit), show::length(deep, unit));
        format!("at least {inside} inside the trim ({deep} from {edge})")
    } else {
        format!("at least {} from {edge}", show::length(deep, unit))
    };
    let limit = limit(case, strip, &depth_words);
    let is_doubtful = subject.origin == BoxOrigin::Doubtful;
    let only_note = is_doubtful || reach[side] < AT_HAND;
    let doubt = if is_doubtful { " (by a box drawn on an earlier export)" } else { "" };
    Breach {
        about: SIDES[side].to_owned(),
        at_most: only_note.then_some(Level::Note),
        numbers: Some((rounded_mm(into), 0.0)),
        unit: Some("mm"),
        short: format!("{}, {}", strip.short, SIDES[side]),
        found: format!(
            "at the {}, the subject reaches {} into {}{doubt}; {limit}",
            SIDES[side],
            show::length(into, unit),
            strip.name
        ),
        fix: fix(case, subject, lines, side, is_wider),
        ..Breach::default()
    }
}

/// Returns the depth of a strip as a limit, in words: required only where the brief gives all that it is made of.
fn limit(case: &Case, strip: &EdgeStrip, words: &str) -> String {
    let is_open = |key: &&&str| case.print.origins.of(key).is_open();
    match strip.keys.iter().find(is_open).or(strip.keys.first()) {
        Some(key) => phrases::limit_words(case.print, key, words),
        None => format!("usual: {words}"),
    }
}

/// Returns the shift, extension or border that fixes it: out of the safe margin, so that it causes no other finding.
/// `further` means that the safe margin is wider than the finding's strip.
fn fix(case: &Case, subject: Subject, lines: &CutLines, side: usize, further: bool) -> String {
    let unit = case.print.requirements.margins.unit;
    let Reach(reach) = Reach::of(subject.area, lines.safe);
    let across = side % 2 == 1;
    let opposite = (side + 2) % 4;
    let shift = show::length_no_less(case.placement.length_on_paper(reach[side], across), unit);
    let inward = INWARD[side];
    let (w, h) = case.facts.upright_px();
    // A millionth of a pixel is a floating-point rounding error.
    let px = (reach[side] * f64::from(if across { w } else { h }) - 1e-6).ceil();
    let clear = if further { ", clear of the safe margin" } else { "" };
    let is_doubtful = subject.origin == BoxOrigin::Doubtful;
    let mut actions: Vec<String> = is_doubtful.then(|| CONFIRM.to_owned()).into_iter().collect();
    if -reach[opposite] >= reach[side] {
        actions.push(format!("crop the original again so that the subject sits {shift} further {inward}{clear}"));
        if can_be_extended(px as u32, if across { w } else { h }) {
            actions.push(format!(
                "or extend the background by {px} px at the {} and crop {px} px off the {}",
                SIDES[side], SIDES[opposite]
            ));
        }
    } else {
        let depths = strips_depth(lines.window, lines.safe);
        let deepest = case.placement.length_on_paper(depths[side].max(depths[opposite]), across);
        let beside = if across { "to the left and right of" } else { "above and below" };
        let least = show::length_no_less(deepest, unit);
        actions.push(format!("crop the original wider, with at least {least} {beside} the subject"));
    }
    actions.extend(other_margins(case, subject.area, side));
    actions.truncate(FIX_LINES);
    actions.join("\n")
}

/// Returns the advice to ask for margins that keep all of the picture clear of this side.
fn other_margins(case: &Case, area: Area, side: usize) -> Option<String> {
    let margins = &case.print.requirements.margins;
    match margins.edge {
        Edge::Border => {
            let least = margins.safe.each()[side].max(margins.rebate);
            Some(format!("or ask for a border of at least {}", show::length_no_less(least, margins.unit)))
        }
        Edge::Wrap => {
            let on_face = case.placement.on_face_alone(case.print)?;
            let Reach(reach) = Reach::of(area, CutLines::centred(&on_face)?.safe);
            (reach[side] <= SAME).then(|| format!("or {OTHER_SIDES}"))
        }
        Edge::Bleed | Edge::Borderless => Some("or ask for a print with a white border".to_owned()),
    }
}

/// Checks the map against a strip: a note where its share of importance is well above its share of area.
pub fn ask_map(case: &Case, strip: &EdgeStrip, strips: fn(Rectangle, Rectangle) -> [Rectangle; 4]) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let Some(lines) = CutLines::centred(case.placement) else {
        return RuleOutcome::NotChecked("the picture has no pixels".to_owned());
    };
    let found = strips(lines.window, (strip.inner)(&lines)).into_iter().enumerate().filter_map(|(side, rectangle)| {
        let (weight, size) = (within(&evidence.appearance.importance, rectangle), area(rectangle));
        (weight > DENSER * size && size > 0.0).then(|| by_map(strip, side, weight, size))
    });
    RuleOutcome::of(found.collect())
}

fn by_map(strip: &EdgeStrip, side: usize, weight: f64, size: f64) -> Breach {
    let (shown, limit_shown) = show::shares_apart(Share::measured(weight), Share::measured(DENSER * size));
    Breach {
        about: SIDES[side].to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((weight, size)),
        unit: Some("share"),
        short: format!("busy {} edge", SIDES[side]),
        found: format!(
            "at the {}, {shown} of what draws the eye lies in {}; usual: at most {limit_shown}",
            SIDES[side], strip.name
        ),
        fix:
            "look at that edge in the view of the cut lines, and draw the subject's box\nor accept it if nothing that \
              matters lies there"
                .to_owned(),
        ..Breach::default()
    }
}

fn strips_depth(window: Rectangle, inner: Rectangle) -> [f64; 4] {
    [inner[1] - window[1], window[2] - inner[2], window[3] - inner[3], inner[0] - window[0]]
}

/// Returns millimetres to a hundredth: the accuracy of a measured box.
pub fn rounded_mm(length: Length) -> f64 {
    (length.mm() * 100.0).round() / 100.0
}
