//! The greeting for a person who typed only the program's name.

use crate::units::styled::{Line, Style};

/// Width of a command, in columns.
const COMMAND: usize = 40;

/// Explains how to begin.
pub fn lines() -> Vec<Line> {
    let step = |command: &str, about: &str| {
        Line::of(Style::Strong, format!("{command:COMMAND$}")).and(Style::Plain, about).indented(2, COMMAND)
    };
    vec![
        Line::plain("plateside checks finished pictures against the printer's brief while you export them."),
        Line::blank(),
        step("plateside demo", "look around in an invented order"),
        step("plateside brief new", "list the briefs to start from"),
        step("plateside BRIEF FOLDER", "open the live table on your export folder"),
        step("plateside check BRIEF FOLDER", "check once, without a screen"),
        step("plateside explain", "every question that is asked of a picture"),
        Line::blank(),
        Line::of(Style::Dim, "plateside --help lists everything."),
    ]
}
