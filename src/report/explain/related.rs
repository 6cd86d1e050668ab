//! The end of a page: the rules, the keys of the brief and the other pages that belong to it.

use crate::brief::key::BriefKey;
use crate::brief::key_table;
use crate::judge::model::rule::Rule;
use crate::judge::rules;
use crate::units::styled::{Line, Style};

/// Width of a rule's id or a key's path, in columns.
pub const ID: usize = 24;
/// Width of a rule's title, in columns.
pub const TITLE: usize = 32;

/// Lists what has the names: rules, then keys, then other pages.
pub fn lines<'a>(names: impl Iterator<Item = &'a str> + Clone) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut part = |heading: &str, found: Vec<Line>| {
        if !found.is_empty() {
            lines.extend([Line::blank(), Line::of(Style::Dim, heading)]);
            lines.extend(found);
        }
    };
    part("Rules", names.clone().filter_map(rules::find).map(rule_line).collect());
    part("Keys of the brief", names.clone().filter_map(key_table::find).map(key_line).collect());
    let pages = names.filter(|name| rules::find(name).is_none() && key_table::find(name).is_none());
    let pages: Vec<&str> = pages.collect();
    if !pages.is_empty() {
        part("See also", vec![Line::plain(pages.join(", ")).indented(2, 0)]);
    }
    lines
}

/// Formats a rule: its title, its id, its level.
pub fn rule_line(rule: &Rule) -> Line {
    Line::of(Style::Plain, format!("{:TITLE$}", rule.title))
        .and(Style::Strong, format!("{:ID$}", rule.id))
        .and(Style::Dim, rule.level.word())
        .indented(2, TITLE)
}

/// Formats a key: its path and what it says.
pub fn key_line(key: &BriefKey) -> Line {
    Line::of(Style::Strong, format!("{:ID$}", key.path)).and(Style::Plain, key.about).indented(2, ID)
}
