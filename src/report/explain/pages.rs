//! The pages of a rule and of a key of the brief.

use crate::brief::key::BriefKey;
use crate::brief::key_table;
use crate::judge::model::rule::Rule;
use crate::judge::rules;
use crate::report::tried;
use crate::units::styled::{Line, Style};

use super::related::key_line;

/// Width of the labels of a page, in columns.
const LABEL: usize = 11;

/// Formats the page of a rule: found, fix, why, how it is measured, what it misses, source, keys.
pub fn rule_page(rule: &Rule) -> Vec<Line> {
    let mut lines = vec![
        Line::of(Style::Head, rule.title),
        Line::of(Style::Strong, rule.id).and(Style::Dim, format!("  a rule, level {}", rule.level.word())),
        Line::plain(rule.question),
        Line::blank(),
        labelled("found", rule.samples.fails),
        labelled("fix", rule.fix),
        labelled("why", rule.why),
        labelled("measured", rule.page),
        labelled("passes", rule.samples.passes),
        labelled("misses", rule.misses),
    ];
    if !rule.silences.is_empty() {
        let left_out: Vec<&str> = rule.silences.iter().map(|rule| rule.id).collect();
        let (rules, are) = (left_out.join(", "), if left_out.len() == 1 { "is" } else { "are" });
        lines.push(labelled("replaces", &format!("{rules}, which {are} then not reported")));
    }
    lines.push(labelled("source", rule.source));
    lines.extend(tried::of_rule(rule.id).map(|text| labelled("tried", &text)));
    if !rule.keys.is_empty() {
        lines.push(Line::blank());
        lines.push(Line::of(Style::Dim, "Keys of the brief that it uses:"));
        lines.extend(rule.keys.iter().filter_map(|path| key_table::find(path)).map(key_line));
    }
    lines.push(Line::blank());
    lines.push(if rules::configurable_ids().contains(&rule.id) {
        Line::of(Style::Dim, "Its level is changed in the brief under [rules]: ")
            .and(Style::Plain, format!("\"{}\" = \"must\"", rule.id))
            .and(Style::Dim, ", \"should\", \"note\" or \"off\"")
    } else {
        Line::of(Style::Dim, "Its level cannot be changed.")
    });
    lines
}

/// Formats the page of a key of the brief.
pub fn key_page(key: &BriefKey) -> Vec<Line> {
    let place = match key.table() {
        "" => "above the first table".to_owned(),
        table => format!("in [{table}]"),
    };
    let print = if key_table::is_in_print(key) && key.table() != "print" { ", or in a print" } else { "" };
    let mut lines = vec![
        Line::of(Style::Head, key.path).and(Style::Dim, format!("  a key of the brief, {place}{print}")),
        Line::plain(key.about),
        Line::blank(),
        labelled("value", &key.kind.words()),
        labelled("example", &key.line(key.example)),
    ];
    if !print.is_empty() {
        lines.push(labelled("in a print", &format!("{} = {}", key.path, key.example)));
    }
    lines.extend([
        labelled("usual", if key.default == key_table::NOT_SAID { "none" } else { key.default }),
        labelled("source", key.source),
    ]);
    if let Some(question) = key.question {
        lines.push(labelled("to ask", question));
    }
    lines
}

fn labelled(label: &str, text: &str) -> Line {
    Line::of(Style::Dim, format!("{label:LABEL$}")).and(Style::Plain, text).indented(0, LABEL)
}
