//! A picture's subject in words, for reading.

use crate::judge::subject::{BoxOrigin, Subject};
use crate::reading::subject_box::SubjectBoxes;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// Width of a label, in columns.
const LABEL: usize = 14;

/// Formats the boxes of a picture under its name.
pub fn lines(standing: &SubjectBoxes) -> Vec<Line> {
    let mut lines = vec![Line::of(Style::Head, standing.picture.as_str())];
    let subjects = &standing.subjects;
    if subjects.of_picture.is_none() && subjects.of_prints.is_empty() {
        lines.push(labelled("subject", "no box yet; --box LEFT,TOP,RIGHT,BOTTOM draws one"));
    }
    if let Some(subject) = &subjects.of_picture {
        lines.extend(subject_lines("every print", subject, standing.picture_px));
    }
    for (print, subject) in &subjects.of_prints {
        lines.extend(subject_lines(&print.0, subject, standing.picture_px));
    }
    lines.extend(reopened_line(standing.reopened));
    lines
}

/// Confirms that a box was removed.
pub fn removed_lines(picture: &str, findings: usize) -> Vec<Line> {
    let lines = vec![Line::of(Style::Head, picture), labelled("box", "removed")];
    lines.into_iter().chain(reopened_line(findings)).collect()
}

/// Says how many accepted findings the change of a box has opened again, if any.
fn reopened_line(findings: usize) -> Option<Line> {
    let words = match findings {
        0 => return None,
        1 => "1 accepted finding is open again: it was accepted with the earlier box".to_owned(),
        many => format!("{many} accepted findings are open again: they were accepted with the earlier box"),
    };
    Some(labelled("accepted", "").and(Style::Warn, words))
}

fn subject_lines(whose: &str, subject: &Subject, (width_px, height_px): (u32, u32)) -> Vec<Line> {
    let sides = subject.area.sides();
    let in_px = |share: f64, px: u32| (share * f64::from(px)).round();
    let [left, top, right, bottom] = sides;
    let px = [in_px(left, width_px), in_px(top, height_px), in_px(right, width_px), in_px(bottom, height_px)];
    let (style, words) = match subject.origin {
        BoxOrigin::Drawn => (Style::Good, "drawn on this file"),
        BoxOrigin::Carried => (Style::Plain, "carried over from an earlier export"),
        BoxOrigin::Doubtful => {
            (Style::Warn, "doubtful: drawn on an export that does not match this one; draw it again to confirm")
        }
    };
    vec![
        labelled("for", whose),
        labelled("box", &show::shares_typed(sides)),
        labelled("in pixels", &px.map(|px| px.to_string()).join(", ")),
        labelled("status", "").and(style, words),
    ]
}

fn labelled(label: &str, text: &str) -> Line {
    let line = Line::of(Style::Dim, format!("{label:LABEL$}")).indented(2, LABEL);
    if text.is_empty() { line } else { line.and(Style::Plain, text) }
}
