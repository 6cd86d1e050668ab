//! Accepted findings, in words for the prompt.

use std::path::Path;

use crate::decisions;
use crate::decisions::{DecisionChange, Decisions};
use crate::judge::acceptance::{Acceptance, is_same_box};
use crate::picture::PictureKey;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// Lists all accepted findings, picture by picture.
pub fn list(accepted: &Decisions) -> Vec<Line> {
    let of = |(picture, one): (&PictureKey, &Acceptance)| {
        if is_of_earlier_box(accepted, picture, one) {
            line(picture, one).and(Style::Warn, "; open again: the subject's box has changed")
        } else {
            line(picture, one)
        }
    };
    let lines: Vec<Line> = accepted.all().map(of).collect();
    if lines.is_empty() { vec![Line::plain("No finding is accepted.")] } else { lines }
}

/// Describes what a change did, and where it is stored.
pub fn change_lines(changes: &[DecisionChange], now: &Decisions, brief: &Path) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    for change in changes {
        let DecisionChange::Finding(change) = change else { continue };
        match &change.acceptance {
            Some(acceptance) => lines.push(line(&change.picture, acceptance)),
            None => lines.push(
                Line::of(Style::Strong, change.picture.as_str())
                    .and(Style::Plain, format!("  {}: withdrawn", finding_name(&change.rule, &change.about))),
            ),
        }
    }
    let all = show::count(now.all().count(), "finding", "findings");
    let file = decisions::path_beside(brief);
    lines.push(Line::of(Style::Dim, format!("{all} accepted in {}", file.display())));
    lines
}

/// True if a finding was accepted with another box than the picture has now, as far as that is known without its
/// pixels: a box drawn on another export may have been carried over.
fn is_of_earlier_box(decisions: &Decisions, picture: &PictureKey, one: &Acceptance) -> bool {
    let boxes = decisions.boxes.get(picture, Some(&one.bound.sha256));
    let own = boxes.zip(one.print.as_ref()).and_then(|(boxes, print)| boxes.of_prints.get(print));
    match (one.bound.subject, own.or(boxes.and_then(|boxes| boxes.of_picture.as_ref()))) {
        (None, None) => false,
        (Some(then), Some(now)) if now.sha256 == one.bound.sha256 => !is_same_box(then, now.area.sides()),
        (Some(_), Some(_)) => false,
        (None, Some(_)) | (Some(_), None) => true,
    }
}

fn line(picture: &PictureKey, one: &Acceptance) -> Line {
    let print = one.print.as_ref().map(|print| format!(" for {}", print.0)).unwrap_or_default();
    let value = one.bound.measured.map(|value| format!(" at {}", show::measured(value, &one.bound.unit)));
    Line::of(Style::Strong, picture.as_str())
        .and(Style::Plain, format!("{print}  {}{}", finding_name(&one.rule, &one.about), value.unwrap_or_default()))
        .and(Style::Dim, format!("  {}", one.words_with_note()))
        .indented(0, 2)
}

fn finding_name(rule: &str, about: &str) -> String {
    if about.is_empty() { rule.to_owned() } else { format!("{rule}:{about}") }
}
