//! The greeting for a person who typed only the program's name.

use crate::units::styled::{Line, Style};

/// Width of a command, in columns.
const COMMAND: usize = 44;

/// Explains how to begin.
pub fn lines() -> Vec<Line> {
    let step = |command: &str, about: &str| {
        Line::of(Style::Strong, format!("{command:COMMAND$}")).and(Style::Plain, about).indented(2, COMMAND)
    };
    vec![
        Line::plain("plateside checks your exported pictures against what the printer asked for, as you export them."),
        Line::blank(),
        Line::of(Style::Head, "To look around"),
        step("plateside demo", "an invented order, with every kind of mistake"),
        Line::blank(),
        Line::of(Style::Head, "For an order of your own"),
        step("plateside brief new", "1. list the briefs to start from, then write one"),
        step("plateside brief ask BRIEF", "2. list what to ask the printer"),
        step("plateside BRIEF FOLDER", "3. open the live table on your export folder, and export"),
        step("plateside deliver BRIEF FOLDER --into DIR", "4. write the delivery: checked pictures and a note"),
        Line::blank(),
        Line::of(Style::Head, "To read more"),
        step("plateside explain", "the handbook: findings, keys of the brief, words of the trade"),
        step("plateside --help", "every command"),
    ]
}
