//! Reach of a subject into the strips along a print's edges: the comparison and the words shared by margins.trim and
//! margins.safe.

use crate::brief::requirements::{Edge, Level};
use crate::judge::metrics::cut_lines::{CutLines, Rectangle};
use crate::judge::metrics::strips::{area, within};
use crate::judge::model::check::{Breach, Case, RuleOutcome};
use crate::judge::rules::phrases::{OTHER_SIDES, can_be_extended};
use crate::judge::subject::{Area, BoxOrigin, Subject};
use crate::units::{Length, Share, show};

/// Accuracy of a box drawn by hand, as a share of a side. Source: ours, one cell of a wide terminal.
pub const AT_HAND: f64 = 0.004;
/// Ratio of a strip's importance to its area above which the map gives a note. Source: ours: at a ratio of 1, two of
/// three photographs would carry a note.
const DENSER: f64 = 1.5;
/// Names of the sides, in their order.
pub const SIDES: [&str; 4] = ["top", "right", "bottom", "left"];

/// A strip along the edges.
pub struct EdgeStrip {
    /// Its name in a finding.
    pub name: &'static str,
    /// Its inner edge.
    pub inner: fn(&CutLines) -> Rectangle,
    /// Its name in a table cell.
    pub short: &'static str,
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
    if let Err(outcome) = case.evidence() {
        return outcome;
    }
    let Some(lines) = CutLines::centred(case.placement) else {
        return RuleOutcome::NotChecked("the picture has no pixels".to_owned());
    };
    let inner = (strip.inner)(&lines);
    let Reach(reach) = Reach::of(subject.area, inner);
    let sides = (0..4).filter(|side| reach[*side] > 1e-9);
    RuleOutcome::of(sides.map(|side| by_box(case, subject, strip, &lines, side, &reach)).collect())
}

fn by_box(case: &Case, subject: Subject, strip: &EdgeStrip, lines: &CutLines, side: usize, reach: &[f64; 4]) -> Breach {
    let across = side % 2 == 1;
    let inner = (strip.inner)(lines);
    let depth = strips_depth(lines.window, inner)[side];
    let (into, deep) = (length_of(case, reach[side], across), length_of(case, depth, across));
    let is_wider = strips_depth(lines.window, lines.safe)[side] > depth + 1e-9;
    let unit = case.print.requirements.margins.unit;
    let counted = match case.print.requirements.margins.edge {
        Edge::Bleed if case.placement.bleed().each()[side] > Length::ZERO => "from the edge, bleed included",
        Edge::Wrap if case.print.requirements.margins.goes_round() => "from the edge, what goes round the bar included",
        _ => "from the edge",
    };
    let only_note = subject.origin == BoxOrigin::Doubtful || reach[side] < AT_HAND;
    let doubt = if subject.origin == BoxOrigin::Doubtful {
        " (the box was drawn on an earlier export; confirm it)"
    } else {
        ""
    };
    Breach {
        about: SIDES[side].to_owned(),
        at_most: only_note.then_some(Level::Note),
        numbers: Some((rounded_mm(into), 0.0)),
        unit: Some("mm"),
        short: format!("{} {}", strip.short, SIDES[side]),
        found: format!(
            "the subject reaches {} into {} ({} {counted}) at the {}{doubt}",
            show::length(into, unit),
            strip.name,
            show::length(deep, unit),
            SIDES[side]
        ),
        fix: fix(case, side, Reach::of(subject.area, lines.safe), is_wider),
        ..Breach::default()
    }
}

/// Returns the shift, extension or border that fixes it: out of the safe margin, so that it causes no other finding.
/// `further` means that the safe margin is wider than the finding's strip.
fn fix(case: &Case, side: usize, Reach(reach): Reach, further: bool) -> String {
    let unit = case.print.requirements.margins.unit;
    let across = side % 2 == 1;
    let opposite = (side + 2) % 4;
    let shift = show::length_no_less(length_of(case, reach[side], across), unit);
    let away = SIDES[opposite];
    let (w, h) = case.facts.upright_px();
    // A millionth of a pixel is a floating-point rounding error.
    let px = (reach[side] * f64::from(if across { w } else { h }) - 1e-6).ceil();
    let clear = if further { ", clear of the safe margin too" } else { "" };
    let room = -reach[opposite];
    let first = if room >= reach[side] {
        format!("choose the frame anew so that the subject lies {shift} further to the {away}{clear}: there is room")
    } else {
        format!(
            "it would have to lie {shift} further to the {away}{clear}, and there is no room for that in this frame"
        )
    };
    let extended = match can_be_extended(px as u32, if across { w } else { h }) {
        true => {
            format!("; or extend the background by {px} px at the {} and crop to the print's shape again", SIDES[side])
        }
        false => String::new(),
    };
    let margins = &case.print.requirements.margins;
    let otherwise = match margins.edge {
        Edge::Border => format!("; or ask for a border that is {shift} wider"),
        Edge::Wrap if margins.goes_round() => format!("; or {OTHER_SIDES}"),
        Edge::Wrap => String::new(),
        Edge::Bleed | Edge::Borderless => "; or print with a white border".to_owned(),
    };
    format!("{first}{extended}{otherwise}")
}

/// Checks the map against a strip: a note where its share of importance is well above its share of area.
pub fn ask_map(case: &Case, strip: &EdgeStrip, strips: fn(Rectangle, Rectangle) -> [Rectangle; 4]) -> RuleOutcome {
    let evidence = match case.evidence() {
        Ok(evidence) => evidence,
        Err(outcome) => return outcome,
    };
    let Some(lines) = CutLines::centred(case.placement) else {
        return RuleOutcome::NotChecked("the picture has no pixels".to_owned());
    };
    let found = strips(lines.window, (strip.inner)(&lines)).into_iter().enumerate().filter_map(|(side, rectangle)| {
        let (weight, size) = (within(&evidence.look.importance, rectangle), area(rectangle));
        (weight > DENSER * size && size > 0.0).then(|| by_map(strip, side, weight, size))
    });
    RuleOutcome::of(found.collect())
}

fn by_map(strip: &EdgeStrip, side: usize, weight: f64, size: f64) -> Breach {
    let [weight_shown, size_shown] = [weight, size].map(|share| show::share(Share::measured(share)));
    Breach {
        about: SIDES[side].to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((weight, size)),
        unit: Some("share"),
        short: format!("{} {}?", strip.short, SIDES[side]),
        found: format!(
            "{weight_shown} of what draws the eye lies in {} at the {}, which is {size_shown} of the picture",
            strip.name, SIDES[side]
        ),
        fix: "look at that edge in the view of the cut lines; draw the subject's box, and it is judged exactly"
            .to_owned(),
        ..Breach::default()
    }
}

/// Returns a share of the picture's width (or height) as a length on paper.
pub fn length_of(case: &Case, share: f64, across: bool) -> Length {
    let Some(fit) = case.placement.fit.as_ref() else { return Length::ZERO };
    let px = f64::from(if across { fit.picture_px.0 } else { fit.picture_px.1 });
    let inches = share * px / fit.density.as_f64();
    Length::from_nm((inches * crate::units::length::NM_PER_INCH as f64).round() as i64)
}

fn strips_depth(window: Rectangle, inner: Rectangle) -> [f64; 4] {
    [inner[1] - window[1], window[2] - inner[2], window[3] - inner[3], inner[0] - window[0]]
}

/// Returns millimetres to a hundredth: the accuracy of a measured box.
pub fn rounded_mm(length: Length) -> f64 {
    (length.mm() * 100.0).round() / 100.0
}
