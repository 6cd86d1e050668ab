//! The greeting for a person who typed only the program's name.

use crate::units::styled::{Line, Style};

/// Width of a command, in columns.
const COMMAND: usize = 43;

/// Explains how to begin.
pub fn lines() -> Vec<Line> {
    let step = |command: &str, about: &str| {
        Line::of(Style::Strong, format!("{command:COMMAND$}")).and(Style::Plain, about).indented(2, COMMAND)
    };
    vec![
        Line::plain("plateside checks your exports against what the printer asked for."),
        Line::blank(),
        Line::of(Style::Head, "To look around"),
        step("plateside demo", "an invented order, full of mistakes"),
        Line::blank(),
        Line::of(Style::Head, "For an order of your own"),
        step("plateside brief new", "1. list briefs to start from"),
        step("plateside brief ask BRIEF", "2. list questions for the printer"),
        step("plateside BRIEF FOLDER", "3. open the live table, and export"),
        step("plateside deliver BRIEF FOLDER --into DIR", "4. write pictures and a note"),
        Line::blank(),
        Line::of(Style::Head, "To read more"),
        step("plateside explain", "the handbook"),
        step("plateside --help", "every command"),
    ]
}
