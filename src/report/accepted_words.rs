//! Accepted findings, in words for the prompt.

use std::path::Path;

use crate::decisions;
use crate::decisions::{DecisionChange, Decisions};
use crate::judge::acceptance::Acceptance;
use crate::picture::PictureKey;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// Lists all accepted findings, picture by picture.
pub fn list(accepted: &Decisions) -> Vec<Line> {
    let lines: Vec<Line> = accepted.all().map(|(picture, one)| line(picture, one)).collect();
    if lines.is_empty() { vec![Line::plain("No finding is accepted.")] } else { lines }
}

/// Describes what a change did, and where it is stored.
pub fn changed(changes: &[DecisionChange], now: &Decisions, brief: &Path) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    for change in changes {
        let DecisionChange::Finding(change) = change else { continue };
        match &change.acceptance {
            Some(acceptance) => lines.push(line(&change.picture, acceptance)),
            None => lines.push(
                Line::of(Style::Strong, change.picture.as_str())
                    .and(Style::Plain, format!("  {}: withdrawn", named(&change.rule, &change.about))),
            ),
        }
    }
    let all = show::count(now.all().count(), "finding", "findings");
    let file = decisions::path_beside(brief);
    lines.push(Line::of(Style::Dim, format!("{all} accepted in {}", file.display())));
    lines
}

fn line(picture: &PictureKey, one: &Acceptance) -> Line {
    let print = one.print.as_ref().map(|print| format!(" for {}", print.0)).unwrap_or_default();
    let value = one.bound.measured.map(|value| format!(" at {}", show::measured(value, &one.bound.unit)));
    Line::of(Style::Strong, picture.as_str())
        .and(Style::Plain, format!("{print}  {}{}", named(&one.rule, &one.about), value.unwrap_or_default()))
        .and(Style::Dim, format!("  {}", one.words()))
        .indented(0, 2)
}

fn named(rule: &str, about: &str) -> String {
    if about.is_empty() { rule.to_owned() } else { format!("{rule}:{about}") }
}
